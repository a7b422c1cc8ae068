package output

import (
	"io"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"

	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/docs"
)

// SARIF writes the Static Analysis Results Interchange Format, version 2.1.0 (OASIS
// standard, errata 01). Columns are counted in characters. Files below the root are named from
// it, and the root by SRCROOT alone, so that the same files give the same bytes on every machine.
func SARIF(w io.Writer, r Report) error {
	s := sarifWriter{Report: r, index: map[string]int{}}
	run := sarifRun{
		ColumnKind:  "unicodeCodePoints",
		Bases:       map[string]sarifBase{srcRoot: {sarifText{"The folder that files are named from: of the repository, else the one in which the linter ran."}}},
		Results:     []sarifResult{},
		Invocations: []sarifInvocation{s.invocation()},
	}
	run.Tool.Driver = sarifDriver{Name: "sewable", Version: r.Version, Rules: s.rules()}
	if name := part(r.Part); name != "" {
		run.Automation = &sarifAutomation{"sewable/" + name + "/"}
	}
	prints := lint.Fingerprints(r.Findings, r.Root)
	return stream(w, sarifLog{sarifSchema, "2.1.0", []sarifRun{run}}, "results", len(r.Findings), func(i int) any { return s.result(r.Findings[i], prints[i]) })
}

const (
	sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
	srcRoot     = "SRCROOT"
)

// sarifLevel are the levels as the standard calls them (3.27.10).
var sarifLevel = map[lint.Level]string{lint.Error: "error", lint.Warning: "warning", lint.Hint: "note"}

type sarifWriter struct {
	Report
	index map[string]int // of a rule
}

// rules describe every rule that could have spoken, in their own order.
func (s sarifWriter) rules() []sarifRule {
	out := make([]sarifRule, 0, len(s.Rules))
	for i, r := range s.Rules {
		s.index[r.Name] = i
		rule := sarifRule{
			ID:      r.Name,
			Short:   sarifText{r.Title + "."},
			Full:    sarifText{strings.TrimSpace(r.Why)},
			Help:    sarifHelp{docs.RuleText(r), docs.Rule(r)},
			Default: sarifDefault{Enabled: r.Level != lint.Off, Level: sarifLevel[r.Level]},
			More:    sarifRuleMore{r.Since},
		}
		if s.Pages != "" {
			rule.HelpURI = strings.TrimSuffix(s.Pages, "/") + "/" + r.Name + ".md"
		}
		out = append(out, rule)
	}
	return out
}

// invocation says whether the run could be done as a whole.
func (s sarifWriter) invocation() sarifInvocation {
	in := sarifInvocation{Successful: len(s.Failures) == 0, ExitCode: ExitCode(s.Result)}
	for _, f := range s.Failures {
		in.Notifications = append(in.Notifications, sarifNotification{
			Level: "error", Message: sarifText{visible.Text(f.Error())}, Rule: sarifReference{f.Rule},
			Locations: []sarifLocation{{Physical: sarifPhysical{Artifact: s.artifact(f.File)}}},
		})
	}
	return in
}

func (s sarifWriter) result(f lint.Finding, print lint.Fingerprint) sarifResult {
	out := sarifResult{
		Rule: f.Rule, Level: sarifLevel[f.Level], Message: sarifText{f.Message},
		Prints: map[string]string{"sewable/v1": string(print), "primaryLocationLineHash": string(print)},
	}
	if i, ok := s.index[f.Rule]; ok {
		out.Index = &i
	}
	at := sarifLocation{Physical: s.place(f.Place)}
	at.Physical.Region.Snippet = &sarifText{visible.KeepTabs(f.Line)}
	at.Logical = logicalOf(f)
	out.Locations = []sarifLocation{at}
	for i, other := range f.Related {
		id := i + 1
		out.Related = append(out.Related, sarifLocation{ID: &id, Physical: s.place(other.Place), Message: &sarifText{other.Message}})
	}
	for _, fix := range f.Fixes {
		out.Fixes = append(out.Fixes, s.fix(fix))
	}
	return out
}

// logicalOf is the patch, section or block that a finding is about.
func logicalOf(f lint.Finding) []sarifLogical {
	if f.Block == "" {
		return nil
	}
	at := sarifLogical{Name: f.Block, Full: f.Block, Kind: "block"}
	if f.Section != "" {
		at = sarifLogical{Name: f.Section, Full: f.Block + "/" + f.Section, Kind: "section"}
	}
	if f.Patch != 0 {
		at = sarifLogical{Name: f.Section + strconv.Itoa(f.Patch), Full: at.Full + "/" + strconv.Itoa(f.Patch), Kind: "patch"}
	}
	return []sarifLogical{at}
}

// fix changes one file or several, each once.
func (s sarifWriter) fix(fix lint.Fix) sarifFix {
	out := sarifFix{Title: sarifText{fix.Title}, More: sarifFixMore{fix.Certain}}
	at := map[string]int{}
	for _, e := range fix.Edits {
		i, ok := at[e.File]
		if !ok {
			i = len(out.Changes)
			at[e.File] = i
			out.Changes = append(out.Changes, sarifChange{Artifact: s.artifact(e.File)})
		}
		put := sarifReplacement{Deleted: regionOf(e.Place)}
		if e.New != "" {
			put.Inserted = &sarifText{e.New}
		}
		out.Changes[i].Replacements = append(out.Changes[i].Replacements, put)
	}
	return out
}

func (s sarifWriter) place(p lint.Place) sarifPhysical {
	region := regionOf(p)
	return sarifPhysical{s.artifact(p.File), &region}
}

func regionOf(p lint.Place) sarifRegion {
	return sarifRegion{StartLine: p.Start.Line, StartColumn: p.Start.Column, EndLine: p.End.Line, EndColumn: p.End.Column}
}

// artifact names a file from the root, else by its whole path (3.4.3, 3.10).
func (s sarifWriter) artifact(file string) sarifArtifact {
	name := s.named(file)
	if !filepath.IsAbs(filepath.FromSlash(name)) && name != ".." && !strings.HasPrefix(name, "../") {
		return sarifArtifact{(&url.URL{Path: name}).String(), srcRoot}
	}
	abs, err := filepath.Abs(filepath.FromSlash(name))
	if err != nil {
		abs = name
	}
	abs = filepath.ToSlash(abs)
	if !strings.HasPrefix(abs, "/") { // a drive
		abs = "/" + abs
	}
	return sarifArtifact{(&url.URL{Scheme: "file", Path: abs}).String(), ""}
}
