package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/muesli/termenv"

	"sewable/lang/files"
	"sewable/lint"
	"sewable/lint/output"
	"sewable/lint/rules"
)

// formFlags say in which forms findings are written, and where to.
type formFlags struct {
	Format    string   `enum:"${forms}" default:"text" help:"Output format: ${enum}."`
	Out       []string `short:"o" sep:"none" placeholder:"[FORMAT=]FILE" help:"Write to this file. With FORMAT=, write that format in addition to the printed output. Repeatable."`
	RulePages string   `placeholder:"URL" help:"Base address of the rule pages, for formats that link to them: URL/RULE.md."`
}

// written is one form and where it goes.
type written struct {
	form output.Form
	path string // empty for standard output
}

// forms are what is asked for. A file without a format in front takes the
// place of standard output.
func (c formFlags) forms() ([]written, error) {
	printed, _ := output.FormOf(c.Format)
	where := written{form: printed}
	var out []written
	taken := map[string]bool{}
	for _, o := range c.Out {
		w := written{form: printed, path: o}
		if name, path, ok := strings.Cut(o, "="); ok {
			if form, ok := output.FormOf(name); ok {
				w = written{form, path}
			}
		}
		switch {
		case w.path == "":
			return nil, fmt.Errorf("-o %s has no file name", o)
		case taken[filepath.Clean(w.path)]:
			return nil, fmt.Errorf("-o %s: the file is given twice", w.path)
		case w.path != o:
			out = append(out, w)
		case where.path != "":
			return nil, fmt.Errorf("-o %s and -o %s: only one file can replace the printed output; write FORMAT= before the other", where.path, o)
		default:
			where = w
		}
		taken[filepath.Clean(w.path)] = true
	}
	return append([]written{where}, out...), nil
}

// maxFindings is how many findings are printed for people, who stop reading long before. What is written to a file or for
// programs has them all.
const maxFindings = 1_000

// write writes a report in every form that is asked for: first the files, each whole
// or not at all, so that a failure is the only thing printed.
func (c formFlags) write(s streams, r output.Report) error {
	forms, err := c.forms()
	if err != nil {
		return err
	}
	r.Pages, r.Rules, r.Version, r.Root = c.RulePages, rules.All, version, reportRoot()
	slices.SortStableFunc(forms, func(a, b written) int { return strings.Compare(b.path, a.path) })
	for _, w := range forms {
		r.Style = output.Style{Profile: termenv.Ascii}
		if w.path == "" {
			r.Style = styleOf(s.raw.out)
			r.Style.Most, r.Style.Rest = maxFindings, "`-o FILE` writes them all"
			err = w.form.Write(s.raw.out, r)
		} else {
			err = files.Write(w.path, func(to io.Writer) error { return w.form.Write(to, r) })
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// reportRoot is the folder that reports for CI name files from: the nearest
// one upwards that holds a .git, else the working tree.
func reportRoot() string {
	wd, err := os.Getwd()
	if err != nil {
		return ""
	}
	if root, ok := files.Repository(wd); ok {
		return root
	}
	return wd
}

// least takes out what is below a level.
func least(findings []lint.Finding, level string) []lint.Finding {
	l, _ := lint.ParseLevel(level)
	return slices.DeleteFunc(findings, func(f lint.Finding) bool { return f.Level < l })
}
