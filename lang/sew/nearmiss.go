package sew

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"sync"

	"sewable/lang/geom"
	"sewable/lang/memo"
)

// NearMisses gives the corners that lie a hair or more, but less than limit (in
// hairs), from another corner or from an edge. Of two corners one moves, once, onto its
// nearest: the one that is not on the outline, else the one that fewer parts have as a corner, else the one
// that fewer meet at, else the one typed later. A corner that almost meets another is not reported for edges, nor one that will
// lie on an edge when the edge's own end is moved. Flawed divisions are looked at too: a near
// miss is often the reason.
func (d *Division) NearMisses(limit float64) []NearMiss {
	type within float64
	return slices.Clone(memo.Of(&d.facts, within(limit), func() []NearMiss { return d.nearMisses(limit) }))
}

func (d *Division) nearMisses(limit float64) []NearMiss {
	type miss struct {
		dist float64
		onto int32 // corner, or none
		even bool
		edge geom.Segment
		ends [2]int32
		of   [2]int // the parts that have the edge; nobody where there is none
	}
	const nobody = -2
	claims := sync.OnceValue(d.claims) // most divisions have no corners that almost meet
	found := map[int32]miss{}
	note := func(v int32, m miss) {
		old, ok := found[v]
		better := !ok || old.onto == none && m.onto != none ||
			(old.onto == none) == (m.onto == none) && m.dist < old.dist
		if better && m.dist >= geom.Hair && m.dist < limit {
			found[v] = m
		}
	}
	pair := func(u, v int32) {
		dist := d.points[u].Dist(d.points[v])
		if dist < geom.Hair || dist >= limit {
			return
		}
		stays, moves := min(u, v), max(u, v)
		claim := claims()(moves) - claims()(stays)
		if claim > 0 || claim == 0 && len(d.leaving(moves)) > len(d.leaving(stays)) {
			stays, moves = moves, stays
		}
		note(moves, miss{dist: dist, onto: stays, even: claim == 0})
	}
	corners := newIndex(d.points)
	var near []int32
	look := func(u, v int32, of [2]int) {
		s := geom.Segment{A: d.points[u], B: d.points[v]}
		pair(u, v)
		near = corners.near(near[:0], s, limit)
		for _, w := range near {
			p := d.points[w]
			if w == u || w == v {
				continue
			}
			du, dv := p.Dist(s.A), p.Dist(s.B)
			switch {
			case du < limit && du <= dv:
				pair(u, w)
			case dv < limit:
				pair(v, w)
			default:
				// A corner within a hair of an edge lies on it already.
				if dist := s.Dist(p); dist > geom.Hair {
					note(w, miss{dist: dist, onto: none, edge: s, ends: [2]int32{u, v}, of: of})
				}
			}
		}
	}
	for h := range d.halves {
		e := d.halves[h]
		switch {
		case e.twin == none:
			look(e.from, d.to(int32(h)), [2]int{int(e.part), nobody})
		case int32(h) < e.twin:
			look(e.from, d.to(int32(h)), [2]int{int(e.part), int(d.halves[e.twin].part)})
		}
	}
	if d.Flawed() { // else the outline's edges are edges of parts
		ring := d.typed[:d.typedAt[1]]
		for i, u := range ring {
			if v := ring[(i+1)%len(ring)]; u != v && u != none && v != none {
				look(u, v, [2]int{-1, nobody})
			}
		}
	}
	moved := func(v int32) geom.Point {
		if m, ok := found[v]; ok && m.onto != none {
			return d.points[m.onto]
		}
		return d.points[v]
	}
	for v, m := range found {
		if m.onto == none && (geom.Segment{A: moved(m.ends[0]), B: moved(m.ends[1])}).Dist(d.points[v]) <= geom.Hair {
			delete(found, v)
		}
	}
	if len(found) == 0 {
		return nil
	}
	at := map[int32][]CornerRef{}
	for v, m := range found {
		at[v] = nil
		if m.onto != none {
			at[m.onto] = nil
		}
	}
	for g := range len(d.typedAt) - 1 {
		for i, v := range d.typed[d.typedAt[g]:d.typedAt[g+1]] {
			if refs, ok := at[v]; ok {
				at[v] = append(refs, CornerRef{g - 1, i})
			}
		}
	}
	var misses []NearMiss
	for v, m := range found {
		n := NearMiss{Corners: at[v], From: d.points[v], Dist: m.dist, even: m.even}
		if m.onto != none {
			n.Onto, n.To = at[m.onto], d.points[m.onto]
		} else {
			n.Edge, n.To = m.edge, m.edge.At(m.edge.Nearest(n.From))
			n.EdgeOf = slices.DeleteFunc(m.of[:], func(part int) bool { return part == nobody })
		}
		misses = append(misses, n)
	}
	slices.SortFunc(misses, func(a, b NearMiss) int {
		return cmp.Or(cmp.Compare(a.Corners[0].Part, b.Corners[0].Part), cmp.Compare(a.Corners[0].Index, b.Corners[0].Index))
	})
	return misses
}

// claims gives how firmly a corner has its place: as a corner of the outline, on an edge of it, then by
// how many parts have it as a corner.
func (d *Division) claims() func(v int32) int {
	of := make([]int, len(d.points)) // how many parts have a corner
	for _, u := range d.typed[d.typedAt[1]:] {
		if u != none {
			of[u]++
		}
	}
	ring := d.typed[:d.typedAt[1]]
	outer := map[int32]bool{}
	for _, u := range ring {
		outer[u] = true
	}
	return func(v int32) int {
		if outer[v] {
			return of[v] + 2*len(d.typed)
		}
		for i, u := range ring {
			if w := ring[(i+1)%len(ring)]; u != none && w != none && (geom.Segment{A: d.points[u], B: d.points[w]}).Dist(d.points[v]) <= geom.Hair {
				return of[v] + len(d.typed)
			}
		}
		return of[v]
	}
}

// turned is the same near miss with the other corner moved.
func (m NearMiss) turned() NearMiss {
	m.Corners, m.Onto, m.From, m.To = m.Onto, m.Corners, m.To, m.From
	return m
}

// Explained reports whether a flaw comes of near misses: it is no wider than they are, and one of them is
// beside it. Then the near miss is what has to be fixed.
func Explained(flaw Flaw, misses []NearMiss, limit float64) bool {
	for range explaining(flaw, misses, limit) {
		return true
	}
	return false
}

// explaining goes through those near misses that a flaw comes of, by their place in the list.
func explaining(flaw Flaw, misses []NearMiss, limit float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		nowhere := len(flaw.Where) == 0
		if len(misses) == 0 || nowhere && flaw.Kind != Gap || !nowhere && wide(flaw.Where, limit) {
			return
		}
		beside := func(m NearMiss) bool {
			for i := range flaw.Where {
				if edge := flaw.Where.Edge(i); edge.Dist(m.From) <= limit || edge.Dist(m.To) <= limit {
					return true
				}
			}
			return nowhere // the parts do not hang together, which has no place
		}
		for i, m := range misses {
			if beside(m) && !yield(i) {
				return
			}
		}
	}
}

// wide reports whether a circle of that diameter fits in a shape with room to spare. No point of a shape is
// further from its edge than its widest circle reaches, so the area is at most that reach along all of
// the edge: what is larger needs no search.
func wide(shape geom.Polygon, limit float64) bool {
	around := 0.0
	for i := range shape {
		around += shape.Edge(i).Len()
	}
	return math.Abs(shape.Area()) > limit/2*around || 2*geom.InscribedCircle(shape).R > limit
}
