package sheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/cloth"
	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
)

// names are what a foundation carries inside its trimming line, so that it is known when it has been
// cut out: block, section, and which copies it is for.
func (f *foundation) names() []string {
	s := f.section.Of.Of
	out := []string{f.pattern.Block.Of.Name, texts.Fill(texts.SectionTitle, "section", s.Name)}
	if s.Title != "" {
		out[1] += ", " + s.Title
	}
	if s.CopyOf != nil && s.Placed.Flips() {
		out[1] += ", " + texts.Fill(texts.SectionMirrored, "original", s.CopyOf.Name)
	}
	if c := f.pattern.Colourway; c != nil {
		out = append(out, c.Name)
	}
	if large := f.pattern.stands(); large != "" {
		out = append(out, large)
	}
	if places := f.pattern.places(texts.SheetFor, texts.SheetForMany); places != "" {
		out = append(out, places)
	} else if f.pattern.Copies > 1 {
		out = append(out, texts.SheetEvery)
	}
	return out
}

// places says which blocks of a quilt the pattern is for, in a form for one and one for many; nothing of a block by itself.
func (p Pattern) places(one, many string) string {
	switch n := p.Numbers; {
	case len(n) == 0:
		return ""
	case len(n) > 1:
		one = many
	}
	return texts.Fill(one, "places", english.Runs(p.Numbers))
}

// stands says how copies lie that are not laid as the block is drawn, in large letters; nothing of others.
func (p Pattern) stands() string { return p.lies(texts.SheetMirrored, texts.SheetTurned) }

func (p Pattern) lies(mirrored, turned string) string {
	var out []string
	if p.Mirrored {
		out = append(out, mirrored)
	}
	if p.Turned != 0 {
		out = append(out, texts.Fill(turned, "degrees", strconv.FormatFloat(math.Round(p.Turned*10)/10, 'f', -1, 64)))
	}
	return strings.Join(out, ", ")
}

// Title is what the pattern is called on its pages: Wedge, turned 90° (block 2).
func (p Pattern) Title() string {
	out := p.Block.Of.Name
	if p.Colourway != nil {
		out += ", " + p.Colourway.Name
	}
	if lies := p.lies(texts.TitleMirrored, texts.TitleTurned); lies != "" {
		out += ", " + lies
	}
	if places := p.places(texts.SheetFor, texts.SheetForMany); places != "" {
		out = texts.Fill(texts.TitleFor, "title", out, "places", places)
	}
	return out
}

// bandSizes are of the names in the allowance, 8 pt and smaller.
var bandSizes = [...]float64{14.3, 13.3, least}

// band writes words along the edges into the allowance, which stays when the foundation is trimmed:
// together if an edge is long enough, else each where it has room, the longest edge first, and what
// has none there into a patch.
func (l *lettering) band(words []string, outline, cut geom.Polygon, patches []geom.Polygon) {
	edges := make([]geom.Segment, len(outline))
	for i := range outline {
		edges[i] = outline.Edge(i)
	}
	slices.SortStableFunc(edges, func(a, b geom.Segment) int { return cmp.Compare(b.Len(), a.Len()) })
	if l.along(strings.Join(words, " · "), edges, outline, cut, bandSizes[:2]) {
		return
	}
	for _, word := range words {
		if l.along(word, edges, outline, cut, bandSizes[:]) || l.within(word, patches) {
			continue
		}
		for _, part := range strings.Fields(word) {
			if !l.along(part, edges, outline, cut, bandSizes[:]) {
				l.within(part, patches)
			}
		}
	}
}

// within writes a word into the first of some patches that has room.
func (l *lettering) within(word string, patches []geom.Polygon) bool {
	for _, size := range bandSizes {
		half := geom.Point{X: fonts.Width(word, false)*size/2 + 1, Y: fonts.CapHeight*size/2 + 2}
		for _, patch := range patches {
			if m, ok := l.room(patch, half); ok {
				l.add(&ink.Text{At: m.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Colour: ink.Dark, Back: ink.White})
				return true
			}
		}
	}
	return false
}

// along writes a word along one of some edges, outside of it.
func (l *lettering) along(word string, edges []geom.Segment, outline, cut geom.Polygon, sizes []float64) bool {
	for _, size := range sizes {
		wide, high := fonts.Width(word, false)*size, (fonts.CapHeight+fonts.Descent)*size
		for _, e := range edges {
			d := e.Dir()
			out := geom.Point{X: d.Y, Y: -d.X}
			if outline.Contains(e.Mid().Add(out.Scale(3*geom.Hair))) != geom.Outside {
				out = out.Scale(-1)
			}
			line, ok := steps.Ray(e.Mid(), out, cut)
			if !ok || line.Len() < high+3 {
				continue
			}
			const places = 24
			for i := range places + 1 { // from the middle to both ends
				t := 0.5 + float64(1-2*(i%2))*float64((i+1)/2)/places
				if l.turned(word, size, wide, high, e.At(t).Add(out.Scale(line.Len()/2+0.5)), d, outline, cut) {
					return true
				}
			}
		}
	}
	return false
}

// turned writes a word about a place in a direction, the right way up, if it has room in the allowance.
func (l *lettering) turned(word string, size, wide, high float64, at, d geom.Point, outline, cut geom.Polygon) bool {
	if d.X < -1e-9 || math.Abs(d.X) < 1e-9 && d.Y > 0 {
		d = d.Scale(-1)
	}
	down := geom.Point{X: -d.Y, Y: d.X}
	corner := func(x, y float64) geom.Point { return at.Add(d.Scale(x)).Add(down.Scale(y)) }
	box := geom.Polygon{corner(-wide/2-3, -high/2-1), corner(wide/2+3, -high/2-1), corner(wide/2+3, high/2+1), corner(-wide/2-3, high/2+1)}
	n := int(wide/2) + 2
	for i := range n {
		x := -wide/2 + wide*float64(i)/float64(n-1)
		for _, y := range [3]float64{-high/2 - 1, 0, high/2 + 1} {
			p := corner(x, y)
			if cut.Contains(p) != geom.Inside || outline.Contains(p) != geom.Outside {
				return false
			}
			for _, t := range l.taken {
				if p.X >= t.Min.X && p.X <= t.Max.X && p.Y >= t.Min.Y && p.Y <= t.Max.Y {
					return false
				}
			}
		}
	}
	for _, c := range box {
		if cut.Contains(c) != geom.Inside || outline.Contains(c) == geom.Inside {
			return false
		}
	}
	l.d.Layer("labels").Add(&ink.Text{
		At: at.Add(down.Scale(high/2 - fonts.Descent*size)), String: word, Size: size, Colour: ink.Dark, Back: ink.White, Turn: -math.Atan2(d.Y, d.X) * 180 / math.Pi,
	})
	for i := range n { // what it takes, in small boxes: it may lie askew
		p := corner(-wide/2+wide*float64(i)/float64(n-1), 0)
		l.taken = append(l.taken, geom.Box{Min: p, Max: p}.Grow(high/2+1))
	}
	return true
}

// stands writes in large letters how a copy lies that is not laid as the block is drawn.
func (l *lettering) stands(f *foundation, at func(geom.Point) geom.Point) {
	word := f.pattern.stands()
	if word == "" {
		return
	}
	for _, size := range [...]float64{34, 28, 23, 19, 16} {
		half := geom.Point{X: fonts.Width(word, true)*size/2 + 3, Y: fonts.CapHeight*size/2 + 12}
		for _, patch := range f.patches(at) {
			if m, ok := l.room(patch, half); ok {
				l.add(&ink.Text{At: m.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White})
				return
			}
		}
	}
}

// patches are the section's, on the drawing.
func (f *foundation) patches(at func(geom.Point) geom.Point) []geom.Polygon {
	var out []geom.Polygon
	for _, s := range f.section.Steps {
		patch := make(geom.Polygon, len(s.Patch.Corners))
		for i, p := range s.Patch.Corners {
			patch[i] = at(p)
		}
		out = append(out, patch)
	}
	return out
}

// jogs marks the small steps in the outline.
func (l *lettering) jogs(f *foundation, at func(geom.Point) geom.Point, cut geom.Polygon) {
	for _, j := range f.section.Jogs {
		m := at(j.Step.Mid())
		l.d.Layer("marks").Add(&ink.Path{Chains: ink.Disc(m, 0.6*j.Step.Len()+8), Stroke: ink.Dark, Width: 1.2, Name: "jog"})
		l.noted(texts.JogOnPaper, m, 0.6*j.Step.Len()+12, cut)
	}
}

// noted writes a word as near to a place as it can inside the trimming line, with a line to it.
func (l *lettering) noted(word string, at geom.Point, clear float64, cut geom.Polygon) {
	const size = least
	half := geom.Point{X: fonts.Width(word, true)*size/2 + 5, Y: fonts.CapHeight*size/2 + 4}
	box := cut.Bounds()
	var best geom.Point
	least := math.Inf(1)
	for y := box.Min.Y; y <= box.Max.Y; y += 4 {
		for x := box.Min.X; x <= box.Max.X; x += 4 {
			m := geom.Point{X: x, Y: y}
			room := geom.Box{Min: m.Sub(half), Max: m.Add(half)}
			if far := m.Dist(at); far < least && room.Nearest(at).Dist(at) > clear && draw.Within(room, cut) && !l.covered(room) {
				best, least = m, far
			}
		}
	}
	if math.IsInf(least, 1) {
		return
	}
	end := geom.Box{Min: best.Sub(half), Max: best.Add(half)}.Nearest(at)
	l.d.Layer("marks").Add(&ink.Path{Chains: ink.Line(end, at.Add(end.Sub(at).Scale((clear-4)/end.Dist(at)))), Stroke: ink.Dark, Width: 0.8})
	t := &ink.Text{At: best.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White}
	l.d.Layer("labels").Add(&ink.Path{Chains: ink.Ring(t.Bounds().Bounds().Grow(1.5).Polygon()...), Fill: ink.White})
	l.add(t)
}

// reachTick is how long half a mark is that shows where a piece comes on its line.
const (
	reachTick  = 7.0
	reachWidth = 1.1
)

// reserve keeps the room of the marks of reaches free of text.
func (f *foundation) reserve(l *lettering, at func(geom.Point) geom.Point) {
	for _, s := range f.section.Steps {
		if s.Laid.Reach == nil {
			continue
		}
		for _, mark := range s.Laid.Marks {
			p := at(mark)
			l.taken = append(l.taken, geom.Box{Min: p, Max: p}.Grow(reachTick+2))
		}
	}
}

// reaches marks where the two ends and the middle of pieces come on their lines that are not simply
// centered on them. A mark that would lie past the trimming line is left out: the caption says the distance.
func (f *foundation) reaches(l *lettering, at func(geom.Point) geom.Point, cut geom.Polygon) {
	for _, s := range f.section.Steps {
		if s.Laid.Reach == nil {
			continue
		}
		line := geom.Segment{A: at(s.Seam.A), B: at(s.Seam.B)}
		d := line.Dir()
		across := geom.Point{X: -d.Y, Y: d.X}.Scale(reachTick)
		for i, mark := range s.Laid.Marks {
			p := at(mark)
			if cut.Contains(p) != geom.Inside {
				continue
			}
			a, b := p.Sub(across), p.Add(across)
			if i == 1 { // the middle: a short one on one side
				a = p
			}
			l.d.Layer("reach").Add(&ink.Path{
				Chains: ink.Line(a, b), Stroke: ink.Dark, Width: reachWidth, Name: [3]string{"end", "middle", "end"}[i],
				Data: []ink.Datum{{Key: "patch", Value: steps.Label(s.Patch)}, {Key: "mark", Value: [3]string{"end", "middle", "end"}[i]}},
			})
			l.taken = append(l.taken, geom.Polygon{a, b}.Bounds().Grow(1))
			l.tickName(steps.Label(s.Patch), p, across, d, cut)
		}
	}
}

// tickName writes a patch's number beside a mark of its piece.
func (l *lettering) tickName(word string, at, across, d geom.Point, cut geom.Polygon) {
	const size = numberLeast
	half := geom.Point{X: fonts.Width(word, false)*size/2 + 1, Y: fonts.CapHeight*size/2 + 1}
	up := across.Scale(1 / across.Len())
	for _, side := range [4]geom.Point{up, up.Scale(-1), d, d.Scale(-1)} {
		m := at.Add(side.Scale(1 + math.Abs(side.X)*(half.X+reachTick+2) + math.Abs(side.Y)*(half.Y+reachTick+2)))
		room := geom.Box{Min: m.Sub(half), Max: m.Add(half)}
		if draw.Within(room, cut) && !l.covered(room) {
			l.add(&ink.Text{At: m.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Colour: ink.Dark, Back: ink.White})
			return
		}
	}
}

// reachWords are the legend of the marks and the words of pieces whose marks do not all lie on the foundation. They name
// the ends of a line by the breadth of the patch there, else as one sees them on the sheet, however the foundation is
// mirrored and turned there.
func (f *foundation) reachWords(at func(geom.Point) geom.Point) string {
	var out []string
	marked := false
	for _, s := range f.section.Steps {
		if s.Laid.Reach == nil {
			continue
		}
		all := true
		for _, p := range s.Laid.Marks {
			inside := f.cut.Contains(p) == geom.Inside
			all, marked = all && inside, marked || inside
		}
		if all {
			continue
		}
		r := *s.Laid.Reach
		end := r.Breadth.String() // the same from both sides
		if r.Breadth == cloth.Even {
			other := s.Piece.Seam.Line.A
			if r.At.Dist(other) < geom.Hair {
				other = s.Piece.Seam.Line.B
			}
			toward := at(r.At).Sub(at(other))
			end = cloth.EndToward(geom.Point{X: toward.X, Y: -toward.Y}).String()
		}
		words := texts.Fill(texts.SheetReach, "patch", steps.Label(s.Patch),
			"where", f.plan.ReachPast(r.By, end, [3]string{texts.SheetPast, texts.SheetEven, texts.SheetStop}))
		if end != r.Called() { // the sheet is mirrored, and may be turned
			words += texts.Fill(texts.SheetGuide, "end", texts.Ends[r.Called()])
		}
		out = append(out, words)
	}
	var words []string
	if marked && f.legend {
		words = append(words, texts.SheetTicks)
	}
	if len(out) > 0 {
		words = append(words, out...)
	}
	return strings.Join(words, " ")
}
