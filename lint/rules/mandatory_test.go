package rules

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/baseline"
)

// mandatory are the rules of which nothing can be accepted or switched off.
var mandatory = []string{
	"bad-use", "bent-join", "block-not-filled", "copy-cycle", "crossed-outline", "duplicate-name", "gap", "join-order", "no-value",
	"outline-size", "outside-outline", "over-limit", "overlap", "patch-numbers", "reserved-name", "sections-overlap", "unclear-seam", "unclear-section", "uneven-size",
	"unfinished-join", "unjoined-section", "unknown-name", "unreadable-line", "unsewable-block", "unsewable-order", "unsewable-section",
}

// partly are those of which some findings are mandatory.
var partly = []string{"missing-allowance", "near-miss", "wide-allowance"}

func TestWhatIsMandatory(t *testing.T) {
	var always, some []string
	for _, r := range All {
		switch {
		case r.AlwaysMandatory():
			always = append(always, r.Name)
		case r.Mandatory != "":
			some = append(some, r.Name)
		}
	}
	assert.Equal(t, mandatory, always)
	assert.Equal(t, partly, some)
}

// Settings that were not read from a file lower no mandatory level either.
func TestLevelOfWhatIsMandatory(t *testing.T) {
	for _, r := range All {
		if r.Mandatory != "" {
			f := block.NewLoader(syntax.NewReader(), nil).OpenText("a.block", strings.TrimPrefix(r.Bad, "\n"))
			found, _ := lint.File(f, All, lint.DefaultSettings(f.Unit).With(r.Name, lint.Off))
			require.Len(t, found, 1, r.Name)
			assert.Equal(t, lint.Error, found[0].Level, r.Name)
		}
	}
}

// No accept in any place, no level and no baseline takes the finding of a mandatory rule away.
// The examples of the rules that are mandatory in part are of the part that is.
func TestNothingSuppressesWhatIsMandatory(t *testing.T) {
	for _, r := range All {
		if r.Mandatory == "" {
			continue
		}
		text := strings.TrimPrefix(r.Bad, "\n")
		lines := strings.SplitAfter(text, "\n")
		accept := "// accept " + r.Name + ": it is meant\n"
		texts := map[string]string{"": text, "file": accept + "\n" + text}
		for i, line := range lines {
			if strings.TrimSpace(line) != "" {
				texts["above "+line] = strings.Join(lines[:i], "") + accept + strings.Join(lines[i:], "")
				texts["at "+line] = strings.Join(lines[:i], "") + strings.TrimRight(line, "\n") + " " + accept + strings.Join(lines[i+1:], "")
			}
		}
		for where, text := range texts {
			for _, level := range append([]string{""}, lint.LevelNames...) {
				settings := ""
				if level != "" {
					settings = "[levels]\n" + r.Name + " = \"" + level + "\"\n"
				}
				config := lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, settings), All))
				result := lint.Text("a.block", text, lint.Options{Rules: All, Config: config})
				n := 0
				forged := slices.Clone(result.Findings) // into a list, as somebody might write it
				for i, f := range result.Findings {
					forged[i].Mandatory = false
					if f.Rule == r.Name {
						n++
						assert.Equal(t, lint.Error, f.Level, "%s: level %q, %s", r.Name, level, where)
						assert.True(t, f.Mandatory, "%s: level %q, %s", r.Name, level, where)
					}
				}
				require.Equal(t, 1, n, "%s: level %q, accept %s", r.Name, level, where)
				assert.NotContains(t, baseline.Of("old.txt", result.Findings).String(), `"a.block" `+r.Name+" ")
				held := baseline.Of("old.txt", forged).Hold(result.Findings, []string{"a.block", lint.SettingsName})
				require.Len(t, held.New, 1, "%s", r.Name)
				assert.Equal(t, r.Name, held.New[0].Rule)
				assert.Len(t, held.Refused, 1)
				assert.Empty(t, held.Stale)
			}
		}
	}
}
