package geom

// Transform is a movement of the plane that keeps shapes: any chain of
// mirrorings, turns, moves and scalings. The zero value moves nothing.
//
// Quarter turns and mirrorings across upright and level lines have whole
// coefficients, so they bring float coordinates back without error wherever
// sums of the coordinates have none.
type Transform struct {
	xx, xy, yx, yy float64 // x' = xx·x + xy·y + x0
	x0, y0         float64 // y' = yx·x + yy·y + y0
	ratio          float64 // of lengths; 0 where they stay as they are
}

var identity = Transform{xx: 1, yy: 1}

// MirrorAcross mirrors across the line through p and q. There is no such line
// when the two are one place, within a hair.
func MirrorAcross(p, q Point) (Transform, bool) {
	d := q.Sub(p)
	switch {
	case !(d.Len() >= Hair) || !finite(d.Len()):
		return Transform{}, false
	case d.X == 0:
		return Transform{xx: -1, yy: 1, x0: 2 * p.X}, true
	case d.Y == 0:
		return Transform{xx: 1, yy: -1, y0: 2 * p.Y}, true
	}
	u := d.Scale(1 / d.Len())
	if d.X == d.Y || d.X == -d.Y {
		// A diagonal swaps x and y: keep that free of rounding.
		sign := 1.0
		if d.X == -d.Y {
			sign = -1
		}
		return about(p, Transform{xy: sign, yx: sign}), true
	}
	cos, sin := u.X*u.X-u.Y*u.Y, 2*u.X*u.Y // of twice the line's angle
	return about(p, Transform{xx: cos, xy: sin, yx: sin, yy: -cos}), true
}

// TurnAbout turns anticlockwise about p, by degrees.
func TurnAbout(p Point, degrees float64) Transform {
	sin, cos := sinCos(Float(degrees))
	s, c := sin.Float64(), cos.Float64()
	return about(p, Transform{xx: c, xy: -s, yx: s, yy: c})
}

// MoveBy moves right by d.X and up by d.Y.
func MoveBy(d Point) Transform { return Transform{xx: 1, yy: 1, x0: d.X, y0: d.Y} }

// ScaleAbout makes every distance from p greater by a ratio, which is more than nothing.
func ScaleAbout(p Point, ratio float64) Transform {
	if ratio == 1 {
		return identity
	}
	return about(p, Transform{xx: ratio, yy: ratio, ratio: ratio})
}

// Scale is the ratio of lengths after t to those before it.
func (t Transform) Scale() float64 {
	if t.ratio == 0 {
		return 1
	}
	return t.ratio
}

// Within is what t is in a plane where every distance is ratio times as great.
func (t Transform) Within(ratio float64) Transform {
	t.x0, t.y0 = t.x0*ratio, t.y0*ratio
	return t
}

// about is the linear t with p, instead of the origin, held fast.
func about(p Point, t Transform) Transform {
	q := t.Apply(p)
	t.x0, t.y0 = p.X-q.X, p.Y-q.Y
	return t
}

func (t Transform) orIdentity() Transform {
	if t == (Transform{}) {
		return identity
	}
	return t
}

// Apply is where p goes.
func (t Transform) Apply(p Point) Point {
	t = t.orIdentity()
	return Point{t.xx*p.X + t.xy*p.Y + t.x0, t.yx*p.X + t.yy*p.Y + t.y0}
}

// ApplyTo is where a polygon goes, corner by corner: a mirroring reverses the
// way round.
func (t Transform) ApplyTo(poly Polygon) Polygon {
	out := make(Polygon, len(poly))
	for i, p := range poly {
		out[i] = t.Apply(p)
	}
	return out
}

// Then is t followed by u.
func (t Transform) Then(u Transform) Transform {
	t, u = t.orIdentity(), u.orIdentity()
	o := u.Apply(Point{t.x0, t.y0})
	ratio := 0.0
	if t.ratio != 0 || u.ratio != 0 {
		ratio = t.Scale() * u.Scale()
	}
	return Transform{
		ratio: ratio,
		xx:    u.xx*t.xx + u.xy*t.yx, xy: u.xx*t.xy + u.xy*t.yy,
		yx: u.yx*t.xx + u.yy*t.yx, yy: u.yx*t.xy + u.yy*t.yy,
		x0: o.X, y0: o.Y,
	}
}

// Inverse undoes t.
func (t Transform) Inverse() Transform {
	t = t.orIdentity()
	out := Transform{xx: t.xx, xy: t.yx, yx: t.xy, yy: t.yy} // the transpose undoes the linear part
	if t.ratio != 0 {
		by := 1 / (t.ratio * t.ratio)
		out = Transform{xx: by * t.xx, xy: by * t.yx, yx: by * t.xy, yy: by * t.yy, ratio: 1 / t.ratio}
	}
	out.x0, out.y0 = -out.xx*t.x0-out.xy*t.y0, -out.yx*t.x0-out.yy*t.y0
	return out
}

// Flips says whether t mirrors: an odd number of mirrorings.
func (t Transform) Flips() bool {
	t = t.orIdentity()
	return t.xx*t.yy-t.xy*t.yx < 0
}
