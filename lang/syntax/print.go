package syntax

import (
	"reflect"
	"strings"
)

// Grammar is the form as the reference prints it: <what is filled in>, [ what may be omitted ],
// { what may be repeated } and a | b.
func (s *StatementInfo) Grammar() string {
	text := grammarOf(s.by.node).print()
	if s.Word == "colourway" || s.Word == "colorway" {
		text = strings.Replace(text, "( colourway | colorway )", s.Word, 1)
	}
	if s.Body != 0 {
		text += " {"
	}
	return text
}

// Grammar is the form as the reference prints it.
func (p *PointInfo) Grammar() string { return grammarOf(p.node).print() }

func (t *term) print() string {
	switch t.op {
	case opWord:
		return t.word
	case opSlot:
		switch inner := t.parts[0]; {
		case inner.node == reflect.TypeFor[Line]():
			return "<line>"
		case inner.op == opToken || inner.node == reflect.TypeFor[Point]() || inner.node == reflect.TypeFor[Expr]():
			return t.slot.print()
		default:
			return inner.print()
		}
	case opOption:
		return "[ " + t.parts[0].print() + " ]"
	case opRepeat:
		return "{ " + strings.TrimSuffix(strings.TrimPrefix(t.parts[0].print(), "( "), " )") + " }"
	}
	between := " "
	if t.op == opChoice {
		between = " | "
	}
	var parts []string
	for _, p := range t.parts {
		parts = append(parts, p.print())
	}
	text := strings.Join(parts, between)
	if t.op == opChoice {
		return "( " + text + " )"
	}
	return text
}

// print is the slot's noun without its article.
func (s *Slot) print() string {
	for _, article := range []string{"a ", "an ", "the "} {
		if noun, ok := strings.CutPrefix(s.Noun, article); ok {
			return "<" + noun + ">"
		}
	}
	return "<" + s.Noun + ">"
}
