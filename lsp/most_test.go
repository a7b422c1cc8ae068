package lsp

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lint"
)

// What is left out is the least severe, and of those the last; the others keep their order.
func TestMostSevere(t *testing.T) {
	var all []lint.Finding
	for _, x := range []struct {
		rule  string
		level lint.Level
	}{{"a", lint.Hint}, {"b", lint.Warning}, {"c", lint.Hint}, {"d", lint.Error}, {"e", lint.Warning}, {"f", lint.Error}} {
		all = append(all, lint.Finding{Rule: x.rule, Level: x.level})
	}
	for most, want := range []string{"", "d", "df", "bdf", "bdef", "abdef", "abcdef", "abcdef"} {
		shown, left := mostSevere(all, most)
		got := ""
		for _, f := range shown {
			got += f.Rule
		}
		assert.Equal(t, want, got)
		assert.Equal(t, len(all)-len(want), left)
	}
}
