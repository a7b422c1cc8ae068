// Package syntax reads the text of a block file into a tree that keeps every
// byte.
//
// Reading never fails. The text is split into items, one statement a line,
// and each statement is read by itself; a statement that cannot be read
// keeps its text and carries an Error, and costs only itself.
//
// A text passes through these files:
//
//	fit.go        is it text, and not too long?
//	scan.go       cuts it into pieces: blank lines, comments, statements, braces
//	nest.go       nests the pieces by their braces, mending what is missing
//	read.go       has each statement read once, and remembers what came of it
//	firstword.go  chooses the form of statement, from the table in words.go
//	token.go, number.go, lexer.go   cut the statement into tokens
//	nodes.go, grammar.go            read most statements by struct tags
//	parser.go, expr.go, point.go, patch.go   read what is common or frequent by hand
//	accept.go     finds what the comments accept
//
// The grammar is said once, in the tags of nodes.go; terms.go has it as a value. expect.go works out from it what may come
// next, for messages and editors, and print.go writes it down for the reference.
//
// The reference of the language is lang/REFERENCE.md; its examples are tests of
// this package.
package syntax

import (
	"sewable/lang/source"
)

// Tree is one file, as typed. It is immutable.
type Tree struct {
	File  *source.File
	Items []*Item // the top level, in file order
	// Errors holds every reading error of the file in order, those of items included.
	Errors []*Error
	// Accepts holds every `// accept rule: reason` comment of the file in order.
	Accepts []*Accept
}

// Item is one thing that stands on lines of its own. The items of a tree,
// bodies and closing lines included, cover the text without a gap.
type Item struct {
	Kind  ItemKind
	brace int32       // behind the brace, from the beginning of Raw; 0 without one
	Raw   source.Span // whole lines, line break included; parts of one where braces share it
	Stmt  source.Span // the statement alone: no indentation, brace, comment
	// Node is nil for blanks, comments and what cannot be read. It is set in spite of
	// an Error when only the place, a brace or a section's name is at fault.
	Node Statement
	// Word is the first word of the statement, even of an unreadable one.
	Word string
	*Extra
}

// Extra is what few items have. It is never nil.
type Extra struct {
	// Comment is the comment that ends the line (for a comment item, the
	// comment itself), from // to before the line break; empty if none.
	Comment source.Span
	// Body holds what stands between the braces; only an item of kind Opens has one.
	Body []*Item
	// Close is the closing line of an Opens item; nil when the brace is missing.
	Close *Item
}

var noExtra Extra

// ItemKind tells items apart.
type ItemKind uint8

// The kinds of item.
const (
	Blank      ItemKind = iota // only white space
	Remark                     // only a comment
	Simple                     // a statement
	Opens                      // a statement with a body
	Closes                     // a closing brace
	Unreadable                 // neither
)

// Brace is the `{` of an Opens item or the `}` of a Closes item; it is empty, behind the
// statement, when the brace is missing.
func (it *Item) Brace() source.Span {
	if it.brace == 0 {
		return source.Span{Start: it.Stmt.End, End: it.Stmt.End}
	}
	end := it.Raw.Start + int(it.brace)
	return source.Span{Start: end - 1, End: end}
}

// Abs turns a span of the item's node into one of the file.
func (it *Item) Abs(s source.Span) source.Span { return s.Shift(it.Stmt.Start) }

// Error is something that cannot be read. What it says is complete: it
// needs no parser to explain it.
type Error struct {
	At      source.Span // in the file
	Kind    ErrorKind
	Message string // "a patch needs a number, a fabric, and corners or `beyond`"
	Detail  string // what stands there instead, or what to do; may be empty
	Name    string // the word, for ReservedWord
	Item    *Item  // where it stands; nil for errors of the file as a whole
}

// ErrorKind tells errors apart, so that nobody has to read a message.
type ErrorKind uint8

// The kinds of error.
const (
	Malformed    ErrorKind = iota // a statement that cannot be read
	Misplaced                     // a readable statement in the wrong place
	Unclosed                      // a brace without a partner
	ReservedWord                  // a word of the language used as a name
	Limit                         // past a limit of the language
	NotText                       // not UTF-8, or binary
)

// Accept is `// accept rule: reason`.
type Accept struct {
	Rule   string
	Reason string      // empty when missing
	At     source.Span // the comment
	RuleAt source.Span
	// Scope is the lines whose findings it covers: its own line when it ends
	// one, else the next statement (its body included, when it opens one).
	Scope source.Span
}
