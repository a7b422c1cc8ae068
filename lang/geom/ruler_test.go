package geom_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/geom"
)

func TestFormatRuler(t *testing.T) {
	const in, mm = geom.Inch, geom.Millimetre
	for _, row := range []struct {
		hairs                 float64
		unit                  geom.Unit
		nearest, up, down     string
		fine, margin, missing string
	}{
		{2.25 * in, geom.Inches, "2 1/4 in", "2 1/4 in", "2 1/4 in", "2 1/4 in", "2 1/4 in", "2 1/4 in short"},
		{22.385 * in, geom.Inches, "22 3/8 in", "22 7/16 in", "22 3/8 in", "22 3/8 in", "22 3/8 in", "22 13/32 in short"},
		{32.284 * in, geom.Inches, "32 5/16 in", "32 5/16 in", "32 1/4 in", "32 9/32 in", "32 9/32 in", "32 5/16 in short"},
		{in / 3, geom.Inches, "5/16 in", "3/8 in", "5/16 in", "11/32 in", "5/16 in", "11/32 in short"},
		{in / 6, geom.Inches, "3/16 in", "3/16 in", "1/8 in", "5/32 in", "5/32 in", "3/16 in short"},
		{0.02 * in, geom.Inches, "under 1/16 in", "1/16 in", "under 1/16 in", "1/32 in", "under 1/32 in", "0.020 in short"},
		{0, geom.Inches, "0 in", "0 in", "0 in", "0 in", "nothing", "nothing"},
		{in, geom.Millimetres, "25 mm", "26 mm", "25 mm", "25.5 mm", "25 mm", "25.5 mm short"},
		{1066.8 * mm, geom.Millimetres, "1067 mm", "1067 mm", "1066 mm", "1067 mm", "1066.5 mm", "1067 mm short"},
		{23.4 * mm, geom.Centimetres, "2.3 cm", "2.4 cm", "2.3 cm", "2.35 cm", "2.3 cm", "2.35 cm short"},
	} {
		assert.Equal(t, row.nearest, geom.FormatRuler(row.hairs, row.unit, geom.Nearest))
		assert.Equal(t, row.up, geom.FormatRuler(row.hairs, row.unit, geom.Up))
		assert.Equal(t, row.down, geom.FormatRuler(row.hairs, row.unit, geom.Down))
		assert.Equal(t, row.fine, geom.FormatFine(row.hairs, row.unit, geom.Nearest))
		assert.Equal(t, row.margin, geom.FormatMargin(row.hairs, row.unit))
		assert.Equal(t, row.missing, geom.FormatMargin(-row.hairs, row.unit))
	}
	assert.Equal(t, "22 3/8 × 32 5/16 in", geom.FormatSize(22.385*in, 32.284*in, geom.Inches))
	assert.Equal(t, "22 7/16 × 32 5/16 in", geom.FormatCut(22.385*in, 32.284*in, geom.Inches))
	assert.Equal(t, "0.2 × 5 mm", geom.FormatSize(0.2*mm, 5*mm, geom.Millimetres))
}

// Fabric is sold in centimeters: from ten on nobody says millimeters.
func TestFormatLong(t *testing.T) {
	const mm = geom.Millimetre
	for _, row := range []struct {
		hairs float64
		unit  geom.Unit
		want  string
	}{{1066.8 * mm, geom.Millimetres, "106.7 cm"}, {100 * mm, geom.Millimetres, "10 cm"}, {99 * mm, geom.Millimetres, "99 mm"},
		{1066.8 * mm, geom.Centimetres, "106.68 cm"}, {42 * geom.Inch, geom.Inches, "42 in"}} {
		assert.Equal(t, row.want, geom.FormatLong(row.hairs, row.unit))
	}
}

// Two lengths that differ never read alike.
func TestFormatApart(t *testing.T) {
	for _, row := range []struct{ a, b float64 }{{8, 8.01}, {8, 8.03}, {8, 9}, {0.25, 0.24}} {
		a, b := geom.FormatApart(row.a*geom.Inch, row.b*geom.Inch, geom.Inches)
		assert.NotEqual(t, a, b)
	}
	a, b := geom.FormatApart(8*geom.Inch, 8.01*geom.Inch, geom.Inches)
	assert.Equal(t, []string{"8 in", "8.01 in"}, []string{a, b})
	a, _ = geom.FormatApart(math.Sqrt2*geom.Inch, 2*geom.Inch, geom.Inches)
	assert.Equal(t, "1 7/16 in", a, "where a ruler tells them apart, what a ruler says")
}

// Rounded up is never less than the length, down never more, and nearest is at most half a mark off;
// a length on a mark stays there.
func TestRound(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := rapid.Float64Range(-1e6, 1e6).Draw(r, "x")
		u := rapid.SampledFrom([]geom.Unit{geom.Inches, geom.Millimetres, geom.Centimetres}).Draw(r, "unit")
		mark := rapid.SampledFrom([]float64{geom.Mark(u), geom.FineMark(u)}).Draw(r, "mark")
		const within = 2e-6
		up, down, near := geom.Round(x, mark, geom.Up), geom.Round(x, mark, geom.Down), geom.Round(x, mark, geom.Nearest)
		if up < x-within || up > x+mark || down > x+within || down < x-mark || math.Abs(near-x) > mark/2+within {
			r.Fatalf("%v: up %v, down %v, nearest %v by %v", x, up, down, near, mark)
		}
		for _, way := range []geom.Rounding{geom.Nearest, geom.Up, geom.Down} {
			if on := geom.Round(near, mark, way); math.Abs(on-near) > within {
				r.Fatalf("%v is a mark, and becomes %v", near, on)
			}
		}
	})
	assert.Equal(t, 1.5, geom.Round(1.5, 0, geom.Up), "no step, no rounding")
}

// Nobody measures a decimal or a third of an inch.
func TestFormat(t *testing.T) {
	for hairs, want := range map[float64]string{
		0.38 * geom.Inch: "3/8 in", 2.25 * geom.Inch: "2 1/4 in", geom.Inch / 3: "5/16 in", 9 * geom.Inch / 32: "9/32 in", 17 * geom.Inch / 64: "1/4 in", 0.01 * geom.Inch: "0.010 in",
	} {
		assert.Equal(t, want, geom.Format(hairs, geom.Inches))
	}
	assert.Equal(t, "57.2 mm", geom.Format(2.25*geom.Inch, geom.Millimetres))
}
