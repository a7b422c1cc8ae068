package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint"
)

// A tight cut is a hint; where pieces are sold it is a warning, and a level that is set counts.
func TestTightCutsOfWhatIsSold(t *testing.T) {
	for settings, want := range map[string]lint.Level{
		"":                           lint.Hint,
		"[cuts]\nsold = false\n":     lint.Hint,
		"[cuts]\nsold = true\n":      lint.Warning,
		"levels.tight-cut = \"off\"": lint.Off,
	} {
		config := lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, settings), All))
		found := lint.Text("example.block", strings.TrimPrefix(tightCut.Bad, "\n"), lint.Options{Rules: All, Config: config}).Findings
		if want == lint.Off {
			assert.Empty(t, found)
			continue
		}
		require.Len(t, found, 1, settings)
		assert.Equal(t, "tight-cut", found[0].Rule)
		assert.Equal(t, want, found[0].Level, settings)
	}
}
