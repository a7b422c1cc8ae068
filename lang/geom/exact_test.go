package geom

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// in is the exact place at so many sixteenths of an inch.
func in(x, y int64) Exact { return Exact{Frac(127*x, 16), Frac(127*y, 16)} }

var places = rapid.Custom(func(t *rapid.T) Exact {
	c := rapid.Int64Range(-320, 320)
	return in(c.Draw(t, "x"), c.Draw(t, "y"))
})

// rats are the coordinates for checks in math/big, which never overflow.
func rats(e Exact) (x, y *big.Rat) { return e.X.rat(), e.Y.rat() }

func cross3(p, q, r Exact) *big.Rat {
	px, py := rats(p)
	qx, qy := rats(q)
	rx, ry := rats(r)
	mul := func(a, b, c, d *big.Rat) *big.Rat {
		return new(big.Rat).Mul(new(big.Rat).Sub(a, b), new(big.Rat).Sub(c, d))
	}
	return new(big.Rat).Sub(mul(qx, px, ry, py), mul(qy, py, rx, px))
}

// onLine says whether p lies exactly on the line through q and r.
func onLine(p, q, r Exact) bool { return cross3(q, r, p).Sign() == 0 }

// sameDistance says whether p and q lie exactly equally far from r.
func sameDistance(p, q, r Exact) bool {
	square := func(a, b Exact) *big.Rat {
		ax, ay := rats(a)
		bx, by := rats(b)
		dx, dy := new(big.Rat).Sub(ax, bx), new(big.Rat).Sub(ay, by)
		return new(big.Rat).Add(new(big.Rat).Mul(dx, dx), new(big.Rat).Mul(dy, dy))
	}
	return square(p, r).Cmp(square(q, r)) == 0
}

func TestExactPlacesOfThePlainKind(t *testing.T) {
	p, q := in(0, 0), in(48, 64) // 3 in right, 4 in up
	assert.Equal(t, in(24, 32), Mid(p, q))
	assert.Equal(t, in(16, 0), Part(Frac(1, 3), in(0, 0), in(48, 0)))
	assert.Equal(t, in(50, 60), Move(q, Frac(127, 8), Frac(-127, 4)))

	at, ok := Along(p, q, Frac(127*5, 2))
	assert.True(t, ok)
	assert.Equal(t, in(24, 32), at, "3, 4, 5: half of 5 in along is half the way, exactly")
	at, _ = Along(in(8, 3), in(8, 100), Int(-127))
	assert.Equal(t, in(8, 3-16), at, "backwards")

	at, ok = Meet(in(0, 0), in(16, 16), in(0, 16), in(16, 0))
	assert.True(t, ok)
	assert.Equal(t, in(8, 8), at)

	at, _ = Mirror(in(3, 5), in(0, 0), in(9, 9))
	assert.Equal(t, in(5, 3), at, "a diagonal swaps x and y")
}

func TestSlantsAreExactWhereACoordinateIsGiven(t *testing.T) {
	slant, ok := Along(in(0, 0), in(16, 16), Int(127))
	assert.True(t, ok)
	assert.False(t, slant.IsExact(), "one inch along a diagonal is irrational")
	assert.InDelta(t, Inch, slant.Point().Len(), 1e-12)

	at, ok := Meet(in(0, 0), slant, in(16, 0), in(16, 3))
	assert.True(t, ok)
	assert.Equal(t, Int(127), at.X, "an upright line keeps its x")
	assert.InDelta(t, Inch, at.Y.Float64(), 1e-9)
	at, _ = Meet(in(0, 8), in(3, 8), in(0, 0), slant)
	assert.Equal(t, Frac(127, 2), at.Y, "and a level one its y, first or second")

	at, _ = Mirror(slant, in(16, 0), in(16, 3))
	assert.Equal(t, slant.Y, at.Y)
	assert.InDelta(t, 2*Inch-slant.X.Float64(), at.X.Float64(), 1e-12)
}

func TestTurningByQuarters(t *testing.T) {
	for degrees, want := range map[int64]Exact{
		0: in(9, 4), 90: in(4, 7), 180: in(1, 2), 270: in(6, -1), 360: in(9, 4), -90: in(6, -1), 450: in(4, 7), -3600: in(9, 4),
	} {
		assert.Equal(t, want, Turn(in(9, 4), in(5, 3), Int(degrees)), "%d degrees", degrees)
	}
	assert.Equal(t, in(4, 7), Turn(in(9, 4), in(5, 3), Float(90)), "even where the angle came out of a calculation")
	at := Turn(in(16, 0), in(0, 0), Int(60)).Point()
	assert.InDelta(t, Inch/2, at.X, 1e-12)
	assert.InDelta(t, Inch*math.Sqrt(3)/2, at.Y, 1e-12)
}

func TestPlacesThatDoNotExist(t *testing.T) {
	p, q := in(0, 0), in(5, 7)
	near := Exact{p.X.Add(Frac(1, 2)), p.Y} // half a hair away: the same place
	for name, ok := range map[string]bool{
		"along nothing":       second(Along(p, p, Int(127))),
		"along half a hair":   second(Along(p, near, Int(127))),
		"along an endless by": second(Along(p, q, Int(1).Div(Int(0)))),
		"parallels":           second(Meet(p, q, in(1, 0), in(6, 7))),
		"the same line":       second(Meet(p, q, in(10, 14), in(15, 21))),
		"a place and a line":  second(Meet(p, near, in(1, 0), in(6, 8))),
		"a line and a place":  second(Meet(in(1, 0), in(6, 8), q, q)),
		"across a place":      second(Mirror(q, p, near)),
		"no number":           second(Mirror(q, p, Exact{Float(math.NaN()), Int(0)})),
	} {
		assert.False(t, ok, name)
	}
}

func second(_ Exact, ok bool) bool { return ok }

func TestMeetLiesOnBothLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q, r, s := places.Draw(t, "p"), places.Draw(t, "q"), places.Draw(t, "r"), places.Draw(t, "s")
		at, ok := Meet(p, q, r, s)
		parallel := q.sub(p).cross(s.sub(r)) == Int(0) // or no line at all
		if ok == parallel {
			t.Fatalf("ok is %v, parallel is %v", ok, parallel)
		}
		if ok && (!at.IsExact() || !onLine(at, p, q) || !onLine(at, r, s)) {
			t.Fatalf("%v is not on both lines", at)
		}
	})
}

func TestMirrorAndTurnKeepDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q, r := places.Draw(t, "p"), places.Draw(t, "q"), places.Draw(t, "r")
		m, ok := Mirror(p, q, r)
		if ok != (q != r) {
			t.Fatal("only a place has no mirror")
		}
		if ok {
			back, _ := Mirror(m, q, r)
			if !m.IsExact() || back.Point().Dist(p.Point()) > 1e-9 || !onLine(Mid(p, m), q, r) || !sameDistance(p, m, q) || !sameDistance(p, m, r) {
				t.Fatalf("%v is not the mirror of %v", m, p)
			}
		}
		quarters := rapid.Int64Range(-9, 9).Draw(t, "quarters")
		turned := Turn(p, q, Int(90*quarters))
		if !sameDistance(turned, p, q) || Turn(turned, q, Int(-90*quarters)) != p {
			t.Fatalf("%v is not %v turned", turned, p)
		}
	})
}

func TestAlongHasTheLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := places.Draw(t, "p"), places.Draw(t, "q")
		by := rapid.Int64Range(-2000, 2000).Draw(t, "by")
		at, ok := Along(p, q, Int(by))
		if ok != (p != q) {
			t.Fatal("only a place has no direction")
		}
		if !ok {
			return
		}
		a := at.Point()
		if d := a.Dist(p.Point()); math.Abs(d-math.Abs(float64(by))) > 1e-9 {
			t.Fatalf("%v from p, not %d", d, by)
		}
		if s := (Segment{p.Point(), q.Point()}); math.Abs(s.LineDist(a)) > 1e-9 || float64(by)*s.Dir().Dot(a.Sub(s.A)) < -1e-9 {
			t.Fatalf("%v is not along the line", a)
		}
	})
}
