package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/visible"
)

// hostile are words that act on whoever reads them: they ring, color, erase, turn around, hide, break
// lines and give orders to the log of a CI system.
const hostile = "::error::x \a\x1b[31m\x1b]0;t\a\x7f\u0085\u009b31m\u061c\u200e\u202egnp\u202c\u2066\u2067\u2069\u2028\ufeff\ufffe\U000e0041##vso[task.complete]\tend"

// hostileName is the same as files can be called.
const hostileName = "::x \n\a\x1b[31m\x7f\u009b\u202e\u2066\ufeff##vso[task.complete]\tend"

// hostileRepository is a repository of somebody who means harm: a sound file, one with mistakes in
// every place where a file is quoted, settings that make no sense, a drawing, and two commits.
func hostileRepository(t *testing.T) (good, bad, drawn, svg string) {
	dir := t.TempDir()
	t.Chdir(dir)
	folder := "quay " + hostileName
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Skipf("folders cannot be called so here: %v", err)
	}
	fill := strings.NewReplacer("HOSTILE", hostile).Replace
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, []byte(fill(text)), 0o644))
		return path
	}
	good = write("good "+hostileName+".block", `allowance 1/4
note "HOSTILE"
fabric sky "HOSTILE sky" #c3dcea width 42
fabric sea "HOSTILE sea" #1d2b4f width 42
colorway dusk "HOSTILE dusk" {
  sky = sea
}
// HOSTILE
  fabric   sea
block "HOSTILE" 6 by 6 {
  note "HOSTILE"
  section A "HOSTILE" {
    patch 1 sky (0, 0) (6, 0) (6, 3) (0, 3) note "HOSTILE"
    patch 2 sea (0, 3) (6, 3) (6, 4) (0, 4)
  }
  section B "HOSTILE" {
    patch 1 sky (0, 4) (6, 4) (6, 6) (0, 6)
  }
  join A to B
}
setting "HOSTILE" {
  rows 1
  columns 2
  fill "HOSTILE", "HOSTILE" dusk turned 180
  binding cut 2 1/4 sky
  note "HOSTILE"
}
`)
	bad = write("bad "+hostileName+".block", `use "HOSTILE"
use "../HOSTILE.block"
fabric sky "HOSTILE"
fabric sky "HOSTILE"
HOSTILE
  fabric   sea
block "HOSTILE" 6 by 6 {
  // accept no-such-rule: HOSTILE
  // accept gap: HOSTILE
  section A "HOSTILE" {
    patch 1 skyy (0, 0) (6, 0) (6, 3) (0, 3) note "HOSTILE" HOSTILE
    patch 2 sky (0, 4) (6, 4) (6, 6) (0, 6) cut HOSTILE
    patch 3 sky beyond HOSTILE
  }
  HOSTILE {
  }
}
block "HOSTILE" 6 by 6 {
}
block "HOSTILE 2" 0 by 6 {
  section A {
    patch 1 sky (0, 0) (6, 0) (0, 4) (6, 3)
  }
}
setting "HOSTILE" {
  rows 1
  columns 1
  fill "HOSTILE 3"
}
`)
	write("latin \xe9.block", "fabric \xe9 \x1b\n")
	drawn = write("drawn.block", `allowance 1/4
fabric sky "HOSTILE" #c3dcea
block "HOSTILE" 4 by 4 {
  patch sky (0, 0) (4, 0) (4, 2) (0, 2) note "HOSTILE"
  patch sky (0, 2) (4, 2) (4, 4) (0, 4)
}
`)
	svg = write("drawing.svg", `<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="4in" viewBox="0 0 4 4"><title>&#x9b;&#x202e;##vso[task.complete]</title>
<g id="&#x202e;&#x9b;"><rect id="a&#x202e;" width="4" height="2" fill="red"/><rect y="2" width="4" height="2" fill="navy&#x202e;"/></g></svg>`)
	require.NoError(t, os.Mkdir(filepath.Join(folder, "set"), 0o755))
	write("set/one.block", "fabric sky \"HOSTILE\"\n")
	write("set/sewable.toml", "allowance = \"\\u001b[31m\\u202e\"\n\"\\u001b\\u202e\" = 1\n[levels]\n\"no\\u001b\\u202e\" = \"error\"\ngap = \"\\u001b\\u009b\\u202e\"\n")
	git := func(args ...string) {
		c := exec.Command("git", args...)
		c.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_NOSYSTEM=1", "GIT_AUTHOR_NAME="+"\u202e\u009bAda", "GIT_AUTHOR_EMAIL=ada@harbour.example",
			"GIT_COMMITTER_NAME=\u202eAda", "GIT_COMMITTER_EMAIL=ada@harbour.example")
		out, err := c.CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
	if _, err := exec.LookPath("git"); err == nil {
		git("init", "-q", "-b", "main\u202e\u2066")
		git("add", ".")
		git("commit", "-q", "-m", hostile)
		text, err := os.ReadFile(good)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(good, bytes.ReplaceAll(text, []byte("3)"), []byte("2)")), 0o644))
		git("commit", "-q", "-a", "-m", hostile)
	}
	return good, bad, drawn, svg
}

// asPassive checks that a text does nothing to a terminal; logs is whether it could be a command to
// the log of a CI system.
func asPassive(t *testing.T, text, what string, logs bool) {
	t.Helper()
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if !assert.Equal(t, visible.KeepTabs(line), line, what) {
			return
		}
		if logs && (orders.MatchString(line) || strings.HasPrefix(strings.TrimSpace(line), "::")) {
			assert.Fail(t, "a command to a log", "%s\n%s", what, line)
			return
		}
	}
}

// ownCommand is what the forms of GitHub and Azure begin a line with.
var ownCommand = regexp.MustCompile(`(?m)^(::(error|warning|notice) |##vso\[task\.logissue )`)

var orders = regexp.MustCompile(`(?i)##(vso)?\[`)

// Whatever a repository holds and however its files are called: nothing that a command prints, and no
// page, list or drawing that it writes, holds a character that acts.
func TestNothingHostileIsSent(t *testing.T) {
	good, bad, drawn, svg := hostileRepository(t)
	all := filepath.Dir(good)
	type call struct {
		args  []string
		bytes bool // prints the text of a file, as it is
		forms bool // has commands to a log of its own, or is for a file
	}
	calls := []call{
		{args: []string{"lint", "--no-cache", all, "--fix"}}, {args: []string{"lint", "--no-cache", "--level", "error", bad}}, {args: []string{"lint", "no" + hostileName}},
		{args: []string{"lint", "--" + hostileName}}, {args: []string{hostileName}}, {args: []string{"lint", "--level", hostileName}}, {args: []string{"rules", hostileName}},
		{args: []string{"baseline", "old " + hostileName, all, "--no-cache"}}, {args: []string{"lint", "--no-cache", "--baseline", "old " + hostileName, all}},
		{args: []string{"lint", "--no-cache", "--new-from", hostileName, all}}, {args: []string{"lint", "--no-cache", "--new-from", "HEAD~1", all}}, {args: []string{"lint", "--config", bad, all}},
		{args: []string{"order", good, bad}}, {args: []string{"order", "--format", "json", good, bad}}, {args: []string{"order", all + "/none"}},
		{args: []string{"cuts", good, "--force"}}, {args: []string{"cuts", all}}, {args: []string{"cuts", good, "--block", hostileName, "--force"}}, {args: []string{"cuts", good, "--colourway", hostileName, "--force"}},
		{args: []string{"cuts", good, "--force", "--patches"}}, {args: []string{"cuts", good, "--force", "--format", "markdown"}}, {args: []string{"cuts", good, "--units", hostileName}},
		{args: []string{"cuts", good, "--force", "--format", "csv"}, forms: true}, {args: []string{"cuts", good, "--force", "--format", "json"}},
		{args: []string{"cuts", good, "--force", "--labels"}, forms: true}, {args: []string{"cuts", good, "--force", "--labels", "-o", "labels.csv"}}, {args: []string{"cuts", good, "--force", "--labels", "-o", "labels.pdf"}},
		{args: []string{"draw", good}}, {args: []string{"draw", good, "--text", "--section", "A", "--section", "B", "--key"}}, {args: []string{"draw", good, "--block", hostileName}},
		{args: []string{"draw", good, "--findings", "--key", "-o", "out.svg"}}, {args: []string{"draw", bad, "--findings", "--key", "-o", "bad.svg"}}, {args: []string{"draw", good, "-o", "x" + hostileName}},
		{args: []string{"draw", good, "--section", "A", "--key", "-o", "section.svg"}}, {args: []string{"draw", good, "--key", "-o", "out.png"}}, {args: []string{"draw", good, "--setting", "nothing", "-o", "out.pdf"}},
		{args: []string{"print", good, "-o", "out.pdf"}}, {args: []string{"print", all, "-o", "all.pdf"}}, {args: []string{"print", good, "--force", "-o", "sheets.pdf"}},
		{args: []string{"print", good, "--force", "--guide", "-o", "guide.html"}}, {args: []string{"print", good, "--force", "--guide", "-o", "guide.pdf"}},
		{args: []string{"plan", drawn}}, {args: []string{"plan", drawn, "--format", "json"}}, {args: []string{"plan", drawn, "--print"}, bytes: true}, {args: []string{"plan", drawn, "--diff"}},
		{args: []string{"plan", good, "--again", "--why"}}, {args: []string{"plan", drawn, "--block", hostileName}}, {args: []string{"plan", drawn, "-o", "planned " + hostileName}},
		{args: []string{"import", svg}, bytes: true}, {args: []string{"import", svg, "-o", "imported " + hostileName}}, {args: []string{"import", bad}},
		{args: []string{"fmt", "--check", all}}, {args: []string{"fmt", good}, bytes: true}, {args: []string{"fmt", "--diff", bad}}, {args: []string{"fmt", "--diff", good}}, {args: []string{"fmt", "--diff", all}}, {args: []string{"fmt", "no" + hostileName}},
		{args: []string{"show", good}}, {args: []string{"show", bad}}, {args: []string{"show", good, "--alone"}},
		{args: []string{"debug", "tokens", bad}}, {args: []string{"debug", "tree", bad}}, {args: []string{"debug", "model", bad}}, {args: []string{"debug", "division", good}}, {args: []string{"debug", "model", good}},
		{args: []string{"preview", "--socket", hostileName, good}}, {args: []string{"preview", all}},
	}
	for _, form := range []string{"text", "json", "sarif", "github", "gitlab", "azure", "junit", "checkstyle"} {
		calls = append(calls, call{args: []string{"lint", "--no-cache", "--format", form, "-o", form + "=lint." + form, all}, forms: form == "github" || form == "azure"})
		calls = append(calls, call{args: []string{"lint", "--no-cache", "--format", form, all}, forms: form == "github" || form == "azure"})
	}
	if _, err := exec.LookPath("git"); err == nil {
		for _, format := range []string{"text", "markdown", "html", "json"} {
			calls = append(calls, call{args: []string{"review", "HEAD~1", "HEAD", "--format", format}, forms: format == "html"})
		}
		calls = append(calls, call{args: []string{"review", "main\u202e\u2066~1"}}, call{args: []string{"review", hostileName}}, call{args: []string{"review", "HEAD~1", "HEAD", "-o", "review.html"}},
			call{args: []string{"review", "HEAD~1", "HEAD", "-o", "review.md"}}, call{args: []string{"merge-check", "main\u202e\u2066"}}, call{args: []string{"merge-check", hostileName}},
			call{args: []string{"merge-check", "HEAD~1", "--format", "json"}})
	}
	for _, c := range calls {
		var out, problems bytes.Buffer
		run(t.Context(), c.args, strings.NewReader(""), &out, &problems)
		what := strings.Join(c.args, " ")
		asPassive(t, problems.String(), "standard error of "+what, true)
		assert.NotEmpty(t, out.String()+problems.String()+fileOf(c.args), "%q does something", what)
		if !c.bytes {
			text := out.String()
			if c.args[len(c.args)-1] == all && (slices.Contains(c.args, "github") || slices.Contains(c.args, "azure")) {
				text, c.forms = ownCommand.ReplaceAllString(text, ""), false // the rest is as passive as any text
			}
			asPassive(t, text, what, !c.forms)
		}
	}
	for _, pattern := range []string{"*.svg", "*.html", "*.md", "*.csv", "lint.*"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, name := range files {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			asPassive(t, string(text), name, false)
		}
	}
	for _, name := range []string{"out.svg", "section.svg", "guide.html", "sheets.pdf", "labels.csv", "lint.sarif"} {
		assert.FileExists(t, name)
	}
}

// fileOf is the name of the file that a call writes, if it is there.
func fileOf(args []string) string {
	for i, a := range args {
		if a == "-o" {
			name := args[i+1]
			if _, after, ok := strings.Cut(name, "="); ok {
				name = after
			}
			if _, err := os.Stat(name); err == nil {
				return name
			}
		}
	}
	return ""
}

// What is a file's text stays so, to the byte, when it goes to a pipe or back into a file.
func TestFilesKeepTheirBytes(t *testing.T) {
	good, _, drawn, _ := hostileRepository(t)
	printed := func(args ...string) string {
		var out, problems bytes.Buffer
		run(t.Context(), args, strings.NewReader(""), &out, &problems)
		assert.Empty(t, problems.String())
		return out.String()
	}
	text, err := os.ReadFile(good)
	require.NoError(t, err)
	formatted := printed("fmt", good)
	assert.Equal(t, strings.Count(string(text), hostile), strings.Count(formatted, hostile))
	planned := printed("plan", drawn, "--print")
	assert.Equal(t, 3, strings.Count(planned, hostile))
	again := printed("plan", good, "--again", "--print")
	assert.Equal(t, strings.Count(string(text), hostile)-2, strings.Count(again, hostile), "the titles of sections that come out otherwise are lost")
}
