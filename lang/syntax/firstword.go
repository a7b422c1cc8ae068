package syntax

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// chooseForm chooses the form of statement by the first word and, where one
// word begins two forms, by what follows. The tokens end with EOF.
func chooseForm(place Place, tokens []lexer.Token) (*StatementInfo, *fault) {
	first, second := &tokens[0], &tokens[min(1, len(tokens)-1)]
	if kindOf(first) == KindWord {
		forms := vocabulary[first.Value].forms
		switch {
		case second.Value == "=" && place == InColourway:
			return swap, reserved(first)
		case len(forms) == 1:
			return forms[0], nil
		case first.Value == "section":
			if slices.ContainsFunc(tokens, func(t lexer.Token) bool { return t.Value == "=" }) {
				return forms[1], nil
			}
			return forms[0], nil
		case first.Value == "patch":
			if place == InBlock || place != InSection && kindOf(second) != KindNumber {
				return forms[1], nil
			}
			return forms[0], nil
		}
	}
	if kindOf(first) == KindName && (place == InColourway || place == anywhere && second.Value == "=") {
		return swap, nil
	}
	if v := vocabulary[first.Value]; v != nil && v.contextual && v.forms != nil {
		return v.forms[0], nil
	}
	return nil, unknownFirst(place, first, second)
}

// unknownFirst is the fault of a line that begins like no statement.
func unknownFirst(place Place, first, second *lexer.Token) *fault {
	f := &fault{at: spanOf(first), detail: "a line begins with a word such as " + examples(place)}
	if place == InColourway {
		f.detail = "a line begins with " + examples(place)
	}
	switch kindOf(first) {
	case KindName, KindWord:
		f.message = "unknown statement " + quote(first.Value)
		if nearest := nearestStatement(first.Value, place); nearest != "" {
			f.message, f.detail = f.message+"; did you mean `"+nearest+"`?", ""
		} else if second.Value == "=" && place&(InBlock|InFile) != 0 {
			f.detail = "a number gets its name with `let`, a point with `point`"
		}
	case KindBad:
		f.message = Explain(first.Value)
	default:
		f.message = "a line cannot begin with " + show(first)
		f.detail += "; a list continues on the next line only inside parentheses or after a comma"
	}
	return f
}

func examples(place Place) string {
	switch place {
	case InFile:
		return "`block` or `fabric`"
	case InSetting:
		return "`rows` or `border`"
	case InColourway:
		return "the name of a fabric"
	case InBlock:
		return "`section` or `point`"
	}
	return "`patch` or `outline`"
}

// misplaced is the fault of a statement that can be read but not here.
func misplaced(form *StatementInfo, place Place, at source.Span) *fault {
	where := form.Where
	if form.Word != "" {
		for _, other := range vocabulary[form.Word].forms {
			where |= other.Where
		}
		if form.Word == "patch" {
			where = form.Where
		}
	}
	return &fault{at: at, kind: Misplaced, message: withArticle(form) + " belongs " + where.String() + ", not " + place.String()}
}

// withArticle names a statement in a sentence: "a `join`", "`use`".
func withArticle(form *StatementInfo) string {
	switch form.Word {
	case "":
		return "a swap such as `" + form.Shape + "`"
	case "use", "units", "let", "finish", "rows", "columns", "fill", "row", "sashing", "batting":
		return "`" + form.Word + "`"
	case "on":
		return "`on point`"
	case "allowance", "outline":
		return "an `" + form.Word + "`"
	}
	return "a `" + form.Word + "`"
}
