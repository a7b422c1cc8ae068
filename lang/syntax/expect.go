package syntax

import (
	"reflect"
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// What may come next in a statement, worked out from the grammar: for messages, completion and
// signatures. Nothing here is on the way of a statement that can be read.

// walk tries all ways to read some tokens, and notes what could follow them all.
type walk struct {
	tokens []lexer.Token
	ends   map[visit][]int
	path   []step // of the nodes and slots that are entered
	next   []follow
}

// visit is a piece of the grammar at a token.
type visit struct {
	term *term
	at   int
}

// step is a node or a slot that was entered at a token.
type step struct {
	term *term
	at   int
}

// follow is a word or token that could come next, and where in the grammar that is.
type follow struct {
	term *term
	path []step
}

// read gives what could follow the tokens in a statement, and whether it could end there.
func read(statement *term, tokens []lexer.Token) (follows []follow, ends bool) {
	w := &walk{tokens: tokens, ends: map[visit][]int{}}
	ends = slices.Contains(w.match(statement, 0), len(tokens))
	return w.next, ends
}

// match gives every token at which a piece that begins at one may end.
func (w *walk) match(t *term, at int) (ends []int) {
	if at == len(w.tokens) || t.op == opWord || t.op == opToken {
		return w.once(t, at)
	}
	key := visit{t, at}
	if ends, ok := w.ends[key]; ok {
		return ends
	}
	ends = w.once(t, at)
	w.ends[key] = ends
	return ends
}

func (w *walk) once(t *term, at int) (ends []int) {
	switch t.op {
	case opWord, opToken:
		switch {
		case at == len(w.tokens):
			if !slices.ContainsFunc(w.next, func(n follow) bool { return n.term == t }) {
				w.next = append(w.next, follow{t, slices.Clone(w.path)})
			}
		case t.is(&w.tokens[at]):
			return []int{at + 1}
		}
		return nil
	case opSlot, opNode:
		if len(w.path) > 8*MaxDepth { // no statement nests so deep
			return nil
		}
		w.path = append(w.path, step{t, at})
		ends = w.match(t.parts[0], at)
		w.path = w.path[:len(w.path)-1]
		if t.op == opSlot && t.slot.Is == "seam" { // a name with a point after it is a point
			ends = slices.DeleteFunc(slices.Clone(ends), func(end int) bool {
				return end < len(w.tokens) && startsPoint(&w.tokens[end]) && w.tokens[end].Value != scaled
			})
		}
		return ends
	case opSequence:
		ends = []int{at}
		for _, part := range t.parts {
			ends = w.each(part, ends)
		}
		return ends
	case opChoice:
		for _, part := range t.parts {
			ends = union(ends, w.match(part, at))
		}
		return ends
	case opOption:
		return union([]int{at}, w.match(t.parts[0], at))
	}
	// A repetition; of a choice, each part once.
	type state struct {
		at   int
		done uint
	}
	choice := []*term{t.parts[0]}
	if t.parts[0].op == opChoice {
		choice = t.parts[0].parts
	}
	states := []state{{at, 0}}
	for i := 0; i < len(states); i++ {
		for k, part := range choice {
			if len(choice) > 1 && states[i].done&(1<<k) != 0 {
				continue
			}
			for _, end := range w.match(part, states[i].at) {
				s := state{end, states[i].done | 1<<k}
				if len(choice) == 1 {
					s.done = 0
				}
				if !slices.Contains(states, s) {
					states = append(states, s)
				}
			}
		}
	}
	for _, s := range states {
		ends = union(ends, []int{s.at})
	}
	return ends
}

func (w *walk) each(t *term, starts []int) (ends []int) {
	for _, at := range starts {
		ends = union(ends, w.match(t, at))
	}
	return ends
}

func union(a, b []int) []int {
	for _, x := range b {
		if !slices.Contains(a, x) {
			a = append(a, x)
		}
	}
	return a
}

// noun names what comes next in a sentence: the slot that begins with it, or the word itself.
func (n follow) noun(tokens int) string {
	for _, s := range n.path {
		if s.at == tokens && s.term.op == opSlot {
			return s.term.slot.Noun
		}
	}
	return "`" + n.term.word + "`"
}

// explain says what was expected where a statement stopped being read: "expected `,` after 3, found 4",
// or that a word of the language was taken for a name.
func explain(f *fault, form *StatementInfo, tokens []lexer.Token) *fault {
	at := slices.IndexFunc(tokens, func(t lexer.Token) bool { return t.EOF() || t.Pos.Offset >= f.at.Start })
	found := &tokens[at]
	var expected []string
	ends := false
	for _, form := range append([]*StatementInfo{form}, vocabulary[form.Word].others(form)...) {
		statement := grammarOf(form.by.node)
		follows, end := read(statement, tokens[:at])
		if ends = end; len(follows) == 0 && !end {
			continue // of another form of the word
		}
		if kindOf(found) == KindWord && !found.EOF() && takenForName(statement, follows, tokens[:at+1]) {
			return reserved(found)
		}
		for _, n := range follows {
			if noun := n.noun(at); !n.term.quiet && !slices.Contains(expected, noun) {
				expected = append(expected, noun)
			}
		}
		break
	}
	what := &fault{at: spanOf(found)}
	after := " after " + show(&tokens[at-1])
	switch {
	case found.EOF():
		what.at = spanOf(&tokens[at-1])
		what.message = "expected " + oneOf(expected) + after + ", found the end of the line"
	case ends || len(expected) == 0:
		what.message = "unexpected " + show(found) + after
	default:
		what.message = "expected " + oneOf(expected) + after + ", found " + show(found)
	}
	return what
}

// others are the other forms of a word.
func (v *vocable) others(form *StatementInfo) (others []*StatementInfo) {
	if v != nil {
		for _, other := range v.forms {
			if other != form {
				others = append(others, other)
			}
		}
	}
	return others
}

// takenForName reports whether the last token, a word of the language, is where a name could be, and does
// not come after a name that is missing.
func takenForName(statement *term, follows []follow, tokens []lexer.Token) bool {
	at := len(tokens) - 1
	name := lexer.Token{Type: tokenType(KindName), Value: "name"}
	if !slices.ContainsFunc(follows, func(n follow) bool { return n.term.op == opToken && n.term.kind == KindName }) {
		return false
	}
	follows, _ = read(statement, append(slices.Clone(tokens[:at]), name))
	return !slices.ContainsFunc(follows, func(n follow) bool { return n.term.op == opWord && n.term.word == tokens[at].Value })
}

// oneOf joins what is expected: "`open` or `toward`".
func oneOf(list []string) string {
	last := len(list) - 1
	if last < 1 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:last], ", ") + " or " + list[last]
}

// Next is what may follow the beginning of a statement.
type Next struct {
	Words []string // words of the language
	Slots []Slot
	Signature
}

// Signature is the form that is being typed, the innermost form of a point or else the statement, and
// which part of its example comes next.
type Signature struct {
	Shape, Meaning string
	Params         []source.Span // the parts of Shape that are filled in
	Active         int           // -1: none of them
}

// Expect works out what may follow a text, the beginning of a statement at a place.
func Expect(place Place, text string) (n Next) {
	fits := false // the signature's form
	var b tokens
	count, _, _, _ := b.load(text)
	tokens, forms := b.room[:count:count], []*StatementInfo{swap}
	if place != InColourway {
		if forms = nil; count > 0 {
			if v := vocabulary[tokens[0].Value]; v != nil {
				forms = v.forms
			}
		}
	}
	for _, form := range forms {
		if form.Where&place == 0 {
			continue
		}
		follows, ends := read(grammarOf(form.by.node), tokens)
		for _, f := range follows {
			n.add(f)
		}
		if n.Shape == "" || !fits && (ends || len(follows) > 0) {
			fits = ends || len(follows) > 0
			n.Signature = signature(form, tokens)
		}
	}
	return n
}

func (n *Next) add(f follow) {
	if f.term.op == opWord {
		if isWord(f.term.word) && !f.term.quiet && !slices.Contains(n.Words, f.term.word) {
			n.Words = append(n.Words, f.term.word)
		}
		return
	}
	if s := f.innermost(); s != nil {
		n.Slots = append(n.Slots, *s)
	}
}

// innermost is the innermost slot, which is filled with what comes next.
func (n follow) innermost() *Slot {
	for _, s := range slices.Backward(n.path) {
		if s.term.op == opSlot {
			return s.term.slot
		}
	}
	return nil
}

// signature is the form at the end of the tokens, with the part that comes next; when a word does, the
// part behind it.
func signature(form *StatementInfo, tokens []lexer.Token) (s Signature) {
	tokens = slices.Clone(tokens)
	for range 4 {
		follows, _ := read(grammarOf(form.by.node), tokens)
		for _, f := range follows {
			if s = f.signature(form, len(tokens)); s.Active >= 0 && !f.term.quiet {
				return s
			}
		}
		word := slices.IndexFunc(follows, func(n follow) bool { return n.term.op == opWord && !n.term.quiet })
		if word < 0 {
			break
		}
		tokens = append(tokens, lexer.Token{Type: tokenType(KindWord), Value: follows[word].term.word})
	}
	if s.Shape == "" {
		s = follow{}.signature(form, 0)
	}
	return s
}

// signature is the form round what comes next.
func (n follow) signature(form *StatementInfo, tokens int) Signature {
	s := Signature{Shape: form.Shape, Meaning: form.Meaning, Active: -1}
	parts, from := params(form.example()), 0
	path, nth := "", 0 // in the form
	for i, step := range n.path {
		switch {
		case step.term.op == opSlot:
			path, nth = path+step.term.slot.field+".", nth+step.term.slot.nth
		case step.at < tokens && i > 0 && n.path[i-1].term.node == reflect.TypeFor[Point]():
			p := pointFormOf(step.term.node)
			s.Shape, s.Meaning = p.Shape, p.Meaning
			parts, from = params(p.example()), len(pointPrefix)
			path, nth = "", 0
		}
	}
	for i, p := range parts {
		s.Params = append(s.Params, source.Span{Start: p.at.Start - from, End: p.at.End - from})
		if nth >= 0 && strings.HasPrefix(path, p.path) {
			s.Active = i
			nth--
		}
	}
	return s
}

// param is a part of an example that fills a slot.
type param struct {
	path string // of the slot: the fields, a point behind each
	at   source.Span
}

// params are the parts of an example, a pointer to a node.
func params(node any) (parts []param) {
	var visit func(v reflect.Value, path string)
	visit = func(v reflect.Value, path string) {
		switch v.Kind() {
		case reflect.Interface:
			if x, ok := v.Interface().(interface{ At() source.Span }); ok {
				parts = append(parts, param{path, x.At()})
			}
		case reflect.Pointer:
			if !v.IsNil() {
				visit(v.Elem(), path)
			}
		case reflect.Slice:
			for i := range v.Len() {
				visit(v.Index(i), path)
			}
		case reflect.Struct:
			switch x := v.Interface().(type) {
			case Name:
				parts = append(parts, param{path, x.Span})
			case Text:
				parts = append(parts, param{path, x.Span})
			case Colour:
				parts = append(parts, param{path, x.Span})
			case Whole:
				parts = append(parts, param{path, x.Span})
			default:
				for i := range v.NumField() {
					if f := v.Type().Field(i); f.IsExported() && !f.Anonymous {
						visit(v.Field(i), path+f.Name+".")
					}
				}
			}
		}
	}
	visit(reflect.ValueOf(node), "")
	return parts
}
