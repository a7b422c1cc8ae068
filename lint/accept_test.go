package lint_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/rules"
)

// What accepts hide is kept for those who ask, with the reason; whether an accept is used does not depend on it.
func TestAcceptedIsKept(t *testing.T) {
	const brooch = `fabric sky
block "Brooch" 2 by 2 {
  allowance 1/8 // accept missing-allowance: trimmed under the lens
  section A {
    patch 1 sky (0, 0) (2, 0) (2, 2) (0, 2) // accept sharp-corner: none is
  }
}
`
	pin := brooch + strings.NewReplacer("fabric sky\n", "", "Brooch", "Pin", ": trimmed under the lens", "").Replace(brooch)
	found := func(text, settings string, keep bool) (names, reasons []string) {
		config := lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, settings), rules.All))
		for _, f := range lint.Text("a.block", text, lint.Options{Rules: rules.All, Accepted: keep, Config: config}).Findings {
			names, reasons = append(names, f.Rule), append(reasons, f.Accepted)
		}
		return names, reasons
	}
	names, reasons := found(brooch, "", false)
	assert.Equal(t, []string{"unused-accept"}, names)
	assert.Equal(t, []string{""}, reasons)
	names, reasons = found(brooch, "", true)
	assert.Equal(t, []string{"missing-allowance", "unused-accept"}, names)
	assert.Equal(t, []string{"trimmed under the lens", ""}, reasons)
	names, reasons = found(pin, "", true)
	require.Equal(t, []string{"missing-allowance", "unused-accept", "missing-allowance", "bare-accept", "unused-accept"}, names)
	assert.Equal(t, "no reason given", reasons[2])
	names, _ = found(pin, "[levels]\nmissing-allowance = \"off\"\n", true)
	assert.NotContains(t, names, "missing-allowance")
}

// The first sentence says what is wrong.
func TestWhat(t *testing.T) {
	for message, want := range map[string]string{
		"A1 is small. Make it larger.": "A1 is small.", "A1 is small.": "A1 is small.", "It is 1.5 in wide. So.": "It is 1.5 in wide.",
	} {
		assert.Equal(t, want, lint.Finding{Message: message}.What())
	}
}
