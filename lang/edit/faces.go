package edit

import (
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
	found, err := faces.Subdivide(lines, faces.Options{Outline: w.b.Outline, Close: w.o.Close})
	if err != nil {
		return err
	}
	w.p.Lines = found
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
		for k, c := range fromLowerLeft(part) {
			corners[k] = Point(w.b, c)
		}
		fabric := names[colours[i]]
		w.p.Patches = append(w.p.Patches, &DrawnPatch{Fabric: fabric, Corners: part, line: fabric + " " + strings.Join(corners, " ")})
	}
	w.dropSeams()
	return nil
}

// dropSeams takes out the seams that nothing names. What a comment says at the end of
// one is kept.
func (w *planWriter) dropSeams() {
	for _, m := range w.b.Seams {
		named := slices.ContainsFunc(w.f.References, func(r block.Reference) bool { return r.To == &m.Named })
		if named || m.Item == nil {
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
