package syntax

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/memo"
	"sewable/lang/source"
)

// The limits of a file.
const (
	MaxBytes = 8 << 20
	MaxLines = 250_000
	// MaxBraces is how deep braces may nest; a sound file needs 2.
	MaxBraces = 20
)

// Parse reads a file by itself. For many files, or one that is being edited,
// a Reader does less work.
func Parse(f *source.File) *Tree { return NewReader().Parse(f) }

// Reader reads files and remembers the statements it has read, so that a
// statement that has not changed, or that stands in another file too, is not
// read again. It remembers a bounded number of them and holds on to no file.
//
// A Reader is safe for concurrent use. The nodes of its trees are shared and
// must not be changed.
type Reader struct {
	readings *memo.Table[typed, *reading]
	long     int // bytes: a longer statement is not remembered
}

// typed is all that the reading of a statement depends on.
type typed struct {
	place Place
	text  string
}

// maxReadings is about how many statements a Reader remembers.
const maxReadings = 4096

// NewReader returns a Reader for a run over files: it remembers the short
// statements, which are the ones that stand in many files.
func NewReader() *Reader { return &Reader{memo.NewTable[typed, *reading](maxReadings), 32} }

// NewEditorReader returns a Reader for files that are read again and again: it
// remembers all but very long statements, some thousands of them. What a text keeps from the one
// before it (see ParseIn) needs no memory.
func NewEditorReader() *Reader { return &Reader{memo.NewTable[typed, *reading](maxReadings), 1024} }

// reading is what came of a statement: a node, a fault, or both. Spans are
// relative to the statement.
type reading struct {
	form  *StatementInfo // nil when the first word says nothing
	node  Statement
	fault *fault

	largest   float64 // the largest bare number over 10,000, which is too much in inches
	largestAt source.Span
}

// workbench is what reading a file needs and the next file can use again.
type workbench struct {
	tokens  tokens
	parser  parser
	pieces  []piece
	each    []*piece
	pending []*Item
	frames  []frame
}

var workbenches = sync.Pool{New: func() any { return new(workbench) }}

// Parse reads a file. It never fails: what cannot be read is in the tree's
// Errors. An item with an error has a node all the same when the statement
// could be read and only its place, its braces or a section's name are at fault.
func (r *Reader) Parse(f *source.File) *Tree {
	w := workbenches.Get().(*workbench)
	defer workbenches.Put(w)
	if e := unfit(f.Text); e != nil {
		return unread(f, e)
	}
	w.pieces = scan(w.pieces[:0], f.Text)
	w.each = each(w.each[:0], w.pieces)
	var tree *Tree
	if len(w.pieces) > MaxLines {
		tree = unread(f, crowded())
	} else {
		tree = r.nest(w, f, w.each, nil)
	}
	if cap(w.pieces) > 1<<16 {
		w.pieces, w.each = nil, nil
	}
	return tree
}

// ParseIn is Parse for a text that is read again and again as it changes: what it was cut into
// is remembered in a store, and only what an edit touched is cut and read again. The
// tree is the one that Parse makes.
func (r *Reader) ParseIn(m *memo.Store, f *source.File) *Tree {
	if e := unfit(f.Text); e != nil {
		return unread(f, e)
	}
	w := workbenches.Get().(*workbench)
	defer workbenches.Put(w)
	var tree *Tree
	memo.In[lastOf, cut](m).Replace(lastOf(f.Path), func(before cut) cut {
		now := cut{text: f.Text}
		if before.pieces == nil {
			now.pieces = each(nil, scan(nil, f.Text))
		} else {
			now.pieces = rescan(before.pieces, before.text, f.Text)
		}
		if len(now.pieces) > MaxLines {
			tree = unread(f, crowded())
			return cut{}
		}
		tree = r.nest(w, f, now.pieces, memo.In[sectionAt, *sectionItems](m))
		return now
	})
	return tree
}

// cut is a text with its pieces, and what was read of each; lastOf is the file whose text it was.
type (
	cut struct {
		text   string
		pieces []*piece
	}
	lastOf string
)

// unread is the tree of a text that cannot be read at all.
func unread(f *source.File, e *Error) *Tree {
	item := &Item{Kind: Unreadable, Raw: source.Span{Start: 0, End: len(f.Text)}, Extra: &noExtra}
	e.Item = item
	return &Tree{File: f, Items: []*Item{item}, Errors: []*Error{e}}
}

// nest makes a tree of pieces; with kept, others come after it.
func (r *Reader) nest(w *workbench, f *source.File, pieces []*piece, kept *memo.Table[sectionAt, *sectionItems]) *Tree {
	b := &builder{reader: r, work: w, text: f.Text, pieces: pieces, kept: kept, tree: &Tree{File: f}}
	b.build()
	clear(w.pending[:cap(w.pending)]) // hold on to no tree
	return b.tree
}

// read reads one statement, from memory if it can.
func (r *Reader) read(w *workbench, place Place, text string) *reading {
	if len(text) > r.long {
		found := new(reading)
		*found = readStatement(w, place, text)
		return found
	}
	key := typed{place, text}
	if found, ok := r.readings.Find(key, nil); ok {
		return found
	}
	key.text = strings.Clone(text) // the names of the node are parts of it
	found := new(reading)
	*found = readStatement(w, place, key.text)
	return r.readings.Keep(key, nil, found)
}

// inchMark is the offset of the first quote that stands right behind a number, as people
// write inches, or -1.
func inchMark(text string, tokens []lexer.Token) int {
	for _, t := range tokens {
		if at := t.Pos.Offset; at > 0 && text[at] == '"' {
			if r, _ := utf8.DecodeLastRuneInString(text[:at]); unicode.IsDigit(r) || isVulgar(r) {
				return at
			}
		}
	}
	return -1
}

// readStatement reads one statement by its first word.
func readStatement(w *workbench, place Place, text string) reading {
	if len(text) > MaxStatement {
		return reading{fault: &fault{at: source.Span{Start: 0, End: strings.IndexAny(text+"\n", " \n")}, kind: Limit,
			message: "a statement is at most 256 KiB"}}
	}
	n, numbers, pairs, bad := w.tokens.load(text)
	if n == 0 {
		return reading{fault: &fault{message: "`{` needs a `block`, `section`, `colourway` or `setting` before it on its line"}}
	}
	room := w.tokens.room
	form, f := chooseForm(place, room[:n+1])
	if f == nil && bad != nil && kindOf(bad) == KindName {
		f = &fault{at: spanOf(bad), kind: Limit, message: "a name has at most 200 characters"}
	}
	if f != nil {
		return reading{form: form, fault: f}
	}
	p := &w.parser
	*p = parser{lex: w.tokens.lex, form: form, place: place}
	if place == anywhere && form.Word == "patch" {
		p.place = form.Where
	}
	if numbers > 0 {
		p.numbers = make([]Number, numbers)
	}
	if pairs > 0 {
		p.pairs = make([]Pair, pairs)
	}
	node, f := form.by.read(p)
	switch {
	case f == nil:
	case bad != nil && f.at.Start >= bad.Pos.Offset:
		f = &fault{at: spanOf(bad), message: Explain(bad.Value)}
	case f.unexpected:
		f = explain(f, form, room[:n+1])
	}
	if f != nil {
		if mark := inchMark(text, room[:n]); mark >= 0 && f.at.Start >= mark {
			f = &fault{at: source.Span{Start: mark, End: mark + 1},
				message: "no inch mark is needed: write the number alone, or with `in`, as in `1/4 in`"}
		}
		if f.detail == "" && f.kind != Limit {
			f.detail = form.needs()
		}
		if !f.read {
			return reading{form: form, fault: f}
		}
	}
	found := reading{form: form, node: node, fault: f}
	if f == nil && form.Where&place == 0 {
		found.fault = misplaced(form, place, spanOf(&room[0]))
	}
	for i := range n {
		if t := &room[i]; kindOf(t) == KindNumber && digitsEnd(t.Value, 0) > 4 && units[room[i+1].Value] == Bare {
			if value, problem, _ := numberValue(t.Value); problem == "" && value.Float64() > max(MaxInches, found.largest) {
				found.largest, found.largestAt = value.Float64(), spanOf(t)
			}
		}
	}
	return found
}
