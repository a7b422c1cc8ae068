package query

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// maxPlaces is how many places of a sort are offered.
const maxPlaces = 16

// place is somewhere that a point could be.
type place struct {
	at     geom.Point
	text   string // as it is typed
	detail string
	corner bool
}

func (p place) kind() ChoiceKind {
	if syntax.IsName(p.text) {
		return ChoicePoint
	}
	return ChoicePlace
}

// ground is what is there to put points on: an outline, the parts of it that nothing covers yet, and what does.
type ground struct {
	block   *block.Block
	outline geom.Polygon
	open    []geom.Polygon
	taken   []geom.Polygon
	ends    []geom.Point // of seams and lines
	bare    bool         // a parenthesis is typed: no names
}

// places offers the places where the next point could be, the likeliest first: open corners, other corners,
// middles of edges. A pair that is being typed is replaced as a whole.
func (x *completion) places() {
	at, before, ok := x.pair()
	if !ok {
		return
	}
	g := x.ground()
	if g == nil || len(g.outline) == 0 {
		return
	}
	x.at, at = at, x.at
	defer func() { x.at = at }()
	typed := x.typed(g.block, before)
	g.bare = x.at.Len() > 0
	corners := g.corners(before, typed)
	if whole, ok := g.whole(before, typed); ok && strings.TrimSpace(x.restOfStatement()) == "" {
		corners = slices.Insert(corners, 0, whole)
	}
	middles := g.middles(typed)
	list := slices.Concat(corners[:min(len(corners), maxPlaces)], middles[:min(len(middles), maxPlaces)])
	switch last, ok := g.lineFrom(before, typed); {
	case ok: // straight across first
		list = slices.DeleteFunc(list, func(p place) bool { return g.along(last, p.at) })
		across := func(p place) bool { return math.Abs(p.at.X-last.X) < geom.Hair || math.Abs(p.at.Y-last.Y) < geom.Hair }
		slices.SortStableFunc(list, func(p, q place) int { return order(across(q)) - order(across(p)) })
	case before[0].Text == "notch": // at a corner it says nothing
		slices.SortStableFunc(list, func(p, q place) int { return order(p.corner) - order(q.corner) })
	}
	for rank, p := range list {
		if slices.ContainsFunc(list[:rank], func(q place) bool { return q.text == p.text }) {
			continue
		}
		c := Choice{Label: p.text, Kind: p.kind(), Detail: p.detail, Insert: p.text, Rank: rank, Likely: rank == 0}
		if n := x.at.Start; n > 0 && !strings.ContainsRune(" \t\n", rune(x.f.Source.Text[n-1])) {
			c.Insert = " " + c.Insert
		}
		x.add(c)
	}
}

// restOfStatement is what follows the place in its statement.
func (x *completion) restOfStatement() string {
	if it := x.c.Item; it != nil && it.Stmt.End > x.at.End {
		return x.f.Source.Text[x.at.End:it.Stmt.End]
	}
	return ""
}

func order(first bool) int {
	if first {
		return 1
	}
	return 0
}

// lineFrom is the first end of a line whose second one comes next, where it is one of the places there are.
func (g *ground) lineFrom(before []syntax.Token, typed []string) (geom.Point, bool) {
	if len(typed) == 0 || !asked(before, "beyond") && !asked(before, "from") {
		return geom.Point{}, false
	}
	for _, p := range slices.Concat(g.corners(before, nil), g.middles(nil)) {
		if squeeze(p.text) == typed[len(typed)-1] {
			return p.at, true
		}
	}
	return geom.Point{}, false
}

func asked(before []syntax.Token, word string) bool {
	return slices.ContainsFunc(before, func(t syntax.Token) bool { return t.Text == word })
}

// pair is the pair of numbers that is being typed, from its parenthesis on, and the tokens before it; where
// none is, the cursor, if a point may be there.
func (x *completion) pair() (at source.Span, before []syntax.Token, ok bool) {
	at, before = source.Span{Start: x.c.Offset, End: x.c.Offset}, x.before
	open := -1
	for i, t := range slices.Backward(x.before) {
		if t.Kind == syntax.KindNumber || strings.Contains(",-", t.Text) {
			continue
		}
		if t.Text == "(" {
			open = i
		}
		break
	}
	number := x.at.Len() == 0 || classOf(x.f.text(x.at)) == syntax.KindNumber
	switch {
	case open > 0 && number:
		at.Start, before = x.before[open].Start, x.before[:open]
		rest, _, _ := strings.Cut(x.f.Source.Text[at.End:], "\n")
		if n := strings.IndexAny(rest, "()"); n >= 0 && rest[n] == ')' {
			at.End += n + 1
		}
	case open >= 0 || x.at.Len() > 0 || len(before) == 0:
		return at, nil, false
	}
	text := x.f.Source.Text[before[0].Start:before[len(before)-1].End]
	return at, before, slices.Contains(syntax.Expect(x.c.Place, text).Words, "mid")
}

func classOf(text string) syntax.Kind {
	if tokens := syntax.Tokens(text); len(tokens) == 1 {
		return tokens[0].Kind
	}
	return syntax.KindBad
}

// ground is that of the section or block that the cursor is in, without the statement that is being typed.
func (x *completion) ground() *ground {
	f := x.f.File
	if it := x.c.Item; x.f.Read != nil && it != nil && it.Kind != syntax.Opens {
		text := x.f.Source.Text
		f = x.f.Read(text[:it.Stmt.Start] + text[it.Stmt.End:])
	}
	i := slices.Index(x.f.Blocks, x.c.Block)
	if i < 0 || len(f.Blocks) != len(x.f.Blocks) {
		return nil
	}
	g := &ground{block: f.Blocks[i], outline: f.Blocks[i].Outline}
	var own *block.Section
	for _, s := range g.block.Sections {
		if x.c.Section != nil && s.Name == x.c.Section.Name && s.CopyOf == nil {
			own = s
			continue
		}
		if outline := outlineOf(s); outline != nil {
			g.taken = append(g.taken, outline)
		}
	}
	for _, s := range g.block.Seams {
		if !s.Broken {
			g.ends = append(g.ends, s.Line.A, s.Line.B)
		}
	}
	if own != nil {
		if own.Outline != nil {
			g.outline, g.taken = own.Outline, nil
		}
		for _, s := range own.Shapes {
			if s.Given == block.ByBeyond {
				g.ends = append(g.ends, s.Line.A, s.Line.B)
			}
			if s.Given != block.ByAround && len(s.Corners) > 2 { // that one is whatever is left
				g.taken = append(g.taken, s.Corners)
			}
		}
	}
	g.outline = g.outline.CCW()
	g.open = []geom.Polygon{g.outline}
	for _, t := range g.taken {
		var rest []geom.Polygon
		for _, part := range g.open {
			left, ok := geom.Subtract(part, t)
			if !ok {
				left = []geom.Polygon{part}
			}
			rest = append(rest, left...)
		}
		g.open = rest
	}
	return g
}

// outlineOf is the outline of a section, typed or that of its patches; nil where it is in several pieces.
func outlineOf(s *block.Section) geom.Polygon {
	if s.Outline != nil {
		return s.Outline
	}
	var parts []geom.Polygon
	for _, shape := range s.Shapes {
		if len(shape.Corners) > 2 {
			parts = append(parts, shape.Corners)
		}
	}
	if outlines, ok := geom.UnionOutline(parts); ok && len(outlines) == 1 {
		return outlines[0]
	}
	return nil
}

// typed are the points that the statement has already, as they are typed, without white space.
func (x *completion) typed(b *block.Block, before []syntax.Token) (typed []string) {
	text := ""
	for _, t := range before[1:] {
		if t.Text == "(" {
			text = ""
		}
		text += t.Text
		if t.Text == ")" {
			typed, text = append(typed, text), ""
		}
		if t.Kind == syntax.KindName && slices.ContainsFunc(b.Points, func(p *block.NamedPoint) bool { return p.Name == t.Text }) {
			typed = append(typed, t.Text)
		}
	}
	return typed
}

// corners are the corners to offer, those of what is open first.
func (g *ground) corners(before []syntax.Token, typed []string) (list []place) {
	if asked(before, "around") {
		for _, part := range g.open {
			if at := g.middleOf(part); part.Contains(at) == geom.Inside {
				list = g.spelled(list, typed, "inside the open area", at)
			}
		}
		return list
	}
	seen := func(at geom.Point) bool {
		text, ok := g.spell(at)
		return ok && len(typed) > 0 && squeeze(text) == typed[len(typed)-1]
	}
	for _, part := range g.open {
		corners := part.FromLowerLeft()
		if i := slices.IndexFunc(corners, seen); i >= 0 { // the one after it comes first
			corners = slices.Concat(corners[i:], corners[:i])
		}
		list = g.spelled(list, typed, "open corner", corners...)
	}
	list = g.spelled(list, typed, "corner", g.outline.FromLowerLeft()...)
	for _, t := range g.taken {
		list = g.spelled(list, typed, "corner", t.FromLowerLeft()...)
	}
	list = g.spelled(list, typed, "end of a seam", g.ends...)
	for i := range list {
		list[i].corner = true
	}
	return list
}

// whole is all that is open, where it is one simple shape and no point of it is typed yet.
func (g *ground) whole(before []syntax.Token, typed []string) (place, bool) {
	word := before[0].Text
	outline := word == "outline"
	corners := word == "patch" && before[len(before)-1].Kind == syntax.KindName && len(g.taken) > 0
	if !outline && !corners || len(typed) > 0 || len(g.open) != 1 {
		return place{}, false
	}
	var words []string
	for _, at := range g.open[0].Straighten().FromLowerLeft() {
		text, ok := g.spell(at)
		if !ok {
			return place{}, false
		}
		words = append(words, text)
	}
	if len(words) < 3 || len(words) > 8 {
		return place{}, false
	}
	return place{g.open[0].InteriorPoint(), strings.Join(words, " "), "all that is left", true}, true
}

// middles are the middles of edges, open ones first. Where one has no exact number it is given by `mid`.
func (g *ground) middles(typed []string) (list []place) {
	for _, poly := range append(slices.Clone(g.open), g.outline) {
		poly = poly.Straighten().FromLowerLeft()
		for i := range poly {
			edge := poly.Edge(i)
			n := len(list)
			if list = g.spelled(list, typed, "middle of an edge", edge.Mid()); len(list) > n || g.exact(edge.Mid()) {
				continue
			}
			p, okP := g.spell(edge.A)
			q, okQ := g.spell(edge.B)
			if text := "mid " + p + " " + q; !g.bare && okP && okQ && !slices.ContainsFunc(list, func(l place) bool { return l.at.Dist(edge.Mid()) < geom.Hair }) {
				list = append(list, place{at: edge.Mid(), text: text, detail: "middle of an edge"})
			}
		}
	}
	return list
}

// spelled adds the places of some points that can be typed exactly and are not there yet.
func (g *ground) spelled(list []place, typed []string, detail string, points ...geom.Point) []place {
	for _, at := range points {
		text, ok := g.spell(at)
		again := slices.ContainsFunc(list, func(p place) bool { return p.text == text })
		if ok && !again && !slices.Contains(typed, squeeze(text)) {
			list = append(list, place{at: at, text: text, detail: detail})
		}
	}
	return list
}

func squeeze(text string) string { return strings.Join(strings.Fields(text), "") }

// spell is a point by its name, else by its coordinates if they are exact.
func (g *ground) spell(at geom.Point) (string, bool) {
	for _, p := range g.block.Points {
		if g.bare {
			break
		}
		if !p.Broken && p.Exact.Point().Dist(at) < 1e-6 {
			return p.Name, true
		}
	}
	return geom.FormatPoint(at, g.block.File.Unit), g.exact(at)
}

// exact reports whether a point is one that a ruler has: on 1/128 in, or 0.1 mm.
func (g *ground) exact(at geom.Point) bool {
	step := geom.Inch / 128.0
	if g.block.File.Unit != geom.Inches {
		step = geom.Millimetre / 10.0
	}
	on := func(v float64) bool { return math.Abs(v/step-math.Round(v/step)) < 1e-6 }
	return on(at.X) && on(at.Y)
}

// middleOf is the middle of a polygon on a coarse grid.
func (g *ground) middleOf(poly geom.Polygon) geom.Point {
	step := geom.Inch / 8.0
	if g.block.File.Unit != geom.Inches {
		step = 2 * geom.Millimetre
	}
	c := poly.InteriorPoint()
	return geom.Point{X: math.Round(c.X/step) * step, Y: math.Round(c.Y/step) * step}
}

// along reports whether a line would run along one edge, where it cuts nothing off, or has no length.
func (g *ground) along(a, b geom.Point) bool {
	if a.Dist(b) < geom.Hair {
		return true
	}
	return slices.ContainsFunc(append(slices.Clone(g.open), g.outline), func(poly geom.Polygon) bool {
		poly = poly.Straighten()
		for i := range poly {
			e := poly.Edge(i)
			length := cmp.Or(e.Len(), 1)
			off := func(p geom.Point) float64 { return math.Abs(e.B.Sub(e.A).Cross(p.Sub(e.A))) / length }
			if off(a) < geom.Hair && off(b) < geom.Hair {
				return true
			}
		}
		return false
	})
}

// nextSection offers the next letter for a section.
func (x *completion) nextSection() {
	if x.c.Block == nil || len(x.before) != 1 || x.before[0].Text != "section" {
		return
	}
	for letter := 'A'; letter <= 'Z'; letter++ {
		name := string(letter)
		if !slices.ContainsFunc(x.c.Block.Sections, func(s *block.Section) bool { return s.Name == name && s.Item != x.c.Item }) {
			x.add(Choice{Label: name, Kind: ChoiceNumber, Detail: "the next section", Likely: true})
			return
		}
	}
}

// titles offers paths and titles of blocks where quotes are not typed yet.
func (x *completion) titles(next syntax.Next) {
	for _, slot := range next.Slots {
		switch slot.Is {
		case "path":
			for i, p := range x.around.Paths {
				x.add(Choice{Label: p, Kind: ChoicePath, Insert: syntax.Quote(p), Rank: i})
			}
		case "block":
			for i, t := range inScope(x.f, nil) {
				if t.named.Kind == block.KindBlock {
					x.add(Choice{Label: t.named.Name, Kind: ChoiceBlock, Insert: syntax.Quote(t.named.Name), Rank: i})
				}
			}
		}
	}
}
