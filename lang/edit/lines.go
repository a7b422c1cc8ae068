package edit

import (
	"fmt"

	"sewable/lang/block"
	"sewable/lang/faces"
	"sewable/lang/geom"
)

// Lined is what the lines of a block enclose.
type Lined struct {
	// Patches are loose patches, from the lower left row by row, all of Fabric: lines do not
	// say of what they are. Outlines are as the lines give them, so they have a
	// corner only where the outline turns.
	Patches []*block.Patch
	// Fabric is the file's own when it has but one, or has one called plain;
	// else it is called plain and still to be declared (New).
	Fabric *block.Fabric
	New    bool

	Closed []faces.Closing // ends that were closed
	Strays []faces.Stray   // lines that enclose nothing
	Rings  []*block.Patch  // patches that go round another: no patch has a hole
	Beyond []geom.Polygon  // what lies outside the block, left out
}

// Lines makes patches of a block that is drawn as lines only: its seams and its
// outline. Ends that are less than a distance (in hairs) apart are closed. The block
// is not changed.
//
// It fails where the lines cross each other too often, and for a block that has
// patches already.
func Lines(b *block.Block, within float64) (*Lined, error) {
	if len(b.Loose) > 0 || len(b.Sections) > 0 {
		return nil, fmt.Errorf("block %q has patches already", b.Name)
	}
	var lines []geom.Segment
	for _, s := range b.Seams {
		if !s.Broken {
			lines = append(lines, s.Line)
		}
	}
	outline := b.Outline
	if len(outline) < 3 {
		outline = geom.Box{Max: geom.Point{X: b.Width.Float64(), Y: b.Height.Float64()}}.Polygon()
	}
	s, err := faces.Subdivide(lines, faces.Options{Outline: outline, Close: within})
	if err != nil {
		return nil, fmt.Errorf("block %q: %w", b.Name, err)
	}
	l := &Lined{Closed: s.Closed, Strays: s.Strays, Beyond: s.Outside}
	l.Fabric, l.New = plainFabric(b)
	for _, f := range s.Faces {
		p := &block.Patch{Fabric: l.Fabric, Corners: f.Outline, At: b.At}
		l.Patches = append(l.Patches, p)
		if len(f.Holes) > 0 {
			l.Rings = append(l.Rings, p)
		}
	}
	return l, nil
}

// plainFabric is the fabric for patches of which nothing is said, and whether
// it is still to be declared.
func plainFabric(b *block.Block) (*block.Fabric, bool) {
	const plain = "plain"
	fabrics := append(b.Fabrics[:len(b.Fabrics):len(b.Fabrics)], b.File.Fabrics...)
	for _, use := range b.File.Uses {
		if use.File != nil {
			fabrics = append(fabrics, use.File.Fabrics...)
		}
	}
	taken := make(map[string]bool)
	for _, f := range fabrics {
		if f.Name == plain || len(fabrics) == 1 {
			return f, false
		}
		taken[f.Name] = true
	}
	name := FreeName(plain, func(s string) bool { return taken[s] })
	return &block.Fabric{Named: block.Named{Kind: block.KindFabric, Name: name}}, true
}
