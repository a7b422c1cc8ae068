package rules

import (
	"cmp"
	"slices"
	"strings"

	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

// What was probably meant by a line that cannot be read: one word or mark changed, put in or taken out. Each
// is read again, by itself, before it is offered.

// maxRepaired is how many lines of a file are repaired: more are not a slip of the keyboard.
const maxRepaired = 20

// maxRepairs is how many ways are offered for one line.
const maxRepairs = 3

// repair is one change to a text.
type repair struct {
	title string
	at    source.Span
	text  string
}

// repairs are the changes after which an error is gone, the likeliest first.
func repairs(p *lint.Pass, e *syntax.Error) []repair {
	if e.Item == nil {
		return nil
	}
	switch {
	case e.Kind == syntax.Unclosed:
		return braceRepairs(p, e.Item)
	case e.Kind != syntax.Malformed || e.Item.Stmt.Len() == 0 || e.Item.Stmt.Len() > 1000:
		return nil
	}
	l := newLine(p, e)
	var found []repair
	for _, r := range l.candidates() {
		after := l.text[:r.at.Start] + r.text + l.text[r.at.End:]
		again := slices.ContainsFunc(found, func(f repair) bool { return l.text[:f.at.Start]+f.text+l.text[f.at.End:] == after })
		if again || !l.reads(after) {
			continue
		}
		if found = append(found, r); len(found) == maxRepairs {
			break
		}
	}
	for i := range found {
		found[i].at = e.Item.Abs(found[i].at)
	}
	return found
}

// braceRepairs put in a brace that is missing, or take out one too many.
func braceRepairs(p *lint.Pass, it *syntax.Item) []repair {
	text := p.File.Source.Text
	switch {
	case it.Kind == syntax.Unreadable:
		return []repair{{"Remove this `}`", it.Raw, ""}}
	case it.Kind == syntax.Opens && it.Brace().Len() == 0:
		at := source.Span{Start: it.Stmt.End, End: it.Stmt.End}
		return []repair{{"Add `{` at the end of the line", at, " {"}}
	case it.Kind == syntax.Opens && it.Close == nil:
		end := it.Extent().End
		line := text[it.Raw.Start:it.Stmt.Start] + "}"
		if end > 0 && text[end-1] == '\n' {
			line += "\n"
		} else {
			line = "\n" + line
		}
		return []repair{{"Add the `}` that closes this " + it.Word, source.Span{Start: end, End: end}, line}}
	}
	return nil
}

// line is a statement that cannot be read, and what is needed to read it again.
type line struct {
	text          string
	place         syntax.Place
	tokens        []syntax.Token
	at            int // the token at which it cannot be read
	before, after string
}

func newLine(p *lint.Pass, e *syntax.Error) *line {
	l := &line{text: p.File.Source.Text[e.Item.Stmt.Start:e.Item.Stmt.End], place: syntax.InFile}
	if p.File.Unit != geom.Inches {
		l.before = "units " + p.File.Unit.String() + "\n"
	}
	for _, around := range p.File.Tree.Around(e.Item.Stmt.Start) {
		form := statement(around.Word)
		if form == nil || around == e.Item {
			continue
		}
		l.place = form.Body
		l.before += opening[form.Body]
		l.after += "\n}"
	}
	switch {
	case strings.HasSuffix(l.text, "{"): // within quotes that are not closed
		l.after = "\n}" + l.after
	case e.Item.Brace().Len() > 0:
		l.after = " {\n}" + l.after
	}
	l.tokens = syntax.Tokens(l.text)
	at := e.At.Start - e.Item.Stmt.Start
	l.at = max(0, slices.IndexFunc(l.tokens, func(t syntax.Token) bool { return t.End > at }))
	return l
}

// opening is what opens a body of each kind.
var opening = map[syntax.Place]string{
	syntax.InBlock: "block \"x\" 1 by 1 {\n", syntax.InSection: "section X {\n", syntax.InColourway: "colorway x {\n", syntax.InSetting: "setting \"x\" {\n",
}

// statement is the statement with a body that a word begins, or nearly begins.
func statement(word string) *syntax.StatementInfo {
	var words []string
	forms := map[string]*syntax.StatementInfo{}
	for _, form := range syntax.Statements() {
		if form.Body != 0 {
			words = append(words, form.Word)
			forms[form.Word] = form
		}
	}
	return cmp.Or(forms[word], forms[near.Nearest(word, words)])
}

// reads reports whether a text could stand in the line's place.
func (l *line) reads(text string) bool {
	return len(syntax.Parse(source.New("", l.before+text+l.after)).Errors) == 0
}

// candidates are the changes to try, at the token that cannot be read and, where the text only ended too
// early, behind it.
func (l *line) candidates() []repair {
	var words, marks, rest, out []repair
	for k := l.at; k <= min(l.at+1, len(l.tokens)); k++ {
		end := 0
		if k > 0 {
			end = l.tokens[k-1].End
		}
		next := syntax.Expect(l.place, l.text[:end])
		if k == 0 {
			for _, form := range syntax.Statements() {
				if form.Where&l.place != 0 && form.Word != "" {
					next.Words = append(next.Words, form.Word)
				}
			}
		}
		insert := func(list *[]repair, at int, mark, before, after string) {
			*list = append(*list, repair{"Add `" + mark + "`", source.Span{Start: at, End: at}, before + mark + after})
		}
		if k > 0 {
			insert(&marks, end, ")", "", "")
			insert(&marks, end, ",", "", "")
			insert(&marks, end, "=", " ", "")
		}
		if len(next.Words) < 3 && k > 0 {
			for _, word := range next.Words {
				insert(&rest, end, word, " ", "")
			}
		}
		if k == len(l.tokens) {
			continue
		}
		t := l.tokens[k]
		insert(&marks, t.Start, "(", "", "")
		switch {
		case t.Kind == syntax.KindName || t.Kind == syntax.KindWord:
			if word := near.Nearest(t.Text, next.Words); word != "" {
				words = append(words, repair{"Change it to " + word, t.Span, word})
			}
			if k > 0 && t.Text == l.tokens[k-1].Text {
				out = append(out, repair{"Remove the second `" + t.Text + "`", source.Span{Start: end, End: t.End}, ""})
			}
		case strings.HasPrefix(t.Text, `"`) && len(t.Text) > 1: // from the end, a word less each time
			for last := len(t.Text); last > 1; last = strings.LastIndexByte(t.Text[:last], ' ') {
				at := t.Start + len(strings.TrimRight(t.Text[:last], " \r"))
				words = append(words, repair{"Add the closing `\"`", source.Span{Start: at, End: at}, `"`})
			}
		case k == l.at && (t.Kind == syntax.KindBad || strings.Contains("(),", t.Text)):
			out = append(out, repair{"Remove `" + t.Text + "`", t.Span, ""})
		}
	}
	return slices.Concat(words, marks, rest, out)
}
