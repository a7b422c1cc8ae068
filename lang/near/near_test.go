package near

import (
	"testing"

	"github.com/hbollon/go-edlib"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	known := []string{"water", "sand", "sky", "canvas", "cedar"}
	for typed, want := range map[string]string{
		"watr":    "water",
		"canvass": "canvas",
		"Sand":    "sand",
		"ceder":   "cedar",
		"wtaer":   "water",
		"snad":    "sand",
		"sk":      "sky",
		"granite": "",
		"":        "",
	} {
		assert.Equal(t, want, Nearest(typed, known), typed)
	}
	assert.Equal(t, "", Nearest("x", nil))
	assert.Equal(t, "", Nearest("x", []string{"a", "b"}), "a name of one letter is near no other")
	assert.Equal(t, "ab", Nearest("aa", []string{"ac", "ab"}), "equally near: the first by alphabet")
}

// What is passed over without counting its changes would not have been near.
func TestApart(t *testing.T) {
	words := rapid.StringMatching(`[a-eà-ä]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := words.Draw(t, "a"), words.Draw(t, "b")
		if most := edlib.OSADamerauLevenshteinDistance(a, b); apart(a, b) > most {
			t.Fatalf("%q and %q lie %d apart, not %d", a, b, most, apart(a, b))
		}
	})
}

func BenchmarkNearest(b *testing.B) {
	known := []string{"allowance", "block", "colourway", "fabric", "finish", "grid", "join", "let", "notch", "patch", "point", "seam", "section", "setting", "units", "use"}
	for b.Loop() {
		Nearest("rope", known)
	}
}

// Of equally near names the first in alphabetical order, in whatever order they are known.
func TestNearestOfEquals(t *testing.T) {
	for _, known := range [][]string{{"sand", "sank", "salt"}, {"sank", "salt", "sand"}, {"salt", "sand", "sank"}} {
		if got := Nearest("sanx", known); got != "sand" {
			t.Errorf("%v: %q", known, got)
		}
	}
}
