package docs

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/rules"
)

func TestEveryPageSaysAllThereIs(t *testing.T) {
	for _, r := range rules.All {
		for _, page := range []string{Rule(r), RuleText(r)} {
			assert.Contains(t, page, r.Title+".", r.Name)
			assert.Contains(t, page, strings.TrimSpace(strings.SplitN(r.Why, "\n", 2)[0]), r.Name)
			for _, example := range []string{r.Bad, r.Good} {
				for line := range strings.Lines(strings.Trim(example, "\n")) {
					assert.Contains(t, page, strings.TrimSpace(line), r.Name)
				}
			}
		}
		assert.Contains(t, Index(rules.All), "["+"`"+r.Name+"`]("+r.Name+".md)")
		assert.Contains(t, IndexText(rules.All), r.Name)
	}
}

// The example of the settings page is one that works.
func TestTheSettingsExampleCanBeRead(t *testing.T) {
	f := lint.ReadSettings(source.New(lint.SettingsName, settingsExample), rules.All)
	assert.Empty(t, f.Problems)
	for _, k := range lint.Keys {
		assert.Contains(t, Settings(), "`"+k.Path()+"`")
	}
}

// The schema knows the keys and the rules, and nothing else.
func TestSchema(t *testing.T) {
	var schema struct {
		Properties map[string]struct {
			Properties           map[string]map[string]any
			AdditionalProperties *bool
		}
		AdditionalProperties *bool
	}
	require.NoError(t, json.Unmarshal([]byte(Schema(rules.All)), &schema))
	assert.False(t, *schema.AdditionalProperties)
	for _, k := range lint.Keys {
		if k.Table == "" {
			assert.Contains(t, schema.Properties, k.Name)
			continue
		}
		table := schema.Properties[k.Table]
		assert.False(t, *table.AdditionalProperties)
		assert.Equal(t, k.Doc, table.Properties[k.Name]["description"])
	}
	levels := schema.Properties[lint.LevelsTable].Properties
	assert.Len(t, levels, len(rules.All))
	for _, r := range rules.All {
		assert.Equal(t, r.Level.String(), levels[r.Name]["default"])
	}
}
