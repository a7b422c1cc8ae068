package rules

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sewable/lang/english"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var unreadableLine = &lint.Rule{
	Name:  "unreadable-line",
	Level: lint.Error,
	Title: "A line that cannot be read",
	Why: `A line that cannot be read is not sewn: the patch, join or notch it was meant to be is missing
from every sheet, and nobody notices. The rest of the file is still read; what depends on the
missing line is not reported until the line is fixed.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2 (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		reportErrors(p, syntax.Malformed, syntax.Misplaced, syntax.Unclosed, syntax.NotText)
	},
}

// reportErrors says what the reader could not read, of the given kinds, and of each line
// the first thing only: what follows on it was read out of step. That a brace is
// missing is said last, since the brace often stands there and the line is wrong.
func reportErrors(p *lint.Pass, kinds ...syntax.ErrorKind) {
	first := map[int]*syntax.Error{}
	for _, e := range p.File.Tree.Errors {
		line := p.File.Source.Line(e.At.Start)
		if was := first[line]; was == nil || was.Kind == syntax.Unclosed && e.Kind != syntax.Unclosed {
			first[line] = e
		}
	}
	errors := slices.DeleteFunc(slices.Clone(p.File.Tree.Errors), func(e *syntax.Error) bool {
		return first[p.File.Source.Line(e.At.Start)] != e
	})
	repaired := 0
	for i, e := range errors {
		if !slices.Contains(kinds, e.Kind) || i > 0 && sameRun(p, errors[i-1], e) {
			continue
		}
		message := spokenError(e)
		n := 1
		for n < len(errors)-i && sameRun(p, errors[i+n-1], errors[i+n]) {
			n++
		}
		if n > 1 {
			message += sprintf(". The same is true of the next %s", english.Count(n-1, "line", "lines"))
		}
		r := p.Report(p.At(e.At), "%s", message)
		if repaired++; repaired <= maxRepaired {
			for _, fix := range repairs(p, e) {
				r.Suggest(fix.title, lint.Replace(p.At(fix.at), fix.text))
			}
		}
	}
}

// sameRun reports whether two errors are of statements that follow each other and
// stand in the wrong place: a brace before them is where it should not be.
func sameRun(p *lint.Pass, one, next *syntax.Error) bool {
	if one.Kind != syntax.Misplaced || next.Kind != syntax.Misplaced {
		return false
	}
	a, b := p.File.Source.Line(one.At.Start), p.File.Source.Line(next.At.Start)
	for line := a; line < b-1; line++ { // LineSpan counts from 0
		span := p.File.Source.LineSpan(line)
		text := strings.TrimSpace(p.File.Source.Text[span.Start:span.End])
		if text != "" && !strings.HasPrefix(text, "//") {
			return false
		}
	}
	return true
}

// spokenError is what cannot be read, then what stands there or what to do.
func spokenError(e *syntax.Error) string {
	if e.Detail == "" {
		return capital(e.Message)
	}
	return capital(e.Message) + ". " + capital(e.Detail)
}

func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}

// unread reports whether the reader has said something of the line of a place.
func unread(p *lint.Pass, at source.Span) bool {
	line := p.File.Source.LineSpan(p.File.Source.Line(at.Start) - 1)
	errors := p.File.Tree.Errors // in order
	i, _ := slices.BinarySearchFunc(errors, line.Start, func(e *syntax.Error, start int) int { return cmp.Compare(e.At.Start, start) })
	return i < len(errors) && errors[i].At.Start <= line.End
}
