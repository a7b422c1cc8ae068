// Package png paints drawings as pictures of dots.
package png

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	stdpng "image/png"
	"io"
	"math"

	"golang.org/x/image/vector"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// MaxDots is how many dots a picture may have.
const MaxDots = 64 << 20

// Write writes a drawing as a PNG so many dots wide.
func Write(w io.Writer, d *ink.Drawing, wide int) error {
	m, err := Paint(d, wide)
	if err != nil {
		return err
	}
	return stdpng.Encode(w, m)
}

// Paint paints a drawing so many dots wide.
func Paint(d *ink.Drawing, wide int) (*image.RGBA, error) {
	if !(d.Width > 0 && d.Height > 0) || math.IsInf(d.Width, 0) || math.IsInf(d.Height, 0) {
		return nil, fmt.Errorf("there is nothing to paint")
	}
	high := int(math.Ceil(float64(wide) * d.Height / d.Width))
	if wide < 1 || high < 1 || high > MaxDots/wide {
		return nil, fmt.Errorf("a picture of %d by %d dots cannot be painted", wide, high)
	}
	b := &brush{
		m:     image.NewRGBA(image.Rect(0, 0, wide, high)),
		scale: float64(wide) / d.Width,
	}
	if d.Paper != 0 {
		draw.Draw(b.m, b.m.Bounds(), image.NewUniform(rgba(d.Paper)), image.Point{}, draw.Src)
	}
	for _, l := range d.Layers {
		for _, it := range l.Items {
			switch it := it.(type) {
			case *ink.Path:
				b.path(it)
			case *ink.Text:
				b.text(it)
			}
		}
	}
	return b.m, nil
}

func rgba(c ink.Colour) color.RGBA {
	r, g, b := c.RGB()
	return color.RGBA{R: r, G: g, B: b, A: 0xff}
}

type brush struct {
	m     *image.RGBA
	scale float64
	r     vector.Rasterizer
	// shape is what is being filled, in dots; flush paints the part of the
	// picture it touches only.
	shape [][]geom.Point
}

func (b *brush) dots(p geom.Point) geom.Point { return p.Scale(b.scale) }

// flush fills the shape in a colour.
func (b *brush) flush(c ink.Colour) {
	box := image.Rectangle{}
	for i, chain := range b.shape {
		bounds := geom.Polygon(chain).Bounds()
		r := image.Rect(int(math.Floor(bounds.Min.X)), int(math.Floor(bounds.Min.Y)),
			int(math.Ceil(bounds.Max.X))+1, int(math.Ceil(bounds.Max.Y))+1)
		if i == 0 {
			box = r
		}
		box = box.Union(r)
	}
	box = box.Intersect(b.m.Bounds())
	if !box.Empty() {
		b.r.Reset(box.Dx(), box.Dy())
		off := geom.Point{X: float64(box.Min.X), Y: float64(box.Min.Y)}
		for _, chain := range b.shape {
			for i, p := range chain {
				p = p.Sub(off)
				if i == 0 {
					b.r.MoveTo(float32(p.X), float32(p.Y))
				} else {
					b.r.LineTo(float32(p.X), float32(p.Y))
				}
			}
			b.r.ClosePath()
		}
		b.r.Draw(b.m, box, image.NewUniform(rgba(c)), image.Point{})
	}
	b.shape = b.shape[:0]
}

func (b *brush) path(p *ink.Path) {
	if p.Fill != 0 {
		for _, c := range p.Chains {
			if c.Closed && len(c.Points) > 2 {
				chain := make([]geom.Point, len(c.Points))
				for i, q := range c.Points {
					chain[i] = b.dots(q)
				}
				b.shape = append(b.shape, chain)
			}
		}
		if len(b.shape) > 0 {
			b.flush(p.Fill)
		}
	}
	if p.Stroke == 0 || p.Width <= 0 {
		return
	}
	r := p.Width * b.scale / 2
	for _, c := range p.Chains {
		points := c.Points
		if c.Closed && len(points) > 0 {
			points = append(points[:len(points):len(points)], points[0])
		}
		for _, piece := range dashed(points, p.Dash) {
			b.stroke(piece, r)
		}
	}
	if len(b.shape) > 0 {
		b.flush(p.Stroke)
	}
}

// stroke adds a line of a thickness to the shape: a rectangle for each piece
// and a disc for each joint, all the same way round, so that they add up.
func (b *brush) stroke(points []geom.Point, r float64) {
	for i, p := range points {
		at := b.dots(p)
		b.shape = append(b.shape, disc(at, r))
		if i == 0 {
			continue
		}
		from := b.dots(points[i-1])
		dir := at.Sub(from)
		if dir.Len() == 0 {
			continue
		}
		side := geom.Point{X: -dir.Y, Y: dir.X}.Scale(r / dir.Len())
		b.shape = append(b.shape, []geom.Point{from.Sub(side), at.Sub(side), at.Add(side), from.Add(side)})
	}
}

func disc(at geom.Point, r float64) []geom.Point {
	n := max(8, min(40, int(6*math.Sqrt(r))+6))
	out := make([]geom.Point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = at.Add(geom.Point{X: r * cos, Y: r * sin})
	}
	return out
}

// dashed cuts a line into its dashes.
func dashed(points []geom.Point, dash []float64) [][]geom.Point {
	var period float64
	for _, d := range dash {
		period += d
	}
	if period <= 0 || len(points) < 2 {
		return [][]geom.Point{points}
	}
	var out [][]geom.Point
	on, left, n := true, dash[0], 0
	piece := []geom.Point{points[0]}
	for i := 1; i < len(points); i++ {
		e := geom.Segment{A: points[i-1], B: points[i]}
		for done, whole := 0.0, e.Len(); done < whole; {
			step := min(left, whole-done)
			done += step
			left -= step
			at := e.At(done / whole)
			if on {
				piece = append(piece, at)
			}
			if left <= 0 {
				if on {
					out = append(out, piece)
				}
				on, n = !on, n+1
				left = dash[n%len(dash)]
				piece = []geom.Point{at}
			}
		}
	}
	if on && len(piece) > 1 {
		out = append(out, piece)
	}
	return out
}

func (b *brush) text(t *ink.Text) {
	x := 0.0
	switch t.Align {
	case ink.Middle:
		x = -t.Len() / 2
	case ink.End:
		x = -t.Len()
	}
	sin, cos := math.Sincos(t.Turn * math.Pi / 180)
	for _, run := range fonts.Runs(t.String, t.Bold) {
		for _, r := range run.Text {
			b.letter(run.Face, r, func(ex, ey float64) geom.Point {
				ex, ey = x+ex*t.Size, ey*t.Size
				return b.dots(t.At.Add(geom.Point{X: ex*cos + ey*sin, Y: ey*cos - ex*sin}))
			})
			x += run.Face.Advance(r) * t.Size
		}
	}
	if len(b.shape) > 0 {
		b.flush(t.Colour)
	}
}

// letter adds a letter's outline to the shape.
func (b *brush) letter(face *fonts.Face, r rune, place func(x, y float64) geom.Point) {
	var chain []geom.Point
	end := func() {
		if len(chain) > 2 {
			b.shape = append(b.shape, chain)
		}
		chain = nil
	}
	face.Outline(r,
		func(x, y float64) { end(); chain = append(chain, place(x, y)) },
		func(x, y float64) { chain = append(chain, place(x, y)) },
		func(cx, cy, x, y float64) {
			from, by, to := chain[len(chain)-1], place(cx, cy), place(x, y)
			const pieces = 6
			for i := 1; i <= pieces; i++ {
				t := float64(i) / pieces
				chain = append(chain, from.Scale((1-t)*(1-t)).Add(by.Scale(2*t*(1-t))).Add(to.Scale(t*t)))
			}
		})
	end()
}
