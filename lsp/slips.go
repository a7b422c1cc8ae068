package lsp

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/near"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

// Fixes that need more than a rule has: the other files of the workspace, or another reading of the text. What
// is a guess is linted before it is offered: the finding is gone, and nothing new is found.

// maxTrials is how many guesses are linted for one finding.
const maxTrials = 60

// slips are the fixes of a finding that the linter does not make.
func (s *Server) slips(d document, f lint.Finding) (out []action) {
	add := func(title string, edits ...edit.Edit) {
		a := s.simple(d, title, protocol.CodeActionKindQuickFix, edits...)
		a.finding = &f
		out = append(out, a)
	}
	switch f.Rule {
	case "unknown-name":
		bad, ok := problemAt(d, block.UnknownName, f.Span)
		if !ok {
			break
		}
		if bad.What == "fabric" {
			for _, o := range s.imports(d) {
				if o.Name == bad.Name {
					use := d.addUse(o.In)
					add("Add `use` of "+o.In+", which has "+o.Name, edit.Edit{At: d.enc.Span(d.Text(), use.Range), New: use.NewText})
				}
			}
		}
		if bad.Near != "" {
			break
		}
		for _, g := range d.meant(f, func(try tries) { d.declarations(bad, try) }) {
			add(g.title, g.edits...)
		}
	case "bad-use":
		if bad, ok := problemAt(d, block.BadUse, f.Span); ok && bad.Cause == block.UseMissing {
			if name := nearestPath(bad.Name, s.paths(d)); name != "" {
				add("Change it to "+name, edit.Edit{At: f.Span, New: syntax.Quote(name)})
			}
		}
	case "gap", "block-not-filled":
		for _, g := range d.meant(f, func(try tries) { d.fillings(f, try) }) {
			add(g.title, g.edits...)
		}
	}
	return out
}

func problemAt(d document, kind block.ProblemKind, at source.Span) (block.Problem, bool) {
	problems := d.Model().Problems
	i := slices.IndexFunc(problems, func(p block.Problem) bool { return p.Kind == kind && p.At == at })
	if i < 0 {
		return block.Problem{}, false
	}
	return problems[i], true
}

// nearestPath is the file that was probably meant: of that name in another folder, or of nearly that path.
func nearestPath(typed string, paths []string) string {
	for _, p := range paths {
		if path.Base(p) == path.Base(typed) {
			return p
		}
	}
	return near.Nearest(typed, paths)
}

// guess is a fix to try.
type guess struct {
	title string
	edits []edit.Edit
}

// tries takes a guess and reports whether it holds; of a sort, one that holds is enough.
type tries func(title string, edits ...edit.Edit) bool

// meant are the guesses that hold.
func (d document) meant(f lint.Finding, guesses func(try tries)) []guess {
	type key struct {
		rule string
		at   source.Span
	}
	return memo.Of(&d.Facts, key{f.Rule, f.Span}, func() (held []guess) {
		count := func(findings []lint.Finding) map[string]int {
			n := map[string]int{}
			for _, f := range findings {
				n[f.Rule]++
			}
			return n
		}
		lintOf := func(text string) map[string]int {
			return count(lint.Text(d.Text().Path, text, d.LintOptions()).Findings)
		}
		text := d.Text().Text
		before, left := lintOf(text), maxTrials
		guesses(func(title string, edits ...edit.Edit) bool {
			if left--; left < 0 {
				return false
			}
			after := lintOf(edit.Apply(text, edits))
			holds := after[f.Rule] < before[f.Rule]
			for rule, n := range after {
				holds = holds && n <= before[rule]
			}
			if holds {
				held = append(held, guess{title, edits})
			}
			return holds
		})
		return held
	})
}

// blockCalled is the block of a finding.
func (d document) blockCalled(name string) *block.Block {
	for _, b := range d.Model().Blocks {
		if b.Name == name {
			return b
		}
	}
	return nil
}

// lineBreak is that of the document.
func (d document) lineBreak() string {
	if strings.Contains(d.Text().Text, "\r\n") {
		return "\r\n"
	}
	return "\n"
}

// lineAfter is the edit that puts a statement on a line below one, with its indentation.
func (d document) lineAfter(it *syntax.Item, statement string) edit.Edit {
	text := d.Text().Text
	return edit.Edit{At: source.Span{Start: it.Raw.End, End: it.Raw.End}, New: text[it.Raw.Start:it.Stmt.Start] + statement + d.lineBreak()}
}

// declarations try to declare a point, a number or a seam: the value with which everything fits.
func (d document) declarations(bad block.Problem, try tries) {
	b := d.blockCalled(bad.Block)
	if b == nil || !syntax.IsName(bad.Name) || len(b.Outline) == 0 {
		return
	}
	text := d.Text().Text
	i := slices.IndexFunc(b.Item.Body, func(it *syntax.Item) bool { return it.Extent().Contains(bad.At.Start) })
	if i < 0 {
		return
	}
	first := b.Item.Body[i]
	declare := func(title, statement string) bool {
		at := first.Raw.Start
		return try(title, edit.Edit{At: source.Span{Start: at, End: at}, New: text[at:first.Stmt.Start] + statement + d.lineBreak()})
	}
	places := placesOf(b)
	switch bad.What {
	case "point":
		for _, p := range places {
			at := geom.FormatPoint(p, d.Model().Unit)
			if declare("Add the point "+bad.Name+" at "+at, "point "+bad.Name+" = "+at) {
				return
			}
		}
	case "let":
		var tried []string
		for _, p := range places {
			for _, v := range []float64{p.X, p.Y} {
				value := geom.FormatNumber(v, d.Model().Unit)
				if slices.Contains(tried, value) {
					continue
				}
				tried = append(tried, value)
				if declare("Add the number "+bad.Name+" with the value "+value, "let "+bad.Name+" = "+value) {
					return
				}
			}
		}
	case "seam":
		box := b.Outline.Bounds()
		c := box.Centre()
		for _, line := range []geom.Segment{
			{A: geom.Point{X: box.Min.X, Y: c.Y}, B: geom.Point{X: box.Max.X, Y: c.Y}}, {A: geom.Point{X: c.X, Y: box.Min.Y}, B: geom.Point{X: c.X, Y: box.Max.Y}},
			{A: box.Min, B: box.Max}, {A: geom.Point{X: box.Min.X, Y: box.Max.Y}, B: geom.Point{X: box.Max.X, Y: box.Min.Y}},
		} {
			ends := "from " + geom.FormatPoint(line.A, d.Model().Unit) + " to " + geom.FormatPoint(line.B, d.Model().Unit)
			if declare("Add the seam "+bad.Name+" "+ends, "seam "+bad.Name+" "+ends) {
				return
			}
		}
	}
}

// placesOf are the corners that a block has, then the middles of its edges.
func placesOf(b *block.Block) (places []geom.Point) {
	add := func(points ...geom.Point) {
		for _, p := range points {
			if !slices.ContainsFunc(places, func(q geom.Point) bool { return p.Dist(q) < geom.Hair }) {
				places = append(places, p)
			}
		}
	}
	add(b.Outline...)
	for _, s := range b.Sections {
		add(s.Outline...)
		for _, shape := range s.Shapes {
			add(shape.Corners...)
		}
	}
	for i := range b.Outline {
		add(b.Outline.Edge(i).Mid())
	}
	return append(places, b.Outline.Bounds().Centre())
}

// fillings try to fill a gap: a corner moved, or a patch added.
func (d document) fillings(f lint.Finding, try tries) {
	b := d.blockCalled(f.Block)
	if b == nil || b.Broken {
		return
	}
	seen := sew.Analyse(b)
	hole, sections := b.Outline, b.Sections
	switch {
	case len(b.Sections) == 0:
	case f.Section != "":
		sections = slices.DeleteFunc(slices.Clone(sections), func(s *block.Section) bool { return s.Name != f.Section })
		if len(sections) == 0 || seen.Section(sections[0]) == nil {
			return
		}
		if hole = sections[0].Outline; len(sections[0].Patches) > 0 {
			flaws := seen.Section(sections[0]).Flaws()
			i := slices.IndexFunc(flaws, func(f sew.PatchFlaw) bool { return f.Kind == sew.Gap })
			if i < 0 {
				return
			}
			hole = flaws[i].Where
		} else if hole == nil && len(b.Sections) == 1 {
			hole = b.Outline
		}
	default:
		flaws := seen.Flaws()
		i := slices.IndexFunc(flaws, func(f sew.SectionFlaw) bool { return f.Kind == sew.Gap })
		if i < 0 {
			return
		}
		hole = flaws[i].Where
	}
	if len(hole) < 3 {
		return
	}
	d.moveCorner(hole, sections, f.Section == "", try)
	d.addPatch(b, hole, sections, try)
}

// moveCorner tries to move one corner of a gap to another one, the nearest first, with all typed pairs that are
// there.
func (d document) moveCorner(hole geom.Polygon, sections []*block.Section, outlines bool, try tries) {
	type move struct{ from, to geom.Point }
	var moves []move
	for _, from := range hole {
		for _, to := range hole {
			if from.Dist(to) > geom.Hair {
				moves = append(moves, move{from, to})
			}
		}
	}
	slices.SortStableFunc(moves, func(a, b move) int { return cmp.Compare(a.from.Dist(a.to), b.from.Dist(b.to)) })
	for _, m := range moves[:min(len(moves), 20)] {
		var edits []edit.Edit
		to := geom.FormatPoint(m.to, d.Model().Unit)
		collect := func(it *syntax.Item, typed []syntax.Point, corners geom.Polygon) {
			for i, p := range typed {
				if pair, ok := p.(*syntax.Pair); ok && len(typed) == len(corners) && corners[i].Dist(m.from) < geom.Hair {
					edits = append(edits, edit.Edit{At: it.Abs(pair.Span), New: to})
				}
			}
		}
		for _, s := range sections {
			if s.CopyOf != nil {
				continue
			}
			for _, p := range s.Patches {
				if n, ok := p.Item.Node.(*syntax.Patch); ok && p.Given == block.ByCorners {
					collect(p.Item, n.Corners, p.Corners)
				}
			}
			for _, it := range s.Item.Body {
				if n, ok := it.Node.(*syntax.Outline); ok && outlines {
					collect(it, n.Corners, s.Outline)
				}
			}
		}
		from := geom.FormatPlace(m.from, d.Model().Unit)
		if len(edits) > 0 && try("Move the corner at "+from+" to "+to, edits...) {
			return
		}
	}
}

// addPatch tries to add a patch to a section, the last to be sewn, or, in a block without any, a section.
func (d document) addPatch(b *block.Block, hole geom.Polygon, sections []*block.Section, try tries) {
	var corners []string
	for _, c := range hole.Straighten().FromLowerLeft() {
		corners = append(corners, edit.Point(b, c))
	}
	shape := strings.Join(corners, " ")
	for _, fabric := range fabricsOf(b) {
		statement := func(n int) string { return fmt.Sprintf("patch %d %s %s", n, fabric, shape) }
		if len(b.Sections) == 0 {
			if d.addSection(b, statement(1), try) {
				return
			}
			continue
		}
		for _, s := range sections {
			title := fmt.Sprintf("Add the patch %s%d of %s", s.Name, len(s.Patches)+1, fabric)
			if s.CopyOf == nil && s.Item.Close != nil && try(title, d.lastIn(s.Item, statement(len(s.Patches)+1))) {
				return
			}
		}
	}
}

func (d document) addSection(b *block.Block, patch string, try tries) bool {
	end := d.lineBreak()
	if b.Item.Close == nil {
		return false
	}
	at := b.Item.Close.Raw.Start
	return try("Add a section with one patch", edit.Edit{At: source.Span{Start: at, End: at}, New: "  section A {" + end + "    " + patch + end + "  }" + end})
}

// lastIn puts a statement at the end of a body.
func (d document) lastIn(it *syntax.Item, statement string) edit.Edit {
	for _, last := range slices.Backward(it.Body) {
		if last.Kind == syntax.Simple {
			return d.lineAfter(last, statement)
		}
	}
	text := d.Text().Text
	at := it.Close.Raw.Start
	return edit.Edit{At: source.Span{Start: at, End: at}, New: text[it.Raw.Start:it.Stmt.Start] + "  " + statement + d.lineBreak()}
}

// fabricsOf are the fabrics that a patch of a block may have, those that no patch has yet first.
func fabricsOf(b *block.Block) (names []string) {
	used := map[string]int{}
	for _, s := range b.Sections {
		for _, p := range s.Patches {
			if p.Fabric != nil {
				used[p.Fabric.Name]++
			}
		}
	}
	add := func(list []*block.Fabric) {
		for _, f := range list {
			if !slices.Contains(names, f.Name) {
				names = append(names, f.Name)
			}
		}
	}
	add(b.Fabrics)
	add(b.File.Fabrics)
	for _, u := range b.File.Uses {
		if u.File != nil {
			add(u.File.Fabrics)
		}
	}
	slices.SortStableFunc(names, func(a, c string) int { return cmp.Compare(min(used[a], 1), min(used[c], 1)) })
	return names[:min(len(names), 6)]
}
