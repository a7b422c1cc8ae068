// Package hands draws the moves of foundation piecing as they are made: the paper folded
// back, the new piece right sides together, the stitches. Every picture is a value of the
// geometry that the steps know: what is folded is mirrored over its fold, what is not flipped
// yet lies mirrored over its seam.
//
//	Scene      a section that is being sewn, and its pictures     hands.go, moves.go
//	work       the pieces that are on, as far as they are seen    work.go
//	view       a part of the block on a piece of paper            view.go
//	trimming   a section that is done, a join, a block            units.go
package hands

import (
	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// The sizes of pictures, in hairs. No picture is under 1 in high, and no label in it
// is under 8 pt.
var (
	Whole = geom.Point{X: 300, Y: 222}
	Large = geom.Point{X: 222, Y: 170}
	Small = geom.Point{X: 186, Y: 160}
	Inset = geom.Point{X: 140, Y: 132}
)

// LabelSize is the least size of text in a picture: 8 pt, and a little.
const LabelSize = 14.3

// Options are how a block stands when its pictures are drawn.
type Options struct {
	Colourway *block.Colourway
	Mirrored  bool // its copy in the quilt is the mirror image
}

// Scene is a section that is being sewn.
type Scene struct {
	plan    *steps.Plan
	section *steps.Section
	colour  func(*block.Fabric) ink.Colour
	how     Options
	allow   float64
	stands  geom.Transform // of the block as it is seen from the fabric side
}

// NewScene is a section of a plan.
func NewScene(plan *steps.Plan, section *steps.Section, how Options) *Scene {
	b := plan.Of.Of
	s := &Scene{plan: plan, section: section, how: how, colour: draw.Colours(b, how.Colourway), allow: geom.Inch / 4}
	if b.Allowance != nil && !b.Allowance.Broken {
		s.allow = b.Allowance.Size.Float64()
	}
	if how.Mirrored {
		s.stands, _ = geom.MirrorAcross(geom.Point{}, geom.Point{Y: geom.Inch})
	}
	return s
}

// Step is the picture of a move of a step, in a size. There is none of a section without a
// clear outline, or of a piece that is not known.
func (s *Scene) Step(k int, kind steps.Kind, size geom.Point) *ink.Drawing {
	step := &s.section.Steps[k]
	if s.section.Cut == nil || len(step.Laid.Open) < 3 || k > 0 && step.Seam == nil {
		return nil
	}
	m := &move{Scene: s, k: k, step: step}
	if step.Seam != nil {
		m.seam = step.Seam.Segment
		m.stitch, _ = s.section.Stitches(m.seam, steps.Past)
	}
	m.view = s.view(m.frame(kind, size), size, Printed(kind))
	drawMove[kind](m)
	m.frameLine()
	return m.d
}

// Printed says whether a picture of a move shows the printed side.
func Printed(kind steps.Kind) bool { return printedSide[kind] }

// move is a picture of a move that is being drawn.
type move struct {
	*Scene
	*view
	k      int
	step   *steps.Step
	seam   geom.Segment // the patch on its left
	stitch geom.Segment
}

// printedSide says of which moves the printed side is seen.
var printedSide = [steps.Kinds]bool{
	steps.LightPrinted: true, steps.Fold: true, steps.Trim: true, steps.Folded: true, steps.Sew: true, steps.Done: true,
	steps.Foundation: true, steps.Baste: true, steps.Cut: true,
}

// drawMove is how each move of a step is drawn.
var drawMove = [steps.Kinds]func(*move){
	steps.Light: (*move).light, steps.LightPrinted: (*move).lightPrinted, steps.Fold: (*move).fold, steps.Trim: (*move).trim,
	steps.Folded: (*move).folded, steps.Lay: (*move).lay, steps.Crease: (*move).crease, steps.Test: (*move).test,
	steps.Sew: (*move).sew, steps.Back: (*move).back, steps.Open: (*move).open, steps.Done: (*move).done,
}

// frame is the part of the block that a picture shows: all that the move has to do with where it
// is large enough, else what is around the seam.
func (m *move) frame(kind steps.Kind, size geom.Point) geom.Box {
	cut, patch, piece := m.section.Cut, geom.Polygon(m.step.Patch.Corners), m.step.Laid
	var all, near geom.Box
	switch kind {
	case steps.Fold, steps.Trim, steps.Folded:
		all = m.bar(-2.6*m.allow, 1.6*m.allow).Bounds()
		near = all
		if part := cut.LeftOf(m.near()); part != nil {
			all = all.Union(part.Bounds())
		}
		if flap := cut.LeftOf(m.far()); flap != nil {
			all = all.Union(m.over().ApplyTo(flap).Bounds())
		}
	case steps.Lay:
		near = m.stitch.Bounds().Union(piece.Flat.Bounds())
		all = near
		if part := cut.LeftOf(m.near()); part != nil {
			all = all.Union(part.Bounds())
		}
	case steps.Sew, steps.Back:
		near = m.stitch.Bounds().Union(piece.Flat.Bounds()).Union(patch.Bounds())
		all = near.Union(cut.Bounds())
	default:
		near = piece.Open.Bounds().Union(patch.Bounds())
		if m.step.Seam != nil {
			near = near.Union(m.stitch.Bounds())
		}
		all = near.Union(cut.Bounds())
	}
	scale := func(b geom.Box) float64 { return min(size.X/b.Width(), size.Y/b.Height()) }
	const (
		allowance = 9.0  // hairs on the paper that an allowance is wide where all is shown
		part      = 0.5  // of the picture that is about the seam
		thin      = 3.85 // narrower than this an allowance is never
	)
	if k := scale(all); k*m.allow >= allowance && max(near.Width()*k/size.X, near.Height()*k/size.Y) >= part {
		return all.Grow(0.5 * m.allow)
	}
	near = near.Grow(0.8 * m.allow)
	if k := scale(near); k*m.allow < thin && m.step.Seam != nil {
		// A very long piece: one end of its seam.
		half := geom.Point{X: size.X, Y: size.Y}.Scale(0.5 * m.allow / thin)
		at := m.seam.A.Add(m.seam.Dir().Scale(min(m.seam.Len()/2, 0.7*min(half.X, half.Y))))
		return geom.Box{Min: at.Sub(half), Max: at.Add(half)}
	}
	return near
}

// far is the line of the seam with what lies beyond it on its left.
func (m *move) far() geom.Segment { return m.seam }

// near is the line of the seam with the work on its left.
func (m *move) near() geom.Segment { return m.seam.Reverse() }

// trimmed is the line that fabric is trimmed on, the work on its left.
func (m *move) trimmed() geom.Segment { return m.past(m.allow) }

// past is a line so far past the seam, the work on its left.
func (m *move) past(by float64) geom.Segment {
	d := m.seam.Dir()
	out := geom.Point{X: -d.Y, Y: d.X}.Scale(by)
	return geom.Segment{A: m.seam.B.Add(out), B: m.seam.A.Add(out)}
}

// over mirrors over the seam.
func (m *move) over() geom.Transform {
	t, _ := geom.MirrorAcross(m.seam.A, m.seam.B)
	return t
}

// seams are the stitching lines of the section.
func (s *Scene) seams() []geom.Segment {
	var out []geom.Segment
	for i := range s.section.Steps {
		if seam := s.section.Steps[i].Seam; seam != nil {
			out = append(out, seam.Segment)
		}
	}
	return out
}

// sectionOf is a section of a plan.
func sectionOf(plan *steps.Plan, s *sew.Section) *steps.Section {
	for i := range plan.Sections {
		if plan.Sections[i].Of == s {
			return &plan.Sections[i]
		}
	}
	return nil
}

// fabricOf is the fabric of a patch of the section in the colorway.
func (s *Scene) fabricOf(number int) *block.Fabric {
	for i := range s.section.Steps {
		if s.section.Steps[i].Patch.Number == number {
			return s.section.Steps[i].Fabric
		}
	}
	return nil
}
