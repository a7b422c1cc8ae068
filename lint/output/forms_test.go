package output

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xeipuuv/gojsonschema"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/visible"
	"sewable/lint"
)

// hostile are words that mean something in one of the forms.
const hostile = "<script>alert(1)</script>\n::error file=x::y\r##vso[task.complete result=Succeeded]100% ;,:]]> \"'&\x00\x1b[31m \ufffe[a](1)"

// hostileReport says all of it everywhere.
func hostileReport() Report {
	f := on("  patch 4 sky", "4")
	f.File, f.Rule, f.Level, f.Message = "dir "+hostile+"/a.block", "sharp-corner", lint.Error, hostile
	f.Block, f.Section, f.Patch, f.Line = hostile, hostile, 4, hostile
	f.Related = []lint.Related{{Place: f.Place, Message: hostile}}
	f.Fixes = []lint.Fix{{Title: hostile, Edits: []lint.Edit{{Place: f.Place, New: hostile}, {Place: f.Place}}}}
	hint := f
	hint.Level = lint.Hint
	return Report{
		Result: &lint.Result{Findings: []lint.Finding{f, hint}, Failures: []lint.Failure{{File: f.File, Rule: "gap", Cause: hostile}}, Files: 2, Blocks: 2},
		Paths:  []string{"b.block", f.File},
		Rules: []*lint.Rule{
			{Name: "gap", Level: lint.Off, Title: "A gap", Why: "It gapes.", Since: "0.1"},
			{Name: "sharp-corner", Level: lint.Warning, Title: hostile, Why: hostile, Bad: hostile, Good: hostile, Since: "0.1"},
		},
		Version: "0.1",
	}
}

func written(t *testing.T, form string, r Report) string {
	t.Helper()
	f, ok := FormOf(form)
	require.True(t, ok)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b, r))
	var again bytes.Buffer
	require.NoError(t, f.Write(&again, r))
	require.Equal(t, b.String(), again.String(), "the same bytes each time")
	return b.String()
}

func TestFormsWriteErrors(t *testing.T) {
	for _, f := range Forms {
		assert.ErrorIs(t, f.Write(full{}, hostileReport()), io.ErrShortWrite, f.Name)
	}
}

// What is written element by element is, byte for byte, what the encoder writes as a whole.
func TestStream(t *testing.T) {
	type document struct {
		Before string `json:"before"`
		Inner  []struct {
			List  []any  `json:"list"`
			After string `json:"after"`
		} `json:"inner"`
	}
	for _, list := range [][]any{{}, {hostile}, {hostile, 1, map[string]any{"a": []int{}, "b": []int{1, 2}}, document{}}} {
		whole := func(list []any) document {
			d := document{Before: `"list": []`}
			d.Inner = append(d.Inner, struct {
				List  []any  `json:"list"`
				After string `json:"after"`
			}{list, hostile})
			return d
		}
		encoded := func(v any) string {
			var b bytes.Buffer
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			e.SetIndent("", "  ")
			require.NoError(t, e.Encode(v))
			return string(visible.EscapeJSON(b.Bytes()))
		}
		at := func(i int) any { return list[i] }
		var b bytes.Buffer
		require.NoError(t, stream(&b, whole([]any{}), "list", len(list), at))
		assert.Equal(t, encoded(whole(list)), b.String())
		b.Reset()
		require.NoError(t, stream(&b, []any{}, "", len(list), at))
		assert.Equal(t, encoded(list), b.String())
	}
	assert.Error(t, stream(io.Discard, document{}, "list", 0, nil))
}

// BenchmarkForms writes 40,000 findings.
func BenchmarkForms(b *testing.B) {
	r := Report{Result: &lint.Result{}}
	for i := range 40_000 {
		f := on("  patch 4 sky beyond (34, 60) (76, 155)", "sky")
		f.File, f.Block, f.Section, f.Patch = "blocks/buoy.block", "Fairway Buoy", "A", i
		f.Related = []lint.Related{{Place: f.Place, Message: "C1 is here"}}
		f.Fixes = []lint.Fix{{Title: "Renumber the section", Edits: []lint.Edit{{Place: f.Place, New: "3"}}}}
		r.Findings = append(r.Findings, f)
	}
	for _, f := range Forms {
		b.Run(f.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, f.Write(io.Discard, r))
			}
		})
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// schemaErrors holds a log against the OASIS schema that github.com/owenrumney/go-sarif carries, as it
// is written: the library's own check is of what it read, less what it does not know.
func schemaErrors(t *testing.T, text string) []gojsonschema.ResultError {
	t.Helper()
	dir, err := exec.Command("go", "list", "-f", "{{.Dir}}", reflect.TypeFor[sarif.Report]().PkgPath()).Output()
	require.NoError(t, err)
	code, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "schema.go"))
	require.NoError(t, err)
	_, schema, ok := strings.Cut(string(code), "`")
	require.True(t, ok)
	schema, _, _ = strings.Cut(schema, "`")
	checked, err := gojsonschema.Validate(gojsonschema.NewStringLoader(schema), gojsonschema.NewStringLoader(text))
	require.NoError(t, err)
	return checked.Errors()
}

func checkSARIF(t *testing.T, text string) *sarif.Report {
	t.Helper()
	require.Empty(t, schemaErrors(t, text))
	report, err := sarif.FromString(text, sarif.WithStrictValidation())
	require.NoError(t, err)
	return report
}

func TestSARIF(t *testing.T) {
	r := Report{Result: result(), Paths: []string{"a.block"}, Version: "0.1", Pages: "https://docs.example/rules/", Part: "2/8",
		Rules: []*lint.Rule{
			{Name: "gap", Level: lint.Off, Title: "A gap", Why: "It gapes.", Since: "0.1"},
			{Name: "sharp-corner", Level: lint.Warning, Title: "A sharp corner", Why: "Tails.", Bad: "bad", Good: "good", Since: "0.1"},
		}}
	text := written(t, "sarif", r)
	got := checkSARIF(t, text)
	require.NotEmpty(t, schemaErrors(t, strings.Replace(text, `"note"`, `"hint"`, 1)), "the schema is looked at")
	require.NotEmpty(t, schemaErrors(t, strings.Replace(text, `"ruleId"`, `"ruleName"`, 1)), "strictly")
	require.Len(t, got.Runs, 1)
	run := got.Runs[0]
	assert.Equal(t, "unicodeCodePoints", *run.ColumnKind)
	assert.Equal(t, "sewable/2-of-8/", *run.AutomationDetails.ID)
	require.Len(t, run.Tool.Driver.Rules, 2)
	assert.False(t, run.Tool.Driver.Rules[0].DefaultConfiguration.Enabled, "a rule that is off")
	rule := run.Tool.Driver.Rules[1]
	assert.Equal(t, "https://docs.example/rules/sharp-corner.md", *rule.HelpURI)
	assert.Contains(t, *rule.Help.Markdown, "## Why it matters")
	assert.Contains(t, *rule.Help.Text, "Tails.")

	require.Len(t, run.Results, 2)
	first := run.Results[0]
	assert.Equal(t, "warning", first.Level)
	assert.Equal(t, 1, first.RuleIndex)
	assert.Equal(t, "a.block", *first.Locations[0].PhysicalLocation.ArtifactLocation.URI)
	assert.Equal(t, "SRCROOT", *first.Locations[0].PhysicalLocation.ArtifactLocation.URIBaseID)
	assert.Equal(t, 22, *first.Locations[0].PhysicalLocation.Region.StartColumn)
	assert.Equal(t, 35, *first.Locations[0].PhysicalLocation.Region.EndColumn)
	assert.Equal(t, "Sloop/C/4", *first.Locations[0].LogicalLocations[0].FullyQualifiedName)
	assert.Equal(t, "C1 is here", *first.RelatedLocations[0].Message.Text)
	require.Len(t, first.Fixes, 2)
	assert.Equal(t, "Renumber the section", *first.Fixes[0].Description.Text)
	assert.Equal(t, "<3>", *first.Fixes[0].ArtifactChanges[0].Replacements[0].InsertedContent.Text)
	assert.Equal(t, string(lint.Fingerprints(r.Findings, "")[0]), first.PartialFingerprints["sewable/v1"])
	assert.NotEqual(t, first.PartialFingerprints, run.Results[1].PartialFingerprints)
	assert.Equal(t, "note", run.Results[1].Level)
	assert.True(t, *run.Invocations[0].ExecutionSuccessful)

	t.Run("nothing found", func(t *testing.T) {
		text := written(t, "sarif", Report{Result: &lint.Result{}})
		checkSARIF(t, text)
		assert.Contains(t, text, `"results": []`)
		assert.NotContains(t, text, "helpUri")
	})
	t.Run("a rule broke down", func(t *testing.T) {
		got := checkSARIF(t, written(t, "sarif", hostileReport()))
		in := got.Runs[0].Invocations[0]
		assert.False(t, *in.ExecutionSuccessful)
		assert.Equal(t, 2, *in.ExitCode)
		assert.Equal(t, "gap", *in.ToolExecutionNotifications[0].AssociatedRule.ID)
		assert.Len(t, got.Runs[0].Results[0].Fixes[0].ArtifactChanges, 1, "two edits of one file")
	})
}

// Every finding of the broken files, as written by a real run.
func TestSARIFOfBroken(t *testing.T) {
	rules, found := broken(t)
	got := checkSARIF(t, written(t, "sarif", Report{Result: found, Rules: rules, Version: "0.1", Root: "../.."}))
	prints := map[string]bool{}
	for _, r := range got.Runs[0].Results {
		assert.Equal(t, *r.RuleID, *got.Runs[0].Tool.Driver.Rules[r.RuleIndex].ID)
		assert.Regexp(t, `^testdata/broken/[a-z-]+\.(block|toml)$`, *r.Locations[0].PhysicalLocation.ArtifactLocation.URI)
		prints[r.PartialFingerprints["primaryLocationLineHash"]] = true
	}
	assert.Len(t, prints, len(got.Runs[0].Results), "each finding has its own fingerprint")
}

func TestArtifacts(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	s := sarifWriter{Report: Report{Root: "."}}
	for path, want := range map[string]sarifArtifact{
		"a.block":                         {"a.block", srcRoot},
		"fish & <chips>/ä b#?.block":      {"fish%20&%20%3Cchips%3E/%C3%A4%20b%23%3F.block", srcRoot},
		"c:d.block":                       {"./c:d.block", srcRoot},
		"100%.block":                      {"100%25.block", srcRoot},
		"\xff.block":                      {"%FF.block", srcRoot},
		filepath.Join(dir, "sub/a.block"): {"sub/a.block", srcRoot},
		"../a.block":                      {"file://" + filepath.Join(filepath.Dir(dir), "a.block"), ""},
		"/pier/a.block":                   {"file:///pier/a.block", ""},
	} {
		assert.Equal(t, want, s.artifact(path), path)
	}
}

// command takes a workflow command apart as the runner does
// (github.com/actions/runner, ActionCommand.cs).
var command = regexp.MustCompile(`^::(error|warning|notice) ([^:]*)::(.*)$`)

func TestGitHub(t *testing.T) {
	assert.Equal(t, `::warning file=a.block,line=2,endLine=2,col=22,endColumn=35,title=sharp-corner::C4 is sharp.%0Aa.block:2:22: C1 is here%0A--fix would: Renumber the section%0Apossible fix: Move the corner to (0, 2)
::notice file=a.block,line=2,endLine=2,col=9,endColumn=10,title=sharp-corner::C4 is sharp.
2 files, 1 block: 1 warning and 1 hint
`, written(t, "github", Report{Result: result()}))

	r := hostileReport()
	lines := strings.Split(strings.TrimSuffix(written(t, "github", r), "\n"), "\n")
	require.Len(t, lines, 4, "two findings, a failure and the sum")
	unescape := strings.NewReplacer("%0D", "\r", "%0A", "\n", "%3A", ":", "%2C", ",", "%25", "%").Replace
	for i, line := range lines[:2] {
		got := command.FindStringSubmatch(line)
		require.NotNil(t, got, line)
		var file string
		for _, property := range strings.Split(got[2], ",") {
			if value, ok := strings.CutPrefix(property, "file="); ok {
				file = unescape(value)
			}
		}
		assert.Equal(t, Plain(r.Findings[i].File), file)
		assert.True(t, strings.HasPrefix(unescape(got[3]), Plain(hostile)))
	}

	f := on("section A {", "A {")
	f.End.Line, f.End.Column = 9, 1
	text := written(t, "github", Report{Result: &lint.Result{Findings: []lint.Finding{f}}})
	assert.Contains(t, text, "line=2,endLine=9,title=", "no columns over several lines")
}

// No name begins a line, which CI systems could take for a command, or reaches the terminal as one.
func TestTextOfHostileNames(t *testing.T) {
	r := hostileReport()
	r.Style.Profile = termenv.Ascii
	text := written(t, "text", r)
	assert.NotContains(t, text, "\x1b")
	assert.NotContains(t, text, "\r")
	assert.NotRegexp(t, `(?m)^\s*::`, text)
}

func TestAzure(t *testing.T) {
	assert.Equal(t, `##vso[task.logissue type=warning;sourcepath=a.block;linenumber=2;columnnumber=22;code=sharp-corner]C4 is sharp.%0Aa.block:2:22: C1 is here%0A--fix would: Renumber the section%0Apossible fix: Move the corner to (0, 2)
##vso[task.logissue type=warning;sourcepath=a.block;linenumber=2;columnnumber=9;code=sharp-corner]hint: C4 is sharp.
2 files, 1 block: 1 warning and 1 hint
`, written(t, "azure", Report{Result: result()}))

	lines := strings.Split(strings.TrimSuffix(written(t, "azure", hostileReport()), "\n"), "\n")
	require.Len(t, lines, 4)
	for _, line := range lines[:3] {
		// The agent reads up to the first bracket (TaskCommand.cs: properties, then data).
		head, _, ok := strings.Cut(strings.TrimPrefix(line, "##vso["), "]")
		require.True(t, ok)
		for _, property := range strings.Split(strings.TrimPrefix(head, "task.logissue "), ";") {
			assert.Regexp(t, `^(type|sourcepath|linenumber|columnnumber|code)=`, property)
		}
	}
}

func TestGitLab(t *testing.T) {
	var got []map[string]any
	require.NoError(t, json.Unmarshal([]byte(written(t, "gitlab", hostileReport())), &got))
	require.Len(t, got, 3)
	prints := map[any]bool{}
	for _, e := range got { // the fields of docs.gitlab.com/ci/testing/code_quality, "Code Quality report format"
		for _, field := range []string{"description", "check_name", "fingerprint", "severity"} {
			assert.IsType(t, "", e[field])
		}
		assert.Contains(t, []any{"info", "minor", "major", "critical", "blocker"}, e["severity"])
		location := e["location"].(map[string]any)
		assert.NotEmpty(t, location["path"])
		assert.Positive(t, location["lines"].(map[string]any)["begin"])
		prints[e["fingerprint"]] = true
	}
	assert.Len(t, prints, 3)
	assert.Equal(t, "[]\n", written(t, "gitlab", Report{Result: &lint.Result{}}))
}

// junit are the elements of the schema that Jenkins publishes for test reports
// (xunit-plugin, junit-10.xsd): what each may hold, in this order, and its attributes, the required ones first.
var junit = map[string]struct{ holds, needs, may []string }{
	"testsuites": {[]string{"testsuite"}, nil, []string{"name", "time", "tests", "failures", "disabled", "errors"}},
	"testsuite":  {[]string{"properties", "testcase", "system-out", "system-err"}, []string{"name", "tests", "failures", "errors"}, []string{"group", "time", "skipped", "timestamp", "hostname", "id", "package", "file", "log", "url", "version"}},
	"testcase":   {[]string{"skipped", "error", "failure", "system-out", "system-err"}, []string{"name", "classname"}, []string{"time", "group"}},
	"failure":    {nil, nil, []string{"type", "message"}},
	"error":      {nil, nil, []string{"type", "message"}},
	"system-out": {},
}

func TestJUnit(t *testing.T) {
	text := written(t, "junit", hostileReport())
	var open []string
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			rule, ok := junit[e.Name.Local]
			require.True(t, ok, e.Name.Local)
			if len(open) > 0 {
				assert.Contains(t, junit[open[len(open)-1]].holds, e.Name.Local)
			}
			var names []string
			for _, a := range e.Attr {
				names = append(names, a.Name.Local)
				assert.Contains(t, slices.Concat(rule.needs, rule.may), a.Name.Local)
			}
			assert.Subset(t, names, rule.needs)
			open = append(open, e.Name.Local)
		case xml.EndElement:
			open = open[:len(open)-1]
		}
	}

	var got junitSuites
	require.NoError(t, xml.Unmarshal([]byte(text), &got))
	require.Len(t, got.Suites, 2)
	assert.Equal(t, []int{1, 0, 0}, []int{got.Suites[0].Tests, got.Suites[0].Failures, got.Suites[0].Errors}, "b.block is clean")
	assert.Equal(t, []int{4, 1, 1}, []int{got.Tests, got.Failures, got.Errors})
	bad := got.Suites[1]
	require.Len(t, bad.Cases, 3)
	assert.Contains(t, bad.Cases[0].Failure.Message, "<script>alert(1)</script><U+000A>::error")
	assert.NotContains(t, text, "\x00")
	assert.NotContains(t, text, "\x1b")
	assert.Contains(t, bad.Cases[2].Out, "hint: ", "what is no error fails nothing")
	assert.Nil(t, bad.Cases[2].Failure)
}

func TestCheckstyle(t *testing.T) {
	var got checkstyle
	require.NoError(t, xml.Unmarshal([]byte(written(t, "checkstyle", hostileReport())), &got))
	require.Len(t, got.Files, 2)
	assert.Empty(t, got.Files[0].Errors)
	require.Len(t, got.Files[1].Errors, 3)
	assert.Equal(t, "error", got.Files[1].Errors[0].Severity)
	assert.Equal(t, "info", got.Files[1].Errors[1].Severity)
	assert.Equal(t, "sewable.sharp-corner", got.Files[1].Errors[0].Source)
}

// broken lints the broken files with a rule for each kind of place.
func broken(t *testing.T) ([]*lint.Rule, *lint.Result) {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/broken/*.block")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	everywhere := &lint.Rule{Name: "everywhere", Level: lint.Hint, Title: "Each line", Why: "To look.", Bad: "a", Good: "b", Since: "0.1",
		Run: func(p *lint.Pass) {
			text := p.File.Source.Text
			for i, c := range text {
				if c == '\n' || strings.HasPrefix(text[i:], "patch") {
					at := p.At(source.Span{Start: i, End: min(i+3, len(text))})
					p.Report(at, "%q stands here", text[at.Start:at.End]).Related(at, "here").Suggest("Remove it", lint.Delete(at)).
						Suggest("Add a line", lint.InsertAfter(block.Place{File: at.File, Span: at.Span}, "\n"))
				}
			}
		}}
	rules := []*lint.Rule{everywhere}
	found, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules})
	require.NoError(t, err)
	require.Greater(t, len(found.Findings), len(paths))
	_, err = os.Stat(found.Findings[0].File)
	require.NoError(t, err)
	return rules, found
}

// Whatever files are called and rules say, no form sends what would act on a terminal.
func TestFormsSendNothingThatActs(t *testing.T) {
	acts := "\x00\x07\x1b[31m\x7f\u0085\u009b\u061c\u200e\u200f\u202e\u2066\u2028\ufeff\ufffe\U000e0041\xff"
	r := hostileReport()
	for i := range r.Findings {
		f := &r.Findings[i]
		f.File, f.Message, f.Line = "dir "+acts, acts, acts
		f.Related[0].Message, f.Related[0].File, f.Fixes[0].Title = acts, acts, acts
	}
	r.Failures[0].Cause, r.Failures[0].File = acts, acts
	r.Paths, r.Style.Profile = []string{acts, "dir " + acts}, termenv.Ascii
	for _, f := range Forms {
		for line := range strings.Lines(written(t, f.Name, r)) {
			line = strings.TrimSuffix(line, "\n")
			assert.Equal(t, visible.KeepTabs(line), line, f.Name)
		}
	}
}

// Services show only the first annotations of a run: the errors are among them.
func TestAnnotationsBeginWithTheWorst(t *testing.T) {
	r := Report{Result: &lint.Result{Findings: []lint.Finding{
		{Rule: "a", Level: lint.Hint, Message: "A."}, {Rule: "b", Level: lint.Error, Message: "B."}, {Rule: "c", Level: lint.Warning, Message: "C."},
	}}}
	for _, write := range []func(io.Writer, Report) error{GitHub, Azure} {
		var b strings.Builder
		require.NoError(t, write(&b, r))
		assert.Less(t, strings.Index(b.String(), "B."), strings.Index(b.String(), "C."))
		assert.Less(t, strings.Index(b.String(), "C."), strings.Index(b.String(), "A."))
	}
}
