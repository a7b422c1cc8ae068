package syntax

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// hush takes out the errors that only repeat a reserved word which was refused where it
// was declared: one name is to be changed, so one error says so.
func (b *builder) hush() {
	refused := map[string]*Error{}
	for _, e := range b.tree.Errors {
		if e.Kind == ReservedWord && declares(e.Item.Word) && e.At.Start == firstAfterWord(b.text, e.Item) {
			refused[e.Name] = e
		}
	}
	if len(refused) == 0 {
		return
	}
	b.tree.Errors = slices.DeleteFunc(b.tree.Errors, func(e *Error) bool {
		first := refused[b.text[e.At.Start:e.At.End]]
		return first != nil && first != e
	})
}

// declares reports whether the second word of a statement is a name that it declares.
func declares(word string) bool {
	v := vocabulary[word]
	if v == nil || v.forms == nil {
		return false
	}
	follows, _ := read(grammarOf(v.forms[0].by.node), []lexer.Token{{Type: tokenType(KindWord), Value: word}})
	return len(follows) == 1 && follows[0].term.op == opToken && follows[0].innermost().Is == "" && follows[0].term.kind == KindName
}

// firstAfterWord is where what follows a statement's first word begins.
func firstAfterWord(text string, it *Item) int {
	at := it.Stmt.Start + len(it.Word)
	return at + len(text[at:it.Stmt.End]) - len(strings.TrimLeft(text[at:it.Stmt.End], " \t"))
}
