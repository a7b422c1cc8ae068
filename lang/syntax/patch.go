package syntax

import "sewable/lang/source"

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
	p.lex.Next()
	patch := new(Patch)
	first := p.peek()
	if kindOf(first) == KindNumber {
		number, f := p.whole("a patch number")
		if f != nil {
			return nil, f
		}
		patch.Number = &number
	} else if p.place == InSection {
		f := p.expected("a patch number", "")
		f.detail = "the number is missing after `patch`: patches are numbered from 1 in sewing order"
		return nil, f
	}
	var f *fault
	if patch.Fabric, f = p.name("a fabric"); f != nil {
		return nil, f
	}
	shape := p.peek()
	switch {
	case startsPoint(shape):
		patch.Corners, f = p.corners(max(3, len(p.pairs)))
	case p.accept("beyond"):
		var line Line
		line, f = p.line()
		patch.Beyond = &line
		if f == nil && line.Seam != nil && p.is(",") {
			f = &fault{at: spanOf(p.peek()), kind: Malformed, detail: "one name alone is a seam; two points stand without a comma: beyond P Q"}
		}
	case p.accept("around"):
		patch.Around, f = p.point("a point inside the patch")
	default:
		f = p.expected("corners, `beyond` or `around`", "")
	}
	if f == nil {
		f = p.patchEnd(patch)
	}
	if f != nil {
		return nil, f
	}
	if p.place != InBlock {
		return patch, nil
	}
	misplaced := func(at source.Span, detail string) (Statement, *fault) {
		return patch, &fault{at: at, kind: Misplaced, detail: detail}
	}
	switch {
	case patch.Number != nil:
		return misplaced(patch.Number.Span, "a numbered patch stands in a section. Put it into one, or leave out the number and let `sewable plan` number it")
	case patch.Corners == nil:
		return misplaced(spanOf(shape), quote(shape.Value)+" needs a section; a patch in a block has corners")
	case patch.Cut != nil:
		return misplaced(patch.Cut.Span, "`cut` needs a section; a patch in a block is still to be planned")
	}
	return patch, nil
}

// patchEnd reads what may follow a patch's shape.
func (p *parser) patchEnd(patch *Patch) *fault {
	for {
		t := p.peek()
		switch {
		case t.EOF():
			return nil
		case t.Value == "cut" && patch.Cut == nil:
			cut, f := p.cut()
			if f != nil {
				return f
			}
			patch.Cut = cut
		case t.Value == "note" && patch.Note == nil:
			p.lex.Next()
			text, f := p.text("words in quotes")
			if f != nil {
				return f
			}
			patch.Note = &text
		case t.Value == "cut" || t.Value == "note":
			return twice(t.Value, spanOf(t))
		default:
			return p.done()
		}
	}
}

func twice(word string, at source.Span) *fault {
	return &fault{at: at, kind: Malformed, detail: quote(word) + " stands twice"}
}

// cut reads
//
//	Cut = "cut" ( Expr "by" Expr | "strip" Expr | "square" Expr ( "halved" | "quartered" ) ) .
func (p *parser) cut() (*Cut, *fault) {
	start := p.lex.Next().Pos.Offset
	cut := &Cut{Form: CutRectangle}
	what := "a size, `strip` or `square`"
	switch {
	case p.accept("strip"):
		cut.Form, what = CutStrip, "the width of the strip"
	case p.accept("square"):
		cut.Form, what = CutHalved, "the side of the square"
	}
	var f *fault
	if cut.Along, f = p.expr(what); f != nil {
		return nil, f
	}
	switch cut.Form {
	case CutRectangle:
		if f := p.want("by", "between the two sides of the piece"); f != nil {
			return nil, f
		}
		if cut.Across, f = p.expr("the other side of the piece"); f != nil {
			return nil, f
		}
	case CutHalved:
		switch {
		case p.accept("halved"):
		case p.accept("quartered"):
			cut.Form = CutQuartered
		default:
			return nil, p.expected("`halved` or `quartered`", "")
		}
	}
	cut.Span = p.from(start)
	return cut, nil
}

// readOutline reads `outline` and corners.
func readOutline(p *parser) (Statement, *fault) {
	p.lex.Next()
	corners, f := p.corners(max(3, len(p.pairs)))
	if f == nil {
		f = p.done()
	}
	if f != nil {
		return nil, f
	}
	return &Outline{Corners: corners}, nil
}

// readPointDef reads `point p = (x, y)`.
func readPointDef(p *parser) (Statement, *fault) {
	p.lex.Next()
	def := new(PointDef)
	var f *fault
	if def.Name, f = p.name("a name"); f != nil {
		return nil, f
	}
	if f := p.want("=", "before the point"); f != nil {
		return nil, f
	}
	if def.Value, f = p.point("a point"); f == nil {
		f = p.done()
	}
	if f != nil {
		return nil, f
	}
	return def, nil
}

// readLet reads `let h = 2 1/2`.
func readLet(p *parser) (Statement, *fault) {
	p.lex.Next()
	let := new(Let)
	var f *fault
	if let.Name, f = p.name("a name"); f != nil {
		return nil, f
	}
	if f := p.want("=", "before the number"); f != nil {
		return nil, f
	}
	if let.Value, f = p.expr("a number"); f == nil {
		f = p.done()
	}
	if f != nil {
		return nil, f
	}
	return let, nil
}

// readUnits reads `units in`.
func readUnits(p *parser) (Statement, *fault) {
	p.lex.Next()
	t := p.peek()
	if _, ok := units[t.Value]; !ok {
		return nil, p.expected("`in`, `mm` or `cm`", "")
	}
	p.lex.Next()
	if f := p.done(); f != nil {
		return nil, f
	}
	return &Units{Unit: Name{t.Value, spanOf(t)}}, nil
}

// readBatting reads `batting`.
func readBatting(p *parser) (Statement, *fault) {
	p.lex.Next()
	if f := p.done(); f != nil {
		return nil, f
	}
	return &Batting{}, nil
}
