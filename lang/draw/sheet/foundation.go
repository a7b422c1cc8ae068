package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// The widths of lines on sheets, in hairs: stitching lines are what the eye
// has to follow through paper and cloth.
const (
	stitchWidth = 1.3
	outerWidth  = 3.6
	cutWidth    = 1.0
	markWidth   = 1.8
)

// cutDash is the cutting line's.
var cutDash = []float64{14, 7}

// foundation is a section to be printed.
type foundation struct {
	pattern  Pattern
	plan     *steps.Plan
	section  steps.Section
	outline  geom.Polygon // the outer stitching line, in the block
	cut      geom.Polygon // the cutting line, in the block
	marks    []mark
	captions []string // the first is the heading; see words
	legend   bool     // the caption says what the marks are: no first page does
	reach    bool     // marks where pieces go that are not simply centered on their lines

	room  geom.Box       // of a page
	turns []float64      // degrees by which it may lie, the block's own upright first
	drawn []*ink.Drawing // by turns
}

// mark is a place on the outline where it meets its neighbour, carried across
// the allowance.
type mark struct {
	line  geom.Segment // from the stitching line to the cutting line
	notch string       // its name
	named bool         // it is a notch
}

// MaxTiles is how many pages the area of one foundation may come to.
const MaxTiles = 36

func foundationOf(p Pattern, plan *steps.Plan, s steps.Section, room geom.Box) (*foundation, error) {
	b := p.Block.Of
	outline := s.Of.Outline()
	fine, cut, ok := geom.Polygon(nil), geom.Polygon(nil), outline != nil
	if ok {
		fine, cut, ok = steps.Cutting(b, outline)
	}
	if !ok {
		return nil, fmt.Errorf("section %s of %q has no clear outline, so it cannot be printed", s.Of.Of.Name, b.Name)
	}
	if b, box := p.Block.Of, cut.Bounds(); box.Width()*box.Height() > MaxTiles*room.Width()*room.Height() {
		return nil, fmt.Errorf("section %s of %q is %s with its allowances, which takes more than %d pages; divide it", s.Of.Of.Name, b.Name,
			geom.FormatSize(box.Width(), box.Height(), b.File.Unit), MaxTiles)
	}
	f := &foundation{pattern: p, plan: plan, section: s, outline: fine, cut: cut, room: room}
	f.findTurns()
	f.findMarks()
	f.caption()
	return f, nil
}

// findTurns finds how the foundation may lie: quarter turns, of the block's
// sides and of the section's longest.
func (f *foundation) findTurns() {
	longest := f.cut.Edge(0)
	for i := range f.cut {
		if e := f.cut.Edge(i); e.Len() > longest.Len() {
			longest = e
		}
	}
	for _, first := range [2]float64{0, geom.BoxAlong(f.cut, longest.Dir()).Angle()} {
		first = math.Mod(first+360, 90)
		if len(f.turns) > 0 && min(first, 90-first) < 1e-6 {
			continue
		}
		for quarter := range 4 {
			f.turns = append(f.turns, first+90*float64(quarter))
		}
	}
	f.drawn = make([]*ink.Drawing, len(f.turns))
}

// findMarks finds the match marks and notches on the outline.
func (f *foundation) findMarks() {
	b := f.pattern.Block
	for _, j := range b.JoinLines() {
		for _, m := range j.Marks {
			if m.Kind == sew.SeamMark {
				f.mark(m.Point, direction(j.Line, m.Point), "", false)
			}
		}
	}
	for _, n := range b.Notches() {
		if n.Section != nil && n.Section.Of != f.section.Of.Of {
			continue
		}
		switch n.Where {
		case sew.OnJoin, sew.AtJoinEnd:
			f.mark(n.Notch.Point, direction(n.Join.Line, n.Notch.Point), n.Notch.Name, true)
		case sew.OnOuter:
			f.mark(n.Notch.Point, geom.Point{}, n.Notch.Name, true)
		}
	}
}

// direction is the direction of a line of points at a place.
func direction(line []geom.Point, at geom.Point) geom.Point {
	best, dir := math.Inf(1), geom.Point{}
	for i := 1; i < len(line); i++ {
		s := geom.Segment{A: line[i-1], B: line[i]}
		if d := s.Dist(at); d < best {
			best, dir = d, s.Dir()
		}
	}
	return dir
}

// mark carries a place on the outline across the allowance, at right angles to
// the edge that runs in a direction there (any edge, when it is zero).
func (f *foundation) mark(at, dir geom.Point, name string, notch bool) {
	outline := f.outline.CCW()
	for i := range outline {
		e := outline.Edge(i)
		if e.Dist(at) >= 2*geom.Hair || math.Abs(e.Dir().Cross(dir)) > 0.02 {
			continue
		}
		foot := e.At(e.Nearest(at))
		out := geom.Point{X: e.Dir().Y, Y: -e.Dir().X}
		line, ok := steps.Ray(foot, out, f.cut)
		if !ok {
			return
		}
		for k := range f.marks {
			if f.marks[k].line.A.Dist(foot) < geom.Hair && f.marks[k].line.B.Dist(line.B) < geom.Hair {
				if notch {
					f.marks[k].notch, f.marks[k].named = name, true
				}
				return
			}
		}
		f.marks = append(f.marks, mark{line, name, notch})
		return
	}
}

// caption says what the foundation is and what becomes of it.
func (f *foundation) caption() {
	s := f.section.Of.Of
	head := s.Name
	if called := s.Called(); called != "" {
		head += " " + called
	}
	f.captions = append(f.captions, head)
	text := f.pattern.Title() + ". "
	if f.faulty() {
		text += texts.SheetFault
	} else {
		text += f.section.Sequence()
	}
	var keep []string
	for _, step := range f.section.Steps {
		if step.Laid.Up {
			keep = append(keep, steps.Label(step.Patch))
		}
	}
	if len(keep) > 0 {
		text += " " + texts.Fill(texts.SheetUpright, "patches", english.List(keep))
	}
	for i, j := range f.plan.Joins {
		takes := j.Of.A == s || j.Of.B == s
		if j.Line != nil {
			takes = takes || slices.Contains(j.Line.A, f.section.Of) || slices.Contains(j.Line.B, f.section.Of)
		}
		if takes {
			text += " " + texts.Fill(texts.SheetJoin, "n", strconv.Itoa(i+1), "join", j.Pair())
		}
	}
	f.captions = append(f.captions, text)
}

// Captions are set in this size, at least so wide.
const (
	captionHead  = 17.0
	captionSize  = 14.2
	captionWidth = 230.0
)

// drawing is the foundation on paper, turned by one of its turns: mirrored, the cutting line
// touching the upper and the left side of the drawing, with a caption below.
func (f *foundation) drawing(turn int) *ink.Drawing {
	if f.drawn[turn] == nil {
		f.drawn[turn] = f.draw(turn)
	}
	return f.drawn[turn]
}

// placer brings places of the block onto the drawing: mirrored, unless the
// finished block is to be, and turned. box is what the cutting line takes.
func (f *foundation) placer(turn int) (at func(geom.Point) geom.Point, box geom.Box) {
	place := func(p geom.Point) geom.Point {
		q := geom.Point{X: -p.X, Y: -p.Y} // printed side up, y down
		if f.pattern.Mirrored {
			q.X = p.X
		}
		return geom.TurnAbout(geom.Point{}, f.turns[turn]).Apply(q)
	}
	moved := make(geom.Polygon, len(f.cut))
	for i, p := range f.cut {
		moved[i] = place(p)
	}
	bounds := moved.Bounds()
	return func(p geom.Point) geom.Point { return place(p).Sub(bounds.Min) }, geom.Box{Max: bounds.Max.Sub(bounds.Min)}
}

func (f *foundation) draw(turn int) *ink.Drawing {
	at, box := f.placer(turn)
	all := func(points []geom.Point) []geom.Point {
		out := make([]geom.Point, len(points))
		for i, p := range points {
			out[i] = at(p)
		}
		return out
	}
	d := &ink.Drawing{Width: box.Max.X, Height: box.Max.Y, Layers: []ink.Layer{
		{Name: "alert"}, {Name: "cut"}, {Name: "seams"}, {Name: "outer"}, {Name: "marks"}, {Name: "labels"}, {Name: "caption"},
	}}
	if f.faulty() {
		alert(d, all(f.outline))
	}
	d.Layer("cut").Add(&ink.Path{Chains: ink.Ring(all(f.cut)...), Stroke: ink.Dark, Width: cutWidth, Dash: cutDash})
	for _, seam := range f.seams() {
		d.Layer("seams").Add(&ink.Path{Chains: ink.Line(at(seam.A), at(seam.B)), Stroke: ink.Dark, Width: stitchWidth})
	}
	d.Layer("outer").Add(&ink.Path{Chains: ink.Ring(all(f.outline)...), Stroke: ink.Dark, Width: outerWidth})
	for _, m := range f.marks {
		a, b := at(m.line.A), at(m.line.B)
		d.Layer("marks").Add(&ink.Path{Chains: ink.Line(a, b), Stroke: ink.Dark, Width: markWidth})
		if m.named {
			d.Layer("marks").Add(notch(a, b))
		}
	}
	t := &lettering{d: d}
	for _, m := range f.marks {
		t.taken = append(t.taken, geom.Polygon{at(m.line.A), at(m.line.B)}.Bounds().Grow(markWidth))
	}
	if f.reach {
		f.reserve(t, at)
	}
	for _, s := range f.section.Steps {
		if len(s.Patch.Corners) > 2 {
			t.patch(s, all(s.Patch.Corners))
		}
	}
	for _, m := range f.marks {
		if m.named && m.notch != "" {
			t.beside(m.notch, at(m.line.A), at(m.line.B), all(f.outline), all(f.cut))
		}
	}
	for _, s := range f.section.Steps {
		if s.Laid.Up && len(s.Patch.Corners) > 2 {
			t.printUp(all(s.Patch.Corners), at(s.Laid.UpTo).Sub(at(geom.Point{})))
		}
	}
	t.leaders(all(f.outline), all(f.cut))
	t.stands(f, at)
	t.grain(f, at)
	t.jogs(f, at, all(f.cut))
	if f.reach {
		f.reaches(t, at, all(f.cut))
	}
	t.band(f.names(), all(f.outline), all(f.cut), f.patches(at))
	words := f.words(at)
	words[1] += unnamed(t.unnamed)
	f.addCaption(d, words, all(f.cut))
	return d
}

// unnamed says of which fabrics patches are that have no room for its name.
func unnamed(of []steps.Step) string {
	var fabrics []string
	patches := map[string][]string{}
	for _, s := range of {
		name := steps.FabricName(s.Fabric)
		if patches[name] == nil {
			fabrics = append(fabrics, name)
		}
		patches[name] = append(patches[name], steps.Label(s.Patch))
	}
	slices.Sort(fabrics)
	text := ""
	for _, name := range fabrics {
		text += " " + texts.Fill(texts.SheetUnnamed, "fabric", name, "patches", english.List(patches[name]))
	}
	return text
}

// words are the caption of the foundation as it lies on the sheet.
func (f *foundation) words(at func(geom.Point) geom.Point) [2]string {
	out := [2]string{f.captions[0], f.captions[1]}
	if f.reach {
		out[1] = strings.TrimSpace(out[1] + " " + f.reachWords(at))
	}
	return out
}

// faulty reports whether the foundation cannot be sewn, or its block.
func (f *foundation) faulty() bool { return len(f.pattern.Faults) > 0 || f.section.Fault != "" }

// alert says within the outline, so that it stays when the foundation is cut out, that it cannot be sewn.
func alert(d *ink.Drawing, outline geom.Polygon) {
	const words, largest = "CANNOT BE SEWN", 60.0
	circle := geom.InscribedCircle(outline)
	size := min(largest, 1.8*circle.R/fonts.Width(words, true))
	d.Layer("alert").Add(&ink.Text{At: circle.Centre.Add(geom.Point{Y: size / 3}), String: words, Size: size, Bold: true, Colour: alertFaint, Back: ink.White})
}

// notch is the triangle of a notch: its base on the stitching line, its tip
// towards the cutting line.
func notch(a, b geom.Point) *ink.Path {
	dir := b.Sub(a)
	long := min(9, 0.6*dir.Len())
	dir = dir.Scale(1 / dir.Len())
	side := geom.Point{X: -dir.Y, Y: dir.X}.Scale(0.6 * long)
	return &ink.Path{Chains: ink.Ring(a.Add(side), a.Add(dir.Scale(long)), a.Sub(side)), Fill: ink.Dark}
}

// seams are the stitching lines: each patch's seam, or, in a section whose
// order does not work, all edges between patches.
func (f *foundation) seams() []geom.Segment {
	var out []geom.Segment
	for i, s := range f.section.Steps {
		if s.Seam != nil {
			out = append(out, s.Seam.Segment)
		} else if i > 0 {
			for k := range s.Patch.Corners {
				out = append(out, s.Patch.Corners.Edge(k))
			}
		}
	}
	return out
}

// addCaption writes the caption into a corner that the foundation leaves free, else below it, or beside it
// where the page is not high enough.
func (f *foundation) addCaption(d *ink.Drawing, words [2]string, cut geom.Polygon) {
	for _, part := range [...]float64{1, 0.75, 0.5, 0.35} {
		b := lines(words, part*d.Width)
		for _, at := range [...]geom.Point{{Y: d.Height - b.high}, {X: d.Width - b.wide, Y: d.Height - b.high}, {}, {X: d.Width - b.wide}} {
			box := geom.Box{Min: at, Max: at.Add(geom.Point{X: b.wide, Y: b.high})}.Grow(captionGap)
			if draw.Clear(box, cut) && cut.Contains(box.Centre()) == geom.Outside && box.Width() < d.Width && box.Height() < d.Height {
				b.put(d, at)
				return
			}
		}
	}
	widest := min(captionWidth, max(fonts.Width(words[1], false)*captionSize, fonts.Width(words[0], true)*captionHead)+2)
	below := lines(words, max(d.Width, widest))
	if d.Height+captionGap+below.high > f.room.Height() && d.Width+captionGap+widest <= f.room.Width() {
		lines(words, widest).put(d, geom.Point{X: d.Width + captionGap, Y: d.Height / 4})
		d.Width += captionGap + widest
		return
	}
	below.put(d, geom.Point{Y: d.Height + captionGap})
	d.Width = max(d.Width, below.wide)
	d.Height += captionGap + below.high
}

// captionGap is how far captions are from the trimming line: a foundation is cut out 1/4 in outside of it.
const captionGap = 3 * geom.Inch / 8.0

// block is lines of text.
type textBlock struct {
	lines      []*ink.Text
	wide, high float64
}

func lines(captions [2]string, width float64) textBlock {
	b := textBlock{}
	for i, size := range [2]float64{captionHead, captionSize} {
		for _, words := range fonts.Wrap(captions[i], i == 0, width/size) {
			b.high += 1.25 * size
			t := &ink.Text{
				At: geom.Point{X: 1, Y: b.high - 0.3*size}, String: words, Size: size, Bold: i == 0,
				Align: ink.Start, Colour: ink.Dark, Back: ink.White,
			}
			b.wide = max(b.wide, t.Len()+2)
			b.lines = append(b.lines, t)
		}
	}
	return b
}

func (b textBlock) put(d *ink.Drawing, at geom.Point) {
	for _, t := range b.lines {
		t.At = t.At.Add(at)
		d.Layer("caption").Add(t)
	}
}
