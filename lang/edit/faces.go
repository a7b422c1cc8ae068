package edit

import (
	"math"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/faces"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// faces takes the faces that the lines of a block enclose for its patches. Neighbours
// get different fabrics: those at hand first, then fabrics of the block's own. A seam that no other
// statement names is gone then: it is edges of patches now.
func (w *planWriter) faces() error {
	if len(w.b.Seams) == 0 {
		return ErrNoDrawing
	}
	var lines []geom.Segment
	for _, m := range w.b.Seams {
		if m.Broken {
			return ErrBroken
		}
		lines = append(lines, m.Line)
	}
	found, err := faces.Subdivide(lines, faces.Options{Outline: w.b.Outline, Close: w.o.Close, Along: true})
	if err != nil {
		return err
	}
	w.p.Lines = found
	if loose := w.loose(found); len(loose) > 0 {
		return LooseSeams(loose)
	}
	parts := make([]geom.Polygon, len(found.Faces))
	for i, x := range found.Faces {
		if len(x.Holes) > 0 {
			return ErrHole
		}
		parts[i] = x.Outline
	}
	colours := apart(sew.Divide(w.b.Outline, parts))
	names := w.fabricNames(slices.Max(append(colours, 0)) + 1)
	for i, part := range parts {
		corners := make([]string, len(part))
		for k, c := range part.FromLowerLeft() {
			corners[k] = Point(w.b, c)
		}
		fabric := names[colours[i]]
		w.p.Patches = append(w.p.Patches, &DrawnPatch{Fabric: fabric, Corners: part, line: fabric + " " + strings.Join(corners, " ")})
	}
	w.dropSeams()
	return nil
}

// A LooseSeam is a seam of a drawing in lines that bounds no patch, because it stops in the
// middle of one. Without it another block would be sewn than was drawn.
type LooseSeam struct {
	Seam *block.NamedSeam
	End  geom.Point // where it stops
	On   geom.Point // where it would meet a line, carried on
	Met  bool       // there is such a place
}

// LooseSeams are all those of a block.
type LooseSeams []LooseSeam

func (l LooseSeams) Error() string {
	return "the seam " + l[0].Seam.Name + " stops without meeting another"
}

// loose are the seams that would be gone without trace. One that another statement names stays
// in the file, and may be there for that alone.
func (w *planWriter) loose(found *faces.Subdivision) (out []LooseSeam) {
	for _, m := range w.b.Seams {
		if end, is := w.looseEnd(found, m); is {
			on, met := w.ahead(found, end)
			out = append(out, LooseSeam{Seam: m, End: end.B, On: on, Met: met})
		}
	}
	return out
}

// looseEnd is a seam that no edge lies on, directed to an end that lies in the block and on
// nothing.
func (w *planWriter) looseEnd(found *faces.Subdivision, m *block.NamedSeam) (geom.Segment, bool) {
	within := max(w.o.Close, geom.Hair)
	if m.Item == nil || w.named(m) || slices.ContainsFunc(found.Edges, func(e [2]int) bool {
		s := geom.Segment{A: found.Points[e[0]], B: found.Points[e[1]]}
		return m.Line.Dist(s.A) <= within && m.Line.Dist(s.B) <= within && math.Abs(s.Dir().Dot(m.Line.Dir())) > 0.9
	}) {
		return geom.Segment{}, false
	}
	for _, s := range found.Strays {
		for _, line := range []geom.Segment{m.Line.Reverse(), m.Line} {
			if line.B.Dist(s.From) <= within && w.b.Outline.Contains(line.B) == geom.Inside {
				return line, true
			}
		}
	}
	return geom.Segment{}, false
}

// ahead is where a line first meets an edge, carried on over its second end.
func (w *planWriter) ahead(found *faces.Subdivision, line geom.Segment) (at geom.Point, met bool) {
	for _, e := range found.Edges {
		edge := geom.Segment{A: found.Points[e[0]], B: found.Points[e[1]]}
		p, ok := geom.MeetLines(line, edge)
		if ok && edge.Dist(p) <= geom.Hair && p.Sub(line.B).Dot(line.Dir()) > 0 && (!met || p.Dist(line.B) < at.Dist(line.B)) {
			at, met = p, true
		}
	}
	return at, met
}

func (w *planWriter) named(m *block.NamedSeam) bool {
	return w.f.Used(&m.Named)
}

// dropSeams takes out the seams that nothing names. What a comment says at the end of
// one is kept.
func (w *planWriter) dropSeams() {
	for _, m := range w.b.Seams {
		if m.Item == nil || w.named(m) {
			continue
		}
		w.gone[m.Item] = true
		if c := m.Item.Comment; c.Len() > 0 {
			w.keep = append(w.keep, w.text[c.Start:c.End])
		}
	}
}

// apart gives every part a number that none of its neighbours has.
func apart(d *sew.Division) []int {
	out := make([]int, d.Parts())
	for k := range out {
		taken := map[int]bool{}
		for _, q := range d.Neighbours(k) {
			if q < k {
				taken[out[q]] = true
			}
		}
		for taken[out[k]] {
			out[k]++
		}
	}
	return out
}

// values are the trade's words for fabrics that are not chosen yet.
var values = [][2]string{{"light", "#efe6d2"}, {"medium", "#9fb3bd"}, {"dark", "#3d5a6e"}, {"accent", "#c9704f"}, {"pale", "#dfe7ea"}, {"deep", "#22313c"}}

// fabricNames are so many fabrics: those that the block can use, and then new ones.
func (w *planWriter) fabricNames(n int) []string {
	var names []string
	taken := map[string]bool{}
	add := func(list []*block.Fabric) {
		for _, x := range list {
			if !taken[x.Name] {
				taken[x.Name] = true
				names = append(names, x.Name)
			}
		}
	}
	add(w.b.Fabrics)
	add(w.f.Fabrics)
	for _, u := range w.f.Uses {
		if u.File != nil {
			add(u.File.Fabrics)
		}
	}
	for i := 0; len(names) < n; i++ {
		v := values[i%len(values)]
		name := FreeName(v[0], func(name string) bool { return taken[name] || syntax.IsReserved(name) })
		taken[name] = true
		names = append(names, name)
		w.fabrics = append(w.fabrics, "fabric "+name+" "+v[1])
	}
	return names
}
