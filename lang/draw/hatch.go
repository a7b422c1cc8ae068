package draw

import (
	"math"
	"slices"

	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// hatch is a pattern of parallel lines, or several.
type hatch struct {
	angles  []float64 // degrees
	spacing float64   // hairs
	width   float64
	dash    float64 // length on, and off; 0 is unbroken
}

// hatches tell fabrics apart where colour cannot, the plainest first.
var hatches = []hatch{
	{},
	{angles: []float64{45}, spacing: 12, width: 0.9},
	{angles: []float64{0, 90}, spacing: 16, width: 0.9, dash: 1},
	{angles: []float64{135}, spacing: 12, width: 0.9},
	{angles: []float64{0}, spacing: 10, width: 0.9},
	{angles: []float64{45, 135}, spacing: 14, width: 0.8},
	{angles: []float64{90}, spacing: 10, width: 0.9},
	{angles: []float64{45}, spacing: 9, width: 1.2, dash: 8},
	{angles: []float64{0, 90}, spacing: 12, width: 0.8},
	{angles: []float64{135}, spacing: 7, width: 1},
	{angles: []float64{0}, spacing: 8, width: 1.2, dash: 7},
	{angles: []float64{20}, spacing: 8, width: 1},
	{angles: []float64{70}, spacing: 14, width: 2.4},
	{angles: []float64{90}, spacing: 9, width: 1.2, dash: 6},
	{angles: []float64{0}, spacing: 16, width: 2.8},
	{angles: []float64{60, 120}, spacing: 11, width: 0.8},
}

// maxLines keeps a vast drawing within bounds.
const maxLines = 400

// lines are the lines of the hatch inside a polygon.
func (h hatch) lines(poly geom.Polygon) []ink.Chain {
	if h.spacing <= 0 {
		return nil
	}
	var out []ink.Chain
	for _, a := range h.angles {
		sin, cos := math.Sincos(a * math.Pi / 180)
		along, across := geom.Point{X: cos, Y: sin}, geom.Point{X: -sin, Y: cos}
		least, most := math.Inf(1), math.Inf(-1)
		for _, p := range poly {
			least, most = min(least, p.Dot(across)), max(most, p.Dot(across))
		}
		first, last := math.Ceil(least/h.spacing), math.Floor(most/h.spacing)
		if last-first > maxLines {
			continue
		}
		for n := first; n <= last; n++ {
			out = h.line(out, poly, along, across, n*h.spacing)
		}
	}
	return out
}

// line adds what lies inside a polygon of the line at a distance across.
func (h hatch) line(out []ink.Chain, poly geom.Polygon, along, across geom.Point, at float64) []ink.Chain {
	var cuts []float64
	for i := range poly {
		e := poly.Edge(i)
		a, b := e.A.Dot(across)-at, e.B.Dot(across)-at
		if a < 0 == (b < 0) {
			continue
		}
		cuts = append(cuts, e.At(a/(a-b)).Dot(along))
	}
	slices.Sort(cuts)
	put := func(from, to float64) {
		foot := across.Scale(at)
		out = append(out, ink.Chain{Points: []geom.Point{foot.Add(along.Scale(from)), foot.Add(along.Scale(to))}})
	}
	for i := 0; i+1 < len(cuts); i += 2 {
		from, to := cuts[i], cuts[i+1]
		if h.dash == 0 {
			put(from, to)
			continue
		}
		step := 2 * h.dash
		if len(h.angles) > 1 {
			step = h.spacing // dots where the lines would cross
		}
		for t := math.Floor(from/step) * step; t < to; t += step {
			if a, b := max(from, t), min(to, t+h.dash); b > a {
				put(a, b)
			}
		}
	}
	return out
}
