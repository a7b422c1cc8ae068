package block

import (
	"math"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// pointDef and seamDef are a point and a seam being worked out.
type pointDef struct {
	point *NamedPoint
	form  syntax.Point
	state state
}

type seamDef struct {
	seam  *NamedSeam
	def   *syntax.SeamDef
	ends  line
	state state
}

// line is a line through two points.
type line struct{ P, Q geom.Exact }

func (l line) segment() geom.Segment { return geom.Segment{A: l.P.Point(), B: l.Q.Point()} }

// point works a point out. When it fails, the problem has been recorded (or
// what it hangs on is a problem already).
func (b *builder) point(s *scope, it *syntax.Item, p syntax.Point, w where) (geom.Exact, bool) {
	switch p := p.(type) {
	case *syntax.Pair: // its lengths are held to the limit already
		return b.pair(s, it, p, w)
	case *syntax.PointRef:
		return b.namedPoint(s, it, p.Name, w)
	}
	at, ok := b.constructed(s, it, p, w)
	if ok && !(math.Abs(at.X.Float64()) <= maxLength && math.Abs(at.Y.Float64()) <= maxLength) {
		b.problem(Problem{Kind: OverLimit, At: it.Abs(p.At())}, w)
		return geom.Exact{}, false
	}
	return at, ok
}

// constructed works out a point that is made from others.
func (b *builder) constructed(s *scope, it *syntax.Item, p syntax.Point, w where) (geom.Exact, bool) {
	switch p := p.(type) {
	case *syntax.Mid:
		x, okX := b.point(s, it, p.P, w)
		y, okY := b.point(s, it, p.Q, w)
		return geom.Mid(x, y), okX && okY
	case *syntax.Part:
		l, okL := b.line(s, it, p.Line, w)
		r, okR := b.ratio(s, it, p.Ratio, w)
		return geom.Part(r, l.P, l.Q), okL && okR
	case *syntax.Along:
		l, okL := b.line(s, it, p.Line, w)
		by, okBy := b.length(s, it, p.By, w)
		if !okL || !okBy {
			return geom.Exact{}, false
		}
		at, ok := geom.Along(l.P, l.Q, by)
		return at, ok || b.noValue(it.Abs(p.Line.Span), OneEndedLine, "", w)
	case *syntax.Meet:
		l, okL := b.line(s, it, p.L, w)
		m, okM := b.line(s, it, p.M, w)
		if !okL || !okM {
			return geom.Exact{}, false
		}
		at, ok := geom.Meet(l.P, l.Q, m.P, m.Q)
		return at, ok || b.noValue(it.Abs(p.Span), ParallelLines, "", w)
	case *syntax.Mirror:
		x, okX := b.point(s, it, p.P, w)
		l, okL := b.line(s, it, p.Across, w)
		if !okX || !okL {
			return geom.Exact{}, false
		}
		at, ok := geom.Mirror(x, l.P, l.Q)
		return at, ok || b.noValue(it.Abs(p.Across.Span), OneEndedLine, "", w)
	case *syntax.Turn:
		x, okX := b.point(s, it, p.P, w)
		y, okY := b.point(s, it, p.About, w)
		a, okA := b.ratio(s, it, p.By, w)
		return geom.Turn(x, y, a), okX && okY && okA
	case *syntax.Move:
		x, okX := b.point(s, it, p.P, w)
		by, okBy := b.pair(s, it, &p.By, w)
		return geom.Move(x, by.X, by.Y), okX && okBy
	}
	return geom.Exact{}, false
}

func (b *builder) pair(s *scope, it *syntax.Item, p *syntax.Pair, w where) (geom.Exact, bool) {
	x, okX := b.length(s, it, p.X, w)
	y, okY := b.length(s, it, p.Y, w)
	return geom.Exact{X: x, Y: y}, okX && okY
}

func (b *builder) namedPoint(s *scope, it *syntax.Item, n syntax.Name, w where) (geom.Exact, bool) {
	d, ok := find(s, n.Text, pointsOf)
	if !ok {
		if seam, isSeam := find(s, n.Text, seamsOf); isSeam {
			b.use(it.Abs(n.Span), &seam.seam.Named)
			b.problem(Problem{Kind: NoValue, At: it.Abs(n.Span), Cause: SeamNotPoint, Name: n.Text}, w)
			return geom.Exact{}, false
		}
		b.unknown(s, it.Abs(n.Span), "point", n.Text, names(s, pointsOf), w)
		return geom.Exact{}, false
	}
	b.use(it.Abs(n.Span), &d.point.Named)
	if d.state == busy {
		b.noValue(it.Abs(n.Span), RefersToItself, n.Text, w)
	}
	return d.point.Exact, b.settlePoint(s, d, w)
}

// settlePoint works a named point out, once.
func (b *builder) settlePoint(s *scope, d *pointDef, w where) bool {
	if d.state == fresh {
		d.state = busy
		at, ok := b.point(s, d.point.Item, d.form, where{Block: w.Block})
		d.point.Exact, d.point.Broken = at, !ok
		if d.state = failed; ok {
			d.state = done
		}
	}
	return d.state == done
}

// line works out the line of two points or of a seam's name.
func (b *builder) line(s *scope, it *syntax.Item, l syntax.Line, w where) (line, bool) {
	if l.Seam == nil {
		p, okP := b.point(s, it, l.P, w)
		q, okQ := b.point(s, it, l.Q, w)
		return line{p, q}, okP && okQ
	}
	d, ok := find(s, l.Seam.Text, seamsOf)
	if !ok {
		at := it.Abs(l.Seam.Span)
		if p, isPoint := find(s, l.Seam.Text, pointsOf); isPoint {
			b.use(at, &p.point.Named)
			b.noValue(at, PointNotSeam, l.Seam.Text, w)
		} else {
			b.unknown(s, at, "seam", l.Seam.Text, names(s, seamsOf), w)
		}
		return line{}, false
	}
	b.use(it.Abs(l.Seam.Span), &d.seam.Named)
	if d.state == busy {
		b.noValue(it.Abs(l.Seam.Span), RefersToItself, l.Seam.Text, w)
	}
	return d.ends, b.settleSeam(s, d, w)
}

// settleSeam works a named seam out, once.
func (b *builder) settleSeam(s *scope, d *seamDef, w where) bool {
	if d.state == fresh {
		d.state = busy
		w = where{Block: w.Block}
		p, okP := b.point(s, d.seam.Item, d.def.From, w)
		q, okQ := b.point(s, d.seam.Item, d.def.To, w)
		d.ends = line{p, q}
		d.seam.Line = d.ends.segment()
		ok := okP && okQ
		if ok && d.seam.Line.Len() < geom.Hair {
			ok = b.noValue(d.seam.Item.Stmt, OneEndedLine, "", w)
		}
		d.seam.Broken = !ok
		if d.state = failed; ok {
			d.state = done
		}
	}
	return d.state == done
}

// corners works a list of points out as a polygon; nil when one fails.
func (b *builder) corners(s *scope, it *syntax.Item, list []syntax.Point, w where) geom.Polygon {
	poly := make(geom.Polygon, 0, len(list))
	for _, p := range list {
		if at, ok := b.point(s, it, p, w); ok {
			poly = append(poly, at.Point())
		}
	}
	if len(poly) < len(list) {
		return nil
	}
	return poly
}
