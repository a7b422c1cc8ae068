package review

import (
	"fmt"
	"strings"
	"unicode"

	"sewable/lang/block"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/compare"
	"sewable/lang/draw"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lint"
)

// Part is a part of what is said of a block or a quilt: a table, or a list of lines.
type Part struct {
	Title string
	Head  []string   // of a table; a list has none
	Rows  [][]string // of a list one cell each
	// Marked is how many of the first rows are marked in the picture, by their numbers.
	Marked int
}

func (p *Part) say(format string, args ...any) {
	p.Rows = append(p.Rows, []string{fmt.Sprintf(format, args...)})
}

// parts leaves out what has nothing to say.
func parts(all ...Part) []Part {
	var out []Part
	for _, p := range all {
		if len(p.Rows) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// Name is what the block is called now, or was.
func (b Block) Name() string {
	if b.After != nil {
		return b.After.Of.Name
	}
	return b.Before.Of.Name
}

// State is a word for what became of it, or empty: new, gone.
func (b Block) State() string { return stateOf(b.Before == nil, b.After == nil) }

func stateOf(noBefore, noAfter bool) string {
	switch {
	case noBefore:
		return "new"
	case noAfter:
		return "gone"
	}
	return ""
}

// fileName is a file as it is named in a sentence: in quotes when there is a space in it.
func fileName(path string) string {
	if strings.ContainsFunc(path, unicode.IsSpace) {
		return quoted(path)
	}
	return path
}

// Where says in which file it is, and through what else it changed.
func (b Block) Where() string { return where(b.File, b.Was, b.Through, b.Spelling) }

func where(file, was string, through []string, own bool) string {
	s := fileName(file)
	switch {
	case file == "":
		s = fileName(was)
	case was != "" && was != file:
		s += ", moved from " + fileName(was)
	}
	if len(through) > 0 {
		named := make([]string, len(through))
		for i, path := range through {
			named[i] = fileName(path)
		}
		through = named
		if own {
			s += "; " + english.List(through) + " changed too"
		} else {
			s += ", changed through " + english.List(through)
		}
	}
	return s
}

// Parts is all that is said of the block, the pieces first.
func (b Block) Parts() []Part {
	found := b.Findings.part()
	found.Marked = len(b.New)
	return parts(b.pieces(), b.sections(), b.joins(), b.heads(), b.fabrics(), clothPart(b.Cloth, b.Unit), found)
}

func length(hairs float64, u geom.Unit) string { return geom.Format(hairs, u) }

// sizes are a size before and after, to the digit where a ruler does not tell them apart.
func sizes(s *compare.Pair[compare.Size], u geom.Unit) (before, after string) {
	before, after = geom.FormatSize(s.Before.Width, s.Before.Height, u), geom.FormatSize(s.After.Width, s.After.Height, u)
	if before != after {
		return before, after
	}
	exact := func(s compare.Size) string {
		return geom.FormatExact(s.Width, u) + " × " + geom.FormatExact(s.Height, u)
	}
	return exact(s.Before), exact(s.After)
}

// fromTo is a thing before and after, once when it is the same.
func fromTo(before, after string) string {
	if before == after {
		return after
	}
	return before + " → " + after
}

func quoted(name string) string { return fmt.Sprintf("“%s”", name) }

// sections is what changed in the foundations.
func (b Block) sections() Part {
	p := Part{Title: "Sections"}
	if b.Before == nil || b.After == nil {
		return p
	}
	for _, s := range b.Sections {
		switch {
		case s.Unread:
			p.say("%s could not be read completely %s, so its patches are not compared", sectionName(s), unreadSide(s))
		case s.Before == nil:
			p.say("%s is new, with %s", s.After.Name, english.Count(len(s.After.Patches), "patch", "patches"))
		case s.After == nil:
			p.say("%s is gone", s.Before.Name)
		default:
			if s.Letter {
				kept := ""
				if len(b.After.Of.Joins) > 0 {
					kept = "; write %[2]s on any sheets you keep"
				}
				p.say("%[1]s is now %[2]s"+kept, s.Before.Name, s.After.Name)
			}
			if s.Outline {
				p.say("%s has a different outline", s.After.Name)
			}
			if s.Order != nil {
				var was []string
				for i, n := range s.Order {
					is := block.Label(s.After.Name, i+1)
					switch n {
					case i + 1:
					case 0:
						was = append(was, is+" is new")
					default:
						was = append(was, "old "+block.Label(s.Before.Name, n)+" is now "+is)
					}
				}
				p.say("%s is sewn in a different order: %s", s.After.Name, strings.Join(was, ", "))
			}
		}
	}
	reordered := map[*block.Section]bool{} // their new numbers are listed already
	for _, s := range b.Sections {
		reordered[s.After] = s.Order != nil
	}
	var now []string
	for _, q := range b.Patches {
		if q.Number && !reordered[q.After.Section] {
			now = append(now, "old "+q.Before.Label+" is now "+q.After.Label)
		}
	}
	if len(now) > 0 {
		p.say("renumbered: %s", strings.Join(now, ", "))
	}
	return p
}

func sectionName(s compare.Section) string {
	if s.After != nil {
		return s.After.Name
	}
	return s.Before.Name
}

func unreadSide(s compare.Section) string {
	old, new := s.Before != nil && s.Before.Broken, s.After != nil && s.After.Broken
	switch {
	case old && new:
		return "before and after the change"
	case old:
		return "before the change"
	}
	return "after the change"
}

// joins is what changed in how sections are joined, and their match marks.
func (b Block) joins() Part {
	p := Part{Title: "Joins and notches"}
	for _, j := range b.Joins {
		switch {
		case j.Before == nil:
			p.say("new: sew %s", joinWords(j.After, j.Units.After))
		case j.After == nil:
			p.say("gone: %s", joinWords(j.Before, j.Units.Before))
		default:
			was, is := kindWords(j.Before), kindWords(j.After)
			p.say("%s is sewn %s; it was %s", unitWords(j.Units.After), is, was)
		}
	}
	if b.JoinOrder {
		p.say("the joins are sewn in a different order")
	}
	for _, n := range b.Notches {
		at := func(n *block.Notch) string {
			s := "notch " + n.Name
			if n.Section != nil {
				s += " of " + n.Section.Name
			}
			return s
		}
		place := func(n *block.Notch) string { return geom.FormatPlace(n.Point, b.Unit) }
		switch {
		case n.Before == nil:
			p.say("new: %s at %s", at(n.After), place(n.After))
		case n.After == nil:
			p.say("gone: %s at %s", at(n.Before), place(n.Before))
		case n.Name && n.Moved:
			p.say("%s is now %s, and moved %s", at(n.Before), at(n.After), fromTo(place(n.Before), place(n.After)))
		case n.Name:
			p.say("%s is now called %s", at(n.Before), n.After.Name)
		default:
			p.say("%s moved %s", at(n.After), fromTo(place(n.Before), place(n.After)))
		}
	}
	return p
}

func joinWords(j *block.Join, u compare.Units) string { return unitWords(u) + ", " + kindWords(j) }

func unitWords(u compare.Units) string {
	unit := func(names []string) string { return strings.Join(names, "+") }
	return unit(u.A) + " to " + unit(u.B)
}

func kindWords(j *block.Join) string {
	kind := map[block.JoinKind]string{block.Inset: "set in (Y-seam), ", block.Partial: "as a partial seam, ", block.Finish: "to finish the seam, "}[j.Kind]
	if j.PressToward != nil {
		return kind + "pressed toward " + j.PressToward.Name
	}
	return kind + "pressed open"
}

// heads is what changed at the head of a block.
func (b Block) heads() Part {
	p := Part{Title: "The block"}
	for _, side := range []struct {
		is   bool
		what string
	}{{b.Unread.Before && !b.Unread.After, "before the change"}, {b.Unread.After && !b.Unread.Before, "after the change"}, {b.Unread.Before && b.Unread.After, "before and after the change"}} {
		if side.is {
			p.say("it could not be read completely %s; only what could be read is compared", side.what)
		}
	}
	if b.Title != nil {
		p.say("it is now called %s; it was %s", quoted(b.Title.After), quoted(b.Title.Before))
	}
	if b.Size != nil {
		p.say("finished size: %s", fromTo(sizes(b.Size, b.Unit)))
	}
	if b.Outline {
		p.say("it has a different outline")
	}
	for _, a := range []struct {
		name string
		is   *compare.Pair[compare.Allowance]
	}{{"seam allowance", b.Allowance}, {"outer allowance", b.Outer}} {
		if a.is != nil {
			p.say("%s: %s", a.name, fromTo(allowances(a.is, b.Unit)))
		}
	}
	for _, w := range b.Colourways {
		switch {
		case w.Before == nil:
			p.say("new colorway %s: %s", w.After.Name, swaps(w.After))
		case w.After == nil:
			p.say("the colorway %s is gone", w.Before.Name)
		default:
			p.say("colorway %s: %s; it was %s", w.After.Name, swaps(w.After), swaps(w.Before))
		}
	}
	for _, n := range b.Notes {
		noteLine(&p, n)
	}
	return p
}

func noteLine(p *Part, n compare.Note) {
	of := ""
	if n.Where != "" {
		of = " of " + n.Where
	}
	switch {
	case n.Before == "":
		p.say("new note%s: %s", of, quoted(n.After))
	case n.After == "":
		p.say("the note%s is gone: %s", of, quoted(n.Before))
	default:
		p.say("note%s: %s", of, fromTo(quoted(n.Before), quoted(n.After)))
	}
}

func allowances(p *compare.Pair[compare.Allowance], u geom.Unit) (before, after string) {
	before, after = geom.FormatApart(p.Before.Size, p.After.Size, u)
	if !p.Before.Known {
		before = "none"
	}
	if !p.After.Known {
		after = "none"
	}
	return before, after
}

func swaps(w *block.Colourway) string {
	var out []string
	for _, s := range w.Swaps {
		if s.Old != nil && s.New != nil {
			out = append(out, nameOf(s.New)+" for "+nameOf(s.Old))
		}
	}
	return strings.Join(out, ", ")
}

// fabrics is what changed about the fabrics themselves.
func (b Block) fabrics() Part {
	p := Part{Title: "Fabrics"}
	for _, f := range b.Fabrics {
		x, y := f.Before, f.After
		if f.Renamed {
			p.say("%s is now called %s; the fabric is the same", x.Name, y.Name)
		}
		if f.Title {
			p.say("%s: title %s", y.Name, fromTo(quoted(draw.FabricName(x)), quoted(draw.FabricName(y))))
		}
		if f.Colour {
			p.say("%s: new color, %s", nameOf(y), fromTo(orNone(x.Colour), orNone(y.Colour)))
		}
		if f.Width {
			width := func(f *block.Fabric) string {
				if f.Width.Sign() <= 0 {
					return "not given"
				}
				return geom.FormatLong(f.Width.Float64(), b.Unit)
			}
			p.say("%s: usable width %s", nameOf(y), fromTo(width(x), width(y)))
		}
		if f.Directional {
			if y.Directional {
				p.say("%s is now directional: its pieces are kept upright", nameOf(y))
			} else {
				p.say("%s is no longer directional: its pieces may be turned", nameOf(y))
			}
		}
	}
	return p
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// clothPart is the table of the cloth needed.
func clothPart(cloths []compare.Cloth, u geom.Unit) Part {
	p := Part{Title: "Fabric needed", Head: []string{"fabric", "pieces", "length used", "to buy"}}
	for _, c := range cloths {
		buy := func(hairs float64) string {
			if hairs <= 0 {
				return "none"
			}
			return cutlist.Buy(hairs, u)
		}
		used := func(hairs float64) string {
			if hairs <= 0 {
				return "none"
			}
			return length(hairs, u)
		}
		p.Rows = append(p.Rows, []string{
			nameOf(c.Fabric), fromTo(fmt.Sprint(c.Before.Pieces), fmt.Sprint(c.After.Pieces)),
			fromTo(used(c.Before.Used), used(c.After.Used)), fromTo(buy(c.Before.Buy), buy(c.After.Buy)),
		})
	}
	return p
}

// part is the list of findings.
func (f Findings) part() Part {
	p := Part{Title: "Findings"}
	for _, list := range []struct {
		state    string
		findings []lint.Finding
	}{{"new", f.New}, {"gone", f.Gone}, {"still there", f.Still}} {
		for _, x := range list.findings {
			p.say("%s: %s: %s [%s] (%s:%d)", list.state, x.Level, x.Message, x.Rule, x.File, x.Start.Line)
		}
	}
	return p
}
