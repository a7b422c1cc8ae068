package query

import (
	"fmt"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/syntax"
)

// wants is a set of what may stand next.
type wants struct {
	kinds []block.Kind
	words []string
	forms bool   // the forms of a point
	not   string // a name that is of no use here
}

func (w *wants) kind(k ...block.Kind) { w.kinds = append(w.kinds, k...) }
func (w *wants) word(s ...string)     { w.words = append(w.words, s...) }
func (w *wants) point() {
	w.kind(block.KindPoint, block.KindSeam)
	w.forms = true
}

// expected offers what may follow the tokens before the cursor.
func (x *completion) expected() {
	w := x.next()
	for i, word := range w.words {
		x.add(Choice{Label: word, Kind: ChoiceWord, Detail: meaning(word), Rank: 100 + i})
	}
	if w.forms {
		for i, s := range pointForms {
			c := Choice{Label: s.word, Kind: ChoiceForm, Detail: s.label, Rank: 200 + i}
			if x.around.Snippets {
				c.Insert, c.Snippet = s.snippet, true
			}
			x.add(c)
		}
	}
	if len(w.kinds) == 0 {
		return
	}
	for i, t := range inScope(x.f, x.c.Block) {
		if !slices.Contains(w.kinds, t.named.Kind) || t.named.Name == w.not || t.named.Item == x.c.Item && t.named.At.File == x.f.Source {
			continue
		}
		c := Choice{Label: t.named.Name, Kind: choiceOf[t.named.Kind], Detail: x.detail(t), Rank: i}
		if title, colour := colourOf(t); t.named.Kind == block.KindFabric {
			c.Detail, c.Colour = title, colour
		}
		x.add(c)
	}
	if slices.Contains(w.kinds, block.KindFabric) {
		for i, o := range x.around.Imports {
			x.add(Choice{Label: o.Name, Kind: ChoiceFabric, Detail: o.Detail, Import: o.In, Rank: 1000 + i})
		}
	}
}

var choiceOf = map[block.Kind]ChoiceKind{
	block.KindFabric: ChoiceFabric, block.KindLet: ChoiceLet, block.KindPoint: ChoicePoint, block.KindSeam: ChoiceSeam,
	block.KindSection: ChoiceSection, block.KindColourway: ChoiceColourway, block.KindBlock: ChoiceBlock,
}

func meaning(word string) string {
	for _, k := range syntax.Keywords() {
		if k.Word == word {
			return k.Meaning
		}
	}
	return ""
}

// next works out what may follow, from the first word and what stands behind it.
func (x *completion) next() (w wants) {
	if depth(x.before) > 0 {
		w.kind(block.KindLet)
		return w
	}
	if x.c.Place == syntax.InColourway {
		if len(x.before) == 0 || x.last("=") {
			w.kind(block.KindFabric)
		}
		return w
	}
	first, rest := x.before[0].Text, x.before[1:]
	switch first {
	case "units":
		if len(rest) == 0 {
			w.word("in", "mm", "cm")
		}
	case "allowance":
		if len(rest) == 0 {
			w.word("outer")
		}
		w.kind(block.KindLet)
	case "fabric":
		if len(rest) > 0 {
			w.word("width", "directional")
		}
	case "let":
		if x.has("=") {
			w.kind(block.KindLet)
		}
	case "point":
		if x.has("=") {
			w.point()
		}
	case "seam":
		x.seam(&w)
	case "section":
		x.section(&w)
	case "join", "finish":
		x.join(&w, first)
	case "notch":
		if len(rest) > 0 {
			w.point()
		}
	case "outline":
		w.point()
	case "patch":
		x.patch(&w, rest)
	case "sashing", "border", "backing", "cornerstone":
		w.kind(block.KindFabric, block.KindLet)
	case "binding":
		if len(rest) == 0 {
			w.word("cut")
		} else {
			w.kind(block.KindFabric, block.KindLet)
		}
	case "on":
		if len(rest) == 0 {
			w.word("point")
		} else {
			w.kind(block.KindFabric)
		}
	case "fill":
		if len(rest) > 0 && !x.last(",") {
			w.kind(block.KindColourway)
			w.word("turned", "mirrored")
		}
	case "block":
		if len(rest) > 1 && !x.has("by") {
			w.word("by")
		}
		w.kind(block.KindLet)
	}
	return w
}

func (x *completion) seam(w *wants) {
	switch {
	case len(x.before) < 2:
	case !x.has("from"):
		w.word("from")
	case x.last("from") || x.last("to"):
		w.point()
	default:
		w.point()
		w.word("to")
	}
}

func (x *completion) section(w *wants) {
	switch {
	case !x.has("="):
	case x.last("=") || x.last(",") && !x.has("with"):
		w.kind(block.KindSection)
	case x.has("with"):
		w.kind(block.KindFabric)
	case x.has("mirrored") && !x.has("across"):
		w.word("across")
	case x.has("turned") && !x.has("about"):
		w.word("about")
		w.kind(block.KindLet)
	case x.has("across"), x.has("about"):
		w.point()
		w.word("with")
	case x.has("moved"):
		w.word("with")
	default:
		w.word("mirrored", "turned", "moved")
	}
}

func (x *completion) join(w *wants, first string) {
	switch n := len(x.before); {
	case n == 1 || x.last("toward"):
		w.kind(block.KindSection)
	case x.last("to"):
		w.kind(block.KindSection)
		w.not = x.before[1].Text
	case n == 2:
		w.word("to")
	case first == "finish":
	case x.last("press"):
		w.word("open", "toward")
	default:
		w.word("press", "inset", "partial")
	}
}

func (x *completion) patch(w *wants, rest []syntax.Token) {
	inSection := x.c.Place == syntax.InSection
	if inSection && len(rest) == 0 {
		if x.c.Section != nil {
			x.add(Choice{Label: fmt.Sprint(x.nextNumber()), Kind: ChoiceNumber, Detail: "the next patch", Likely: true})
		}
		return
	}
	if inSection {
		rest = rest[1:] // the number
	}
	switch {
	case len(rest) == 0:
		w.kind(block.KindFabric)
	case x.last("cut"):
		w.word("strip", "square")
		w.kind(block.KindLet)
	case x.has("note"):
	case x.has("cut"):
		if x.has("square") {
			w.word("halved", "quartered")
		} else if !x.has("by") && !x.has("strip") {
			w.word("by")
		}
		w.kind(block.KindLet)
		w.word("note")
	default:
		w.point()
		if len(rest) == 1 && inSection {
			w.word("beyond", "around")
		}
		if len(rest) > 1 && inSection && !x.last("beyond") && !x.last("around") {
			w.word("cut", "note")
		}
	}
}

func (x *completion) has(word string) bool {
	return slices.ContainsFunc(x.before, func(t syntax.Token) bool { return t.Text == word })
}

func (x *completion) last(word string) bool {
	return len(x.before) > 0 && x.before[len(x.before)-1].Text == word
}

// depth is how many parentheses are open.
func depth(tokens []syntax.Token) int {
	n := 0
	for _, t := range tokens {
		if t.Kind == syntax.KindPunctuation {
			n += strings.Count(t.Text, "(") - strings.Count(t.Text, ")")
		}
	}
	return n
}
