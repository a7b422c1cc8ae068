package syntax

import "github.com/alecthomas/participle/v2/lexer"

// point reads any of the forms of a point, whose grammar is in nodes.go.
func (p *parser) point() Point {
	t := p.peek()
	switch kindOf(t) {
	case KindName:
		p.lex.Next()
		return &PointRef{Name{t.Value, spanOf(t)}}
	case KindPunctuation:
		if t.Value == "(" {
			return p.pair(nil)
		}
	case KindWord:
		if read := pointReaders[t.Value]; read != nil && p.deeper() {
			p.lex.Next()
			point := read(p, t.Pos.Offset)
			p.depth--
			return point
		}
	}
	p.unexpected()
	return nil
}

// pointReaders read what follows the word of a point form; start is where the
// word is.
var pointReaders map[string]func(p *parser, start int) Point

func init() {
	pointReaders = map[string]func(p *parser, start int) Point{
		"mid": func(p *parser, start int) Point {
			first := p.point()
			return &Mid{first, p.second(first), p.from(start)}
		},
		"along": func(p *parser, start int) Point { return &Along{p.line(), p.after("by").expr(), p.from(start)} },
		"part":  func(p *parser, start int) Point { return &Part{p.expr(), p.after("of").line(), p.from(start)} },
		"where": func(p *parser, start int) Point { return &Meet{p.line(), p.after("meets").line(), p.from(start)} },
		"mirror": func(p *parser, start int) Point {
			return &Mirror{p.point(), p.after("across").line(), p.from(start)}
		},
		"turn": func(p *parser, start int) Point {
			return &Turn{p.point(), p.after("about").point(), p.after("by").expr(), p.from(start)}
		},
		"move": func(p *parser, start int) Point {
			m := &Move{P: p.point()}
			p.after("by").pair(&m.By)
			m.Span = p.from(start)
			return m
		},
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
func (p *parser) pair(into *Pair) *Pair {
	start := p.peek().Pos.Offset
	x, y := p.after("(").expr(), p.after(",").expr()
	p.after(")")
	switch {
	case into != nil:
	case len(p.pairs) > 0:
		into, p.pairs = &p.pairs[0], p.pairs[1:]
	default:
		into = new(Pair)
	}
	into.X, into.Y, into.Span = x, y, p.from(start)
	return into
}

// line reads two points, or the name of a seam. One name alone is a seam; a name
// with a point after it is the first of two points.
func (p *parser) line() Line {
	start, placing := p.peek().Pos.Offset, p.placing
	p.placing = false
	first := p.point()
	p.placing = placing
	if name, ok := first.(*PointRef); ok && (!startsPoint(p.peek()) || p.beginsScaled()) {
		return Line{Seam: &name.Name, Span: name.Span}
	}
	return Line{P: first, Q: p.second(first), Span: p.from(start)}
}

// second reads the point after the first of two. A comma may be between
// them, unless the first is a name alone, which a comma would make a seam.
func (p *parser) second(first Point) Point {
	if _, name := first.(*PointRef); !name {
		p.accept(",")
	}
	return p.point()
}

// corners reads three points or more, with or without commas between them.
func (p *parser) corners() []Point {
	points := make([]Point, 0, max(3, len(p.pairs)))
	for startsPoint(p.peek()) {
		points = append(points, p.point())
		if p.accept(",") && !startsPoint(p.peek()) {
			p.unexpected()
		}
	}
	if len(points) < 3 {
		p.unexpected()
	}
	return points
}
