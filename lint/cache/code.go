package cache

import (
	"encoding/binary"
	"strings"

	"sewable/lang/source"
	"sewable/lint"
)

// writer writes numbers and strings. Strings are kept once, in a heap of their own.
type writer struct {
	body []byte
	heap strings.Builder
	at   map[string]int // of a string in the heap
}

func newWriter() *writer { return &writer{at: map[string]int{}} }

func (w *writer) number(n int)   { w.body = binary.AppendVarint(w.body, int64(n)) }
func (w *writer) bytes(b []byte) { w.body = append(w.body, b...) }
func (w *writer) long(n int64)   { w.body = binary.LittleEndian.AppendUint64(w.body, uint64(n)) }
func (w *writer) stamp(s stamp) {
	w.longs(s.size, s.modified, s.changed, int64(s.device), int64(s.inode))
}
func (w *writer) longs(n ...int64) {
	for _, n := range n {
		w.long(n)
	}
}

func (w *writer) state(s state) {
	w.number(int(s.kind))
	w.stamp(s.stamp)
	w.bytes(s.sum[:])
}

// put gives the place of a string in the heap.
func (w *writer) put(s string) int {
	at, ok := w.at[s]
	if !ok {
		at = w.heap.Len()
		w.heap.WriteString(s)
		w.at[s] = at
	}
	return at
}

func (w *writer) string(s string) {
	w.number(w.put(s))
	w.number(len(s))
}

func (w *writer) place(p lint.Place) {
	w.string(p.File)
	w.number(p.Span.Start)
	w.number(p.Span.End)
	w.number(p.Start.Line)
	w.number(p.Start.Column)
	w.number(p.End.Line)
	w.number(p.End.Column)
}

func (w *writer) finding(f lint.Finding) {
	w.place(f.Place)
	w.string(f.Line)
	w.number(f.Left)
	if at := strings.Index(f.Line, f.Statement); at >= 0 { // mostly a part of the line
		w.number(w.put(f.Line) + at)
		w.number(len(f.Statement))
	} else {
		w.string(f.Statement)
	}
	w.string(f.Rule)
	w.number(int(f.Level))
	w.string(f.Message)
	w.string(f.Block)
	w.string(f.Size)
	w.string(f.Section)
	w.number(f.Patch)
	w.bool(f.Mandatory)
	w.bool(f.Unused)
	w.number(len(f.Related))
	for _, r := range f.Related {
		w.place(r.Place)
		w.string(r.Message)
	}
	w.number(len(f.Fixes))
	for _, x := range f.Fixes {
		w.string(x.Title)
		w.bool(x.Certain)
		w.number(len(x.Edits))
		for _, e := range x.Edits {
			w.place(e.Place)
			w.string(e.New)
		}
	}
}

func (w *writer) bool(b bool) {
	n := 0
	if b {
		n = 1
	}
	w.number(n)
}

// reader reads what a writer wrote. After the first thing that cannot be so it is bad and
// gives zeros.
type reader struct {
	body, heap string
	at         int
	bad        bool
}

func (r *reader) number() int {
	var n uint64
	for shift := 0; shift < 64 && r.at < len(r.body); shift += 7 {
		b := r.body[r.at]
		r.at++
		n |= uint64(b&0x7f) << shift
		if b < 0x80 {
			return int(int64(n>>1) ^ -int64(n&1))
		}
	}
	r.bad = true
	return 0
}

// count is a number of things, each of which takes at least a byte.
func (r *reader) count() int {
	n := r.number()
	if n < 0 || n > len(r.body)-r.at {
		r.bad = true
		return 0
	}
	return n
}

func (r *reader) bytes(n int) string {
	if r.bad || n < 0 || n > len(r.body)-r.at {
		r.bad = true
		return strings.Repeat("\x00", min(max(n, 0), 32))
	}
	s := r.body[r.at : r.at+n]
	r.at += n
	return s
}

func (r *reader) long() int64 { return int64(binary.LittleEndian.Uint64([]byte(r.bytes(8)))) }

func (r *reader) stamp() stamp {
	return stamp{r.long(), r.long(), r.long(), uint64(r.long()), uint64(r.long())}
}

func (r *reader) sum() (s sum) {
	copy(s[:], r.bytes(len(s)))
	return s
}

func (r *reader) state() state { return state{kind(r.number()), r.stamp(), r.sum()} }

// string is a part of the heap: nothing is copied.
func (r *reader) string() string {
	at, n := r.number(), r.number()
	if r.bad || at < 0 || n < 0 || at > len(r.heap) || n > len(r.heap)-at {
		r.bad = true
		return ""
	}
	return r.heap[at : at+n]
}

func (r *reader) place() lint.Place {
	return lint.Place{
		File:  r.string(),
		Span:  source.Span{Start: r.number(), End: r.number()},
		Start: source.Position{Line: r.number(), Column: r.number()},
		End:   source.Position{Line: r.number(), Column: r.number()},
	}
}

func (r *reader) finding() lint.Finding {
	f := lint.Finding{
		Place: r.place(), Line: r.string(), Left: r.number(), Statement: r.string(), Rule: r.string(), Level: lint.Level(r.number()), Message: r.string(),
		Block: r.string(), Size: r.string(), Section: r.string(), Patch: r.number(), Mandatory: r.number() == 1, Unused: r.number() == 1,
	}
	if n := r.count(); n > 0 {
		f.Related = make([]lint.Related, n)
		for i := range f.Related {
			f.Related[i] = lint.Related{Place: r.place(), Message: r.string()}
		}
	}
	if n := r.count(); n > 0 {
		f.Fixes = make([]lint.Fix, n)
		for i := range f.Fixes {
			x := lint.Fix{Title: r.string(), Certain: r.number() == 1, Edits: make([]lint.Edit, r.count())}
			for j := range x.Edits {
				x.Edits[j] = lint.Edit{Place: r.place(), New: r.string()}
			}
			f.Fixes[i] = x
		}
	}
	return f
}
