package syntax

import (
	"strings"

	"sewable/lang/source"
)

// noteAccept finds `// accept rule: reason` in the comments of a piece.
func (b *builder) noteAccept(item *Item, p *piece) {
	if item.Comment.Len() > 0 {
		b.addAccept(item, item.Comment)
	}
	if !p.lines {
		return
	}
	for _, t := range Tokens(b.text[item.Stmt.Start:item.Stmt.End]) {
		if t.Kind == KindComment {
			b.addAccept(item, item.Abs(t.Span))
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
// line parts from the first statement. The accepts begin with those of the items;
// what follows these is returned. The span whole is empty for the items of a body.
func scopeAccepts(accepts []*Accept, items []*Item, whole source.Span) []*Accept {
	until := func(end int) []*Accept {
		n := 0
		for n < len(accepts) && accepts[n].At.Start < end {
			n++
		}
		own := accepts[:n]
		accepts = accepts[n:]
		return own
	}
	var waiting []*Accept // for a statement
	give := func(scope source.Span) {
		for _, a := range waiting {
			a.Scope = scope
		}
		waiting = nil
	}
	for i, item := range items {
		if len(accepts)+len(waiting) == 0 {
			break
		}
		own := until(item.Raw.End)
		switch item.Kind {
		case Remark:
			waiting = append(waiting, own...)
		case Blank:
			if whole.Len() > 0 && i > 0 {
				give(whole)
			}
		default:
			extent := item.Extent()
			give(extent)
			accepts = scopeAccepts(accepts, item.Body, source.Span{})
			until(extent.End)
			whole = source.Span{}
		}
	}
	return accepts
}
