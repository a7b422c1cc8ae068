package review

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/compare"
	"sewable/lang/english"
	"sewable/lint"
)

// Group is one answer to what a reviewer has to know, in lines; the most important come first.
type Group struct {
	Name  string // what --fail-on and programs call it
	Title string
	Lines []string
}

// The names of the groups, in their order.
const (
	GroupSilenced = "silenced"
	GroupErrors   = "errors"
	GroupFound    = "found"
	GroupUnjudged = "unjudged"
	GroupRecut    = "recut"
	GroupReprint  = "reprint"
	GroupNew      = "new"
	GroupRest     = "rest"
)

// Groups are what the change does, in the order in which it matters. One that has nothing to say is left out.
func (r *Report) Groups() []Group {
	items := r.items()
	all := []Group{
		{GroupSilenced, "Silenced or loosened", r.loosenedLines()},
		{GroupErrors, "New errors", foundLines(items, func(l lint.Level) bool { return l == lint.Error })},
		{GroupFound, "New warnings and hints", foundLines(items, func(l lint.Level) bool { return l < lint.Error })},
		{GroupUnjudged, "Not judged", r.unjudgedLines()},
		{GroupRecut, "Recut", recutLines(items, r.Kits)},
		{GroupReprint, "Reprint", reprintLines(items)},
		{GroupNew, "New and gone", newLines(items)},
		{GroupRest, "Nothing to recut or reprint", append(restLines(items), r.Asides()...)},
	}
	return slices.DeleteFunc(all, func(g Group) bool { return len(g.Lines) == 0 })
}

// Has reports whether a group has something to say.
func (r *Report) Has(name string) bool {
	return slices.ContainsFunc(r.Groups(), func(g Group) bool { return g.Name == name })
}

func (r *Report) loosenedLines() (out []string) {
	for _, l := range r.Loosened {
		out = append(out, l.Words())
	}
	return out
}

func foundLines(items []item, want func(lint.Level) bool) (out []string) {
	for _, it := range items {
		for _, f := range it.found.New {
			if want(f.Level) {
				level := ""
				if f.Level != lint.Error {
					level = f.Level.String() + ": "
				}
				out = append(out, fmt.Sprintf("%s (%s:%d): %s%s [%s]", it.name, fileName(f.File), f.Start.Line, level, f.Message, f.Rule))
			}
		}
	}
	return out
}

func (r *Report) unjudgedLines() (out []string) {
	for _, u := range r.Unjudged {
		out = append(out, fmt.Sprintf("%s: %s; what to recut and reprint is not known", fileName(u.Path), u.Why))
	}
	for _, b := range r.Blocks {
		if b.Unread.After {
			out = append(out, fmt.Sprintf("%s (%s) cannot be read completely; what else to recut is not known until it can be read", b.Name(), fileName(b.path())))
		}
	}
	for _, q := range r.Quilts {
		if q.Faulty.After != nil {
			why, _, _ := strings.Cut(q.Faulty.After.Error(), "\n")
			out = append(out, fmt.Sprintf("%s (%s) cannot be laid out or cut: %s", q.Name(), fileName(q.path()), why))
		}
	}
	return out
}

func recutLines(items []item, kits int) (out []string) {
	for _, it := range items {
		if it.pieces == 0 && !it.strips {
			continue
		}
		line := it.name + ": " + strings.TrimSuffix(it.recut, ".")
		if it.pieces > 0 {
			line += " (" + it.amount(kits) + ")"
		}
		out = append(out, line)
	}
	return out
}

// reprintLines names what to print again; blocks of one cause share a line.
func reprintLines(items []item) []string {
	return byCause(items, func(it item) string {
		if !it.paper.Any() || it.state == "gone" {
			return ""
		}
		if !it.alone() {
			kinds := it.paper.Artifacts()
			if len(it.paper.Foundations) > 0 {
				kinds[0] = "foundations"
			}
			return english.List(kinds)
		}
		return it.paper.Words()
	})
}

// newLines are the blocks and quilts that came or went.
func newLines(items []item) (out []string) {
	for _, it := range items {
		if it.state != "" {
			out = append(out, it.name+": "+strings.TrimSuffix(it.todo, "."))
		}
	}
	return out
}

// restLines are the items of which nothing is to be cut or printed again.
func restLines(items []item) []string {
	return byCause(items, func(it item) string {
		if it.rank() < rankRest || it.state != "" {
			return ""
		}
		return cmp.Or(strings.TrimSuffix(it.brief(), "."), "nothing to recut")
	})
}

// byCause puts items that changed through the same files and of which the same words are said into one line: what
// changed there, how many they are, and the words. An item with a cause of its own has its own line. An item without words
// has none.
func byCause(items []item, words func(item) string) (out []string) {
	type key struct{ through, words string }
	type group struct {
		at     int
		items  []item
		causes []string
	}
	groups := map[key]*group{}
	for _, it := range items {
		says := words(it)
		if says == "" {
			continue
		}
		if it.alone() {
			out = append(out, it.name+": "+says)
			continue
		}
		k := key{it.through, says}
		g := groups[k]
		if g == nil {
			g = &group{at: len(out)}
			groups[k] = g
			out = append(out, "")
		}
		g.items = append(g.items, it)
		for _, c := range it.causes {
			head, _, _ := strings.Cut(c, ":")
			if !slices.ContainsFunc(g.causes, func(o string) bool { return strings.HasPrefix(o, head+":") || o == c }) {
				g.causes = append(g.causes, c)
			}
		}
	}
	for k, g := range groups {
		cause := strings.Join(g.causes, "; ")
		if n := len(g.causes); n > maxCauses {
			cause = fmt.Sprintf("%s (%s; and %d more)", k.through, g.causes[0], n-1)
		}
		who := fmt.Sprintf("%s (%s)", g.items[0].name, g.items[0].file)
		if n := len(g.items); n > 1 {
			who = english.Count(n, "block", "blocks")
		}
		out[g.at] = fmt.Sprintf("%s: %s: %s", cause, who, k.words)
	}
	return out
}

// maxCauses is how many things that changed in other files are named one by one.
const maxCauses = 3

// The ranks of an item, the first that is true of it.
const (
	rankErrors = iota
	rankFound
	rankUnjudged
	rankRecut
	rankReprint
	rankRest
)

func (it item) rank() int {
	worst := lint.Level(0)
	for _, f := range it.found.New {
		worst = max(worst, f.Level)
	}
	switch {
	case worst == lint.Error:
		return rankErrors
	case worst > lint.Hint:
		return rankFound
	case it.unread:
		return rankUnjudged
	case it.pieces > 0 || it.strips || it.state == "new" && it.block != nil:
		return rankRecut
	case it.paper.Any():
		return rankReprint
	}
	return rankRest
}

// ranked puts items in the order in which they matter: what broke, what to recut, largest pieces first, what to
// reprint, and the rest.
func ranked(items []item) []item {
	slices.SortStableFunc(items, func(a, b item) int {
		return cmp.Or(a.rank()-b.rank(), cmp.Compare(b.area, a.area))
	})
	return items
}

// alone reports whether an item has something of its own to say, which no line for many says.
func (it item) alone() bool { return len(it.causes) == 0 || it.rank() < rankReprint }

// causes are what alone changed a block through other files, in words; none when its own text changed, too.
func (b Block) causes() (words []string) {
	if b.Spelling || b.Before == nil || b.After == nil || len(b.Through) == 0 {
		return nil
	}
	for _, row := range b.fabrics().Rows {
		words = append(words, row[0])
	}
	return append(words, b.Altered...)
}

// amount says how many pieces are to be cut, and how much of the fabrics they take at least.
func (it item) amount(kits int) string {
	n := max(kits, 1)
	s := english.Count(it.pieces*n, "piece", "pieces")
	if kits > 1 {
		s += fmt.Sprintf(" for %d kits", kits)
	}
	var fabrics []string
	for _, f := range it.fabrics {
		fabrics = append(fabrics, fmt.Sprintf("%s of %s", cutlist.Buy(cloth.Purchase(f.area*float64(n)/f.width, 0, it.unit), it.unit), f.name))
	}
	if len(fabrics) > 0 {
		s += ", at least " + english.List(first(fabrics, maxBlocks))
	}
	return s
}

// recutFabric is the cloth that the pieces of a fabric take that are to be cut again.
type recutFabric struct {
	name        string
	area, width float64 // in square hairs, in hairs
}

// recutOf counts the pieces of a block that are to be cut again, and the cloth of each fabric.
func (b Block) recutOf() (pieces int, fabrics []recutFabric, area float64) {
	if b.Before == nil {
		return 0, nil, 0
	}
	at := map[*block.Fabric]int{}
	for _, p := range b.Patches {
		if p.After == nil || p.Recut != compare.Anew {
			continue
		}
		pieces++
		if p.After.Cut == nil || p.After.Fabric == nil {
			continue
		}
		f := p.After.Fabric
		i, ok := at[f]
		if !ok {
			i = len(fabrics)
			at[f] = i
			width := f.Width.Float64()
			if width <= 0 {
				width = cloth.DefaultWidth
			}
			fabrics = append(fabrics, recutFabric{name: f.Called(), width: width})
		}
		is := p.After.Cut.Along * cmp.Or(p.After.Cut.Across, p.After.Cut.Along)
		fabrics[i].area += is
		area += is
	}
	return pieces, fabrics, area
}

// movedByFolder says which files were renamed, those that went from one folder to another under the same name in one line.
func (r *Report) movedByFolder() (out []string) {
	type way struct{ from, to string }
	count := map[way]int{}
	var ways []way
	for _, c := range r.Renamed {
		if path.Base(c.Before) != path.Base(c.After) {
			out = append(out, fmt.Sprintf("Renamed: %s → %s", fileName(c.Before), fileName(c.After)))
			continue
		}
		w := way{path.Dir(c.Before), path.Dir(c.After)}
		if count[w]++; count[w] == 1 {
			ways = append(ways, w)
		}
	}
	for _, w := range ways {
		out = append(out, fmt.Sprintf("Moved: %s from %s to %s", english.Count(count[w], "file", "files"), folderName(w.from), folderName(w.to)))
	}
	return out
}

func folderName(folder string) string {
	if folder == "." {
		return "the top folder"
	}
	return fileName(folder)
}
