package output

import (
	"encoding/xml"
	"io"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/visible"
	"sewable/lint"
)

type junitSuites struct {
	XMLName  xml.Name     `xml:"testsuites"`
	Name     string       `xml:"name,attr"`
	Tests    int          `xml:"tests,attr"`
	Failures int          `xml:"failures,attr"`
	Errors   int          `xml:"errors,attr"`
	Suites   []junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name     string      `xml:"name,attr"`
	Tests    int         `xml:"tests,attr"`
	Failures int         `xml:"failures,attr"`
	Errors   int         `xml:"errors,attr"`
	Cases    []junitCase `xml:"testcase"`
}

type junitCase struct {
	Name      string     `xml:"name,attr"`
	ClassName string     `xml:"classname,attr"`
	Failure   *junitText `xml:"failure"`
	Error     *junitText `xml:"error"`
	Out       string     `xml:"system-out,omitempty"`
}

type junitText struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",chardata"`
}

// JUnit writes a test report: a suite a file, in it a failed test for every finding at
// error level and for every rule that broke down, else one that passed. What is below error
// level fails no test; it stands in the output of the one that says that the file was looked at.
func JUnit(w io.Writer, r Report) error {
	out := junitSuites{Name: "sewable lint"}
	for _, file := range r.files() {
		s := junitSuite{Name: r.shown(file.name)}
		var notes []string
		for _, f := range file.findings {
			line := r.shown(f.File) + ":" + f.Start.String() + ": " + f.Level.String() + ": " + r.messageOf(f) + "\n"
			if f.Level != lint.Error {
				notes = append(notes, line)
				continue
			}
			s.Failures++
			s.Cases = append(s.Cases, junitCase{
				Name: f.Rule + " at " + f.Start.String(), ClassName: s.Name,
				Failure: &junitText{visible.Text(f.Message), f.Rule, line},
			})
		}
		for _, f := range file.failures {
			s.Errors++
			s.Cases = append(s.Cases, junitCase{Name: f.Rule, ClassName: s.Name, Error: &junitText{visible.Text(f.Error()), f.Rule, visible.Text(f.Error())}})
		}
		if len(s.Cases) == 0 || len(notes) > 0 {
			s.Cases = append(s.Cases, junitCase{Name: "linted", ClassName: s.Name, Out: strings.Join(notes, "")})
		}
		s.Tests = len(s.Cases)
		out.Tests, out.Failures, out.Errors = out.Tests+s.Tests, out.Failures+s.Failures, out.Errors+s.Errors
		out.Suites = append(out.Suites, s)
	}
	return writeXML(w, out)
}

type checkstyle struct {
	XMLName xml.Name         `xml:"checkstyle"`
	Version string           `xml:"version,attr"` // of the form
	Files   []checkstyleFile `xml:"file"`
}

type checkstyleFile struct {
	Name   string            `xml:"name,attr"`
	Errors []checkstyleError `xml:"error"`
}

type checkstyleError struct {
	Line     int    `xml:"line,attr"`
	Column   int    `xml:"column,attr"`
	Severity string `xml:"severity,attr"`
	Message  string `xml:"message,attr"`
	Source   string `xml:"source,attr"`
}

// Checkstyle writes the findings in the form of that program, which many others read.
func Checkstyle(w io.Writer, r Report) error {
	out := checkstyle{Version: "8.0"}
	for _, file := range r.files() {
		f := checkstyleFile{Name: r.shown(file.name)}
		for _, x := range file.findings {
			severity := map[lint.Level]string{lint.Error: "error", lint.Warning: "warning", lint.Hint: "info"}[x.Level]
			f.Errors = append(f.Errors, checkstyleError{Line: x.Start.Line, Column: x.Start.Column, Severity: severity, Message: visible.Text(x.Message), Source: "sewable." + x.Rule})
		}
		for _, x := range file.failures {
			f.Errors = append(f.Errors, checkstyleError{Line: 1, Column: 1, Severity: "error", Message: visible.Text(x.Error()), Source: "sewable." + x.Rule})
		}
		out.Files = append(out.Files, f)
	}
	return writeXML(w, out)
}

// writeXML writes a document. It holds no character that XML cannot: its texts are shown. What would begin a command to a log
// is written as a reference to the character.
func writeXML(w io.Writer, document any) error {
	var b strings.Builder
	e := xml.NewEncoder(&b)
	e.Indent("", "  ")
	if err := e.Encode(document); err != nil {
		return err
	}
	text := b.String()
	from := 0
	var err error
	write := func(s string) {
		if err == nil {
			_, err = io.WriteString(w, s)
		}
	}
	write(xml.Header)
	for _, m := range commandWithin.FindAllStringSubmatchIndex(text, -1) {
		write(text[from:m[2]] + "&#35;")
		from = m[3]
	}
	write(text[from:] + "\n")
	return err
}

type fileReport struct {
	name     string
	findings []lint.Finding
	failures []lint.Failure
}

// files is the report file by file: those that findings name and were not linted, which
// are settings files, first.
func (r Report) files() []*fileReport {
	var out []*fileReport
	by := map[string]*fileReport{}
	of := func(name string) *fileReport {
		if by[name] == nil {
			by[name] = &fileReport{name: name}
			out = append(out, by[name])
		}
		return by[name]
	}
	for _, f := range r.Findings {
		if !r.linted(f.File) {
			of(f.File)
		}
	}
	for _, path := range r.Paths {
		of(path)
	}
	for _, f := range r.Findings {
		x := of(f.File)
		x.findings = append(x.findings, f)
	}
	for _, f := range r.Failures {
		x := of(f.File)
		x.failures = append(x.failures, f)
	}
	return out
}

// linted reports whether a block file was linted; the paths are in order.
func (r Report) linted(path string) bool {
	_, ok := slices.BinarySearch(r.Paths, path)
	return ok
}

// part is "2 of 8" of a part "2/8", as a name that may stand in an address.
func part(of string) string {
	k, n, _ := strings.Cut(of, "/")
	if _, err := strconv.Atoi(k); err != nil {
		return ""
	}
	return k + "-of-" + n
}
