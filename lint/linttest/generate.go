package linttest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"sewable/lang/edit"
	"sewable/lang/geom"
)

// Palette is the text of the file that generated blocks use.
const Palette = `fabric sand "Wet sand" #d8c49a
fabric foam "Foam" #f2f5f0
fabric water "Water" #3d6f8e
fabric ink "Deep water" #1d2b4f
fabric coral "Coral" #e2725b
fabric kelp "Kelp" #4f6b3a directional
fabric cedar "Cedar plank" #8a4b2d
fabric slate "Slate" #5a6672 width 42
fabric dusk "Dusk" #7a5c86
fabric gull "Gull grey" #b9c0c4
fabric rope "Rope" #c9b17c
fabric canvas "Canvas" #efe6d2
`

// PaletteName is the name that generated blocks use it by.
const PaletteName = "palette.block"

var fabrics = func() (names []string) {
	for line := range strings.Lines(Palette) {
		names = append(names, strings.Fields(line)[1])
	}
	return names
}()

// GenerateBlock writes a file with one block that can be sewn: the block is
// cut by random straight chords into sections, and each section into patches, about
// as many as asked for. The same seed gives the same text. Corners are on a grid of 1/8 in
// where they lie on upright or level edges, anywhere on slanted ones.
func GenerateBlock(seed uint64, patches int) string {
	sections := 1 + int(seed%8)
	side := math.Ceil(math.Sqrt(float64(patches)) * 2.2 * (1 + 1/float64(sections)))
	return generate(seed, fmt.Sprintf("use %q\n", PaletteName), patches, sections, side)
}

// GenerateSections is GenerateBlock with a number of sections.
func GenerateSections(seed uint64, patches, sections int) string {
	side := math.Ceil(math.Sqrt(float64(patches)) * 2.3)
	return generate(seed, fmt.Sprintf("use %q\n", PaletteName), patches, sections, side)
}

// GenerateSection writes a file of its own with one block of a single section.
// Cut after cut goes through all that is left, so the block has to grow with the patches.
func GenerateSection(seed uint64, patches int) string {
	return generate(seed, Palette, patches, 1, math.Ceil(float64(patches)*0.6)+8)
}

func generate(seed uint64, fabrics string, patches, sections int, side float64) string {
	g := &generator{rand: newRand(seed), b: new(strings.Builder), side: side}
	fmt.Fprintf(g.b, "// Generated from seed %d.\n%s\n", seed, fabrics)
	return g.block(seed, patches, min(sections, max(1, patches/3)))
}

// polygon is convex, anticlockwise, in inches.
type polygon []geom.Point

// part is a section to be, and the cuts above it.
type part struct {
	name  string
	shape polygon
}

// cut is a chord that parted one region: its two sides hold the sections.
type cut struct {
	left, right []*part
	from, to    geom.Point
}

type generator struct {
	rand *rand.Rand
	b    *strings.Builder
	side float64
	cuts []cut // innermost first: the order of the joins
	all  []*part
}

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x5e3a)) }

func (g *generator) block(seed uint64, patches, sections int) string {
	fmt.Fprintf(g.b, "block \"Drift %d\" %s by %s {\n  allowance 1/4\n\n", seed, number(g.side), number(g.side))
	whole := polygon{{X: 0, Y: 0}, {X: g.side, Y: 0}, {X: g.side, Y: g.side}, {X: 0, Y: g.side}}
	g.divide(whole, sections)
	left, area := patches, whole.area()
	for i, p := range g.all {
		p.name = edit.SectionName(i)
		share := left
		if i < len(g.all)-1 {
			share = max(1, int(math.Round(float64(left)*p.shape.area()/area)))
		}
		left = max(1, left-g.section(p, min(share, left)))
		area -= p.shape.area()
	}
	for i, c := range g.cuts {
		fmt.Fprintf(g.b, "  join %s to %s\n", g.any(c.left), g.any(c.right))
		if length := c.from.Dist(c.to); length > 6 {
			at := g.along(c.from, c.to, 0.35+0.1*g.rand.Float64())
			if g.free(at) {
				fmt.Fprintf(g.b, "  notch n%d %s\n", i+1, point(at))
			}
		}
	}
	g.b.WriteString("}\n")
	return g.b.String()
}

// divide cuts a region into sections by full chords, and gives those in it.
func (g *generator) divide(region polygon, sections int) []*part {
	if sections > 1 {
		if a, b, from, to, ok := g.halve(region); ok {
			of := sections * int(100*a.area()/region.area()) / 100
			of = min(max(of, 1), sections-1)
			c := cut{g.divide(a, of), g.divide(b, sections-of), from, to}
			g.cuts = append(g.cuts, c)
			return append(append([]*part{}, c.left...), c.right...)
		}
	}
	p := &part{shape: region}
	g.all = append(g.all, p)
	return []*part{p}
}

func (g *generator) any(parts []*part) string { return parts[g.rand.IntN(len(parts))].name }

// free reports whether a place is well away from every section's corners.
func (g *generator) free(at geom.Point) bool {
	for _, p := range g.all {
		for _, corner := range p.shape {
			if corner.Dist(at) < 0.5 {
				return false
			}
		}
	}
	return true
}

// section writes a section of so many patches, or of as many as there is
// room for, and says how many.
func (g *generator) section(p *part, patches int) int {
	type piece struct {
		shape    polygon
		from, to geom.Point
	}
	var pieces []piece // from the last patch to the second
	rest := p.shape
	for len(pieces) < patches-1 {
		off, keep, from, to, ok := g.cutOff(rest)
		if !ok {
			break
		}
		pieces = append(pieces, piece{off, from, to})
		rest = keep
	}
	fmt.Fprintf(g.b, "  section %s {\n    outline %s\n", p.name, points(p.shape))
	style := g.rand.IntN(3) // all by corners, all by seams, mixed
	if style == 1 {
		fmt.Fprintf(g.b, "    patch 1 %s around %s\n", g.fabric(), point(rest.middle()))
	} else {
		fmt.Fprintf(g.b, "    patch 1 %s %s\n", g.fabric(), points(rest))
	}
	for n := 2; n <= len(pieces)+1; n++ {
		x := pieces[len(pieces)+1-n]
		if style == 1 || style == 2 && g.rand.IntN(2) == 0 {
			fmt.Fprintf(g.b, "    patch %d %s beyond %s %s\n", n, g.fabric(), point(x.from), point(x.to))
		} else {
			fmt.Fprintf(g.b, "    patch %d %s %s\n", n, g.fabric(), points(x.shape))
		}
	}
	g.b.WriteString("  }\n\n")
	return len(pieces) + 1
}

func (g *generator) fabric() string { return fabrics[g.rand.IntN(len(fabrics))] }

// halve cuts a region into two that are both large enough for a few patches.
func (g *generator) halve(region polygon) (a, b polygon, from, to geom.Point, ok bool) {
	for range 60 {
		i, j := g.rand.IntN(len(region)), g.rand.IntN(len(region))
		a, b, from, to, ok := g.chord(region, i, 0.2+0.6*g.rand.Float64(), j, 0.2+0.6*g.rand.Float64())
		if ok && a.roomy(1.2) && b.roomy(1.2) && min(a.area(), b.area()) > 0.2*region.area() {
			return a, b, from, to, true
		}
	}
	return nil, nil, from, to, false
}

// cutOff cuts one patch off a region: along one of its edges, a little
// askew, or across a corner. It gives the patch and what is left.
func (g *generator) cutOff(region polygon) (off, keep polygon, from, to geom.Point, ok bool) {
	for range 80 {
		i := g.rand.IntN(len(region))
		n := len(region)
		var a, b polygon
		if g.rand.IntN(4) == 0 { // across the corner between edges i and i+1
			a, b, from, to, ok = g.chord(region, i, 0.2+0.6*g.rand.Float64(), (i+1)%n, 0.2+0.6*g.rand.Float64())
		} else { // along edge i: from the edge before it to the one behind
			before, behind := (i+n-1)%n, (i+1)%n
			width := 0.7 + 0.8*g.rand.Float64()
			s := 1 - width/region.edge(before)
			t := (width + 0.3*(g.rand.Float64()-0.5)) / region.edge(behind)
			if s <= 0 || t >= 1 {
				continue
			}
			a, b, from, to, ok = g.chord(region, before, s, behind, t)
		}
		if !ok || !a.roomy(0.28) || !b.roomy(0.28) {
			continue
		}
		if a.area() > b.area() {
			a, b = b, a
		}
		return a, b, from, to, true
	}
	return nil, nil, from, to, false
}

// chord cuts a convex region from a place on edge i to one on edge j.
func (g *generator) chord(region polygon, i int, s float64, j int, t float64) (a, b polygon, from, to geom.Point, ok bool) {
	if i == j {
		return nil, nil, from, to, false
	}
	n := len(region)
	from, to = g.along(region[i], region[(i+1)%n], s), g.along(region[j], region[(j+1)%n], t)
	if from.Dist(to) < 0.75 {
		return nil, nil, from, to, false
	}
	one := polygon{from}
	for k := (i + 1) % n; ; k = (k + 1) % n {
		one = append(one, region[k])
		if k == j {
			break
		}
	}
	one = append(one, to)
	two := polygon{to}
	for k := (j + 1) % n; ; k = (k + 1) % n {
		two = append(two, region[k])
		if k == i {
			break
		}
	}
	two = append(two, from)
	a, aOK := one.tidy()
	b, bOK := two.tidy()
	return a, b, from, to, aOK && bOK
}

// along is a place on an edge: on the grid when the edge is upright or
// level, else to the fourth decimal. Near an end it is the end.
func (g *generator) along(p, q geom.Point, s float64) geom.Point {
	at := p.Add(q.Sub(p).Scale(s))
	step := 1e-4
	if p.X == q.X || p.Y == q.Y {
		step = 0.125
	}
	round := func(v, end float64) float64 {
		if v == end { // the edge's own coordinate
			return v
		}
		return math.Round(v/step) * step
	}
	at = geom.Point{X: round(at.X, p.X), Y: round(at.Y, p.Y)}
	for _, end := range []geom.Point{p, q} {
		if at.Dist(end) < 0.5 {
			return end
		}
	}
	return at
}

func (p polygon) edge(i int) float64 { return p[i].Dist(p[(i+1)%len(p)]) }

func (p polygon) area() float64 {
	sum := 0.0
	for i := range p {
		sum += p[i].Cross(p[(i+1)%len(p)])
	}
	return sum / 2
}

func (p polygon) middle() geom.Point {
	var m geom.Point
	for _, c := range p {
		m = m.Add(c)
	}
	m = m.Scale(1 / float64(len(p)))
	return geom.Point{X: math.Round(m.X*1000) / 1000, Y: math.Round(m.Y*1000) / 1000}
}

// roomy reports whether a circle of this radius surely fits: that of any
// convex polygon is more than its area by its girth.
func (p polygon) roomy(radius float64) bool {
	girth := 0.0
	for i := range p {
		girth += p.edge(i)
	}
	return p.area() > radius*girth
}

// tidy takes out doubled corners, and refuses shapes with short edges, sharp
// corners, or corners too flat for a straight edge to be told from a bent one.
func (p polygon) tidy() (polygon, bool) {
	var out polygon
	for i, c := range p {
		if c != p[(i+1)%len(p)] {
			out = append(out, c)
		}
	}
	if len(out) < 3 {
		return nil, false
	}
	for i := range out {
		a, b, c := out[i], out[(i+1)%len(out)], out[(i+2)%len(out)]
		if a.Dist(b) < 0.5 {
			return nil, false
		}
		u, v := a.Sub(b), c.Sub(b)
		angle := math.Abs(math.Atan2(u.Cross(v), u.Dot(v))) * 180 / math.Pi
		if angle < 22 || angle > 170 && angle < 179.9 || v.Cross(u) < 0 {
			return nil, false
		}
	}
	return out, true
}

func number(v float64) string { return geom.FormatNumber(v*geom.Inch, geom.Inches) }

func point(p geom.Point) string { return "(" + number(p.X) + ", " + number(p.Y) + ")" }

func points(ps polygon) string {
	words := make([]string, len(ps))
	for i, p := range ps {
		words[i] = point(p)
	}
	return strings.Join(words, " ")
}
