package faces

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

const none = -1

// trace takes the loose ends off, follows every edge round the face on its
// left, and gives the faces.
func (g *graph) trace(outlined bool) *Subdivision {
	s := &Subdivision{Points: g.at}
	s.Strays = g.prune()
	c := g.cycles()
	if bridges := c.bridges(); len(bridges) > 0 {
		s.Strays = append(s.Strays, g.takeBridges(bridges)...)
		c = g.cycles()
	}
	c.place()
	inside := c.inside(outlined)
	s.Parts = c.parts
	s.Edges = make([][2]int, len(g.edges))
	for i, e := range g.edges {
		s.Edges[i] = [2]int{int(e.a), int(e.b)}
	}
	faceOf := make([]int, len(c.start))
	for i := range c.start {
		faceOf[i] = none
		if c.area[i] <= 0 {
			continue
		}
		ring, holes := c.rings(int32(i))
		if !inside[i] {
			s.Outside = append(s.Outside, s.Polygon(ring))
			continue
		}
		f := Face{Ring: ring, Holes: holes, Area: c.area[i]}
		if f.Outline = s.Polygon(ring).Straighten(); f.Outline == nil {
			f.Outline = s.Polygon(ring)
		}
		faceOf[i] = len(s.Faces)
		s.Faces = append(s.Faces, f)
	}
	for i, around := range c.into {
		if around != none && c.area[i] <= 0 && faceOf[around] != none {
			f := &s.Faces[faceOf[around]]
			f.Holes = append(f.Holes, c.loops(int32(i))...) // several where parts of it touch in a corner
			f.Area += c.area[i]
		}
	}
	slices.SortStableFunc(s.Faces, func(a, b Face) int {
		p, q := s.Points[a.Ring[0]], s.Points[b.Ring[0]]
		return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(p.X, q.X), cmp.Compare(a.Ring[1], b.Ring[1]))
	})
	return s
}

// prune takes off chains of edges that end in nothing, from the loose end to
// the first corner where anything else goes on.
func (g *graph) prune() (strays []Stray) {
	around := make([][]int32, len(g.at))
	for i, e := range g.edges {
		around[e.a] = append(around[e.a], int32(i))
		around[e.b] = append(around[e.b], int32(i))
	}
	gone := make([]bool, len(g.edges))
	for v := range around {
		if len(around[v]) != 1 {
			continue
		}
		stray := Stray{From: g.at[v]}
		at := int32(v)
		for len(around[at]) == 1 {
			i := around[at][0]
			to := g.edges[i].a + g.edges[i].b - at
			gone[i] = true
			around[at] = nil
			around[to] = slices.DeleteFunc(around[to], func(j int32) bool { return j == i })
			stray.Length += g.at[at].Dist(g.at[to])
			at = to
		}
		stray.To = g.at[at]
		strays = append(strays, stray)
	}
	g.keep(func(i int) bool { return !gone[i] })
	return strays
}

func (g *graph) keep(which func(i int) bool) {
	kept := g.edges[:0]
	for i, e := range g.edges {
		if which(i) {
			kept = append(kept, e)
		}
	}
	g.edges = kept
}

// takeBridges takes off edges that have one face on both sides, and tells of each
// chain of them.
func (g *graph) takeBridges(bridges []bool) (strays []Stray) {
	around := make(map[int32][]int32)
	busy := make(map[int32]bool) // corners where something else meets them
	for i, e := range g.edges {
		if bridges[i] {
			around[e.a] = append(around[e.a], int32(i))
			around[e.b] = append(around[e.b], int32(i))
		} else {
			busy[e.a], busy[e.b] = true, true
		}
	}
	ends := func(v int32) bool { return busy[v] || len(around[v]) != 2 }
	told := make([]bool, len(g.edges))
	for i, e := range g.edges {
		if !bridges[i] || told[i] || !ends(e.a) && !ends(e.b) {
			continue
		}
		from := e.a
		if !ends(from) {
			from = e.b
		}
		stray := Stray{From: g.at[from], Bridge: true}
		for at, next := from, int32(i); ; {
			told[next] = true
			to := g.edges[next].a + g.edges[next].b - at
			stray.Length += g.at[at].Dist(g.at[to])
			at = to
			if ends(at) {
				stray.To = g.at[at]
				break
			}
			next = around[at][0] + around[at][1] - next
		}
		strays = append(strays, stray)
	}
	g.keep(func(i int) bool { return !bridges[i] })
	return strays
}

// cycles are the ways round the faces. Dart 2e runs along edge e from a to b,
// dart 2e+1 back; each dart has its face on the left.
type cycles struct {
	g     *graph
	next  []int32   // the dart that follows on the face
	of    []int32   // the cycle of a dart
	start []int32   // a dart of each cycle
	area  []float64 // negative for the way round the outside of something
	into  []int32   // the face that an outside cycle lies in; none in the plane
	part  []int32   // the part, of those that hang together, of a cycle
	parts int
}

func (c *cycles) origin(d int32) int32 {
	if d&1 == 0 {
		return c.g.edges[d>>1].a
	}
	return c.g.edges[d>>1].b
}

func (c *cycles) from(d int32) geom.Point { return c.g.at[c.origin(d)] }

func (g *graph) cycles() *cycles {
	n := 2 * len(g.edges)
	c := &cycles{g: g, next: make([]int32, n), of: make([]int32, n)}
	// The darts by the corner they leave and their direction.
	type spoke struct {
		angle float64
		at    int32
		dart  int32
	}
	spokes := make([]spoke, n)
	for i := range spokes {
		d := int32(i)
		v := c.from(d ^ 1).Sub(c.from(d))
		spokes[i] = spoke{math.Atan2(v.Y, v.X), c.origin(d), d}
	}
	slices.SortFunc(spokes, func(p, q spoke) int {
		return cmp.Or(cmp.Compare(p.at, q.at), cmp.Compare(p.angle, q.angle), cmp.Compare(p.dart, q.dart))
	})
	for i := 0; i < n; {
		j := i
		for j < n && spokes[j].at == spokes[i].at {
			j++
		}
		for k := i; k < j; k++ {
			before := k - 1
			if k == i {
				before = j - 1
			}
			c.next[spokes[k].dart^1] = spokes[before].dart
		}
		i = j
	}
	for i := range c.of {
		c.of[i] = none
	}
	for d := range int32(n) {
		if c.of[d] != none {
			continue
		}
		k := int32(len(c.start))
		sum := 0.0
		base := c.from(d)
		for e := d; c.of[e] == none; e = c.next[e] {
			c.of[e] = k
			sum += c.from(e).Sub(base).Cross(c.from(e ^ 1).Sub(base))
		}
		c.start = append(c.start, d)
		c.area = append(c.area, sum/2)
	}
	return c
}

// bridges are the edges with one face on both sides.
func (c *cycles) bridges() []bool {
	var out []bool
	for i := range c.g.edges {
		if c.of[2*i] == c.of[2*i+1] {
			if out == nil {
				out = make([]bool, len(c.g.edges))
			}
			out[i] = true
		}
	}
	return out
}
