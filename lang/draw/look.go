package draw

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
)

// look is how a fabric is shown.
type look struct {
	fill  ink.Colour
	hatch hatch
	ink   ink.Colour // of the hatch
}

// plain is paper without fabric.
var plain = look{fill: ink.White}

// looks are how the fabrics of a block, or a quilt, are shown.
type looks struct {
	swap  map[*block.Fabric]*block.Fabric
	order []*block.Fabric // as they first appear, swaps done
	look  map[*block.Fabric]look
	named map[fabricKey]*block.Fabric
}

// One fabric may have been read for several files.
type fabricKey struct{ file, name string }

func keyOf(f *block.Fabric) fabricKey {
	k := fabricKey{name: f.Name}
	if f.At.File != nil {
		k.file = f.At.File.Path
	}
	return k
}

// unknown is a patch whose fabric could not be resolved.
var unknown = look{fill: ink.RGB(0xee, 0xee, 0xee), hatch: hatches[1], ink: ink.RGB(0xb8, 0xb8, 0xb8)}

// swapped is the fabric in the colourway.
func (l *looks) swapped(f *block.Fabric) *block.Fabric {
	if to, ok := l.swap[f]; ok {
		f = to
	}
	return f
}

func (l *looks) of(f *block.Fabric) look {
	f = l.swapped(f)
	if f == nil {
		return unknown
	}
	if is, ok := l.look[f]; ok {
		return is
	}
	if same, ok := l.named[keyOf(f)]; ok {
		return l.look[same]
	}
	return unknown
}

// looksOf gives every fabric of a block its look.
func looksOf(b *block.Block, o Options) *looks {
	l := &looks{swap: swaps(o.Colourway)}
	l.meet(b)
	l.choose(o.Grey)
	return l
}

func swaps(way *block.Colourway) map[*block.Fabric]*block.Fabric {
	swap := make(map[*block.Fabric]*block.Fabric)
	if way != nil {
		for _, s := range way.Swaps {
			if s.Old != nil && s.New != nil {
				swap[s.Old] = s.New
			}
		}
	}
	return swap
}

// meet takes note of a block's fabrics.
func (l *looks) meet(b *block.Block) {
	met := map[*block.Fabric]bool{}
	for _, s := range b.Sections {
		for _, p := range s.Patches {
			if !met[p.Fabric] {
				met[p.Fabric] = true
				l.add(l.swapped(p.Fabric))
			}
		}
	}
	for _, p := range b.Loose {
		l.add(l.swapped(p.Fabric))
	}
}

func (l *looks) add(f *block.Fabric) {
	if f == nil {
		return
	}
	if l.named == nil {
		l.named = make(map[fabricKey]*block.Fabric)
	}
	if _, ok := l.named[keyOf(f)]; !ok {
		l.named[keyOf(f)] = f
		l.order = append(l.order, f)
	}
}

// choose gives the fabrics their looks.
func (l *looks) choose(grey bool) {
	l.look = make(map[*block.Fabric]look, len(l.order))
	var taken []ink.Colour
	for _, f := range l.order {
		if c, ok := ink.Hex(f.Colour); ok {
			l.look[f] = look{fill: c}
			taken = append(taken, c)
		}
	}
	for _, f := range l.order {
		if _, ok := l.look[f]; !ok {
			c := unlike(taken)
			l.look[f] = look{fill: c}
			taken = append(taken, c)
		}
	}
	if grey {
		l.greys()
	}
}

// unlike is the spare colour that differs most from those taken; the first
// of them when none is taken.
func unlike(taken []ink.Colour) ink.Colour {
	best, most := spare[0], -1.0
	for _, c := range spare {
		least := math.Inf(1)
		for _, t := range taken {
			least = min(least, ink.Apart(c, t))
		}
		if least > most {
			best, most = c, least
		}
	}
	return best
}

// spare are colours for fabrics that give none: hues round the circle, each
// light, middling and dark.
var spare = func() []ink.Colour {
	var out []ink.Colour
	for _, v := range [...]struct{ chroma, value float64 }{{0.35, 0.87}, {0.52, 0.72}, {0.55, 0.45}} {
		for hue := 200.0; hue < 560; hue += 30 {
			out = append(out, hsv(math.Mod(hue, 360), v.chroma, v.value))
		}
	}
	return out
}()

// hsv is a colour by hue in degrees, saturation and value.
func hsv(h, s, v float64) ink.Colour {
	f := func(n float64) uint8 {
		k := math.Mod(n+h/60, 6)
		return uint8(math.Round(255 * (v - v*s*max(0, min(k, 4-k, 1)))))
	}
	return ink.RGB(f(5), f(3), f(1))
}

// greys turns colours into greys, no darker than a hatch and a label can be
// read on. Fabrics next to each other in lightness get different hatches.
func (l *looks) greys() {
	byLight := slices.Clone(l.order)
	slices.SortStableFunc(byLight, func(a, b *block.Fabric) int {
		return cmp.Compare(l.look[b].fill.Luminance(), l.look[a].fill.Luminance())
	})
	for i, f := range byLight {
		r, _, _ := l.look[f].fill.Grey().RGB()
		light := uint8(96 + float64(r)*(252-96)/255)
		fill := ink.RGB(light, light, light)
		is := look{fill: fill, hatch: hatches[i%len(hatches)], ink: ink.Dark}
		if light < 150 {
			is.ink = ink.White
		}
		l.look[f] = is
	}
}
