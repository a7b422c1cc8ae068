package near

import (
	"testing"

	"github.com/stretchr/testify/assert"
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
