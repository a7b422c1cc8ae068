package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

var points = rapid.Custom(func(t *rapid.T) Point {
	c := rapid.Float64Range(-2000, 2000)
	return Point{c.Draw(t, "x"), c.Draw(t, "y")}
})

// transforms are chains of up to four movements.
var transforms = rapid.Custom(func(t *rapid.T) Transform {
	var chain Transform
	for range rapid.IntRange(0, 4).Draw(t, "links") {
		p, q := points.Draw(t, "p"), points.Draw(t, "q")
		var link Transform
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			link, _ = MirrorAcross(p, q)
		case 1:
			link = TurnAbout(p, rapid.Float64Range(-720, 720).Draw(t, "degrees"))
		case 2:
			link = MoveBy(q)
		}
		chain = chain.Then(link)
	}
	return chain
})

func TestTransformsOfABlock(t *testing.T) {
	pennant := Polygon{{0, 0}, {6 * Inch, 0}, {0, 2 * Inch}}
	upright, ok := MirrorAcross(Point{3 * Inch, 0}, Point{3 * Inch, 5})
	assert.True(t, ok)
	assert.Equal(t, Polygon{{6 * Inch, 0}, {0, 0}, {6 * Inch, 2 * Inch}}, upright.ApplyTo(pennant))
	assert.True(t, upright.Flips())

	quarter := TurnAbout(Point{3 * Inch, 3 * Inch}, 90)
	assert.Equal(t, Polygon{{6 * Inch, 0}, {6 * Inch, 6 * Inch}, {4 * Inch, 0}}, quarter.ApplyTo(pennant))
	assert.False(t, quarter.Flips())

	diagonal, _ := MirrorAcross(Point{0, 0}, Point{Inch, Inch})
	assert.Equal(t, Polygon{{0, 0}, {0, 6 * Inch}, {2 * Inch, 0}}, diagonal.ApplyTo(pennant))

	assert.Equal(t, Point{Inch + 5, 2*Inch - 3}, MoveBy(Point{5, -3}).Apply(Point{Inch, 2 * Inch}))
	assert.Equal(t, Point{7, 8}, Transform{}.Apply(Point{7, 8}), "the zero value moves nothing")
}

func TestFourQuarterTurnsComeBackExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.IntRange(-5000, 5000)
		sixteenth := func(name string) Point {
			return Point{float64(c.Draw(t, name+".x")) * Inch / 16, float64(c.Draw(t, name+".y")) * Inch / 16}
		}
		p, hub := sixteenth("p"), sixteenth("hub")
		quarter := TurnAbout(hub, 90)
		if got := quarter.Then(quarter).Then(quarter).Then(quarter).Apply(p); got != p {
			t.Fatalf("%v came back as %v", p, got)
		}
		if got, want := TurnAbout(hub, -90).Apply(p), TurnAbout(hub, 270).Apply(p); got != want {
			t.Fatalf("%v and %v", got, want)
		}
		for _, d := range []Point{{0, Inch}, {Inch, 0}, {Inch, Inch}, {Inch, -Inch}} {
			m, _ := MirrorAcross(hub, hub.Add(d))
			if got := m.Apply(m.Apply(p)); got != p {
				t.Fatalf("mirrored twice along %v, %v came back as %v", d, p, got)
			}
		}
	})
}

func TestTransformsAgreeWithExactPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q, r := places.Draw(t, "p"), places.Draw(t, "q"), places.Draw(t, "r")
		degrees := rapid.Int64Range(-720, 720).Draw(t, "degrees")
		want := Turn(p, q, Int(degrees)).Point()
		if got := TurnAbout(q.Point(), float64(degrees)).Apply(p.Point()); got.Dist(want) > 1e-9 {
			t.Fatalf("turned to %v, want %v", got, want)
		}
		m, ok1 := Mirror(p, q, r)
		u, ok2 := MirrorAcross(q.Point(), r.Point())
		if ok1 != ok2 || ok1 && u.Apply(p.Point()).Dist(m.Point()) > 1e-9 {
			t.Fatalf("mirrored to %v, want %v", u.Apply(p.Point()), m.Point())
		}
	})
}

func TestTransformsKeepLengthsAndChain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, g := transforms.Draw(t, "f"), transforms.Draw(t, "g")
		p, q := points.Draw(t, "p"), points.Draw(t, "q")
		const tol = 1e-8 // after up to eight movements over thousands of hairs
		if d := f.Apply(p).Dist(f.Apply(q)); math.Abs(d-p.Dist(q)) > tol {
			t.Fatalf("%v became %v", p.Dist(q), d)
		}
		if got, want := f.Then(g).Apply(p), g.Apply(f.Apply(p)); got.Dist(want) > tol {
			t.Fatalf("chained %v, one after the other %v", got, want)
		}
		if got := f.Then(f.Inverse()).Apply(p); got.Dist(p) > tol {
			t.Fatalf("%v came back as %v", p, got)
		}
		if f.Then(g).Flips() != (f.Flips() != g.Flips()) {
			t.Fatal("two mirrorings are a turn")
		}
		tri := Polygon{{0, 0}, {100, 0}, {0, 100}}
		if (f.ApplyTo(tri).Area() < 0) != f.Flips() {
			t.Fatal("a mirroring reverses the way round, nothing else does")
		}
	})
}

func TestNoMirrorInAPlace(t *testing.T) {
	_, ok := MirrorAcross(Point{5, 5}, Point{5.5, 5})
	assert.False(t, ok)
	_, ok = MirrorAcross(Point{5, 5}, Point{math.NaN(), 5})
	assert.False(t, ok)
}
