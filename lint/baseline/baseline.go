// Package baseline keeps the findings that a repository had when it began to
// look, so that a run can tell them from new ones. The list only gets shorter: what has
// been mended is dropped when it is written again.
//
// A file of them is text, a line a finding, in order, so that two branches can both
// shorten it:
//
//	sewable baseline 1
//	"blocks/buoy.block" sharp-corner "Fairway Buoy" "A" 4 "patch 4 sky beyond (34, 60) (76, 155)"
//
// These are the file, named from the folder of the list; the rule; the block, the section, the patch,
// empty or 0 where it is in none; the statement; and, when there are several of
// these, how many. Lines that begin with # say something to people and are dropped when it is written.
package baseline

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"sewable/lang/files"
	"sewable/lang/visible"
	"sewable/lint"
)

// header is the first line; the number is of the form of the lines below.
const header = "sewable baseline 1"

// maxFindings bounds what is read as a list, beside files.Baseline.
const maxFindings = 1_000_000

// Entry is one known finding, or several that cannot be told apart.
type Entry struct {
	File      string // from the folder of the list, slashes forward
	Rule      string
	Block     string
	Section   string
	Patch     int
	Statement string // as lint.Finding.Normal gives it
	Count     int
	Line      int // where it stands in the list; 0 for one that stands in none
}

// List is a file of entries.
type List struct {
	Path    string
	Entries []Entry
	text    string // as it was read
}

// Reads reports whether the list was read from just this text.
func (l *List) Reads(text string) bool { return l.text == text }

// Read reads a list that a person named. The error says where it cannot be read.
func Read(path string) (*List, error) {
	text, err := files.Read(path, files.Baseline)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, files.Bare(err))
	}
	return Parse(path, text)
}

// Parse reads a list from a text that stands at path.
func Parse(path, text string) (*List, error) {
	l := &List{Path: path, text: text}
	n, all := 0, 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimRight(line, "\r\n")
		switch {
		case n == 1 && line != header:
			return nil, fmt.Errorf("%s:1: a baseline begins with %q", path, header)
		case n == 1 || strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
			continue
		}
		e, err := parseEntry(line)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", path, n, err)
		}
		if all += e.Count; all > maxFindings || e.Count > maxFindings {
			return nil, fmt.Errorf("%s:%d: these are more than %d findings", path, n, maxFindings)
		}
		e.Line = n
		l.Entries = append(l.Entries, e)
	}
	if n == 0 {
		return nil, fmt.Errorf("%s:1: a baseline begins with %q", path, header)
	}
	return l, nil
}

// parseEntry reads one line.
func parseEntry(line string) (e Entry, err error) {
	e.Count = 1
	rest := line
	text := func(what string, into *string) func() error {
		return func() error {
			quoted, err := strconv.QuotedPrefix(rest)
			if err != nil || quoted[0] != '"' {
				return fmt.Errorf("%s in quotes should stand here: %s", what, near(rest))
			}
			rest = rest[len(quoted):]
			*into, err = strconv.Unquote(quoted)
			return err
		}
	}
	word := func() string {
		end := strings.IndexByte(rest+" ", ' ')
		w := rest[:end]
		rest = rest[end:]
		return w
	}
	number := func(what string, least int, into *int) func() error {
		return func() error {
			at := rest
			n, err := strconv.Atoi(word())
			if err != nil || n < least {
				return fmt.Errorf("%s should stand here: %s", what, near(at))
			}
			*into = n
			return nil
		}
	}
	rule := func() error {
		at := rest
		if e.Rule = word(); e.Rule == "" || strings.ContainsFunc(e.Rule, func(r rune) bool { return r != '-' && !unicode.IsLetter(r) }) {
			return fmt.Errorf("the name of a rule should stand here: %s", near(at))
		}
		return nil
	}
	for i, read := range []func() error{
		text("a file", &e.File), rule, text("a block", &e.Block), text("a section", &e.Section),
		number("the number of a patch", 0, &e.Patch), text("a statement", &e.Statement), number("how many there are", 2, &e.Count),
	} {
		if i == 6 && rest == "" {
			return e, nil
		}
		if i > 0 {
			after, ok := strings.CutPrefix(rest, " ")
			if !ok {
				return e, fmt.Errorf("a space should stand here: %s", near(rest))
			}
			rest = after
		}
		if err := read(); err != nil {
			return e, err
		}
	}
	if rest != "" {
		return e, fmt.Errorf("the line should end before this: %s", near(rest))
	}
	return e, nil
}

// near is the beginning of what stands somewhere.
func near(rest string) string {
	const most = 24
	if rest == "" {
		return "the end of the line"
	}
	if runes := []rune(rest); len(runes) > most {
		rest = string(runes[:most]) + "…"
	}
	return visible.Printable(rest)
}

// String is the list as it is written.
func (l *List) String() string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for _, e := range l.Entries {
		b.WriteString(e.String() + "\n")
	}
	return b.String()
}

// String is the entry as it is written.
func (e Entry) String() string {
	line := fmt.Sprintf("%s %s %s %s %d %s",
		strconv.Quote(e.File), e.Rule, strconv.Quote(e.Block), strconv.Quote(e.Section), e.Patch, strconv.Quote(e.Statement))
	if e.Count > 1 {
		line += " " + strconv.Itoa(e.Count)
	}
	return line
}

// Beyond are the entries of a list that another does not have, or not as often.
func (l *List) Beyond(other *List) (out []Entry) {
	had := map[Entry]int{}
	for _, e := range other.Entries {
		had[e.key()] += e.Count
	}
	for _, e := range tidy(l.Entries) {
		if e.Count -= had[e.key()]; e.Count > 0 {
			out = append(out, e)
		}
	}
	return out
}

// Words say to people what an entry is about: sharp-corner at A4 of "Fairway Buoy" in blocks/buoy.block.
func (e Entry) Words() string {
	words := e.Rule
	label := e.Section
	if e.Patch > 0 {
		label += strconv.Itoa(e.Patch)
	}
	if label != "" {
		words += " at " + label
	}
	if e.Block != "" {
		words += fmt.Sprintf(" of %q", e.Block)
	}
	return words + " in " + e.File
}

// key is the entry without how often and where.
func (e Entry) key() Entry {
	e.Count, e.Line = 0, 0
	return e
}

// tidy puts equal entries together and all in order.
func tidy(entries []Entry) []Entry {
	var out []Entry
	at := map[Entry]int{}
	for _, e := range entries {
		i, ok := at[e.key()]
		if !ok {
			at[e.key()] = len(out)
			out = append(out, e)
			continue
		}
		out[i].Count += e.Count
	}
	slices.SortFunc(out, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Block, b.Block), cmp.Compare(a.Section, b.Section),
			cmp.Compare(a.Patch, b.Patch), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Statement, b.Statement))
	})
	return out
}

// Of is the list of findings, to be written at path: of all but the mandatory ones, which no list may ignore.
func Of(path string, findings []lint.Finding) *List {
	l := &List{Path: path}
	for _, f := range findings {
		if !f.Mandatory {
			l.Entries = append(l.Entries, l.entry(f))
		}
	}
	l.Entries = tidy(l.Entries)
	return l
}

// root is the folder that files are named from.
func (l *List) root() string { return filepath.Dir(l.Path) }

func (l *List) entry(f lint.Finding) Entry {
	return Entry{File: lint.FromRoot(f.File, l.root()), Rule: f.Rule, Block: f.Block, Section: f.Section, Patch: f.Patch, Statement: f.Normal(), Count: 1}
}
