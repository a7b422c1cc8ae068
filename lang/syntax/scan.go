package syntax

import (
	"strings"
	"unicode/utf8"

	"sewable/lang/source"
)

// The first pass cuts the text into pieces: one for each blank line, comment
// line, statement and closing brace. It looks at quotes, comments, brackets
// and first words, and understands nothing else.

// Offsets in a piece count from its own beginning, so that it outlives an edit above it:
// the pieces of one text are, but for a few, those of the text before it. A piece does
// not change once another text may have it.
type piece struct {
	length  int // pieces tile the text
	stmt    source.Span
	comment source.Span
	brace   int      // offset of the brace that opens or closes; -1 without
	first   *vocable // of the first word; nil when it is no word of the language
	kind    pieceKind
	layout  layout
	copies  bool // holds an `=`
	lines   bool // its statement goes over several lines
	partial bool // begins in the middle of a line

	oneLiners bool // scanned with this state, see scanner

	// What came of the statement, when it is to be known after an edit.
	place Place
	found *reading
}

// indent is how many bytes of white space stand before it.
func (p *piece) indent() int { return p.stmt.Start }

type pieceKind uint8

const (
	blankPiece pieceKind = iota
	remarkPiece
	statementPiece
	closePiece
)

// layout is what is wrong with the place of a brace.
type layout uint8

const (
	tidy          layout = iota
	textBehind           // something follows `{` on its line
	braceBehind          // `}` follows something on its line
	closeThenText        // something follows `}` on its line
	braceBelow           // `{` stands on the line below
)

// scanner cuts one text.
type scanner struct {
	text      string
	at        int
	goesOnTo  int  // statements do not end before this offset
	oneLiners bool // the lines of a colourway do not run on
	partial   bool // at stands in the middle of a line
}

// scan appends the pieces of a text to a buffer; past MaxLines of them it stops.
func scan(pieces []piece, text string) []piece {
	s := scanner{text: text}
	for s.at < len(text) && len(pieces) <= MaxLines {
		pieces = append(pieces, s.piece())
	}
	return pieces
}

// each appends the address of each piece to a buffer.
func each(buffer []*piece, pieces []piece) []*piece {
	for i := range pieces {
		buffer = append(buffer, &pieces[i])
	}
	return buffer
}

// rescan gives the pieces of a text from those of the text before an edit: what the
// edit touched is cut anew, until a piece begins where one began before. It stops where scan does.
func rescan(old []*piece, before, text string) []*piece {
	head, tail := source.Common(before, text)
	delta := len(text) - len(before)
	// The last statement before the edit may have looked at what follows it; those before
	// that one have looked no further than its first word.
	s := scanner{text: text}
	keep := 0
	for keep < len(old) && s.at+old[keep].length <= head {
		s.at += old[keep].length
		keep++
	}
	back := func() {
		keep--
		s.at -= old[keep].length
	}
	for keep > 0 && old[keep-1].kind <= remarkPiece {
		back()
	}
	if keep > 0 {
		back()
	}
	if keep < len(old) {
		s.oneLiners, s.partial = old[keep].oneLiners, old[keep].partial
	}
	out := append(make([]*piece, 0, len(old)+16), old[:keep]...)
	next, at := keep, s.at+delta // the old piece that may come next, and where it would begin
	for s.at < len(text) && len(out) <= MaxLines {
		if s.at >= len(text)-tail {
			for next < len(old) && at < s.at {
				at += old[next].length
				next++
			}
			if next < len(old) && at == s.at && old[next].oneLiners == s.oneLiners && old[next].partial == s.partial {
				return append(out, old[next:]...)
			}
		}
		p := s.piece()
		out = append(out, &p) // one by one: an array would stay for the sake of any of them
	}
	return out
}

func (s *scanner) piece() piece {
	start := s.at
	p := piece{brace: -1, partial: s.partial, oneLiners: s.oneLiners}
	s.partial = false
	i := s.blanks(start)
	p.stmt, p.comment = source.Span{Start: i, End: i}, source.Span{Start: i, End: i}
	switch {
	case i == len(s.text) || s.text[i] == '\n':
		p.kind = blankPiece
		s.endLine(i)
	case strings.HasPrefix(s.text[i:], "//"):
		p.kind = remarkPiece
		p.comment.End = lineEnd(s.text, i)
		s.endLine(p.comment.End)
	case s.text[i] == '}':
		p.kind, p.brace, p.stmt.End = closePiece, i, i+1
		s.oneLiners = false
		s.behindBrace(&p, i+1, closeThenText)
	default:
		p.kind = statementPiece
		if p.first = s.firstWord(i); p.first != nil && p.first.forms != nil {
			s.oneLiners = s.oneLiners && p.first.contextual
		}
		s.statement(&p, i)
		if p.brace >= 0 {
			s.oneLiners = p.first != nil && p.first.forms != nil && p.first.forms[0].Body == InColourway
		}
	}
	p.length = s.at - start
	p.stmt, p.comment = p.stmt.Shift(-start), p.comment.Shift(-start)
	if p.brace >= 0 {
		p.brace -= start
	}
	return p
}

// blanks is the offset of the first character at or after i that is no white
// space, or of the line break.
func (s *scanner) blanks(i int) int {
	for i < len(s.text) {
		switch c := s.text[i]; classes[c] {
		case space:
			if c == '\n' {
				return i
			}
			i++
		case multi:
			next := skipSpace(s.text, i)
			if next == i {
				return i
			}
			_, size := utf8.DecodeRuneInString(s.text[i:])
			i += size
		default:
			return i
		}
	}
	return i
}

// firstWord is the word of the language at i, if one stands there. A contextual word before `=` is a name.
func (s *scanner) firstWord(i int) *vocable {
	if classes[s.text[i]] != letter {
		return nil
	}
	end := wordEnd(s.text, i)
	v := vocabulary[s.text[i:end]]
	if v != nil && v.contextual {
		if end = s.blanks(end); end < len(s.text) && s.text[end] == '=' || v.forms == nil {
			return nil
		}
	}
	return v
}

// endLine ends a piece behind the line break at or after i.
func (s *scanner) endLine(i int) {
	s.at = len(s.text)
	if n := strings.IndexByte(s.text[i:], '\n'); n >= 0 {
		s.at = i + n + 1
	}
}

// behindBrace ends a piece after its brace: at the end of the line when only
// a comment follows, else before what follows.
func (s *scanner) behindBrace(p *piece, i int, complaint layout) {
	i = s.blanks(i)
	switch {
	case i == len(s.text) || s.text[i] == '\n':
		s.endLine(i)
	case strings.HasPrefix(s.text[i:], "//"):
		p.comment = source.Span{Start: i, End: lineEnd(s.text, i)}
		s.endLine(i)
	default:
		s.at, p.layout, s.partial = i, complaint, true
	}
}

// statement scans a statement that begins at i and its brace.
func (s *scanner) statement(p *piece, i int) {
	text := s.text
	depth, comma := 0, false
	last := i // behind the last character that counts
	for i < len(text) {
		switch c := text[i]; classes[c] {
		case space:
			if c != '\n' {
				i++
				continue
			}
			if i < s.goesOnTo || (depth > 0 || comma) && s.goesOn(i+1) {
				p.lines = true
				i++
				continue
			}
			p.stmt.End = last
			s.endLine(i)
			s.braceBelow(p)
			return
		case punctuation:
			switch c {
			case '(':
				depth++
			case ')':
				depth = max(0, depth-1)
			case '=':
				p.copies = true
			case '{':
				p.stmt.End, p.brace = last, i
				s.behindBrace(p, i+1, textBehind)
				return
			case '}':
				p.stmt.End, s.at = last, i
				p.layout, s.partial = braceBehind, true
				return
			case '/':
				if strings.HasPrefix(text[i:], "//") {
					end := lineEnd(text, i)
					p.comment = source.Span{Start: i, End: end}
					i = end
					continue
				}
			}
			comma = c == ','
			i++
			last = i
		case multi:
			if next := s.blanks(i); next > i {
				i = next
				continue
			}
			comma = false
			_, size := utf8.DecodeRuneInString(text[i:])
			i += size
			last = i
		default:
			comma = false
			i++
			if c == '"' {
				quote := i - 1
				var closed bool
				if i, closed = stringEnd(text, quote); !closed {
					i = s.openString(quote, i)
				}
			}
			last = i
		}
		if p.comment.End > p.comment.Start && last > p.comment.Start {
			p.comment = source.Span{Start: p.stmt.Start, End: p.stmt.Start} // it ended an earlier line
		}
	}
	p.stmt.End, s.at = last, len(text)
}

// openString is the end of a string without a closing quote that begins at
// start: a brace that ends the line is not part of it, so that a forgotten
// quote does not cost the whole block.
func (s *scanner) openString(start, end int) int {
	line := s.text[start:end]
	if brace := strings.LastIndexByte(line, '{'); brace > 0 {
		if rest := strings.TrimSpace(line[brace+1:]); rest == "" || strings.HasPrefix(rest, "//") {
			return start + len(strings.TrimRight(line[:brace], " \t"))
		}
	}
	return end
}

// goesOn reports whether a statement that may run on does so on the line that
// begins at i. Comment lines in between belong to it. A blank line, a brace
// and a line that begins with a statement word end it.
func (s *scanner) goesOn(i int) bool {
	if s.oneLiners {
		return false
	}
	for i < len(s.text) {
		i = s.blanks(i)
		switch {
		case i == len(s.text) || s.text[i] == '\n' || s.text[i] == '{' || s.text[i] == '}':
			return false
		case strings.HasPrefix(s.text[i:], "//"):
			if n := strings.IndexByte(s.text[i:], '\n'); n >= 0 {
				i += n + 1
				continue
			}
			return false
		}
		if v := s.firstWord(i); v != nil && v.forms != nil && !v.contextual {
			return false
		}
		s.goesOnTo = i
		return true
	}
	return false
}

// braceBelow takes a `{` that begins the next line that is not blank, when
// the statement wants one.
func (s *scanner) braceBelow(p *piece) {
	if p.first == nil || p.first.forms == nil || p.first.forms[0].Body == 0 || p.copies || p.comment.Len() > 0 {
		return
	}
	i := skipSpace(s.text, s.at)
	if i < len(s.text) && s.text[i] == '{' {
		p.brace = i
		s.behindBrace(p, i+1, textBehind)
		p.layout = braceBelow
	}
}
