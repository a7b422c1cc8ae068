package lsp

import (
	"slices"
	"sort"
	"strconv"
	"strings"

	"go.lsp.dev/protocol"

	"sewable/lang/query"
	"sewable/lang/source"
)

// encoded is the tokens of a text, with what the next text needs to take over those of the
// lines that it shares.
type encoded struct {
	id    string // by which the editor knows them
	of    *source.File
	names []query.Token
	text  tokenText
	lines []int32 // where in text the tokens of each line begin; one more, for the end
}

// encode works out the tokens of a document. Those of the lines that are as before, and say
// the same, are taken from there; before may be nil.
func (d document) encode(before *encoded) *encoded {
	f, n := d.ask(), d.Text().Lines()
	now := &encoded{of: d.Text(), names: query.Names(f)}
	head, tail := now.shared(before)
	w := tokenWriter{of: f, place: d.enc.Walk(d.Text()), names: now.names, text: make([]byte, 0, 2*len(now.of.Text)), lines: make([]int32, 0, n+1)}
	if head > 0 {
		w.takeOver(before.text[:before.lines[head]], before.lines[:head])
	}
	from := n - tail
	if tail > 0 { // the first token there counts its lines from the one before it, which may have moved
		old := before.lines[len(before.lines)-1-tail:]
		next := 1
		for next < len(old)-1 && old[next] == old[0] {
			next++
		}
		w.write(head, from+next)
		w.takeOver(before.text[old[next]:], old[next:len(old)-1])
	} else {
		w.write(head, n)
	}
	now.text, now.lines = tokenText(w.text), append(w.lines, int32(len(w.text)))
	return now
}

// shared is how many lines at the beginning and at the end have the tokens that they had
// before. Where a carriage return alone ends lines for the editor, none has.
func (e *encoded) shared(before *encoded) (head, tail int) {
	if before == nil || before.of.EditorLines() != before.of.Lines() || e.of.EditorLines() != e.of.Lines() {
		return 0, 0
	}
	old, now := before.of.Text, e.of.Text
	first, last := source.CommonLines(old, now)
	behind := func(names []query.Token, at int) int {
		return sort.Search(len(names), func(i int) bool { return names[i].At.Start >= at })
	}
	if !slices.Equal(before.names[:behind(before.names, first)], e.names[:behind(e.names, first)]) {
		return 0, 0
	}
	by := len(now) - len(old)
	moved := func(a, b query.Token) bool {
		a.At = a.At.Shift(by)
		return a == b
	}
	if !slices.EqualFunc(before.names[behind(before.names, len(old)-last):], e.names[behind(e.names, len(now)-last):], moved) {
		return 0, 0
	}
	if last > 0 {
		tail = strings.Count(now[len(now)-last:], "\n") + 1
	}
	return strings.Count(now[:first], "\n"), tail
}

// tokenWriter writes tokens as the protocol has them.
type tokenWriter struct {
	of    *query.File
	place func(offset int) protocol.Position
	names []query.Token

	text  []byte
	lines []int32 // where the tokens of each line begin
}

// takeOver adds what was written before of some lines; lines says where each began there.
func (w *tokenWriter) takeOver(text tokenText, lines []int32) {
	by := int32(len(w.text))
	if len(lines) > 0 {
		by -= lines[0]
	}
	for _, at := range lines {
		w.lines = append(w.lines, at+by)
	}
	w.text = append(w.text, text...)
}

// write writes the tokens of lines, from one and before another.
func (w *tokenWriter) write(from, before int) {
	last := protocol.Position{Line: uint32(w.lastLine())}
	for t := range query.Tokens(w.of, w.names, from, before) {
		at, end := w.place(t.At.Start), w.place(t.At.End)
		for len(w.lines) <= int(at.Line) {
			w.lines = append(w.lines, int32(len(w.text)))
		}
		delta := at.Character
		if at.Line == last.Line {
			delta -= last.Character
		}
		modifiers := uint32(0)
		if t.Declares {
			modifiers = 1
		}
		w.number(at.Line - last.Line)
		w.number(delta)
		w.number(end.Character - at.Character)
		w.number(typeIndex[t.Kind])
		w.number(modifiers)
		w.text = append(w.text, '\n')
		last = at
	}
	for len(w.lines) < before {
		w.lines = append(w.lines, int32(len(w.text)))
	}
}

// lastLine is the line of the token written last.
func (w *tokenWriter) lastLine() int {
	end := int32(len(w.text))
	for i := len(w.lines) - 1; i > 0; i-- {
		if w.lines[i] < end {
			return i
		}
	}
	return 0
}

// number adds a number and a comma. Nearly all have one digit.
func (w *tokenWriter) number(n uint32) {
	if n < 10 {
		w.text = append(w.text, '0'+byte(n), ',')
	} else {
		w.text = append(strconv.AppendUint(w.text, uint64(n), 10), ',')
	}
}
