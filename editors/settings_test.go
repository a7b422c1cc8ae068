package editors

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp"
)

func readJSON(t *testing.T, path string, into any) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, into), path)
}

// The extension offers the preferences that the server heeds, and the page tells of them, and no others but where the
// server is and what is logged of their talk.
func TestVSCodeSettings(t *testing.T) {
	var manifest struct {
		Contributes struct {
			Configuration struct {
				Properties map[string]struct {
					Properties map[string]any
				}
			}
		}
	}
	readJSON(t, "vscode/package.json", &manifest)
	offered := manifest.Contributes.Configuration.Properties
	want := []string{"sewable.server.path", "sewable.trace.server"}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[lsp.Preferences]()) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		want = append(want, "sewable."+name)
	}
	assert.ElementsMatch(t, want, slices.Collect(maps.Keys(offered)))
	assert.ElementsMatch(t, slices.Collect(maps.Keys(query.HintKinds)), slices.Collect(maps.Keys(offered["sewable.hints"].Properties)))

	page, err := os.ReadFile("README.md")
	require.NoError(t, err)
	told := []string{"sewable.server.path", "sewable.trace.server"}
	for _, row := range regexp.MustCompile("(?m)^\\| `([a-z]+)` \\|").FindAllSubmatch(page, -1) {
		told = append(told, "sewable."+string(row[1]))
	}
	assert.ElementsMatch(t, want, told, "the preferences in README.md")

	script, err := os.ReadFile("vscode/src/extension.js")
	require.NoError(t, err)
	sent := regexp.MustCompile(`return \{ (.*) \};`).FindSubmatch(script)
	require.NotNil(t, sent)
	for _, name := range strings.Split(string(sent[1]), ", ") {
		assert.Contains(t, want, "sewable."+name, "what is sent at the start")
	}
	assert.Len(t, strings.Split(string(sent[1]), ", "), len(want)-2)
}

// What an editor that heeds the schema says of a sewable.toml is what the linter says.
func TestSchemaAgreesWithTheLinter(t *testing.T) {
	js := node(t)
	texts := []string{
		"", "grain = \"seam\"\n", "grain = \"bias\"\n", "grian = \"seam\"\n", "[limits]\nbulky = 9\n", "[limits]\nbulky = 2.5\n", "[limits]\nbulky = \"9\"\n",
		"[limits]\ncorner = 25.5\n", "[limits]\ncorner = 181\n", "[levels]\nbias-edge = \"hint\"\n", "[levels]\nbias-edge = \"loud\"\n",
		"[levels]\nno-such-rule = \"off\"\n", "[paper]\nsize = \"a4\"\n", "exclude = [\"drafts/**\"]\n", "exclude = \"drafts\"\n", "[sizes]\n",
		"[limits]\npatch = 5\n",
	}
	for _, path := range []string{"../testdata/harbour/sewable.toml", "../testdata/broken/bad-setting.toml"} {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		texts = append(texts, string(text))
	}
	var lines strings.Builder
	for _, text := range texts {
		var value map[string]any
		require.NoError(t, toml.Unmarshal([]byte(text), &value), text)
		if value == nil {
			value = map[string]any{}
		}
		line, err := json.Marshal(value)
		require.NoError(t, err)
		lines.WriteString(string(line) + "\n")
	}
	out := string(run(t, time.Minute, lines.String(), js, "vscode/test/valid.mjs", "../lint/rules/docs/sewable.schema.json"))
	verdicts := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, verdicts, len(texts))
	for i, text := range texts {
		problems := lint.ReadSettings(source.New(lint.SettingsName, text), rules.All).Problems
		assert.Equal(t, len(problems) == 0, verdicts[i] == "null", "%s\nlinter: %v\nschema: %s", text, problems, verdicts[i])
	}
}

// Configuration to be copied is whole, and calls what there is.
func TestConfigurationCanBeRead(t *testing.T) {
	var helix struct {
		Server   map[string]struct{ Command, Args any } `toml:"language-server"`
		Language []struct {
			Name    string
			Servers []string `toml:"language-servers"`
			Types   []string `toml:"file-types"`
		}
	}
	text, err := os.ReadFile("helix/languages.toml")
	require.NoError(t, err)
	require.NoError(t, toml.Unmarshal(text, &helix))
	for _, name := range helix.Language[0].Servers {
		assert.Contains(t, helix.Server, name)
	}
	assert.Equal(t, []string{strings.TrimPrefix(lint.Extension, ".")}, helix.Language[0].Types)

	var kate any
	readJSON(t, "kate/lsp.json", &kate)

	var language struct {
		WordPattern struct{ Pattern string }
	}
	readJSON(t, "vscode/language-configuration.json", &language)
	word := regexp.MustCompile(`^(?:` + language.WordPattern.Pattern + `)$`)
	for _, w := range []string{"sky", "été_2", "帆", "3", "2.5", "1/4", "#c3dcea"} {
		assert.True(t, word.MatchString(w), w)
	}

	for _, folder := range []string{"vscode", "vim", "emacs", "helix", "kakoune", "kate", "sublime"} {
		assert.FileExists(t, filepath.Join(folder, "README.md"))
	}
}

// The lock file names no registry: whoever installs takes the packages from their own.
func TestLockFileNamesNoRegistry(t *testing.T) {
	text, err := os.ReadFile("vscode/package-lock.json")
	require.NoError(t, err)
	assert.NotContains(t, string(text), `"resolved"`)
	assert.Contains(t, string(text), `"integrity"`)
}
