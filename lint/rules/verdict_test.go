package rules

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
)

// A block is sewn as written where no rule finds what cannot be accepted, and nowhere else; but for what rules find in its
// cloth, and in settings.
func TestTheVerdictAgreesWithTheRules(t *testing.T) {
	loader := block.NewLoader(syntax.NewReader(), lint.NewConfig(All).Gate().Block)
	seen := map[sew.Verdict]bool{}
	for _, folder := range []string{"broken", "harbour"} {
		paths, err := filepath.Glob(filepath.Join(testdata, folder, "*.block"))
		require.NoError(t, err)
		for _, path := range paths {
			f, err := loader.Open(path)
			require.NoError(t, err)
			found, _ := lint.File(f, All, lint.DefaultSettings(f.Unit))
			for _, b := range f.Blocks {
				counts := func(x lint.Finding) bool {
					around, outside := f.Around(x.Span.Start)
					return x.Mandatory && (around == b || outside) && !slices.Contains(partly, x.Rule)
				}
				verdict, _ := sew.Analyse(b).Verdict()
				seen[verdict] = true
				if verdict != sew.Undivided && verdict != sew.NoAllowance && verdict != sew.NoPatches && verdict != sew.EmptySection {
					assert.Equal(t, !slices.ContainsFunc(found, counts), verdict == sew.SewnAsWritten, "%s in %s: %d", b.Name, path, verdict)
				}
			}
		}
	}
	assert.True(t, seen[sew.SewnAsWritten] && seen[sew.NotFilled] && seen[sew.NotJoined] && seen[sew.Unread])
}
