package draw

import (
	"fmt"
	"math"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Album puts several pictures side by side into one, each under its title.
func Album(pictures []*ink.Drawing) *ink.Drawing {
	if len(pictures) == 1 {
		return pictures[0]
	}
	const size, gap = 20.0, 24.0
	columns := int(math.Ceil(math.Sqrt(float64(len(pictures)))))
	out := &ink.Drawing{Paper: ink.White, Title: fmt.Sprintf("%d pictures", len(pictures))}
	// Layers of all pictures share their heights, so that they are few.
	for _, p := range pictures {
		for _, l := range p.Layers {
			out.Layer(l.Name)
		}
	}
	wide := make([]float64, columns)
	for i, p := range pictures {
		wide[i%columns] = max(wide[i%columns], p.Width)
	}
	y := gap / 2
	for first := 0; first < len(pictures); first += columns {
		x, high := gap/2, 0.0
		for i := first; i < min(first+columns, len(pictures)); i++ {
			p := pictures[i]
			out.Layer("titles").Add(&ink.Text{
				At: geom.Point{X: x + margin, Y: y + size}, String: fonts.Shorten(p.Title, false, (wide[i-first]-2*margin)/size*0.94), Size: size, Bold: true,
				Align: ink.Start, Colour: ink.Dark, Back: ink.White,
			})
			out.Put(p, geom.Point{X: x, Y: y + size*(1+fonts.Descent)}, fmt.Sprintf("p%d-", i+1))
			x += wide[i-first] + gap
			high = max(high, p.Height)
			out.Width = max(out.Width, x)
		}
		y += high + 2*size + gap/2
	}
	out.Height = y
	return out
}
