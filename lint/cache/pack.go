package cache

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"slices"

	"sewable/lang/block"
	"sewable/lint"
)

// magic begins every pack; the number is of its form.
const magic = "sewable lint cache 2\n"

// entry is what was found in one file, and what that followed from.
type entry struct {
	path     string // as it was named
	file     state
	settings sum // of the settings file that held; zero when there was none
	links    []int
	day      int // when it was last of use, in days since 1970
	blocks   int
	findings int
	body     string // the findings; their strings are in the heap of the pack
	heap     string
}

// answer reads the findings.
func (e *entry) answer() (lint.Answer, bool) {
	r := reader{body: e.body, heap: e.heap}
	a := lint.Answer{Blocks: e.blocks}
	if e.findings > 0 {
		a.Findings = make([]lint.Finding, e.findings)
		for i := range a.Findings {
			a.Findings[i] = r.finding()
		}
	}
	return a, !r.bad && r.at == len(r.body)
}

// link is a `use` and the file that it led to.
type link struct {
	block.Link
	file state
}

// pack is what one folder's runs found, in the order of path. It is read as a whole; the findings
// of an entry are read when they are wanted.
type pack struct {
	tool    sum   // the program that found it
	program stamp // of its file
	links   []link
	entries map[string]*entry
}

func emptyPack() *pack { return &pack{entries: map[string]*entry{}} }

// decode reads a pack; what is cut short or changed in any way is none.
func decode(data []byte) (*pack, bool) {
	data, ok := bytes.CutPrefix(data, []byte(magic))
	if !ok || len(data) < sha256.Size+8 {
		return nil, false
	}
	data, check := data[:len(data)-sha256.Size], data[len(data)-sha256.Size:]
	if got := sha256.Sum256(data); !bytes.Equal(got[:], check) {
		return nil, false
	}
	size := binary.LittleEndian.Uint64(data)
	rest := string(data[8:])
	if size > uint64(len(rest)) {
		return nil, false
	}
	r := &reader{heap: rest[:size], body: rest[size:]}
	p := &pack{tool: r.sum(), program: r.stamp()}
	p.links = make([]link, r.count())
	for i := range p.links {
		p.links[i] = link{block.Link{Dir: r.string(), Path: r.string(), To: r.string(), Cause: block.Cause(r.number())}, r.state()}
	}
	n := r.count()
	p.entries = make(map[string]*entry, n)
	all := make([]entry, n)
	for i := range all {
		e := &all[i]
		e.path, e.file, e.settings = r.string(), r.state(), r.sum()
		if n := r.count(); n > 0 {
			e.links = make([]int, n)
			for j := range e.links {
				e.links[j] = r.number()
				r.bad = r.bad || e.links[j] < 0 || e.links[j] >= len(p.links)
			}
		}
		e.day, e.blocks, e.findings = r.number(), r.number(), r.number()
		e.body, e.heap = r.bytes(r.count()), r.heap
		if r.bad || e.findings < 0 || e.findings > len(e.body) {
			return nil, false
		}
		p.entries[e.path] = e
	}
	return p, !r.bad && r.at == len(r.body)
}

// encoder makes a pack.
type encoder struct {
	*writer
	links   []link
	linkAt  map[link]int
	entries int
	bodies  []byte // the entries
}

func newEncoder() *encoder { return &encoder{writer: newWriter(), linkAt: map[link]int{}} }

// link gives the number of a link, which is kept once.
func (w *encoder) link(l link) int {
	i, ok := w.linkAt[l]
	if !ok {
		i = len(w.links)
		w.linkAt[l] = i
		w.links = append(w.links, l)
	}
	return i
}

// add adds an entry with its findings; those of e itself are not looked at.
func (w *encoder) add(e *entry, links []link, findings []lint.Finding) {
	w.entries++
	w.body = w.body[:0]
	for _, f := range findings {
		w.finding(f)
	}
	body := w.body
	w.body = nil
	w.string(e.path)
	w.state(e.file)
	w.bytes(e.settings[:])
	w.number(len(links))
	for _, l := range links {
		w.number(w.link(l))
	}
	w.number(e.day)
	w.number(e.blocks)
	w.number(len(findings))
	w.number(len(body))
	w.bodies = append(append(w.bodies, w.body...), body...)
	w.body = body // its room
}

// encode gives the pack.
func (w *encoder) encode(tool sum, program stamp) []byte {
	w.body = nil
	w.bytes(tool[:])
	w.stamp(program)
	w.number(len(w.links))
	for _, l := range w.links {
		w.string(l.Dir)
		w.string(l.Path)
		w.string(l.To)
		w.number(int(l.Cause))
		w.state(l.file)
	}
	w.number(w.entries)
	out := make([]byte, 0, 8+w.heap.Len()+len(w.body)+len(w.bodies))
	out = binary.LittleEndian.AppendUint64(out, uint64(w.heap.Len()))
	out = append(out, w.heap.String()...)
	return seal(append(append(out, w.body...), w.bodies...))
}

// seal puts the magic in front and the sum of all bytes behind.
func seal(data []byte) []byte {
	check := sha256.Sum256(data)
	return slices.Concat([]byte(magic), data, check[:])
}
