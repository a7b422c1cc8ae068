// Package ci_test runs what is written for CI systems as far as it can be run
// without them: every shell step, in a repository of its own.
package ci_test

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

// root is the top of this repository.
var root = func() string {
	dir, err := filepath.Abs("../..")
	if err != nil {
		panic(err)
	}
	return dir
}()

var bin string // the folder with the command

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "ci")
	if err != nil {
		panic(err)
	}
	bin = dir
	if out, err := exec.Command("go", "build", "-C", root, "-o", dir+"/", "./cmd/sewable").CombinedOutput(); err != nil {
		panic(string(out))
	}
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

func read(t *testing.T, path string, into any) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	d := yaml.NewDecoder(strings.NewReader(string(text)))
	d.KnownFields(true)
	require.NoError(t, d.Decode(into))
}

// repository makes one with a sound block, an old sin and, not yet committed, a new one.
func repository(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	write := func(name, text string) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	write("blocks/sound one.block", "fabric sky\n")
	write("blocks/old.block", "// accept no-such-rule: once it was meant\nfabric sky\n") // an error that a baseline may hold
	write("sewable.toml", "exclude = [\"drafts/**\"]\n")
	write("drafts/rough.block", "bloc   \"Rough\"\n")
	for _, args := range [][]string{{"init", "-q", "-b", "main"}, {"add", "."}, {"-c", "user.name=Keeper", "-c", "user.email=keeper@light.example", "commit", "-q", "-m", "Old"}} {
		out, err := exec.Command("git", append([]string{"-C", dir}, args...)...).CombinedOutput()
		require.NoError(t, err, string(out))
	}
	write("blocks/new.block", "bloc \"New\"\n")
	return dir
}

// shell runs a step as the systems do, and gives what it printed and its exit code.
func shell(t *testing.T, dir, script string, env map[string]string) (string, int) {
	t.Helper()
	c := exec.Command("bash", "--noprofile", "--norc", "-e", "-o", "pipefail", "-c", script)
	c.Dir = dir
	c.Env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	for k, v := range env {
		c.Env = append(c.Env, k+"="+v)
	}
	out, err := c.CombinedOutput()
	exit := new(exec.ExitError)
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return string(out), c.ProcessState.ExitCode()
}

// quoted is a word for the shell.
func quoted(word string) string { return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'" }

// The hooks are run as pre-commit runs them: the entry, then the files that match.
func TestPreCommit(t *testing.T) {
	var hooks []struct {
		ID, Name, Description, Entry, Language, Files string
		PassFilenames                                 *bool `yaml:"pass_filenames"`
	}
	read(t, filepath.Join(root, ".pre-commit-hooks.yaml"), &hooks)
	run := func(id string, staged ...string) (string, int, string) {
		dir := repository(t)
		for _, h := range hooks {
			if h.ID != id {
				continue
			}
			assert.Equal(t, "golang", h.Language, "pre-commit builds it with go install ./...")
			line, matched := h.Entry, 0
			for _, file := range staged {
				if regexp.MustCompile(h.Files).MatchString(file) {
					matched++
					if h.PassFilenames == nil || *h.PassFilenames {
						line += " " + quoted(file)
					}
				}
			}
			require.Positive(t, matched, "the hook would be skipped")
			out, code := shell(t, dir, line, map[string]string{"SEWABLE_CACHE": t.TempDir()})
			return out, code, dir
		}
		t.Fatal("no hook " + id)
		return "", 0, ""
	}
	require.Len(t, hooks, 3)

	_, code, _ := run("sewable-lint", "blocks/sound one.block", "README.md")
	assert.Equal(t, 0, code)
	out, code, _ := run("sewable-lint", "blocks/sound one.block", "blocks/new.block")
	assert.Equal(t, 1, code)
	assert.Contains(t, out, "blocks/new.block:1:1: error")

	out, code, _ = run("sewable-lint-new", "blocks/new.block", "sewable.toml")
	assert.Equal(t, 1, code)
	assert.Contains(t, out, "blocks/new.block:1:1: error")
	assert.NotContains(t, out, "old.block")

	_, code, dir := run("sewable-fmt", "blocks/sound one.block")
	assert.Equal(t, 0, code)
	text, err := os.ReadFile(filepath.Join(dir, "blocks/sound one.block"))
	require.NoError(t, err)
	assert.Equal(t, "fabric sky\n", string(text))

	// A draft of the commit is kept out by the settings.
	for _, id := range []string{"sewable-lint", "sewable-fmt"} {
		out, code, dir := run(id, "drafts/rough.block", "blocks/sound one.block")
		assert.Equal(t, 0, code, id)
		assert.Contains(t, out, "drafts/rough.block is excluded by sewable.toml; not checked\n")
		text, err := os.ReadFile(filepath.Join(dir, "drafts/rough.block"))
		require.NoError(t, err)
		assert.Equal(t, "bloc   \"Rough\"\n", string(text))
	}
}

type action struct {
	Name, Description string
	Inputs            map[string]struct{ Description, Default string }
	Runs              struct {
		Using string
		Steps []struct {
			Name, Uses, Shell, Run string
			With, Env              map[string]string
		}
	}
}

var expression = regexp.MustCompile(`\$\{\{ *([a-z_.-]+) *\}\}`)

func TestAction(t *testing.T) {
	var a action
	read(t, "action/action.yml", &a)
	assert.Equal(t, "composite", a.Runs.Using)
	temp := t.TempDir()
	values := map[string]string{"runner.temp": temp, "github.action_path": filepath.Join(root, "editors/ci/action"), "github.run_id": "1"}
	fill := func(text string, inputs map[string]string) string {
		return expression.ReplaceAllStringFunc(text, func(e string) string {
			name := expression.FindStringSubmatch(e)[1]
			if input, ok := strings.CutPrefix(name, "inputs."); ok {
				declared, ok := a.Inputs[input]
				require.True(t, ok, "the input %s is declared", input)
				if value, ok := inputs[input]; ok {
					return value
				}
				return declared.Default
			}
			value, ok := values[name]
			require.True(t, ok, "%s is known", name)
			return value
		})
	}
	built := false
	run := func(dir string, inputs map[string]string) (string, int) {
		var out string
		for _, step := range a.Runs.Steps {
			if step.Name == "Build sewable" && built {
				continue
			}
			if step.Uses != "" {
				assert.Regexp(t, `^[a-z]+/[a-z-]+@v\d+$`, step.Uses)
				for _, v := range step.With {
					fill(v, inputs)
				}
				continue
			}
			assert.Equal(t, "bash", step.Shell)
			assert.NotContains(t, step.Run, "${{", "an input is not pasted into a script")
			env := map[string]string{"RUNNER_TEMP": temp, "GITHUB_ACTION_PATH": values["github.action_path"]}
			for k, v := range step.Env {
				env[k] = fill(v, inputs)
			}
			text, code := shell(t, dir, step.Run, env)
			out += text
			if step.Name == "Build sewable" {
				require.Equal(t, 0, code, text)
				built = true
			}
			if code != 0 {
				return out, code
			}
		}
		return out, 0
	}
	info, err := os.Stat(filepath.Join(values["github.action_path"], "../../../go.mod"))
	require.NoError(t, err, "what setup-go reads")
	require.False(t, info.IsDir())

	dir := repository(t)
	out, code := run(dir, nil)
	assert.Equal(t, 1, code)
	assert.Contains(t, out, "::error file=blocks/old.block,line=1,")
	assert.Contains(t, out, "::error file=blocks/new.block,line=1,")

	out, code = run(dir, map[string]string{"new-from": "main...", "sarif": "lint.sarif", "part": "1/1"})
	assert.Equal(t, 1, code, out)
	assert.NotContains(t, out, "old.block")
	sarif, err := os.ReadFile(filepath.Join(dir, "lint.sarif"))
	require.NoError(t, err)
	assert.True(t, json.Valid(sarif))

	out, code = run(dir, map[string]string{"paths": "blocks/sound one.block\n"})
	assert.Equal(t, 0, code, out)

	_, code = shell(t, dir, "sewable baseline old.txt", nil)
	require.Equal(t, 0, code)
	out, code = run(dir, map[string]string{"baseline": "old.txt"})
	assert.Equal(t, 1, code, "what cannot be read is in no baseline")
	assert.NotContains(t, out, "old.block")
	assert.Contains(t, out, "::error file=blocks/new.block,line=1,")

	out, code = run(dir, map[string]string{"paths": "$(touch hacked); --fix"})
	assert.Equal(t, 2, code, out)
	assert.NoFileExists(t, filepath.Join(dir, "hacked"))
}

func TestGitLab(t *testing.T) {
	var file map[string]struct {
		Stage     string
		Parallel  int
		Variables map[string]string
		Cache     struct {
			Key   string
			Paths []string
		}
		Script    []string
		Artifacts struct {
			When    string
			Reports map[string]string
		}
	}
	read(t, "gitlab.yml", &file)
	job := file["sewable-lint"]
	require.Len(t, job.Script, 1)
	dir := repository(t)
	found := 0
	for index := range job.Parallel {
		env := map[string]string{"CI_NODE_INDEX": string(rune('1' + index)), "CI_NODE_TOTAL": string(rune('0' + job.Parallel)), "CI_PROJECT_DIR": dir}
		for k, v := range job.Variables {
			env[k] = os.Expand(v, func(name string) string { return env[name] })
		}
		out, code := shell(t, dir, job.Script[0], env)
		assert.Contains(t, []int{0, 1}, code, out)
		quality, err := os.ReadFile(filepath.Join(dir, job.Artifacts.Reports["codequality"]))
		require.NoError(t, err)
		var entries []struct{ Severity string }
		require.NoError(t, json.Unmarshal(quality, &entries))
		found += len(entries)
		junit, err := os.ReadFile(filepath.Join(dir, job.Artifacts.Reports["junit"]))
		require.NoError(t, err)
		require.NoError(t, xml.Unmarshal(junit, new(struct {
			XMLName xml.Name `xml:"testsuites"`
		})))
		assert.DirExists(t, filepath.Join(dir, job.Cache.Paths[0]))
	}
	assert.Equal(t, 2, found, "each finding in one part")
}

func TestAzure(t *testing.T) {
	var file struct {
		Steps []struct {
			Bash        string
			DisplayName string `yaml:"displayName"`
			Task        string
			Condition   string
			Env, Inputs map[string]string
		}
	}
	read(t, "azure.yml", &file)
	dir := repository(t)
	temp := t.TempDir()
	variables := strings.NewReplacer("$(Pipeline.Workspace)", temp, "$(Agent.TempDirectory)", temp)
	env := map[string]string{"AGENT_TEMPDIRECTORY": temp}
	for k, v := range file.Steps[0].Env {
		env[k] = variables.Replace(v)
	}
	out, code := shell(t, dir, file.Steps[0].Bash, env)
	assert.Equal(t, 1, code)
	assert.Contains(t, out, "##vso[task.logissue type=error;sourcepath=blocks/new.block;linenumber=1;")
	assert.FileExists(t, variables.Replace(file.Steps[1].Inputs["testResultsFiles"]))
}

// The flags and commands that the page names are there.
func TestPageNamesFlagsThatAreThere(t *testing.T) {
	page, err := os.ReadFile("README.md")
	require.NoError(t, err)
	help, code := shell(t, ".", "sewable lint --help", nil)
	require.Equal(t, 0, code)
	flags := regexp.MustCompile(`--[a-z]+(-[a-z]+)*`).FindAllString(string(page), -1)
	require.NotEmpty(t, flags)
	for _, flag := range flags {
		assert.Contains(t, help, flag)
	}
	var hooks []struct{ ID string }
	text, err := os.ReadFile(filepath.Join(root, ".pre-commit-hooks.yaml"))
	require.NoError(t, err)
	require.NoError(t, yaml.Unmarshal(text, &hooks))
	for _, h := range hooks {
		assert.Contains(t, string(page), "`"+h.ID+"`")
	}
}
