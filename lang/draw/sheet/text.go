package sheet

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

// least is how small text may be on a sheet: 7 pt.
const least = 12.4

// The sizes of text in patches, in hairs: a number is as large as it fits, up to
// 19 pt; where it does not fit a line leads to it.
const (
	numberMost  = 34.0
	numberLeast = least
	nameMost    = 17.0
	nameLeast   = least
)

// lettering puts text where there is room.
type lettering struct {
	d     *ink.Drawing
	taken []geom.Box
	wait  []wanting // numbers that did not fit their patch

	unnamed []steps.Step // without room for the name of their fabric
}

type wanting struct {
	text string
	at   geom.Point
}

func (l *lettering) add(t *ink.Text) {
	l.d.Layer("labels").Add(t)
	l.taken = append(l.taken, t.Bounds().Bounds())
}

// patch writes a patch's number, and its fabric's name below when both fit.
func (l *lettering) patch(s steps.Step, corners geom.Polygon) {
	number := steps.Label(s.Patch)
	if s.Fabric != nil && l.both(number, nameLines(steps.FabricName(s.Fabric)), corners) {
		return
	}
	if s.Fabric != nil {
		l.unnamed = append(l.unnamed, s)
	}
	middle, size := draw.Fit(corners, fonts.Width(number, true), fonts.CapHeight, numberMost, l.taken)
	if size < numberLeast {
		l.wait = append(l.wait, wanting{number, corners.InteriorPoint()})
		return
	}
	l.add(&ink.Text{
		At:     middle.Add(geom.Point{Y: fonts.CapHeight / 2 * size}),
		String: number, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White,
	})
}

// nameLines are the ways to set a name: on one line, or on two.
func nameLines(name string) [][]string {
	ways := [][]string{{name}}
	if two := fonts.Wrap(name, false, 0.62*fonts.Width(name, false)); len(two) == 2 && strings.Join(two, " ") == name {
		ways = append(ways, two)
	}
	return ways
}

// both sets a number and a name below it.
func (l *lettering) both(number string, ways [][]string, corners geom.Polygon) bool {
	const (
		name    = 0.55 // the size of the name, of the number's
		leading = 1.2
		gap     = 0.26 // more than a letter hangs below its line
	)
	var best []string
	var middle geom.Point
	var size float64
	for _, lines := range ways {
		wide := fonts.Width(number, true)
		for _, line := range lines {
			wide = max(wide, name*fonts.Width(line, false))
		}
		high := fonts.CapHeight + gap + name*(leading*float64(len(lines)-1)+fonts.CapHeight+fonts.Descent)
		if m, s := draw.Fit(corners, wide, high, nameMost/name, l.taken); s > 1.1*size {
			best, middle, size = lines, m, s
		}
	}
	if name*size < nameLeast {
		return false
	}
	high := fonts.CapHeight + gap + name*(leading*float64(len(best)-1)+fonts.CapHeight+fonts.Descent)
	y := middle.Y - high/2*size + fonts.CapHeight*size
	l.add(&ink.Text{At: geom.Point{X: middle.X, Y: y}, String: number, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White})
	y += (gap + name*fonts.CapHeight) * size
	for _, line := range best {
		l.add(&ink.Text{At: geom.Point{X: middle.X, Y: y}, String: line, Size: name * size, Colour: ink.Dark, Back: ink.White})
		y += leading * name * size
	}
	return true
}

// beside writes a notch's name in the allowance beside it.
func (l *lettering) beside(name string, a, b geom.Point, outline, cut geom.Polygon) {
	dir := b.Sub(a).Scale(1 / b.Dist(a))
	side := geom.Point{X: -dir.Y, Y: dir.X}
	const size = least
	wide, high := fonts.Width(name, false)*size, fonts.CapHeight*size
	for _, along := range [...]float64{1, -1} {
		for _, out := range [...]float64{0.5, 0.4, 0.65} {
			reach := math.Abs(side.X)*wide/2 + math.Abs(side.Y)*high/2 + 9
			at := a.Add(b.Sub(a).Scale(out)).Add(side.Scale(along * reach))
			t := &ink.Text{
				At: at.Add(geom.Point{Y: high / 2}), String: name, Size: size, Colour: ink.Dark, Back: ink.White,
			}
			box := t.Bounds().Bounds().Grow(1.5)
			if draw.Within(box, cut) && draw.Clear(box, outline) && !l.covered(box) {
				l.add(t)
				return
			}
		}
	}
}

func (l *lettering) covered(b geom.Box) bool {
	for _, t := range l.taken {
		if t.Meets(b) {
			return true
		}
	}
	return false
}

// grain draws the arrow along the straight grain, which is the block's own
// upright, where it covers no text: inside one patch, if it can be.
func (l *lettering) grain(f *foundation, at func(geom.Point) geom.Point) {
	up := at(geom.Point{Y: 1}).Sub(at(geom.Point{}))
	box := geom.Polygon(f.all(at)).Bounds()
	var patches []geom.Polygon
	for _, s := range f.section.Steps {
		patch := make(geom.Polygon, len(s.Patch.Corners))
		for i, p := range s.Patch.Corners {
			patch[i] = at(p)
		}
		patches = append(patches, patch)
	}
	slices.SortStableFunc(patches, func(a, b geom.Polygon) int {
		return cmp.Compare(math.Abs(b.Area()), math.Abs(a.Area()))
	})
	for _, long := range [...]float64{90, 60, 42, 30, 22} {
		const clear = 16
		half := geom.Point{X: math.Abs(up.X)*long/2 + clear, Y: math.Abs(up.Y)*long/2 + clear}
		for _, patch := range patches {
			if best, ok := l.room(patch, half); ok {
				l.arrow(best, up, long, "grain")
				return
			}
		}
	}
	// No patch has room: beside the foundation, above its caption.
	l.d.Height += 6
	l.arrow(geom.Point{X: box.Max.X - 12, Y: l.d.Height + 14}, up, 24, "grain")
}

// room is the middle of a box of a half size that covers no text, as near to the middle of a
// patch as it can be.
func (l *lettering) room(patch geom.Polygon, half geom.Point) (best geom.Point, ok bool) {
	const step = 6.0
	b, middle := patch.Bounds(), patch.Centroid()
	least := math.Inf(1)
	for y := b.Min.Y + half.Y; y <= b.Max.Y-half.Y; y += step {
		for x := b.Min.X + half.X; x <= b.Max.X-half.X; x += step {
			m := geom.Point{X: x, Y: y}
			room := geom.Box{Min: m.Sub(half), Max: m.Add(half)}
			if far := m.Dist(middle); far < least && !l.covered(room) && draw.Within(room, patch) {
				best, least = m, far
			}
		}
	}
	return best, !math.IsInf(least, 1)
}

// printUp draws, in a patch of directional cloth, the arrow that says where the print has
// its up: as the block has it. Where there is no room the caption alone says it.
func (l *lettering) printUp(patch geom.Polygon, up geom.Point) {
	const (
		size  = least
		word  = "up"
		above = 5.0 // from the tip to the word
	)
	wide, high := fonts.Width(word, false)*size/2, fonts.CapHeight*size/2+2
	for _, long := range [...]float64{30, 20, 14} {
		reach := math.Abs(up.X)*wide + math.Abs(up.Y)*high // of the word, along the arrow
		span := long + above + 2*reach
		half := geom.Point{X: max(math.Abs(up.X)*span/2, wide) + 6, Y: max(math.Abs(up.Y)*span/2, high) + 4}
		c, ok := l.room(patch, half)
		if !ok {
			continue
		}
		l.arrow(c.Sub(up.Scale(span/2-long/2)), up, long, "up")
		at := c.Add(up.Scale(span/2 - reach))
		l.add(&ink.Text{
			At: at.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Colour: ink.Dark, Back: ink.White,
		})
		return
	}
}

func (f *foundation) all(at func(geom.Point) geom.Point) []geom.Point {
	out := make([]geom.Point, len(f.cut))
	for i, p := range f.cut {
		out[i] = at(p)
	}
	return out
}

func (l *lettering) arrow(m, up geom.Point, long float64, name string) {
	tip, foot := m.Add(up.Scale(long/2)), m.Sub(up.Scale(long/2))
	side := geom.Point{X: -up.Y, Y: up.X}
	head := min(9, long*0.3)
	l.d.Layer("marks").Add(
		&ink.Path{Chains: ink.Line(foot, tip.Sub(up.Scale(head*0.8))), Stroke: ink.Dark, Width: 1.2, Name: name},
		&ink.Path{Chains: ink.Ring(tip, tip.Sub(up.Scale(head)).Add(side.Scale(head*0.42)), tip.Sub(up.Scale(head)).Sub(side.Scale(head*0.42))), Fill: ink.Dark},
	)
	l.taken = append(l.taken, geom.Polygon{tip, foot}.Bounds().Grow(5))
}

// leaders writes the numbers that did not fit their patches into the
// allowance, each as near to its patch as there is room, with a line to it.
func (l *lettering) leaders(outline, cut geom.Polygon) {
	const size = numberLeast
	box := cut.Bounds()
	for _, w := range l.wait {
		wide, high := fonts.Width(w.text, true)*size, fonts.CapHeight*size
		half := geom.Point{X: wide/2 + 1, Y: high/2 + 1}
		var best geom.Point
		least := math.Inf(1)
		for y := box.Min.Y; y <= box.Max.Y; y += 3 {
			for x := box.Min.X; x <= box.Max.X; x += 3 {
				m := geom.Point{X: x, Y: y}
				room := geom.Box{Min: m.Sub(half), Max: m.Add(half)}
				if far := m.Dist(w.at); far < least && outline.Contains(m) == geom.Outside &&
					draw.Within(room, cut) && draw.Clear(room, outline) && !l.covered(room) {
					best, least = m, far
				}
			}
		}
		if math.IsInf(least, 1) {
			best = w.at // no room anywhere: over the lines of its own patch
		} else {
			dir := w.at.Sub(best).Scale(1 / least)
			l.d.Layer("marks").Add(
				&ink.Path{Chains: ink.Line(best.Add(dir.Scale(half.Len())), w.at), Stroke: ink.Dark, Width: 0.8, Name: "leader"},
				&ink.Path{Chains: ink.Disc(w.at, 1.6), Fill: ink.Dark})
		}
		l.add(&ink.Text{
			At: best.Add(geom.Point{Y: high / 2}), String: w.text, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White,
		})
	}
}
