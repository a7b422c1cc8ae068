package query

import (
	"sewable/lang/block"
	"sewable/lang/syntax"
)

// About is what there is to say of a choice of Complete, by its kind and label;
// nil when there is nothing more than its detail.
func About(f *File, kind ChoiceKind, name string) *HoverText {
	h := &HoverText{}
	switch kind {
	case ChoiceStatement, ChoiceWord, ChoiceForm:
		for _, s := range syntax.Statements() {
			if s.Word == name && kind == ChoiceStatement {
				h.Title, h.Code = name, s.Shape
				h.say("%s.", sentence(s.Meaning))
				return h
			}
		}
		if m := meaning(name); m != "" {
			h.Title = name
			h.say("%s.", sentence(m))
			return h
		}
		return nil
	}
	var in *block.Block
	for t := range things(f.File) {
		if choiceOf[t.named.Kind] == kind && t.named.Name == name {
			in = t.in
		}
	}
	for _, t := range inScope(f, in) {
		if choiceOf[t.named.Kind] == kind && t.named.Name == name {
			h.thing(f, Cursor{Named: t.named})
			if h.Title != "" {
				return h
			}
		}
	}
	return nil
}
