package syntax

import (
	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// Most of a long file is patches, outlines and points, so these read
// themselves; the rest goes through the tags of nodes.go.

// readPatch reads
//
//	Patch = "patch" [ Whole ] Name
//	        ( Corners | "beyond" Line | "around" Point )
//	        { Cut | "note" Text } .
//
// with a number in a section and none in a block, where only corners and a
// note may stand.
func readPatch(p *parser) (Statement, *fault) {
	patch := new(Patch)
	if kindOf(p.peek()) == KindNumber {
		number := p.whole()
		patch.Number = &number
	} else if p.place == InSection {
		p.wrong("the number is missing after `patch`: patches are numbered from 1 in sewing order")
	}
	patch.Fabric = p.name()
	shape := p.peek()
	switch {
	case startsPoint(shape):
		patch.Corners = p.corners()
	case p.accept("beyond"):
		line := p.line()
		patch.Beyond = &line
		if line.Seam != nil && p.is(",") {
			p.wrong("one name alone is a seam; two points have no comma between them: beyond P Q")
		}
	case p.accept("around"):
		patch.Around = p.point()
	default:
		p.unexpected()
	}
	for {
		t := p.peek()
		switch {
		case t.Value == "cut" && patch.Cut == nil:
			patch.Cut = p.cut()
			continue
		case t.Value == "note" && patch.Note == nil:
			text := p.after("note").text()
			patch.Note = &text
			continue
		case t.Value == "cut" || t.Value == "note":
			p.fail(twice(t))
		}
		break
	}
	if p.place != InBlock || p.fault != nil {
		return patch, nil
	}
	misplaced := func(at source.Span, message string) (Statement, *fault) {
		return patch, &fault{at: at, kind: Misplaced, message: message, read: true}
	}
	switch {
	case patch.Number != nil:
		return misplaced(patch.Number.Span, "a numbered patch belongs in a section. Put it into one, or omit the number and let `sewable plan` number it")
	case patch.Corners == nil:
		return misplaced(spanOf(shape), quote(shape.Value)+" needs a section; a patch in a block has corners")
	case patch.Cut != nil:
		return misplaced(patch.Cut.Span, "`cut` needs a section; a patch in a block is still to be planned")
	}
	return patch, nil
}

func twice(t *lexer.Token) *fault {
	return &fault{at: spanOf(t), message: quote(t.Value) + " is given twice"}
}

// cut reads a designer's own cut size, whose grammar is in nodes.go.
func (p *parser) cut() *Cut {
	start := p.lex.Next().Pos.Offset
	cut := new(Cut)
	switch {
	case p.accept("strip"):
		cut.Form, cut.Along = CutStrip, p.expr()
	case p.accept("square"):
		cut.Form, cut.Along = CutHalved, p.expr()
		if p.accept("quartered") {
			cut.Form = CutQuartered
		} else {
			p.after("halved")
		}
	default:
		cut.Form, cut.Along, cut.Across = CutRectangle, p.expr(), p.after("by").expr()
	}
	cut.Span = p.from(start)
	return cut
}

// readOutline reads `outline` and corners.
func readOutline(p *parser) (Statement, *fault) { return &Outline{Corners: p.corners()}, nil }

// readPointDef reads `point p = (x, y)`.
func readPointDef(p *parser) (Statement, *fault) {
	return &PointDef{Name: p.name(), Value: p.after("=").point()}, nil
}

// readLet reads `let h = 2 1/2`.
func readLet(p *parser) (Statement, *fault) {
	return &Let{Name: p.name(), Value: p.after("=").expr()}, nil
}

// readUnits reads `units in`.
func readUnits(p *parser) (Statement, *fault) {
	t := p.peek()
	if _, ok := units[t.Value]; !ok {
		p.unexpected()
	}
	p.lex.Next()
	return &Units{Unit: Name{t.Value, spanOf(t)}}, nil
}
