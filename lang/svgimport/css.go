package svgimport

import (
	"cmp"
	"slices"
	"strings"

	"github.com/tdewolff/parse/v2"
	"github.com/tdewolff/parse/v2/css"
)

// A sheet is the rules of the style elements, later and more special ones last.
type sheet []rule

// A rule is for elements of a name (empty: any) that have an id and all of some classes. Simple selectors are
// all there is; anything more is told of and left out.
type rule struct {
	name, id string
	classes  []string
	weight   int
	set      []declaration
}

type declaration struct {
	name, value string
	important   bool
}

// styles reads the style elements.
func (t *tracer) styles(root *element) (err error) {
	root.each(func(e *element) {
		if e.name == "style" && err == nil && (e.attr["type"] == "" || e.attr["type"] == "text/css") {
			err = t.style(e)
		}
	})
	slices.SortStableFunc(t.sheet, func(a, b rule) int { return cmp.Compare(a.weight, b.weight) })
	return err
}

func (t *tracer) style(e *element) error {
	p := css.NewParser(parse.NewInputString(e.text), false)
	var open []rule
	skip := 0 // at-rules that are open
	for {
		kind, _, data := p.Next()
		switch kind {
		case css.ErrorGrammar:
			if p.HasParseError() {
				continue // one declaration that cannot be read; CSS goes on behind it
			}
			return nil
		case css.AtRuleGrammar, css.BeginAtRuleGrammar:
			switch string(data) {
			case "@import", "@font-face":
				return t.fail(e, "has %s, which refers to another file. It is not fetched", data)
			}
			if kind == css.BeginAtRuleGrammar {
				skip++
			}
		case css.EndAtRuleGrammar:
			skip--
		case css.BeginRulesetGrammar:
			for _, text := range strings.Split(written(p.Values()), ",") {
				if r, ok := selector(strings.TrimSpace(text)); ok && skip == 0 {
					open = append(open, r)
				} else {
					t.note(e, "style rule %q is ignored: only element names, ids and classes are supported", shorten(text))
				}
			}
		case css.DeclarationGrammar:
			d := declare(string(data), p.Values())
			if err := t.outside(e, d); err != nil {
				return err
			}
			for i := range open {
				open[i].set = append(open[i].set, d)
			}
		case css.EndRulesetGrammar:
			t.sheet = append(t.sheet, open...)
			open = nil
		}
		if len(t.sheet) > 10_000 {
			return t.fail(e, "has more than 10,000 rules")
		}
	}
}

func written(values []css.Token) string {
	var b strings.Builder
	for _, v := range values {
		b.Write(v.Data)
	}
	return strings.TrimSpace(b.String())
}

func declare(name string, values []css.Token) declaration {
	d := declaration{name: strings.ToLower(name), value: written(values)}
	if v, ok := strings.CutSuffix(strings.ReplaceAll(d.value, " ", ""), "!important"); ok {
		d.value, d.important = v, true
	}
	return d
}

// selector is a selector of names, ids and classes that stand together.
func selector(text string) (r rule, ok bool) {
	for text != "" {
		end := 1 + strings.IndexAny(text[1:]+".", ".#")
		part := text[:end]
		text = text[end:]
		switch {
		case part == "." || part == "#" || strings.ContainsAny(part, " >+~:[*") && part != "*":
			return r, false
		case part[0] == '.':
			r.classes = append(r.classes, part[1:])
			r.weight += 100
		case part[0] == '#':
			if r.id != "" {
				return r, false
			}
			r.id = part[1:]
			r.weight += 10_000
		case part != "*":
			r.name = part
			r.weight++
		}
	}
	return r, true
}

func (r *rule) is(e *element, classes []string) bool {
	if r.name != "" && r.name != e.name || r.id != "" && r.id != e.attr["id"] {
		return false
	}
	for _, c := range r.classes {
		if !slices.Contains(classes, c) {
			return false
		}
	}
	return true
}

// outside refuses what would be fetched.
func (t *tracer) outside(e *element, d declaration) error {
	i := strings.Index(strings.ToLower(d.value), "url(")
	if i < 0 {
		return nil
	}
	to := strings.TrimLeft(d.value[i+4:], " \t\n\r\f'\"")
	if strings.HasPrefix(to, "#") {
		return nil
	}
	return t.fail(e, "refers to another file in its %s. It is not fetched", d.name)
}
