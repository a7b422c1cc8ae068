package output

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strings"

	"sewable/lang/visible"
	"sewable/lint"
)

// GitHub writes a workflow command a finding, which GitHub Actions shows at the line
// (docs.github.com, "Workflow commands for GitHub Actions"), and the sum as plain text.
// Columns are left out of places of several lines, where they would not be taken.
func GitHub(w io.Writer, r Report) error {
	b := bufio.NewWriter(w)
	for _, f := range worstFirst(r.Findings) {
		command := map[lint.Level]string{lint.Error: "error", lint.Warning: "warning", lint.Hint: "notice"}[f.Level]
		fmt.Fprintf(b, "::%s file=%s,line=%d,endLine=%d,", command, githubProperty.Replace(r.inLog(f.File)), f.Start.Line, f.End.Line)
		if f.Start.Line == f.End.Line {
			fmt.Fprintf(b, "col=%d,endColumn=%d,", f.Start.Column, f.End.Column)
		}
		fmt.Fprintf(b, "title=%s::%s\n", githubProperty.Replace(f.Rule), githubData.Replace(logged(r.messageOf(f))))
	}
	for _, f := range r.Failures {
		fmt.Fprintf(b, "::error file=%s,title=%s::%s\n", githubProperty.Replace(r.inLog(f.File)), githubProperty.Replace(f.Rule), githubData.Replace(Plain(f.Error())))
	}
	fmt.Fprintln(b, Summary(r.Result))
	return b.Flush()
}

// worstFirst is findings by level: services show only the first few of many (common practice).
func worstFirst(findings []lint.Finding) []lint.Finding {
	out := slices.Clone(findings)
	slices.SortStableFunc(out, func(a, b lint.Finding) int { return int(b.Level) - int(a.Level) })
	return out
}

// What would end a command, a property or its value is written as percent and hex
// (github.com/actions/toolkit, packages/core/src/command.ts).
var (
	githubData     = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A")
	githubProperty = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A", ":", "%3A", ",", "%2C")
)

// Azure writes a logging command a finding, which Azure Pipelines shows at the line
// (learn.microsoft.com, "Logging commands"), and the sum as plain text. There are errors and
// warnings and nothing below, so a hint is a warning that begins with the word.
func Azure(w io.Writer, r Report) error {
	b := bufio.NewWriter(w)
	issue := func(kind, place, rule, message string) {
		fmt.Fprintf(b, "##vso[task.logissue type=%s;%s;code=%s]%s\n", kind, place, azureProperty.Replace(rule), azureData.Replace(message))
	}
	for _, f := range worstFirst(r.Findings) {
		kind, message := f.Level.String(), logged(r.messageOf(f))
		if f.Level == lint.Hint {
			kind, message = "warning", "hint: "+message
		}
		issue(kind, fmt.Sprintf("sourcepath=%s;linenumber=%d;columnnumber=%d",
			azureProperty.Replace(r.inLog(f.File)), f.Start.Line, f.Start.Column), f.Rule, message)
	}
	for _, f := range r.Failures {
		issue("error", "sourcepath="+azureProperty.Replace(r.inLog(f.File)), f.Rule, Plain(f.Error()))
	}
	fmt.Fprintln(b, Summary(r.Result))
	return b.Flush()
}

// As the agent takes them apart again (github.com/microsoft/azure-pipelines-task-lib, taskcommand.ts).
var (
	azureData     = strings.NewReplacer("%", "%AZP25", "\r", "%0D", "\n", "%0A")
	azureProperty = strings.NewReplacer("%", "%AZP25", "\r", "%0D", "\n", "%0A", "]", "%5D", ";", "%3B")
)

type codeQuality struct {
	Description string `json:"description"`
	CheckName   string `json:"check_name"`
	Fingerprint string `json:"fingerprint"`
	Severity    string `json:"severity"`
	Location    struct {
		Path  string `json:"path"`
		Lines struct {
			Begin int `json:"begin"`
			End   int `json:"end"`
		} `json:"lines"`
	} `json:"location"`
}

// GitLab writes a Code Quality report (docs.gitlab.com/ci/testing/code_quality). It
// holds no two entries of one fingerprint, and outlives moved lines as the fingerprints do.
func GitLab(w io.Writer, r Report) error {
	entry := func(file, rule, message, severity, fingerprint string, begin, end int) codeQuality {
		e := codeQuality{Description: message, CheckName: rule, Severity: severity}
		sum := sha256.Sum256([]byte(fingerprint))
		e.Fingerprint = hex.EncodeToString(sum[:16])
		e.Location.Path = r.named(file)
		e.Location.Lines.Begin, e.Location.Lines.End = begin, end
		return e
	}
	prints := lint.Fingerprints(r.Findings, r.Root)
	return stream(w, []codeQuality{}, "", len(r.Findings)+len(r.Failures), func(i int) any {
		if k := i - len(r.Findings); k >= 0 {
			f := r.Failures[k]
			return entry(f.File, f.Rule, visible.Text(f.Error()), "blocker", "failure "+f.Rule+" "+r.named(f.File), 1, 1)
		}
		f := r.Findings[i]
		severity := map[lint.Level]string{lint.Error: "critical", lint.Warning: "minor", lint.Hint: "info"}[f.Level]
		return entry(f.File, f.Rule, f.Message, severity, string(prints[i]), f.Start.Line, f.End.Line)
	})
}
