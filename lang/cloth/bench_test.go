package cloth

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"sewable/lang/block"
	"sewable/lang/syntax"
)

// largeSetting is a setting of n different blocks of 40 patches: five
// log cabins of eight patches in each, in twelve fabrics.
func largeSetting(n int) string {
	r := rand.New(rand.NewPCG(40, 400))
	var s strings.Builder
	for i := range 12 {
		fmt.Fprintf(&s, "fabric f%d width 42\n", i)
	}
	s.WriteString("allowance 1/4\n")
	var fill []string
	for i := range n {
		fmt.Fprintf(&s, "block \"B%d\" 10 by 10 {\n", i)
		for k := range 5 {
			y := float64(2 * k)
			cut := func() float64 { return float64(1+r.IntN(6)) / 16 }
			x1, x2, y1, y2 := 0.5+cut(), 9.5-cut(), y+0.25+cut()/4, y+1.75-cut()/4
			fmt.Fprintf(&s, " section S%c {\n  outline (0, %g) (10, %g) (10, %g) (0, %g)\n", 'a'+k, y, y, y+2, y+2)
			f := func() int { return r.IntN(12) }
			fmt.Fprintf(&s, "  patch 1 f%d around (5, %g)\n", f(), y+1)
			for p, l := range [][4]float64{
				{3, y, 3.25, y + 2}, {7, y, 6.75, y + 2}, {x1 + 1, y, x1 + 1, y + 2}, {x2 - 1, y, x2 - 1, y + 2},
				{x1, y, x1, y + 2}, {0, y1, 10, y1}, {0, y2, 10, y2 - 0.125},
			} {
				fmt.Fprintf(&s, "  patch %d f%d beyond (%g, %g) (%g, %g)\n", p+2, f(), l[0], l[1], l[2], l[3])
			}
			s.WriteString(" }\n")
		}
		s.WriteString(" join Sa to Sb\n join Sb to Sc\n join Sc to Sd\n join Sd to Se\n}\n")
		fill = append(fill, fmt.Sprintf("%q", fmt.Sprintf("B%d", i)))
	}
	fmt.Fprintf(&s, "setting \"Large\" {\n rows 20\n columns %d\n fill %s\n sashing 1 f0\n cornerstone f1\n border 3 f2\n binding cut 5/2 f3\n backing f4\n}\n", n/20, strings.Join(fill, ", "))
	return s.String()
}

// The cut list and yardage of a setting of 400 different blocks of 40 patches,
// from the model on.
func BenchmarkSetting400(b *testing.B) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText(b.TempDir()+"/large.block", largeSetting(400))
	if len(f.Problems) > 0 || len(f.Tree.Errors) > 0 || len(f.Settings) != 1 {
		b.Fatal(f.Problems, f.Tree.Errors)
	}
	var used, bound float64
	pieces := 0
	for b.Loop() {
		q, err := QuiltOf(f.Settings[0])
		if err != nil {
			b.Fatal(err)
		}
		l, err := NewList(Order{Kits: 1, Quilts: []*Quilt{q}}, usualHow())
		if err != nil {
			b.Fatal(err)
		}
		used, bound, pieces = 0, 0, 0
		for _, f := range l.Fabrics {
			used += f.Used
			bound += f.Bound
			for _, p := range f.Pieces {
				pieces += p.Count
			}
		}
	}
	b.ReportMetric(float64(pieces), "pieces")
	b.ReportMetric(100*(used/bound-1), "%waste")
}

// Everything an editor shows of one patch.
func BenchmarkPlace(b *testing.B) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText(b.TempDir()+"/large.block", largeSetting(20))
	p := f.Blocks[0].Sections[0].Patches[2]
	seam := Sewn(LongestEdge(p.Corners))
	for b.Loop() {
		piece, _ := Place(p, seam, Placed{}, usual)
		piece.Ways()
	}
}
