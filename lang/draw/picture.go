package draw

import (
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// picture is a drawing that is being made.
type picture struct {
	d     *ink.Drawing
	o     Options
	looks *looks
	frame
	weight float64    // of lines; less than 1 in small pictures
	quilt  bool       // patches are too many to be named
	taken  []geom.Box // where text and marks stand
	spots  [][]Spot   // of each finding, on the paper
	asides []aside
}

// frame brings places of a block onto the paper.
type frame struct {
	box    geom.Box // of what is shown
	scale  float64
	mirror bool
	corner geom.Point     // of the paper, where the box begins
	placed geom.Transform // of a block in a quilt
}

// at is the place on the paper of a place in the block.
func (f frame) at(p geom.Point) geom.Point {
	p = f.placed.Apply(p)
	x := p.X - f.box.Min.X
	if f.mirror {
		x = f.box.Max.X - p.X
	}
	return geom.Point{X: f.corner.X + f.scale*x, Y: f.corner.Y + f.scale*(f.box.Max.Y-p.Y)}
}

func (f frame) all(points []geom.Point) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, p := range points {
		out[i] = f.at(p)
	}
	return out
}

func newPicture(box geom.Box, o Options) *picture {
	if o.Size <= 0 {
		o.Size = DefaultSize
	}
	longest := max(box.Width(), box.Height())
	if !(longest > 0) || math.IsInf(longest, 0) {
		box, longest = geom.Box{Max: geom.Point{X: geom.Inch, Y: geom.Inch}}, geom.Inch
	}
	f := frame{box: box, scale: o.Size / longest, mirror: o.View == Printed, corner: geom.Point{X: margin, Y: margin}}
	p := &picture{
		d: &ink.Drawing{
			Width: box.Width()*f.scale + 2*margin, Height: box.Height()*f.scale + 2*margin, Paper: ink.White,
			Layers: []ink.Layer{{Name: "patches"}, {Name: "hatches"}, {Name: "seams"}, {Name: "joins"}, {Name: "outline"}, {Name: "notches"},
				{Name: "highlight"}, {Name: "labels"}, {Name: "findings"}},
		},
		o: o, frame: f, weight: max(0.5, min(1, o.Size/400)),
	}
	p.place()
	return p
}

// patches draws patches: their fabric, their edges, their labels.
//
// An edge between two dark fabrics is pale, every other one dark: each patch
// strokes its whole outline in what shows on it, the dark strokes last.
func (p *picture) patches(patches []*block.Patch) {
	fills, seams, labels := p.d.Layer("patches"), p.d.Layer("seams"), p.d.Layer("labels")
	var dark []ink.Item
	for _, patch := range patches {
		if len(patch.Corners) < 3 {
			continue
		}
		corners := p.all(patch.Corners)
		look := p.looks.of(patch.Fabric)
		waits := p.o.Done != nil && !p.o.Done(patch)
		if waits {
			look = plain
		}
		if p.o.Highlight != nil && patch != p.o.Highlight {
			look.fill = look.fill.Mix(ink.White, 0.62)
			look.ink = look.ink.Mix(ink.White, 0.62)
		}
		fill := &ink.Path{Chains: ink.Ring(corners...), Fill: look.fill}
		if !p.quilt && patch.Section != nil {
			fill.ID, fill.Name = "patch-"+patch.Label(), patch.Label()
			if f := p.looks.swapped(patch.Fabric); f != nil {
				fill.Name += " " + FabricName(f)
			}
			fill.Data = []ink.Datum{{Key: "patch", Value: patch.Label()}}
		}
		if f := p.looks.swapped(patch.Fabric); f != nil && !p.quilt {
			fill.Data = append(fill.Data, ink.Datum{Key: "fabric", Value: f.Name})
		}
		fills.Add(fill)
		if lines := look.hatch.lines(corners); len(lines) > 0 {
			p.d.Layer("hatches").Add(&ink.Path{Chains: lines, Stroke: look.ink, Width: look.hatch.width})
		}
		edge := &ink.Path{Chains: ink.Ring(corners...), Stroke: ink.Dark, Width: seamWidth * p.weight}
		if look.fill.Luminance() < darkest {
			edge.Stroke = look.fill.Mix(ink.White, 0.55)
			seams.Add(edge)
		} else {
			dark = append(dark, edge)
		}
		if p.o.Labels == PatchLabels && patch.Section != nil && !waits {
			if t, ok := p.labelIn(corners, patch.Label()); ok {
				t.Colour, t.Back = ink.TextOn(look.fill), look.fill
				if look.hatch.spacing > 0 {
					labels.Add(plate(t, look.fill))
				}
				labels.Add(t)
				p.taken = append(p.taken, t.Bounds().Bounds())
			}
		}
	}
	seams.Add(dark...)
	if h := p.o.Highlight; h != nil {
		p.highlight(h, patches)
	}
}

// highlight goes round the patch that is meant, in dark and in pale, so
// that it shows on every fabric.
func (p *picture) highlight(h *block.Patch, patches []*block.Patch) {
	for _, patch := range patches {
		if patch == h && len(h.Corners) > 2 {
			ring := ink.Ring(p.all(h.Corners)...)
			p.d.Layer("highlight").Add(
				&ink.Path{Chains: ring, Stroke: ink.Pale, Width: 9 * p.weight},
				&ink.Path{Chains: ring, Stroke: ink.Dark, Width: 5 * p.weight})
		}
	}
}

// foundation draws the outline of a section, along which it is joined.
func (p *picture) foundation(s *sew.Section) {
	outline := s.Outline()
	if outline == nil {
		return
	}
	ring := ink.Ring(p.all(outline)...)
	if beside := p.beside(s, outline); len(beside) > 0 {
		p.d.Layer("joins").Add(&ink.Path{Chains: beside, Stroke: ink.RGB(0x9a, 0xa3, 0xb0), Width: (joinWidth + casing) * p.weight})
	}
	join := &ink.Path{Chains: ring, Stroke: ink.Dark, Width: joinWidth * p.weight}
	if !p.quilt {
		join.Data = []ink.Datum{{Key: "section", Value: s.Of.Name}}
	}
	p.d.Layer("joins").Add(join)
	if p.o.Labels == SectionLabels {
		p.letter(ring[0].Points, s.Of.Name)
	}
}

// jogs marks the small steps in the outlines of sections, each once, with a ring as the foundation and the guide do.
func (p *picture) jogs(sections ...*sew.Section) {
	var marked []geom.Point
	for _, s := range sections {
		for _, j := range s.Jogs() {
			at, r := p.at(j.Step.Mid()), max(7, 0.7*j.Step.Len()*p.scale)
			if slices.Contains(marked, at) {
				continue
			}
			marked = append(marked, at)
			ring := ink.Disc(at, r)
			p.taken = append(p.taken, geom.Box{Min: at, Max: at}.Grow(r+joinWidth))
			p.d.Layer("notches").Add(
				&ink.Path{Chains: ring, Stroke: ink.Pale, Width: (seamWidth + 2*casing) * p.weight},
				&ink.Path{Chains: ring, Stroke: ink.Dark, Width: seamWidth * p.weight, Name: "step in the outline", Data: []ink.Datum{{Key: "step", Value: s.Of.Name}}})
		}
	}
}

// beside are the parts of a section's outline that lie on dark fabric, where
// the line along which it is joined needs light beside it.
func (p *picture) beside(s *sew.Section, outline geom.Polygon) []ink.Chain {
	var out []ink.Chain
	for _, patch := range s.Of.Patches {
		if p.looks.of(patch.Fabric).fill.Luminance() >= darkest || p.o.Done != nil && !p.o.Done(patch) {
			continue
		}
		for i := range patch.Corners {
			e := patch.Corners.Edge(i)
			for j := range outline {
				if edge := outline.Edge(j); edge.Dist(e.A) < geom.Hair && edge.Dist(e.B) < geom.Hair {
					out = append(out, ink.Chain{Points: []geom.Point{p.at(e.A), p.at(e.B)}})
					break
				}
			}
		}
	}
	return out
}

// letter puts a section's name into it, in a disc.
func (p *picture) letter(outline geom.Polygon, name string) {
	const r = 0.85 // of the disc, in ems
	wide := max(1, (fonts.Width(name, true)+0.5)/(2*r))
	middle, size := Fit(outline, 2*r*wide, 2*r*wide, 30, p.taken)
	if size < 8 {
		return
	}
	t := &ink.Text{
		At:     middle.Add(geom.Point{Y: fonts.CapHeight / 2 * size}),
		String: name, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White,
	}
	p.d.Layer("labels").Add(&ink.Path{
		Chains: ink.Disc(middle, r*wide*size), Fill: ink.White, Stroke: ink.Dark, Width: seamWidth,
	}, t)
	p.taken = append(p.taken, t.Bounds().Bounds())
}

// broken draws the outline of a section that cannot be read whole.
func (p *picture) broken(outline geom.Polygon) {
	p.d.Layer("joins").Add(&ink.Path{
		Chains: ink.Ring(p.all(outline)...), Stroke: ink.Dark, Width: seamWidth, Dash: []float64{8, 6},
	})
}

// notch draws a match mark: a short line across the edge it stands on.
func (p *picture) notch(b *sew.Block, n *block.Notch) {
	dir, ok := edgeAt(b, n)
	if !ok {
		return
	}
	across := geom.Point{X: dir.Y, Y: dir.X}.Scale(7 * p.weight) // y runs down on paper
	if p.mirror {
		across.X = -across.X
	}
	at := p.at(n.Point)
	line := ink.Line(at.Sub(across), at.Add(across))
	p.taken = append(p.taken, geom.Polygon(line[0].Points).Bounds().Grow(joinWidth))
	p.d.Layer("notches").Add(
		&ink.Path{Chains: line, Stroke: ink.Pale, Width: (joinWidth + 2*casing) * p.weight},
		&ink.Path{Chains: line, Stroke: ink.Dark, Width: joinWidth * p.weight, Name: "Notch " + n.Name, Data: []ink.Datum{{Key: "notch", Value: n.Name}}})
}

// edgeAt is the direction of the edge that a notch stands on.
func edgeAt(b *sew.Block, n *block.Notch) (geom.Point, bool) {
	best, dir := 2*geom.Hair, geom.Point{}
	look := func(outline geom.Polygon) {
		for i := range outline {
			if e := outline.Edge(i); e.Dist(n.Point) < best {
				best, dir = e.Dist(n.Point), e.Dir()
			}
		}
	}
	for _, s := range b.Sections {
		if n.Section == nil || n.Section == s.Of {
			look(s.Outline())
		}
	}
	if dir == (geom.Point{}) {
		look(b.Of.Outline)
	}
	return dir, dir != (geom.Point{})
}

// finish adds what needs the whole picture.
func (p *picture) finish(b *sew.Block) {
	if len(p.o.Stitch) > 1 {
		line := ink.Line(p.all(p.o.Stitch)...)
		p.d.Layer("highlight").Add(
			&ink.Path{Chains: line, Stroke: ink.White, Width: 7 * p.weight},
			&ink.Path{Chains: line, Stroke: stitchColour, Width: 3.6 * p.weight, Dash: []float64{10 * p.weight, 8 * p.weight}})
	}
	p.marks()
	p.findings(b)
	if p.o.Key {
		p.key()
	}
}
