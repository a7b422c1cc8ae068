// Package ink is a drawing as plain data: layers of filled and stroked chains
// of points, and lines of text. The packages svg, pdf, png and term write it.
//
// Lengths are in hairs (0.2 mm, see package geom). A drawing lies on paper: x
// runs right and y runs down from its upper left corner.
package ink

import (
	"math"
	"strings"

	"sewable/lang/draw/fonts"
	"sewable/lang/geom"
)

// Drawing is a picture, or a page.
type Drawing struct {
	Width, Height float64
	Paper         Colour // behind everything; zero is none
	Title         string
	Description   string // for those who do not see it
	Layers        []Layer
}

// Layer is what lies at one height, in order; later layers cover earlier ones.
type Layer struct {
	Name  string
	Items []Item
}

// Item is a Path or a Text.
type Item interface{ item() }

// Chain is a chain of points; a closed one returns to its first.
type Chain struct {
	Points []geom.Point
	Closed bool
}

// Path is chains, filled first (by the non-zero rule; open ones are not
// filled) and then stroked with round joints and ends.
type Path struct {
	Chains []Chain
	Fill   Colour
	Stroke Colour
	Width  float64   // of the stroke
	Dash   []float64 // lengths on and off

	ID   string // unique in the drawing, or empty
	Name string // what it is, said when it is pointed at
	Data []Datum
}

// Datum is something to know about a path.
type Datum struct{ Key, Value string }

// Align says which part of a text lies at its place.
type Align uint8

// The alignments.
const (
	Middle Align = iota
	Start
	End
)

// Text is one line of text, upright or turned.
type Text struct {
	At     geom.Point // on the line the letters stand on
	String string
	Size   float64 // of an em
	Align  Align
	Bold   bool
	Colour Colour
	Turn   float64 // degrees anticlockwise about At
	Back   Colour  // what it stands on, when that is one colour
}

func (*Path) item() {}
func (*Text) item() {}

// Layer is the layer of that name, added on top when there is none.
func (d *Drawing) Layer(name string) *Layer {
	for i := range d.Layers {
		if d.Layers[i].Name == name {
			return &d.Layers[i]
		}
	}
	d.Layers = append(d.Layers, Layer{Name: name})
	return &d.Layers[len(d.Layers)-1]
}

// Add adds items on top of the layer.
func (l *Layer) Add(items ...Item) { l.Items = append(l.Items, items...) }

// Texts are all texts of the drawing.
func (d *Drawing) Texts() []*Text {
	var out []*Text
	for _, l := range d.Layers {
		for _, it := range l.Items {
			if t, ok := it.(*Text); ok {
				out = append(out, t)
			}
		}
	}
	return out
}

// Missing are the letters in drawings that no face has, each once: the writers show a box for
// each.
func Missing(drawings ...*Drawing) string {
	var all strings.Builder
	for _, d := range drawings {
		for _, t := range d.Texts() {
			all.WriteString(t.String)
		}
	}
	return fonts.Missing(all.String())
}

// Put lays a drawing into this one, its upper left corner at a place, layer
// on layer of the same name. Data and names stay, IDs get a prefix.
func (d *Drawing) Put(e *Drawing, at geom.Point, prefix string) {
	for _, l := range e.Layers {
		to := d.Layer(l.Name)
		for _, it := range l.Items {
			switch it := it.(type) {
			case *Path:
				p := *it
				p.Chains = make([]Chain, len(it.Chains))
				for i, c := range it.Chains {
					p.Chains[i] = Chain{move(c.Points, at), c.Closed}
				}
				if p.ID != "" {
					p.ID = prefix + p.ID
				}
				to.Add(&p)
			case *Text:
				t := *it
				t.At = t.At.Add(at)
				to.Add(&t)
			}
		}
	}
}

func move(points []geom.Point, by geom.Point) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, p := range points {
		out[i] = p.Add(by)
	}
	return out
}

// Len is how wide the text is.
func (t *Text) Len() float64 { return fonts.Width(t.String, t.Bold) * t.Size }

// Bounds is the corners of the box that the text takes: from the line it
// stands on, or from as far as it hangs below, to the height of its capitals.
func (t *Text) Bounds() geom.Polygon {
	w := t.Len()
	below := 0.0
	if strings.ContainsFunc(t.String, hangs) {
		below = fonts.Descent
	}
	left := -w / 2
	switch t.Align {
	case Start:
		left = 0
	case End:
		left = -w
	}
	box := geom.Box{
		Min: geom.Point{X: left, Y: -fonts.CapHeight * t.Size},
		Max: geom.Point{X: left + w, Y: below * t.Size},
	}.Polygon()
	sin, cos := math.Sincos(t.Turn * math.Pi / 180)
	for i, p := range box {
		box[i] = t.At.Add(geom.Point{X: p.X*cos + p.Y*sin, Y: p.Y*cos - p.X*sin})
	}
	return box
}

// hangs says whether a letter may hang below the line.
func hangs(r rune) bool {
	return !(r >= 'A' && r <= 'Z' && r != 'J' && r != 'Q' || r >= '0' && r <= '9' || strings.ContainsRune("abcdefhiklmnorstuvwxz .:-", r))
}

// Ring is a closed path around a polygon.
func Ring(points ...geom.Point) []Chain { return []Chain{{points, true}} }

// Line is an open path.
func Line(points ...geom.Point) []Chain { return []Chain{{points, false}} }

// Disc is a closed chain round a place, with as many corners as look round.
func Disc(at geom.Point, r float64) []Chain {
	const n = 24
	points := make([]geom.Point, n)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		points[i] = at.Add(geom.Point{X: r * cos, Y: r * sin})
	}
	return Ring(points...)
}
