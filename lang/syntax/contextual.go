package syntax

import (
	"reflect"
	"sync"

	"sewable/lang/source"
)

// Words that came to the language later are words in their place alone, and names everywhere else, so
// that files from before keep their meaning. A token of one is a KindName; the place says which it is.

// Contextual are where words stand in a statement that could be names elsewhere.
func (it *Item) Contextual(text string) (words []source.Span) {
	if !it.mayHoldContextual() {
		return nil
	}
	names := map[source.Span]bool{}
	noteNames(names, reflect.ValueOf(it.Node))
	for i, t := range Tokens(text[it.Stmt.Start:it.Stmt.End]) {
		if t.Kind == KindName && IsContextual(t.Text) && !names[t.Span] && (i == 0 || it.Node != nil) {
			words = append(words, t.Span.Shift(it.Stmt.Start))
		}
	}
	return words
}

// mayHoldContextual reports whether the form of a statement has a contextual word.
func (it *Item) mayHoldContextual() bool {
	if it.Node == nil {
		v := vocabulary[it.Word]
		return v != nil && v.contextual && v.forms != nil
	}
	return formsWithContextual()[reflect.TypeOf(it.Node).Elem()]
}

var formsWithContextual = sync.OnceValue(func() map[reflect.Type]bool {
	found := map[reflect.Type]bool{}
	for _, s := range statements {
		seen := map[*term]bool{}
		var visit func(t *term)
		visit = func(t *term) {
			if seen[t] {
				return
			}
			seen[t] = true
			if t.op == opWord && IsContextual(t.word) {
				found[s.by.node] = true
			}
			for _, p := range t.parts {
				visit(p)
			}
		}
		visit(grammarOf(s.by.node))
	}
	return found
})

// noteNames notes where a node has names.
func noteNames(at map[source.Span]bool, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			noteNames(at, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			noteNames(at, v.Index(i))
		}
	case reflect.Struct:
		if n, ok := v.Interface().(Name); ok {
			at[n.Span] = true
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				noteNames(at, v.Field(i))
			}
		}
	}
}
