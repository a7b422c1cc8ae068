package syntax

import "github.com/alecthomas/participle/v2/lexer"

// point reads
//
//	Point = "(" Expr "," Expr ")" | Name
//	      | "mid" Point Point
//	      | "along" Line "by" Expr
//	      | "part" Expr "of" Line
//	      | "where" Line "meets" Line
//	      | "mirror" Point "across" Line
//	      | "turn" Point "about" Point "by" Expr
//	      | "move" Point "by" "(" Expr "," Expr ")" .
func (p *parser) point() (Point, *fault) {
	t := p.peek()
	switch kindOf(t) {
	case KindName:
		p.lex.Next()
		return &PointRef{Name{t.Value, spanOf(t)}}, nil
	case KindPunctuation:
		if t.Value == "(" {
			pair, f := p.pair(nil)
			if f != nil {
				return nil, f
			}
			return pair, nil
		}
	case KindWord:
		read := pointReaders[t.Value]
		if read == nil {
			break
		}
		if f := p.deeper(); f != nil {
			return nil, f
		}
		p.lex.Next()
		point, f := read(p, t.Pos.Offset)
		p.depth--
		return point, f
	}
	return nil, p.unexpected()
}

// pointReaders read what follows the word of a point form; start is where the
// word is.
var pointReaders map[string]func(p *parser, start int) (Point, *fault)

func init() {
	pointReaders = map[string]func(p *parser, start int) (Point, *fault){
		"mid": (*parser).mid, "along": (*parser).along, "part": (*parser).part, "where": (*parser).meet,
		"mirror": (*parser).mirror, "turn": (*parser).turn, "move": (*parser).move,
	}
}

// startsPoint reports whether a point may begin with this token.
func startsPoint(t *lexer.Token) bool {
	switch kindOf(t) {
	case KindName:
		return true
	case KindPunctuation:
		return t.Value == "("
	case KindWord:
		return vocabulary[t.Value].isPoint
	}
	return false
}

// pair reads (x, y) into the pair given, or a new one.
func (p *parser) pair(into *Pair) (*Pair, *fault) {
	start := p.peek().Pos.Offset
	if f := p.want("("); f != nil {
		return nil, f
	}
	x, f := p.expr()
	if f != nil {
		return nil, f
	}
	if f := p.want(","); f != nil {
		return nil, f
	}
	y, f := p.expr()
	if f != nil {
		return nil, f
	}
	if f := p.want(")"); f != nil {
		return nil, f
	}
	switch {
	case into != nil:
	case len(p.pairs) > 0:
		into, p.pairs = &p.pairs[0], p.pairs[1:]
	default:
		into = new(Pair)
	}
	into.X, into.Y, into.Span = x, y, p.from(start)
	return into, nil
}

// line reads
//
//	Line = Name | Point [ "," ] Point .
//
// that is two points, or the name of a seam. One name alone is a seam; a name
// with a point after it is the first of two points.
func (p *parser) line() (Line, *fault) {
	first := p.peek()
	start := first.Pos.Offset
	a, f := p.point()
	if f != nil {
		return Line{}, f
	}
	if name, ok := a.(*PointRef); ok && !startsPoint(p.peek()) {
		return Line{Seam: &name.Name, Span: name.Span}, nil
	}
	b, f := p.second(a)
	if f != nil {
		return Line{}, f
	}
	return Line{P: a, Q: b, Span: p.from(start)}, nil
}

// second reads the point after the first of two. A comma may stand between
// them, unless the first is a name alone, which a comma would make a seam.
func (p *parser) second(first Point) (Point, *fault) {
	if _, name := first.(*PointRef); !name {
		p.accept(",")
	}
	return p.point()
}

func (p *parser) mid(start int) (Point, *fault) {
	a, f := p.point()
	if f != nil {
		return nil, f
	}
	b, f := p.second(a)
	if f != nil {
		return nil, f
	}
	return &Mid{P: a, Q: b, Span: p.from(start)}, nil
}

func (p *parser) along(start int) (Point, *fault) {
	line, f := p.line()
	if f != nil {
		return nil, f
	}
	if f := p.want("by"); f != nil {
		return nil, f
	}
	by, f := p.expr()
	if f != nil {
		return nil, f
	}
	return &Along{Line: line, By: by, Span: p.from(start)}, nil
}

func (p *parser) part(start int) (Point, *fault) {
	ratio, f := p.expr()
	if f != nil {
		return nil, f
	}
	if f := p.want("of"); f != nil {
		return nil, f
	}
	line, f := p.line()
	if f != nil {
		return nil, f
	}
	return &Part{Ratio: ratio, Line: line, Span: p.from(start)}, nil
}

func (p *parser) meet(start int) (Point, *fault) {
	l, f := p.line()
	if f != nil {
		return nil, f
	}
	if f := p.want("meets"); f != nil {
		return nil, f
	}
	m, f := p.line()
	if f != nil {
		return nil, f
	}
	return &Meet{L: l, M: m, Span: p.from(start)}, nil
}

func (p *parser) mirror(start int) (Point, *fault) {
	a, f := p.point()
	if f != nil {
		return nil, f
	}
	if f := p.want("across"); f != nil {
		return nil, f
	}
	line, f := p.line()
	if f != nil {
		return nil, f
	}
	return &Mirror{P: a, Across: line, Span: p.from(start)}, nil
}

func (p *parser) turn(start int) (Point, *fault) {
	a, f := p.point()
	if f != nil {
		return nil, f
	}
	if f := p.want("about"); f != nil {
		return nil, f
	}
	about, f := p.point()
	if f != nil {
		return nil, f
	}
	if f := p.want("by"); f != nil {
		return nil, f
	}
	by, f := p.expr()
	if f != nil {
		return nil, f
	}
	return &Turn{P: a, About: about, By: by, Span: p.from(start)}, nil
}

func (p *parser) move(start int) (Point, *fault) {
	a, f := p.point()
	if f != nil {
		return nil, f
	}
	if f := p.want("by"); f != nil {
		return nil, f
	}
	m := &Move{P: a}
	if _, f := p.pair(&m.By); f != nil {
		return nil, f
	}
	m.Span = p.from(start)
	return m, nil
}

// corners reads points with or without commas between them, until something
// else stands there.
//
//	Corners = Point [ "," ] Point [ "," ] Point { [ "," ] Point } .
func (p *parser) corners(room int) ([]Point, *fault) {
	points := make([]Point, 0, room)
	for startsPoint(p.peek()) {
		point, f := p.point()
		if f != nil {
			return nil, f
		}
		points = append(points, point)
		if p.accept(",") && !startsPoint(p.peek()) {
			return nil, p.unexpected()
		}
	}
	if len(points) < 3 {
		return nil, p.unexpected()
	}
	return points, nil
}
