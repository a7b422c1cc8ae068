package syntax

import (
	"reflect"
	"regexp"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2/lexer"
)

// The grammar as a value: the tags of nodes.go, read as the library reads them.

// term is a piece of the grammar.
type term struct {
	op    termOp
	word  string // of a word or mark
	kind  Kind   // of a token
	slot  *Slot
	node  reflect.Type // of a node
	parts []*term
	quiet bool // a mark or unit that may be omitted: no message names it
}

type termOp uint8

const (
	opWord     termOp = iota // this word or mark
	opToken                  // a token of this kind
	opSlot                   // a field of a node, filled with its part
	opNode                   // a node, which is its part
	opSequence               // one part after the other
	opChoice                 // one of the parts
	opOption                 // its part or nothing
	opRepeat                 // its part any number of times; of a choice, each once
)

// Slot is a place in a statement that the designer fills.
type Slot struct {
	Noun  string // what comes there, as messages name it: "a fabric"
	Is    string // what a name or a text names: "fabric"; "point", "seam" or "let" inside points and numbers
	Other bool   // not what the first name of the statement names

	field string
	nth   int // of the field's
	typ   reflect.Type
}

// The nouns of what has none of its own.
var nouns = map[reflect.Type]string{
	reflect.TypeFor[Name](): "a name", reflect.TypeFor[Text](): "words in quotes", reflect.TypeFor[Colour](): "a color such as #1d2b4f",
	reflect.TypeFor[Whole](): "a whole number", reflect.TypeFor[Expr](): "a number", reflect.TypeFor[factor](): "a number", reflect.TypeFor[sum](): "a number",
	reflect.TypeFor[Point](): "a point", reflect.TypeFor[Line](): "two points or the name of a seam", reflect.TypeFor[Pair](): "`(`",
}

// grammars holds the terms by type; a type may hold itself.
var grammars = struct {
	sync.Mutex
	of map[reflect.Type]*term
}{of: map[reflect.Type]*term{}}

// grammarOf is the grammar of a statement.
func grammarOf(node reflect.Type) *term {
	grammars.Lock()
	defer grammars.Unlock()
	return termOf(node)
}

func termOf(typ reflect.Type) *term {
	for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice {
		typ = typ.Elem()
	}
	if t := grammars.of[typ]; t != nil {
		return t
	}
	t := &term{op: opNode, node: typ}
	grammars.of[typ] = t
	token := func(k Kind) { t.op, t.kind = opToken, k }
	switch typ {
	case reflect.TypeFor[Name](), reflect.TypeFor[PointRef]():
		token(KindName)
	case reflect.TypeFor[Text]():
		token(KindString)
	case reflect.TypeFor[Colour]():
		token(KindColour)
	case reflect.TypeFor[Whole](), reflect.TypeFor[Number]():
		token(KindNumber)
	case reflect.TypeFor[Expr]():
		t.parts = termOf(reflect.TypeFor[sum]()).parts
	case reflect.TypeFor[Cut]():
		t.parts = termOf(reflect.TypeFor[cutForms]()).parts
	case reflect.TypeFor[Point]():
		ref := &term{op: opSlot, slot: &Slot{Is: "point", Noun: "a point", typ: reflect.TypeFor[PointRef]()}, parts: []*term{termOf(reflect.TypeFor[PointRef]())}}
		choice := &term{op: opChoice, parts: []*term{ref}}
		for _, form := range pointForms {
			choice.parts = append(choice.parts, termOf(form.node))
		}
		t.parts = []*term{choice}
	default:
		r := tagReader{node: typ}
		r.cut()
		t.parts = []*term{r.choice()}
	}
	return t
}

// tagReader reads the tags of a type.
type tagReader struct {
	node   reflect.Type
	pieces []string
	fields []int // of each piece
	at     int
	nth    map[int]int
}

var tagPiece = regexp.MustCompile(`'[^']*'|@@|[()|?*]`)

func (r *tagReader) cut() {
	r.nth = map[int]int{}
	for i := range r.node.NumField() {
		for _, piece := range tagPiece.FindAllString(r.node.Field(i).Tag.Get("parser"), -1) {
			r.pieces, r.fields = append(r.pieces, piece), append(r.fields, i)
		}
	}
}

func (r *tagReader) is(piece string) bool { return r.at < len(r.pieces) && r.pieces[r.at] == piece }

func (r *tagReader) choice() *term {
	t := &term{op: opChoice, parts: []*term{r.sequence()}}
	for r.is("|") {
		r.at++
		t.parts = append(t.parts, r.sequence())
	}
	if len(t.parts) == 1 {
		return t.parts[0]
	}
	return t
}

func (r *tagReader) sequence() *term {
	t := &term{op: opSequence}
	for r.at < len(r.pieces) && !r.is("|") && !r.is(")") {
		one := r.one()
		switch {
		case r.is("?"):
			one = &term{op: opOption, parts: []*term{one}}
		case r.is("*"):
			one = &term{op: opRepeat, parts: []*term{one}}
		default:
			t.parts = append(t.parts, one)
			continue
		}
		r.at++
		one.hush()
		t.parts = append(t.parts, one)
	}
	if len(t.parts) == 1 {
		return t.parts[0]
	}
	return t
}

func (r *tagReader) one() *term {
	piece, field := r.pieces[r.at], r.fields[r.at]
	r.at++
	switch piece {
	case "(":
		t := r.choice()
		r.at++ // the closing one
		return t
	case "@@":
		f := r.node.Field(field)
		s := &Slot{Noun: f.Tag.Get("noun"), Is: f.Tag.Get("is"), Other: f.Tag.Get("other") != "", field: f.Name, nth: r.nth[field], typ: f.Type}
		r.nth[field]++
		for s.typ.Kind() == reflect.Pointer || s.typ.Kind() == reflect.Slice {
			s.typ = s.typ.Elem()
		}
		switch {
		case s.Noun != "":
		case s.Is != "":
			s.Noun = "a " + s.Is
		default:
			s.Noun = nouns[s.typ]
		}
		return &term{op: opSlot, slot: s, parts: []*term{termOf(s.typ)}}
	}
	return &term{op: opWord, word: strings.Trim(piece, "'")}
}

// hush makes the marks and units quiet with which a piece begins that may be omitted.
func (t *term) hush() {
	switch t.op {
	case opWord:
		_, unit := units[t.word]
		t.quiet = unit || !isWord(t.word)
	case opChoice, opOption, opRepeat:
		for _, p := range t.parts {
			p.hush()
		}
	case opSequence:
		t.parts[0].hush()
	}
}

// is reports whether a token is this word, or of this kind.
func (t *term) is(token *lexer.Token) bool {
	if t.op == opWord {
		return token.Value == t.word
	}
	return kindOf(token) == t.kind
}

// first is the word or token with which a piece begins that begins with one alone.
func (t *term) first() *term {
	for t.op != opWord && t.op != opToken {
		t = t.parts[0]
	}
	return t
}

// options are the first words or tokens of the options of a statement, each of which may come once.
func (t *term) options() (firsts []*term) {
	switch t.op {
	case opNode, opSequence:
		for _, p := range t.parts {
			firsts = append(firsts, p.options()...)
		}
	case opRepeat:
		if t.parts[0].op == opChoice {
			for _, p := range t.parts[0].parts {
				firsts = append(firsts, p.first())
			}
		}
	}
	return firsts
}
