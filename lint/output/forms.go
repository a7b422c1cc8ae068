package output

import (
	"io"

	"sewable/lang/visible"
	"sewable/lint"
)

// Report is what is written: what was found, and what the forms need beside it.
// Everything they write follows from it alone; the same report gives the same bytes.
type Report struct {
	*lint.Result
	Paths   []string     // the block files linted, in order
	Rules   []*lint.Rule // those that could have spoken
	Root    string       // the folder from which CI systems name files; empty: as the user named them
	Version string       // of the program
	Pages   string       // the address below which the rules have pages, NAME.md; empty: nowhere
	Part    string       // which part of the files it is, "2/8"; empty: all
	Style   Style        // for people
}

// Form is a way to write a report.
type Form struct {
	Name  string
	Help  string
	Write func(io.Writer, Report) error
}

// Forms are all of them, the one for people first.
var Forms = []Form{
	{"text", "for people", func(w io.Writer, r Report) error { return Text(w, r.Result, r.Style) }},
	{"json", "for programs", func(w io.Writer, r Report) error { return JSON(w, r.Result) }},
	{"sarif", "SARIF 2.1.0, for code scanning", SARIF},
	{"github", "annotations of GitHub Actions", GitHub},
	{"gitlab", "a Code Quality report of GitLab", GitLab},
	{"azure", "annotations of Azure Pipelines", Azure},
	{"junit", "JUnit XML, for test reports", JUnit},
	{"checkstyle", "Checkstyle XML", Checkstyle},
}

// FormNames are the names of the forms.
func FormNames() (names []string) {
	for _, f := range Forms {
		names = append(names, f.Name)
	}
	return names
}

// FormOf is the form of a name.
func FormOf(name string) (Form, bool) {
	for _, f := range Forms {
		if f.Name == name {
			return f, true
		}
	}
	return Form{}, false
}

// named is how a CI system calls a file.
func (r Report) named(file string) string { return lint.FromRoot(file, r.Root) }

// shown is the same as people may see it, for forms that have no way to write every path.
func (r Report) shown(file string) string { return visible.Text(r.named(file)) }

// inLog is the same without what begins a command to a log: a path that holds one is not found, and does nothing.
func (r Report) inLog(file string) string { return Plain(r.named(file)) }

// messageOf is a message with what else is known: the related places and the fixes, a line each.
func (r Report) messageOf(f lint.Finding) string {
	text := visible.Text(f.Message)
	for _, other := range f.Related {
		text += "\n" + r.shown(other.File) + ":" + other.Start.String() + ": " + visible.Text(other.Message)
	}
	for _, fix := range f.Fixes {
		text += "\n" + fixMark(fix) + " " + visible.Text(fix.Title)
	}
	return text
}

func fixMark(f lint.Fix) string {
	if f.Certain {
		return "--fix would:"
	}
	return "possible fix:"
}

// ExitCode is how a run of the command ends: 0 without findings at error level, 1 with
// some, 2 when a rule broke down.
func ExitCode(r *lint.Result) int {
	switch {
	case len(r.Failures) > 0:
		return 2
	case r.Count(lint.Error) > 0:
		return 1
	}
	return 0
}
