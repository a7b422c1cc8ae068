package query

import (
	"strings"

	"sewable/lang/syntax"
)

// pointForm is one way to give a point.
type pointForm struct {
	word    string
	label   string
	params  []string // as they stand in label
	meaning string
	snippet string
}

// pointForms are the forms that begin with a word, in the order of the reference.
var pointForms = []pointForm{
	{"mid", "mid P Q", []string{"P", "Q"}, "the point halfway between two points", "mid ${1:P} ${2:Q}"},
	{"along", "along P Q by L", []string{"P", "Q", "L"}, "the point that lies L from P towards Q; a seam's name may stand for P Q", "along ${1:P} ${2:Q} by ${3:L}"},
	{"part", "part 1/3 of P Q", []string{"1/3", "P", "Q"}, "the point that divides the way from P to Q", "part ${1:1/3} of ${2:P} ${3:Q}"},
	{"where", "where P Q meets R S", []string{"P", "Q", "R", "S"}, "the point where two lines cross", "where ${1:P} ${2:Q} meets ${3:R} ${4:S}"},
	{"mirror", "mirror P across Q R", []string{"P", "Q", "R"}, "the point on the other side of a line", "mirror ${1:P} across ${2:Q} ${3:R}"},
	{"turn", "turn P about Q by 45", []string{"P", "Q", "45"}, "the point turned round another, degrees anticlockwise", "turn ${1:P} about ${2:Q} by ${3:45}"},
	{"move", "move P by (dx, dy)", []string{"P", "dx", "dy"}, "the point that lies dx to the right of P and dy up", "move ${1:P} by (${2:dx}, ${3:dy})"},
}

// pair is the plainest form.
var pair = pointForm{word: "(", label: "(x, y)", params: []string{"x", "y"}, meaning: "x to the right and y up from the lower left corner"}

// Signature is the form that is being typed and the part that comes next.
type Signature struct {
	Label   string
	Meaning string
	Params  []Span // in Label
	Active  int
}

// Span is a stretch of a label, in bytes.
type Span struct{ Start, End int }

// SignatureAt is the innermost point form at an offset, or else the form of the
// statement there; nil when neither is.
func SignatureAt(f *File, offset int) *Signature {
	x := &completion{f: f, c: At(f, offset)}
	x.at.Start, x.at.End = offset, offset
	if x.inComment() {
		return nil
	}
	x.split()
	if len(x.before) == 0 {
		return nil
	}
	if form, args, ok := innermost(x.before); ok {
		return form.signature(args)
	}
	for _, s := range syntax.Statements() {
		if s.Word == x.before[0].Text && s.Where&x.c.Place != 0 {
			return &Signature{Label: s.Shape, Meaning: sentence(s.Meaning)}
		}
	}
	return nil
}

func (p pointForm) signature(args int) *Signature {
	s := &Signature{Label: p.label, Meaning: sentence(p.meaning), Active: min(args, len(p.params)-1)}
	at := len(p.word)
	for _, param := range p.params {
		i := at + strings.Index(p.label[at:], param)
		s.Params = append(s.Params, Span{i, i + len(param)})
		at = i + len(param)
	}
	return s
}

// open is a form that is not complete yet.
type open struct {
	form pointForm
	args int
}

// innermost reads tokens as points, one after another, and gives the form that is
// still open at their end, with the number of its parts that are complete.
func innermost(tokens []syntax.Token) (pointForm, int, bool) {
	var stack []open
	done := func() { // one point or number is complete
		for len(stack) > 0 {
			top := &stack[len(stack)-1]
			top.args++
			if top.form.word == "(" || top.args < len(top.form.params) || top.form.word == "move" {
				return
			}
			stack = stack[:len(stack)-1]
		}
	}
	for i, t := range tokens[1:] {
		top := len(stack) - 1
		switch {
		case t.Kind == syntax.KindWord && formOf(t.Text) != nil && !followsOn(tokens[i]):
			stack = append(stack, open{*formOf(t.Text), 0})
		case t.Text == "(" && top >= 0 && stack[top].form.word == "move" && stack[top].args >= 1:
			stack[top].args = 1 // its own pair
		case t.Text == "(":
			stack = append(stack, open{pair, 0})
		case t.Text == "," && top >= 0:
			stack[top].args = max(1, stack[top].args)
			if stack[top].form.word == "move" {
				stack[top].args = 2
			}
		case t.Text == ")" && top >= 0:
			stack = stack[:top]
			done()
		case t.Kind == syntax.KindName, t.Kind == syntax.KindNumber:
			if top >= 0 && stack[top].form.word != "(" && stack[top].form.word != "move" {
				done()
			} else if top >= 0 && stack[top].form.word == "move" && stack[top].args == 0 {
				stack[top].args = 1
			}
		}
	}
	if len(stack) == 0 {
		return pointForm{}, 0, false
	}
	top := stack[len(stack)-1]
	return top.form, top.args, true
}

// followsOn reports whether a word behind this token is a name's place, not a form.
func followsOn(before syntax.Token) bool { return before.Text == "seam" || before.Text == "point" }

func formOf(word string) *pointForm {
	for i := range pointForms {
		if pointForms[i].word == word {
			return &pointForms[i]
		}
	}
	return nil
}
