package block

import (
	"math"

	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// pointDef and seamDef are a point and a seam being worked out.
type pointDef struct {
	point *NamedPoint
	form  syntax.Point
	where where
	state state
}

type seamDef struct {
	seam  *NamedSeam
	def   *syntax.SeamDef
	ends  line
	where where
	state state
}

// line is a line through two points.
type line struct{ P, Q geom.Exact }

func (l line) segment() geom.Segment { return geom.Segment{A: l.P.Point(), B: l.Q.Point()} }

// point works a point out. When it fails, the problem has been recorded (or
// what it hangs on is a problem already).
func (m maker) point(p syntax.Point) (geom.Exact, bool) {
	switch p := p.(type) {
	case *syntax.Pair: // its lengths are held to the limit already
		return m.pair(p)
	case *syntax.PointRef:
		return m.namedPoint(p.Name)
	}
	at, ok := m.constructed(p)
	if ok && !(math.Abs(at.X.Float64()) <= maxLength && math.Abs(at.Y.Float64()) <= maxLength) {
		m.fail(p.At(), Problem{Kind: OverLimit})
		return geom.Exact{}, false
	}
	return at, ok
}

// constructed works out a point that is made from others.
func (m maker) constructed(p syntax.Point) (geom.Exact, bool) {
	switch p := p.(type) {
	case *syntax.Mid:
		x, okX := m.point(p.P)
		y, okY := m.point(p.Q)
		return geom.Mid(x, y), okX && okY
	case *syntax.Part:
		l, okL := m.line(p.Line)
		r, okR := m.ratio(p.Ratio)
		return geom.Part(r, l.P, l.Q), okL && okR
	case *syntax.Along:
		l, okL := m.line(p.Line)
		by, okBy := m.length(p.By)
		if !okL || !okBy {
			return geom.Exact{}, false
		}
		at, ok := geom.Along(l.P, l.Q, by)
		return at, ok || m.noValue(p.Line.Span, OneEndedLine, "")
	case *syntax.Meet:
		l, okL := m.line(p.L)
		k, okK := m.line(p.M)
		if !okL || !okK {
			return geom.Exact{}, false
		}
		at, ok := geom.Meet(l.P, l.Q, k.P, k.Q)
		return at, ok || m.noValue(p.Span, ParallelLines, "")
	case *syntax.Mirror:
		x, okX := m.point(p.P)
		l, okL := m.line(p.Across)
		if !okX || !okL {
			return geom.Exact{}, false
		}
		at, ok := geom.Mirror(x, l.P, l.Q)
		return at, ok || m.noValue(p.Across.Span, OneEndedLine, "")
	case *syntax.Turn:
		x, okX := m.point(p.P)
		y, okY := m.point(p.About)
		a, okA := m.ratio(p.By)
		return geom.Turn(x, y, a), okX && okY && okA
	case *syntax.Move:
		x, okX := m.point(p.P)
		by, okBy := m.pair(&p.By)
		return geom.Move(x, by.X, by.Y), okX && okBy
	}
	return geom.Exact{}, false
}

func (m maker) pair(p *syntax.Pair) (geom.Exact, bool) {
	x, okX := m.length(p.X)
	y, okY := m.length(p.Y)
	return geom.Exact{X: x, Y: y}, okX && okY
}

func (m maker) namedPoint(n syntax.Name) (geom.Exact, bool) {
	at, ok := m.named(n, aPoint)
	if !ok {
		return geom.Exact{}, false
	}
	return at.(geom.Exact), true
}

// settlePoint works a named point out, once.
func (b *builder) settlePoint(s *scope, d *pointDef) {
	if d.state != fresh {
		return
	}
	d.state = busy
	at, ok := b.at(s, d.point.Item, d.where).point(d.form)
	d.point.Exact, d.point.Broken = at, !ok
	if d.state = failed; ok {
		d.state = done
	}
}

// line works out the line of two points or of a seam's name.
func (m maker) line(l syntax.Line) (line, bool) {
	if l.Seam == nil {
		p, okP := m.point(l.P)
		q, okQ := m.point(l.Q)
		return line{p, q}, okP && okQ
	}
	ends, ok := m.named(*l.Seam, aSeam)
	if !ok {
		return line{}, false
	}
	return ends.(line), true
}

// settleSeam works a named seam out, once.
func (b *builder) settleSeam(s *scope, d *seamDef) {
	if d.state != fresh {
		return
	}
	d.state = busy
	m := b.at(s, d.seam.Item, d.where)
	p, okP := m.point(d.def.From)
	q, okQ := m.point(d.def.To)
	d.ends = line{p, q}
	d.seam.Line = d.ends.segment()
	ok := okP && okQ
	if ok && d.seam.Line.Len() < geom.Hair {
		ok = m.noValue(source.Span{End: d.seam.Item.Stmt.Len()}, OneEndedLine, "")
	}
	d.seam.Broken = !ok
	if d.state = failed; ok {
		d.state = done
	}
}

// corners works a list of points out as a polygon; nil when one fails.
func (m maker) corners(list []syntax.Point) geom.Polygon {
	poly := make(geom.Polygon, 0, len(list))
	for _, p := range list {
		if at, ok := m.point(p); ok {
			poly = append(poly, at.Point())
		}
	}
	if len(poly) < len(list) {
		return nil
	}
	return poly
}
