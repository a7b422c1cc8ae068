package lint

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/source"
)

// Place is a span of a file, counted in bytes and as people count. Unlike
// block.Place it does not hold on to the text.
type Place struct {
	File       string // the path as the user named it, slashes forward
	Span       source.Span
	Start, End source.Position
}

func (p Place) String() string { return fmt.Sprintf("%s:%s", p.File, p.Start) }

// placeOf reads the positions of a place off its file.
func placeOf(p block.Place) Place {
	return Place{p.File.Path, p.Span, p.File.Position(p.Start), p.File.Position(p.End)}
}

// Finding is one thing a rule has to say. It is identified by rule and
// place, never by its message.
type Finding struct {
	Place
	Line string // the text of the line it starts on; of a long one, what is around the place
	Left int    // how many characters of the line are before Line
	// Statement is the text of the statement it is in, or of the comment, for its
	// Fingerprint; empty when it is in none, and in settings files.
	Statement string
	Rule      string
	Level     Level
	Message   string // what is wrong at the sewing machine, then what to do
	Block     string // the block's title; empty when it is in none
	Size      string // the name of the size of the block in which it is found; empty for the block as drawn, and whatever its size
	Section   string // the section's name
	Patch     int    // the patch's number; 0 for none
	Spots     []Spot // where in the block it lies, when more is known than the patch or the section
	Related   []Related
	Fixes     []Fix
	Mandatory bool   // no accept, level or baseline suppresses it: see Rule.Mandatory
	Accepted  string // why it is accepted; only findings kept by Options.Accepted have it
	Unused    bool   // the place could go without loss: editors dim it
}

// What is wrong, without what to do: the first sentence of the message.
func (f Finding) What() string {
	what, _, more := strings.Cut(f.Message, ". ")
	if more {
		what += "."
	}
	return what
}

// ErrorsOf is how many errors are to be fixed before a block of a file can be called sewable: those in it, and
// the mandatory ones that are in no block.
func ErrorsOf(findings []Finding, file *block.File, b *block.Block) (n int) {
	for _, f := range findings {
		if f.Level != Error || f.File != file.Source.Path {
			continue
		}
		within := func(b *block.Block) bool { return b.Item.Extent().Contains(f.Span.Start) }
		if within(b) || f.Mandatory && !slices.ContainsFunc(file.Blocks, within) {
			n++
		}
	}
	return n
}

// Related is another place that has to do with a finding.
type Related struct {
	Place
	Message string
}

// Fix is one way to mend what was found.
type Fix struct {
	Title   string // a verb phrase: "Renumber the section"
	Certain bool   // right whatever was meant; `--fix` does these and no other
	Edits   []Edit // in one or several files; they do not overlap
}

// Edit puts New where Place is.
type Edit struct {
	Place
	New string
}

// Replace puts text where the place is. Its lines end as those of the file do.
func Replace(at block.Place, text string) Edit {
	if strings.Contains(text, "\n") && !strings.Contains(text, "\r") {
		if i := strings.IndexByte(at.File.Text, '\n'); i > 0 && at.File.Text[i-1] == '\r' {
			text = strings.ReplaceAll(text, "\n", "\r\n")
		}
	}
	return Edit{placeOf(at), text}
}

// Delete takes the place out.
func Delete(at block.Place) Edit { return Replace(at, "") }

// InsertBefore puts text in front of the place.
func InsertBefore(at block.Place, text string) Edit {
	at.End = at.Start
	return Replace(at, text)
}

// InsertAfter puts text behind the place.
func InsertAfter(at block.Place, text string) Edit {
	at.Start = at.End
	return Replace(at, text)
}

// compare orders the findings of one file by place, then rule, then words.
func compare(a, b Finding) int {
	return cmp.Or(
		cmp.Compare(a.Span.Start, b.Span.Start),
		cmp.Compare(a.Span.End, b.Span.End),
		cmp.Compare(a.Rule, b.Rule),
		cmp.Compare(a.Message, b.Message),
	)
}
