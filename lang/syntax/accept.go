package syntax

import (
	"strings"

	"sewable/lang/source"
)

// noteAccept finds `// accept rule: reason` in the comments of a piece.
func (b *builder) noteAccept(item *Item, p *piece) {
	if p.comment.Len() > 0 {
		b.addAccept(item, p.comment)
	}
	if p.kind != statementPiece || strings.IndexByte(b.text[p.stmt.Start:p.stmt.End], '\n') < 0 {
		return
	}
	for _, t := range Tokens(b.text[p.stmt.Start:p.stmt.End]) {
		if t.Kind == KindComment {
			b.addAccept(item, t.Span.Shift(p.stmt.Start))
		}
	}
}

func (b *builder) addAccept(item *Item, at source.Span) {
	rule, reason, ok := readAccept(b.text[at.Start:at.End])
	if !ok {
		return
	}
	b.tree.Accepts = append(b.tree.Accepts, &Accept{
		Rule:   b.text[at.Start+rule.Start : at.Start+rule.End],
		Reason: reason, At: at, RuleAt: rule.Shift(at.Start), Scope: item.Raw,
	})
}

// readAccept reads the text of a comment. The rule's name ends at a colon or
// at the end; without either only a name with a hyphen counts, so that a
// sentence that happens to begin with "accept" stays a sentence.
func readAccept(comment string) (rule source.Span, reason string, ok bool) {
	i := skipSpace(comment, len("//"))
	if !strings.HasPrefix(comment[i:], "accept") {
		return rule, "", false
	}
	i += len("accept")
	rule.Start = skipSpace(comment, i)
	if rule.Start == i {
		return rule, "", false
	}
	for rule.End = rule.Start; rule.End < len(comment); rule.End++ {
		if c := comment[rule.End]; c != '-' && classes[c] != letter && classes[c] != digit {
			break
		}
	}
	rest := strings.TrimSpace(comment[rule.End:])
	switch {
	case rule.Len() == 0:
		return rule, "", false
	case rest == "":
		return rule, "", true
	case rest[0] == ':':
		return rule, strings.TrimSpace(rest[1:]), true
	}
	return rule, "", strings.Contains(comment[rule.Start:rule.End], "-")
}

// scopeAccepts gives accepts that stand alone on a line their scope: the
// next statement, or the whole file for the comments at its top that a blank
// line parts from the first statement.
func (b *builder) scopeAccepts() {
	if len(b.tree.Accepts) == 0 {
		return
	}
	scopes := map[source.Span]source.Span{} // of a comment line's Raw
	var visit func(items []*Item, top bool)
	visit = func(items []*Item, top bool) {
		waiting := 0 // items before i without a statement between
		for i, item := range items {
			switch item.Kind {
			case Remark:
			case Blank:
				if top && i > 0 && waiting == i {
					for _, remark := range items[:i] {
						if _, done := scopes[remark.Raw]; !done {
							scopes[remark.Raw] = source.Span{Start: 0, End: len(b.text)}
						}
					}
				}
			default:
				for _, before := range items[i-waiting : i] {
					if _, done := scopes[before.Raw]; !done {
						scopes[before.Raw] = item.Extent()
					}
				}
				waiting = 0
				visit(item.Body, false)
				continue
			}
			waiting++
		}
		for _, last := range items[len(items)-waiting:] {
			if _, done := scopes[last.Raw]; !done {
				scopes[last.Raw] = last.Raw
			}
		}
	}
	visit(b.tree.Items, true)
	for _, a := range b.tree.Accepts {
		if scope, alone := scopes[a.Scope]; alone {
			a.Scope = scope
		}
	}
}
