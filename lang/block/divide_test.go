package block

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// divided is a block of one statement a line, with patches by a point: "A (1, 1) beyond ridge".
func divided(t *testing.T, size, lines string) *File {
	var b strings.Builder
	fmt.Fprintf(&b, "fabric sky\nblock \"B\" %s {\n", size)
	for line := range strings.Lines(lines) {
		line = strings.TrimSpace(line)
		name, rest, _ := strings.Cut(line, " ")
		if len(name) == 1 && name >= "A" && name <= "Z" {
			point, beyond, _ := strings.Cut(rest, " beyond ")
			if beyond != "" {
				name += " beyond " + beyond
			}
			line = "section " + name + " {\n patch 1 sky around " + point + "\n}"
		}
		b.WriteString(line + "\n")
	}
	b.WriteString("}\n")
	return NewLoader(syntax.NewReader(), nil).OpenText("x.block", b.String())
}

// The arrangements that were worked out by hand: each section with its corners.
func TestArrangements(t *testing.T) {
	for _, x := range []struct{ name, size, lines, want string }{
		{"one section needs no outline", "6 by 4", "A (1, 1)", "A (0, 0) (6, 0) (6, 4) (0, 4)"},
		{"two by two", "4 by 4", `seam v from (2, 0) to (2, 4)
			seam h from (0, 2) to (4, 2)
			A (1, 3)
			B (3, 3) beyond v
			C (1, 1) beyond h
			D (3, 1) beyond v, h`,
			"A (0, 2) (2, 2) (2, 4) (0, 4); B (2, 2) (4, 2) (4, 4) (2, 4); C (0, 0) (2, 0) (2, 2) (0, 2); D (2, 0) (4, 0) (4, 2) (2, 2)"},
		{"two by two, each from the other side", "4 by 4", `seam v from (2, 4) to (2, 0)
			seam h from (4, 2) to (0, 2)
			A (1, 3)
			B (3, 3) beyond (2, 3) (2, 2 1/2)
			C (1, 1) beyond (0, 2) (1, 2)
			D (3, 1) beyond h, v`,
			"A (0, 2) (2, 2) (2, 4) (0, 4); B (2, 2) (4, 2) (4, 4) (2, 4); C (0, 0) (2, 0) (2, 2) (0, 2); D (2, 0) (4, 0) (4, 2) (2, 2)"},
		{"a pinwheel with a center, which is left", "3 by 3", `seam low from (0, 1) to (2, 1)
			seam right from (2, 0) to (2, 2)
			seam high from (1, 2) to (3, 2)
			seam left from (1, 1) to (1, 3)
			E (1 1/2, 1 1/2)
			A (1, 1/2) beyond low
			B (2 1/2, 1) beyond right
			C (2, 2 1/2) beyond high
			D (1/2, 2) beyond left, low`,
			"E (1, 1) (2, 1) (2, 2) (1, 2); A (0, 0) (2, 0) (2, 1) (0, 1); B (2, 0) (3, 0) (3, 2) (2, 2); C (1, 2) (3, 2) (3, 3) (1, 3); D (0, 1) (1, 1) (1, 3) (0, 3)"},
		{"an island strip, named by both its edges", "6 by 4", `seam l from (2, 0) to (2, 4)
			seam r from (4, 0) to (4, 4)
			A (1, 1) beyond l
			B (5, 1) beyond r
			C (3, 1) beyond l, r`,
			"A (0, 0) (2, 0) (2, 4) (0, 4); B (4, 0) (6, 0) (6, 4) (4, 4); C (2, 0) (4, 0) (4, 4) (2, 4)"},
		{"a middle strip typed last, and a level line through both sides", "6 by 4", `seam l from (2, 0) to (2, 4)
			seam r from (4, 0) to (4, 4)
			seam h from (0, 1) to (6, 1)
			A (1, 2) beyond l
			B (1, 1/2) beyond h
			C (5, 2) beyond r
			D (5, 1/2) beyond h
			E (3, 1) beyond l, r`,
			"A (0, 1) (2, 1) (2, 4) (0, 4); B (0, 0) (2, 0) (2, 1) (0, 1); C (4, 1) (6, 1) (6, 4) (4, 4); D (4, 0) (6, 0) (6, 1) (4, 1); E (2, 0) (4, 0) (4, 4) (2, 4)"},
		{"two sections on one side of a slanted line", "6 by 6", `seam slant from (2, 0) to (4, 6)
			seam h from (3, 3) to (6, 3)
			A (1, 1)
			B (5, 5) beyond slant
			C (5, 1) beyond slant, h`,
			"A (0, 0) (2, 0) (4, 6) (0, 6); B (3, 3) (6, 3) (6, 6) (4, 6); C (2, 0) (6, 0) (6, 3) (3, 3)"},
		{"turned copies with lines", "4 by 4", `point hub = (2, 2)
			seam v from (2, 0) to (2, 4)
			seam h from (0, 2) to (4, 2)
			A (3, 3)
			section B beyond v = A turned 90 about hub
			section C beyond h, v = B turned 90 about hub
			section D beyond v, h = A turned 270 about hub`,
			"A (2, 2) (4, 2) (4, 4) (2, 4); B (0, 2) (2, 2) (2, 4) (0, 4); C (0, 0) (2, 0) (2, 2) (0, 2); D (2, 0) (4, 0) (4, 2) (2, 2)"},
		{"copies without lines of what stands below them", "4 by 4", `section B = A moved (0, 2)
			section C = A moved (2, 0)
			section D = C moved (0, 2)
			A (1, 1) beyond (2, 0) (2, 4), (0, 2) (4, 2)`,
			"B (0, 2) (2, 2) (2, 4) (0, 4); C (2, 0) (4, 0) (4, 2) (2, 2); D (2, 2) (4, 2) (4, 4) (2, 4); A (0, 0) (2, 0) (2, 2) (0, 2)"},
		{"corners and an outline, in the way of what is left", "4 by 4", `A (3, 3)
			section B {
			outline (0, 0) (4, 0) (4, 1) (0, 1)
			patch 1 sky around (1, 1/2)
			}
			section C {
			patch 1 sky (0, 1) (2, 1) (2, 2) (0, 2)
			patch 2 sky (0, 2) (2, 2) (2, 4) (0, 4)
			}`,
			"A (2, 1) (4, 1) (4, 4) (2, 4); B (0, 0) (4, 0) (4, 1) (0, 1)"},
		{"a line along an edge changes nothing", "4 by 4", `A (1, 3)
			B (1, 1) beyond (0, 2) (4, 2), (0, 0) (1, 0), (4, 0) (4, 1)`,
			"A (0, 2) (4, 2) (4, 4) (0, 4); B (0, 0) (4, 0) (4, 2) (0, 2)"},
	} {
		t.Run(x.name, func(t *testing.T) {
			f := divided(t, x.size, x.lines)
			require.Empty(t, f.Tree.Errors)
			require.Empty(t, f.Problems)
			require.False(t, f.Blocks[0].Broken)
			for want := range strings.SplitSeq(x.want, "; ") {
				name, corners, _ := strings.Cut(want, " ")
				s := section(t, f, name)
				assert.Equal(t, corners, cornersOf(s.Outline), name)
				assert.Equal(t, corners, cornersOf(s.Patches[0].Corners), name)
				assert.False(t, s.Broken)
			}
		})
	}
}

func cornersOf(p geom.Polygon) string {
	var words []string
	for _, c := range p.CCW().FromLowerLeft() {
		words = append(words, geom.FormatPoint(c, geom.Inches))
	}
	return strings.Join(words, " ")
}

// Three strips in every order, each with the lines of its edges.
func TestStripsInEveryOrder(t *testing.T) {
	strips := []struct{ name, point, lines, corners string }{
		{"A", "(1, 1)", "l", "(0, 0) (2, 0) (2, 4) (0, 4)"},
		{"B", "(3, 1)", "l, r", "(2, 0) (4, 0) (4, 4) (2, 4)"},
		{"C", "(5, 1)", "r", "(4, 0) (6, 0) (6, 4) (4, 4)"},
	}
	for _, order := range [][]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
		for bare := range 4 { // one of them may be what the others leave
			lines := "seam l from (2, 0) to (2, 4)\nseam r from (4, 4) to (4, 0)\n"
			for _, i := range order {
				lines += strips[i].name + " " + strips[i].point
				if i != bare {
					lines += " beyond " + strips[i].lines
				}
				lines += "\n"
			}
			f := divided(t, "6 by 4", lines)
			require.Empty(t, f.Problems, lines)
			for _, s := range strips {
				assert.Equal(t, s.corners, cornersOf(section(t, f, s.name).Outline), lines)
			}
		}
	}
}

// What is wrong is said where it is.
func TestUnclearSections(t *testing.T) {
	for _, x := range []struct {
		name, lines string
		cause       Cause
		at          string
	}{
		{"misses", "A (1, 3)\nB (1, 1) beyond (0, 5) (4, 5)", Misses, "(0, 5) (4, 5)"},
		{"misses in its piece alone", "A (1, 3)\nB (1, 1) beyond (0, 3) (4, 3)\nC (2, 2) beyond (0, 1 1/2) (4, 1 1/2), (0, 2 1/2) (4, 2 1/2)", Misses, "(0, 3) (4, 3)"},
		{"through its own first patch", "A (1, 3)\nB (1, 1) beyond (0, 1) (4, 1)", CutsFirst, "(0, 1) (4, 1)"},
		{"through its own first patch by corners", "A (1, 3)\nsection B beyond (0, 1) (4, 1) {\npatch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)\n}", CutsFirst, "(0, 1) (4, 1)"},
		{"two chords", "A (2, 1/2)\nsection B {\npatch 1 sky (1, 1) (3, 1) (3, 4) (1, 4)\n}", 0, ""},
		{"two chords of one line", "A (1/2, 2)\nC (2, 1/2) beyond (-2, 2) (-1, 2)\nsection B {\npatch 1 sky (1, 1) (3, 1) (3, 4) (1, 4)\n}", TwoChords, "(-2, 2) (-1, 2)"},
		{"one of two chords", "A (1/2, 3)\nC (2, 1/2) beyond (0, 2) (1/2, 2)\nsection B {\npatch 1 sky (1, 1) (3, 1) (3, 4) (1, 4)\n}", 0, ""},
		{"two that are what the others leave", "A (1, 3)\nB (1, 1)\nC (3, 1) beyond (2, 0) (2, 4)", TwoWithout, "B"},
		{"a piece that none takes", "A (1, 3) beyond (0, 2) (4, 2)\nB (1, 1) beyond (0, 2) (4, 2), (2, 0) (2, 2)", Untaken, "A"},
		{"the rest in two pieces", "A (1/2, 3)\nB (2, 1) beyond (1, 0) (1, 4), (3, 0) (3, 4)", Untaken, "B"},
		{"an outline and lines", "A (1, 3)\nsection B beyond (0, 2) (4, 2) {\noutline (0, 0) (4, 0) (4, 2) (0, 2)\npatch 1 sky around (1, 1)\n}", OutlineAndLines, "outline (0, 0) (4, 0) (4, 2) (0, 2)"},
		{"a copy of another shape", "A (1, 3)\nsection B beyond (0, 1) (4, 1) = A moved (0, -2 1/2)", Unequal, "(0, 1) (4, 1)"},
		{"its first patch elsewhere", "A (1, 3)\nB (5, 1) beyond (0, 2) (4, 2)", FirstOutside, "B"},
		{"its first patch in another section", "A (1, 3)\nB (1, 1) beyond (0, 2) (4, 2)\nC (1, 1/2) beyond (0, 1 1/2) (4, 1 1/2)", FirstOutside, "B"},
		{"what is left has not its first patch", "A (1, 1/2)\nB (1, 1) beyond (0, 2) (4, 2)", FirstOutside, "A"},
		{"an outline outside", "A (1, 3)\nsection B {\noutline (0, 0) (5, 0) (5, 2) (0, 2)\npatch 1 sky around (1, 1)\n}", NotInRest, "B"},
		{"an outline over another", "A (1, 3)\nsection B {\noutline (0, 0) (4, 0) (4, 2) (0, 2)\npatch 1 sky around (1, 1)\n}\nC (1, 1/2) beyond (0, 1) (4, 1)", NotInRest, "B"},
		{"an island by lines", "A (1/2, 1/2)\nB (2, 2) beyond (1, 0) (1, 4), (3, 0) (3, 4), (0, 1) (4, 1), (0, 3) (4, 3)", LeavesHole, "(1, 0) (1, 4), (3, 0) (3, 4), (0, 1) (4, 1), (0, 3) (4, 3)"},
		{"an island by an outline", "A (1/2, 1/2)\nsection B {\noutline (1, 1) (3, 1) (3, 3) (1, 3)\npatch 1 sky around (2, 2)\n}", LeavesHole, "B"},
		{"a line through one point", "A (1, 3)\nB (1, 1) beyond (0, 2) (0, 2)", OnePoint, "(0, 2) (0, 2)"},
		{"a copy's line through one point", "A (1, 3)\nsection B beyond (0, 2) (0, 2) = A moved (0, -2)", OnePoint, "(0, 2) (0, 2)"},
		{"a copy before what is left", "A (1, 3)\nsection B = A moved (0, -2)", NeedsLines, "B"},
		{"a copy of what is left, above it", "section B = A moved (0, -2)\nA (1, 3)", NeedsLines, "B"},
		{"a copy of what stands above with lines", "C (3, 3)\nA (1, 3) beyond (2, 0) (2, 4)\nsection B = A moved (0, -2)", NeedsLines, "B"},
	} {
		t.Run(x.name, func(t *testing.T) {
			f := divided(t, "4 by 4", x.lines)
			require.Empty(t, f.Tree.Errors)
			if x.cause == 0 {
				assert.Empty(t, f.Problems)
				return
			}
			require.Len(t, f.Problems, 1)
			p := f.Problems[0]
			assert.Equal(t, x.cause, p.Cause, p)
			assert.Equal(t, x.at, f.Source.Text[p.At.Start:p.At.End])
			assert.True(t, f.Blocks[0].Broken)
		})
	}
}

// What cannot be read costs the sections above it, and is reported alone.
func TestWhatIsLostInADivision(t *testing.T) {
	for _, lines := range []string{
		"A (1, 3)\nsection B beyond (0, 2) (4, {\npatch 1 sky around (1, 1)\n}",
		"A (1, 3)\nB (1, 1) beyond nowhere",
		"A (1, 3)\nsection B beyond (0, 2) (4, 2) {\npatch 1 sky around nowhere\n}",
		"A (1, 3)\nsection B {\npatch 1 sky (0, 0) (4, 0) (4, 2) nowhere\n}",
		"A (1, 3)\nsection B beyond nowhere = A moved (0, -2)",
		"A (1, 3)\nsection B beyond (0, 2) (4, 2) = A moved (0, k)",
	} {
		f := divided(t, "4 by 4", lines)
		assert.Equal(t, 1, len(f.Problems)+len(f.Tree.Errors), "%s: %v", lines, f.Problems)
		assert.True(t, section(t, f, "A").Broken, lines)
	}
	f := divided(t, "4 by 4", "A (1, 3)\nsection B beyond (0, 2) (4, 2) {\npatch 1 sky around (1, 1)\npatch 2 nowhere beyond (0, 1) (4, \n}\njoin A to")
	assert.False(t, section(t, f, "A").Broken, "the outline of B is known")
	assert.Equal(t, "(0, 2) (4, 2) (4, 4) (0, 4)", cornersOf(section(t, f, "A").Outline))
}

// exactPolygon has rational corners, so that half planes cut it exactly.
type exactPolygon [][2]*big.Rat

// side is which side of the line through p and q a point is on.
func side(p, q, x [2]*big.Rat) *big.Rat {
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	return sub(mul(sub(q[0], p[0]), sub(x[1], p[1])), mul(sub(q[1], p[1]), sub(x[0], p[0])))
}

// half is the part of a convex polygon on one side.
func (poly exactPolygon) half(p, q [2]*big.Rat, sign int) (out exactPolygon) {
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		sa, sb := side(p, q, a), side(p, q, b)
		if sa.Sign()*sign >= 0 {
			out = append(out, a)
		}
		if sa.Sign()*sb.Sign() < 0 {
			k := new(big.Rat).Quo(sa, new(big.Rat).Sub(sa, sb))
			at := func(i int) *big.Rat {
				d := new(big.Rat).Sub(b[i], a[i])
				return d.Add(a[i], d.Mul(d, k))
			}
			out = append(out, [2]*big.Rat{at(0), at(1)})
		}
	}
	return out
}

func (poly exactPolygon) floats() (out geom.Polygon) {
	for _, c := range poly {
		x, _ := c[0].Float64()
		y, _ := c[1].Float64()
		out = append(out, geom.Point{X: x * geom.Inch, Y: y * geom.Inch})
	}
	return out
}

// Random divisions by nested lines, each of which cuts all that is left, have the outlines that exact half
// planes have.
func TestDivisionsAgainstHalfPlanes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	done := 0
	for done < 400 {
		rat := func(n int) *big.Rat { return big.NewRat(int64(n), 8) }
		rest := exactPolygon{{rat(0), rat(0)}, {rat(96), rat(0)}, {rat(96), rat(96)}, {rat(0), rat(96)}}
		var lines []string // from the last section to the first
		want := map[string]exactPolygon{}
		word := func(r *big.Rat) string { return r.FloatString(10) }
		for i := range 2 + rng.IntN(6) {
			corner := func() [2]*big.Rat { return [2]*big.Rat{rat(rng.IntN(97)), rat(rng.IntN(97))} }
			p, q := corner(), corner()
			if line := (geom.Segment{A: exactPolygon{p}.floats()[0], B: exactPolygon{q}.floats()[0]}); line.Len() < geom.Inch || almostOn(rest.floats(), line) {
				continue
			}
			left, right := rest.half(p, q, 1), rest.half(p, q, -1)
			if tooSmall(left) || tooSmall(right) {
				continue
			}
			if rng.IntN(2) == 0 {
				left, right = right, left
			}
			name := string(rune('Z' - i))
			want[name], rest = left, right
			at := left.floats().InteriorPoint()
			lines = append(lines, fmt.Sprintf("%s %s beyond (%s, %s) (%s, %s)", name, geom.FormatPoint(at, geom.Inches), word(p[0]), word(p[1]), word(q[0]), word(q[1])))
		}
		want["A"] = rest
		lines = append(lines, "A "+geom.FormatPoint(rest.floats().InteriorPoint(), geom.Inches))
		text := ""
		for _, line := range lines {
			text = line + "\n" + text
		}
		f := divided(t, "12 by 12", text)
		require.Empty(t, f.Problems, text)
		for name, exact := range want {
			is, should := section(t, f, name).Outline, exact.floats()
			for _, pair := range [][2]geom.Polygon{{is, should}, {should, is}} {
				for _, c := range pair[0] {
					require.Equal(t, geom.OnEdge, pair[1].Contains(c), "%s of\n%s", name, text)
				}
			}
			require.InDelta(t, should.CCW().Area(), is.CCW().Area(), 2*geom.Hair*should.Perimeter())
		}
		done++
	}
}

// almostOn reports whether a corner is so near the line that the tolerance takes it for one on the line.
func almostOn(poly geom.Polygon, line geom.Segment) bool {
	return slices.ContainsFunc(poly, func(c geom.Point) bool {
		away := math.Abs(line.Dir().Cross(c.Sub(line.A)))
		return away > 1e-6 && away < 2*geom.Hair
	})
}

// tooSmall leaves out what the tolerance decides.
func tooSmall(p exactPolygon) bool {
	return len(p) < 3 || geom.InscribedCircle(p.floats()).R < geom.Inch/8
}
