package query

import (
	"fmt"
	"strings"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/visible"
)

// HoverText is what there is to say of the thing at the cursor.
type HoverText struct {
	At      source.Span // the word it is about
	Title   string
	Facts   []Fact   // what is asked for most is the first
	Text    []string // sentences, a paragraph each
	Code    string   // as it is typed
	Swatch  string   // #rrggbb of a fabric, or empty
	Picture *Picture
}

// Fact is a figure with its name: "cut", "3 1/2 by 2 1/4 in".
type Fact struct{ Name, Value string }

// Picture says what to draw: a block, with a patch lit, or one of its sections.
type Picture struct {
	Sewn    *sew.Block
	Patch   *block.Patch
	Section *block.Section // it alone, when it is set
}

func (h *HoverText) fact(name, format string, args ...any) {
	h.Facts = append(h.Facts, Fact{name, fmt.Sprintf(format, args...)})
}

func (h *HoverText) say(format string, args ...any) {
	h.Text = append(h.Text, fmt.Sprintf(format, args...))
}

// Hover is what there is to say at an offset; nil when nothing is.
func Hover(f *File, offset int) *HoverText {
	c := At(f, offset)
	if c.Token.End == 0 {
		return nil
	}
	h := &HoverText{At: c.Token.Span}
	switch {
	case c.Token.Kind == syntax.KindComment:
		return nil
	case c.Patch != nil && (c.Token.Text == "patch" || c.onNumber()):
		h.patch(f, c.Patch)
	case c.Join != nil && c.Token.Kind == syntax.KindWord:
		h.join(f, c.Block, c.Join)
	case c.Notch != nil && c.Token.Span == c.Notch.NameAt.Span:
		h.notch(f, c.Block, c.Notch)
	case c.Named != nil:
		h.At = c.NameAt
		h.thing(f, c)
	case c.Token.Kind == syntax.KindWord:
		h.keyword(c)
	case c.Token.Kind == syntax.KindNumber:
		h.number(f, c)
	default:
		return nil
	}
	if h.Title == "" {
		return nil
	}
	return h
}

// onNumber reports whether the cursor is on a patch's number.
func (c *Cursor) onNumber() bool {
	n, ok := c.Item.Node.(*syntax.Patch)
	return ok && n.Number != nil && c.Item.Abs(n.Number.Span) == c.Token.Span
}

func (h *HoverText) thing(f *File, c Cursor) {
	switch x := find(f.File, c.Named).value.(type) {
	case *block.Fabric:
		h.fabric(f, x)
	case *block.Let:
		h.let(f, x)
	case *block.NamedPoint:
		h.point(f, x)
	case *block.NamedSeam:
		h.seam(f, x)
	case *block.Section:
		h.section(f, x)
	case *block.Colourway:
		h.colourway(x)
	case *block.Size:
		h.size(f, x)
	case *block.Block:
		h.block(f, x)
	case *block.Setting:
		h.setting(f, x)
	}
}

// keyword is a line of reference; a word that begins a statement shows how it is typed.
func (h *HoverText) keyword(c Cursor) {
	word := c.Token.Text
	if c.Item != nil && c.Token.Start == c.Item.Stmt.Start {
		for _, s := range syntax.Statements() {
			if s.Word == word && s.Where&c.Place != 0 {
				h.Title, h.Code = word, s.Shape
				h.say("%s.", sentence(s.Meaning))
				return
			}
		}
	}
	for _, k := range append(syntax.Keywords(), syntax.ContextualWords()...) {
		if k.Word == word {
			h.Title = word
			h.say("%s.", sentence(k.Meaning))
			return
		}
	}
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func (h *HoverText) let(f *File, l *block.Let) {
	h.Title = "let " + l.Name
	if l.Broken {
		h.say("Its value cannot be worked out.")
		return
	}
	h.fact("as a length", "%s", f.both(l.Value.Hairs().Float64(), geom.FormatExact))
	if !l.Value.Length {
		h.fact("as a number", "%s", number(l.Value.Num))
	}
	h.uses(f, &l.Named)
}

// number is an exact number as people write it.
func number(n geom.Num) string {
	return geom.FormatNumber(n.Mul(geom.Inches.Num()).Float64(), geom.Inches)
}

func (h *HoverText) number(f *File, c Cursor) {
	n := numberAt(c)
	if n == nil {
		return
	}
	unit := f.Unit
	if n.Unit != syntax.Bare {
		unit = map[syntax.Unit]geom.Unit{syntax.Inches: geom.Inches, syntax.Millimetres: geom.Millimetres, syntax.Centimetres: geom.Centimetres}[n.Unit]
	}
	h.Title = f.both(n.Value.Mul(unit.Num()).Float64(), geom.FormatExact)
}

func (h *HoverText) point(f *File, p *block.NamedPoint) {
	h.Title = "point " + p.Name
	h.Code = f.statement(&p.Named)
	if p.Broken {
		h.say("It cannot be worked out.")
		return
	}
	at := p.Exact.Point()
	h.fact("in", "%s", geom.FormatPlace(at, geom.Inches))
	h.fact("mm", "%s", geom.FormatPlace(at, geom.Millimetres))
	h.uses(f, &p.Named)
}

func (h *HoverText) seam(f *File, s *block.NamedSeam) {
	h.Title = "seam " + s.Name
	h.Code = f.statement(&s.Named)
	if s.Broken {
		h.say("It cannot be worked out.")
		return
	}
	h.fact("from", "%s", geom.FormatPlace(s.Line.A, f.Unit))
	h.fact("to", "%s", geom.FormatPlace(s.Line.B, f.Unit))
	h.fact("length", "%s", f.both(s.Line.Len(), geom.Format))
	h.uses(f, &s.Named)
}

// statement is the statement that declares a name, when it is in this file.
func (f *File) statement(n *block.Named) string {
	if n.At.File != f.Source || n.Item == nil {
		return ""
	}
	return visible.KeepLines(f.text(n.Item.Stmt))
}

// uses lists where a name is used in this file: "lines 12, 14 and 30".
func (h *HoverText) uses(f *File, n *block.Named) {
	var lines []string
	last := 0
	total := 0
	for _, at := range referencesIn(f.File, n) {
		total++
		if line := f.Source.Line(at.Start); line != last {
			last = line
			lines = append(lines, fmt.Sprint(line))
		}
	}
	const most = 12
	switch {
	case total == 0:
		h.fact("used", "nowhere in this file")
	case len(lines) == 1:
		h.fact("used", "%s, line %s", english.Count(total, "time", "times"), lines[0])
	case len(lines) > most:
		h.fact("used", "%s, lines %s and %d more", english.Count(total, "time", "times"), strings.Join(lines[:most], ", "), len(lines)-most)
	default:
		h.fact("used", "%s, lines %s", english.Count(total, "time", "times"), english.List(lines))
	}
}

func labels(patches []*block.Patch) string {
	words := make([]string, len(patches))
	for i, p := range patches {
		words[i] = p.Called()
	}
	return english.List(words)
}
