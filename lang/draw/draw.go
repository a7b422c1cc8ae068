// Package draw makes pictures of blocks, sections and settings.
//
//	Block, Section   a block or one of its foundations     draw.go
//	Setting          a whole quilt                         setting.go
//	Options          how it is shown                       draw.go
//	Album            several pictures in one               album.go
//	picture          patches, seams, joins and notches     picture.go
//	looks            colours, greys and hatches            look.go, hatch.go
//	labels           text that stays inside its patch      label.go
//	Finding          what is wrong, marked where it lies   finding.go
//	aside            a label moved out of a finding's way   aside.go
//	Mark             an area that is marked                mark.go
//	key              which fabric is which                 key.go
//
// A picture is an ink.Drawing, plain data; the packages svg, pdf, png and term
// below this one write it. Sheets to sew on are made by package sheet, the way
// to sew by package guide.
package draw

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// stitchColour is a line being stitched; it is dashed as well.
const stitchColour = ink.Colour(0xffb3261e)

// View is the side that is seen.
type View uint8

// The views.
const (
	Sewn    View = iota // from the finished side
	Printed             // from the printed side of the foundation: mirrored
)

// Labels say what stands in the patches.
type Labels uint8

// The kinds of labels.
const (
	PatchLabels   Labels = iota // section and number in every patch
	SectionLabels               // one letter in every section
	NoLabels
)

// Options are how a picture is shown. The zero value is a picture in colour of
// the finished side, with every patch labelled.
type Options struct {
	View      View
	Colourway *block.Colourway
	Grey      bool // greys and hatches instead of colours
	Labels    Labels
	Key       bool    // name the fabrics below
	Size      float64 // of the longer side, in hairs; 0 is DefaultSize
	Highlight *block.Patch
	Findings  []Finding
	MarksOnly bool // the findings are marked, and not said below
	Marks     []Mark

	// Done, when it is not nil, says which patches are sewn on already; the
	// others are shown as lines alone.
	Done func(*block.Patch) bool
	// Stitch is the line that is stitched now, from end to end.
	Stitch []geom.Point
}

// DefaultSize is how large pictures of blocks are, without their margins: 10 cm.
const DefaultSize = 500.0

// margin is the white around a picture.
const margin = 10.0

// The widths of lines.
const (
	seamWidth    = 1.2
	joinWidth    = 2.6
	outlineWidth = 3.2
	casing       = 1.6 // of pale ground beside heavy lines
)

// darkest is the luminance below which a dark line does not show on a fabric.
const darkest = 0.09

// Block is a picture of a block. What is broken in it is left out.
func Block(b *sew.Block, o Options) *ink.Drawing {
	outline := b.Of.Outline
	if len(outline) < 3 {
		outline = geom.Box{Max: geom.Point{X: b.Of.Width.Float64(), Y: b.Of.Height.Float64()}}.Polygon()
	}
	p := newPicture(outline.Bounds(), o)
	p.d.Title = b.Of.Name
	p.d.Description = describe(b.Of, o)
	p.looks = looksOf(b.Of, o)
	for _, n := range notchesOf(b.Of) {
		p.notch(b, n)
	}
	p.jogs(b.Sections...)
	for _, s := range b.Of.Sections {
		p.patches(s.Patches)
	}
	p.patches(b.Of.Loose)
	if b.Of.Undivided() {
		for _, s := range b.Of.Seams { // a drawing still to be planned
			if !s.Broken {
				p.d.Layer("seams").Add(&ink.Path{Chains: ink.Line(p.at(s.Line.A), p.at(s.Line.B)), Stroke: ink.Dark, Width: seamWidth, Name: "Seam " + s.Name})
			}
		}
	}
	for _, s := range b.Sections {
		p.foundation(s)
	}
	for _, s := range b.Of.Sections {
		if s.Broken && len(s.Outline) > 2 {
			p.broken(s.Outline)
		}
	}
	p.d.Layer("outline").Add(&ink.Path{
		Chains: ink.Ring(p.all(outline)...), Stroke: ink.Dark, Width: outlineWidth * p.weight, ID: "outline", Data: said(b.Of, o),
	})
	p.finish(b)
	return p.d
}

// said is what a picture says of its block, so that it can be read back: its
// title, its size in hairs, the unit of its file, its joins and the side that is seen.
func said(b *block.Block, o Options) []ink.Datum {
	hairs := func(n geom.Num) string { return strconv.FormatFloat(n.Float64(), 'f', -1, 64) }
	out := []ink.Datum{{Key: "block", Value: b.Name}, {Key: "width", Value: hairs(b.Width)}, {Key: "height", Value: hairs(b.Height)}, {Key: "units", Value: b.File.Unit.String()}}
	var joins []string
	for _, j := range b.Joins {
		words := [...]string{block.Straight: "join %s to %s", block.Inset: "join %s to %s inset", block.Partial: "join %s to %s partial", block.Finish: "finish %s to %s"}
		text := fmt.Sprintf(words[j.Kind], j.A.Name, j.B.Name)
		if j.PressToward != nil {
			text += " press toward " + j.PressToward.Name
		}
		joins = append(joins, text)
	}
	if len(joins) > 0 {
		out = append(out, ink.Datum{Key: "joins", Value: strings.Join(joins, "; ")})
	}
	if o.View == Printed {
		out = append(out, ink.Datum{Key: "side", Value: "printed"})
	}
	return out
}

// Section is a picture of one foundation.
func Section(s *sew.Section, o Options) *ink.Drawing {
	outline := s.Outline()
	if outline == nil {
		for _, patch := range s.Of.Patches {
			outline = append(outline, patch.Corners...)
		}
	}
	p := newPicture(outline.Bounds(), o)
	p.d.Title = sectionTitle(s.Of)
	p.d.Description = describe(s.Of.Block, o)
	p.looks = looksOf(s.Of.Block, o)
	for _, n := range notchesOf(s.Of.Block) {
		if n.Section == s.Of || n.Section == nil && s.Outline() != nil && s.Outline().Contains(n.Point) == geom.OnEdge {
			p.notch(s.Block, n)
		}
	}
	p.jogs(s)
	patches := s.Of.Patches
	if len(patches) > 0 {
		patches = patches[0].Section.Patches // with those that cannot be placed
	}
	p.patches(patches)
	p.foundation(s)
	p.finish(s.Block)
	return p.d
}

// notchesOf are all notches of a block, its own and its sections'.
func notchesOf(b *block.Block) []*block.Notch {
	all := slices.Clone(b.Notches)
	for _, s := range b.Sections {
		all = append(all, s.Notches...)
	}
	return all
}

// sectionTitle is how a section is called: A "Jib".
func sectionTitle(s *block.Section) string {
	if called := s.Called(); called != "" {
		return fmt.Sprintf("Section %s, %s", s.Name, called)
	}
	return "Section " + s.Name
}

// describe says what is seen, for those who do not see it.
func describe(b *block.Block, o Options) string {
	patches := len(b.Loose)
	for _, s := range b.Sections {
		patches += len(s.Patches)
	}
	side := "seen from the front"
	if o.View == Printed {
		side = "seen from the printed side, mirrored"
	}
	holds := english.Count(len(b.Sections), "section", "sections") + ", " + english.Count(patches, "patch", "patches")
	switch {
	case !b.Undivided():
	case patches > 0:
		holds = english.Count(patches, "patch", "patches")
	default:
		holds = english.Count(len(b.Seams), "line", "lines")
	}
	text := fmt.Sprintf("%s, %s, %s",
		geom.FormatSize(b.Width.Float64(), b.Height.Float64(), b.File.Unit), holds, side)
	if o.Colourway != nil {
		text += ", colorway " + o.Colourway.Name
	}
	return text + "."
}

// FabricName is what a fabric is called on paper.
func FabricName(f *block.Fabric) string {
	return f.Called()
}
