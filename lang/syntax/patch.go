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
	patch := new(Patch)
	first := p.peek()
	if kindOf(first) == KindNumber {
		number, f := p.whole()
		if f != nil {
			return nil, f
		}
		patch.Number = &number
	} else if p.place == InSection {
		return nil, p.fail("the number is missing after `patch`: patches are numbered from 1 in sewing order")
	}
	var f *fault
	if patch.Fabric, f = p.name(); f != nil {
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
			f = p.fail("one name alone is a seam; two points have no comma between them: beyond P Q")
		}
	case p.accept("around"):
		patch.Around, f = p.point()
	default:
		f = p.unexpected()
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

// patchEnd reads what may follow a patch's shape.
func (p *parser) patchEnd(patch *Patch) *fault {
	for {
		t := p.peek()
		switch {
		case t.Value == "cut" && patch.Cut == nil:
			cut, f := p.cut()
			if f != nil {
				return f
			}
			patch.Cut = cut
		case t.Value == "note" && patch.Note == nil:
			p.lex.Next()
			text, f := p.text()
			if f != nil {
				return f
			}
			patch.Note = &text
		case t.Value == "cut" || t.Value == "note":
			return twice(t.Value, spanOf(t))
		default:
			return nil
		}
	}
}

func twice(word string, at source.Span) *fault {
	return &fault{at: at, message: quote(word) + " is given twice"}
}

// cut reads
//
//	Cut = "cut" ( Expr "by" Expr | "strip" Expr | "square" Expr ( "halved" | "quartered" ) ) .
func (p *parser) cut() (*Cut, *fault) {
	start := p.lex.Next().Pos.Offset
	cut := &Cut{Form: CutRectangle}
	switch {
	case p.accept("strip"):
		cut.Form = CutStrip
	case p.accept("square"):
		cut.Form = CutHalved
	}
	var f *fault
	if cut.Along, f = p.expr(); f != nil {
		return nil, f
	}
	switch cut.Form {
	case CutRectangle:
		if f := p.want("by"); f != nil {
			return nil, f
		}
		if cut.Across, f = p.expr(); f != nil {
			return nil, f
		}
	case CutHalved:
		switch {
		case p.accept("halved"):
		case p.accept("quartered"):
			cut.Form = CutQuartered
		default:
			return nil, p.unexpected()
		}
	}
	cut.Span = p.from(start)
	return cut, nil
}

// readOutline reads `outline` and corners.
func readOutline(p *parser) (Statement, *fault) {
	corners, f := p.corners(max(3, len(p.pairs)))
	return &Outline{Corners: corners}, f
}

// readPointDef reads `point p = (x, y)`.
func readPointDef(p *parser) (Statement, *fault) {
	def := new(PointDef)
	f := p.declare(&def.Name)
	if f == nil {
		def.Value, f = p.point()
	}
	return def, f
}

// readLet reads `let h = 2 1/2`.
func readLet(p *parser) (Statement, *fault) {
	let := new(Let)
	f := p.declare(&let.Name)
	if f == nil {
		let.Value, f = p.expr()
	}
	return let, f
}

// declare reads a name and the `=` after it.
func (p *parser) declare(name *Name) (f *fault) {
	if *name, f = p.name(); f != nil {
		return f
	}
	return p.want("=")
}

// readUnits reads `units in`.
func readUnits(p *parser) (Statement, *fault) {
	t := p.peek()
	if _, ok := units[t.Value]; !ok {
		return nil, p.unexpected()
	}
	p.lex.Next()
	return &Units{Unit: Name{t.Value, spanOf(t)}}, nil
}
