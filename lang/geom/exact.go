package geom

import "math"

// The ways in which one place is made from others. Each is exact when what it
// is given is exact and its result is a fraction; where a slant length or a
// turn is irrational the coordinates concerned become floats.

// parallel is the sine of the angle below which two lines have no meeting
// place worth the name: coordinates carry an error of about 1e-10 hair.
const parallel = 1e-9

func (e Exact) add(o Exact) Exact { return Exact{e.X.Add(o.X), e.Y.Add(o.Y)} }
func (e Exact) sub(o Exact) Exact { return Exact{e.X.Sub(o.X), e.Y.Sub(o.Y)} }
func (e Exact) scale(k Num) Exact { return Exact{e.X.Mul(k), e.Y.Mul(k)} }
func (e Exact) dot(o Exact) Num   { return e.X.Mul(o.X).Add(e.Y.Mul(o.Y)) }
func (e Exact) cross(o Exact) Num { return e.X.Mul(o.Y).Sub(e.Y.Mul(o.X)) }
func (e Exact) finite() bool      { return e.X.IsFinite() && e.Y.IsFinite() }

// IsExact says whether both coordinates are exact.
func (e Exact) IsExact() bool { return !e.X.x && !e.Y.x }

// Scale is p with every distance from the origin k times as great.
func Scale(p Exact, k Num) Exact { return p.scale(k) }

// Mid is the place halfway from p to q.
func Mid(p, q Exact) Exact { return Part(Frac(1, 2), p, q) }

// Part is the place that divides the way from p to q: ratio 0 is p, 1 is q.
func Part(ratio Num, p, q Exact) Exact { return p.add(q.sub(p).scale(ratio)) }

// Move is p moved right by dx and up by dy.
func Move(p Exact, dx, dy Num) Exact { return p.add(Exact{dx, dy}) }

// Along is the place on the line from p towards q, the given length from p
// (backwards when negative). There is none when p and q are one place.
func Along(p, q Exact, by Num) (Exact, bool) {
	d, ok := direction(p, q)
	if !ok || !by.IsFinite() {
		return Exact{}, false
	}
	var length Num
	switch { // a square may overflow where the length itself is plain
	case d.X == (Num{}):
		length = d.Y.Abs()
	case d.Y == (Num{}):
		length = d.X.Abs()
	default:
		length = d.dot(d).Sqrt()
	}
	at := p.add(d.scale(by.Div(length)))
	return at, at.finite()
}

// Meet is the place where the line through p and q meets the line through r
// and s. There is none when the lines are parallel or when either pair is one
// place.
func Meet(p, q, r, s Exact) (Exact, bool) {
	a, ok1 := direction(p, q)
	b, ok2 := direction(r, s)
	if !ok1 || !ok2 {
		return Exact{}, false
	}
	det := a.cross(b)
	if math.Abs(det.Float64()) <= parallel*a.Point().Len()*b.Point().Len() {
		return Exact{}, false
	}
	at := p.add(a.scale(r.sub(p).cross(b).Div(det)))
	// On an upright or level line one coordinate is given.
	if b.X == (Num{}) {
		at.X = r.X
	}
	if b.Y == (Num{}) {
		at.Y = r.Y
	}
	return at, at.finite()
}

// Mirror is p on the other side of the line through q and r. There is none
// when q and r are one place.
func Mirror(p, q, r Exact) (Exact, bool) {
	d, ok := direction(q, r)
	if !ok {
		return Exact{}, false
	}
	v := p.sub(q)
	k := v.cross(d).Div(d.dot(d)) // the distance, in lengths of d
	k = k.Add(k)
	at := Exact{p.X.Sub(d.Y.Mul(k)), p.Y.Add(d.X.Mul(k))}
	// Across an upright or level line one coordinate stays as it is.
	if d.X == (Num{}) {
		at = Exact{q.X.Add(q.X).Sub(p.X), p.Y}
	}
	if d.Y == (Num{}) {
		at = Exact{p.X, q.Y.Add(q.Y).Sub(p.Y)}
	}
	return at, at.finite()
}

// Turn is p turned anticlockwise about a place, by degrees. Whole quarter
// turns are exact.
func Turn(p, about Exact, degrees Num) Exact {
	v := p.sub(about)
	sin, cos := sinCos(degrees)
	return about.add(Exact{
		v.X.Mul(cos).Sub(v.Y.Mul(sin)),
		v.X.Mul(sin).Add(v.Y.Mul(cos)),
	})
}

// direction is the way from p to q; there is none within a hair.
func direction(p, q Exact) (Exact, bool) {
	d := q.sub(p)
	length := d.Point().Len()
	return d, length >= Hair && !math.IsInf(length, 0)
}

// sinCos is the sine and cosine of an angle in degrees, exact for quarter
// turns.
func sinCos(degrees Num) (sin, cos Num) {
	deg := degrees.Float64()
	if n, d, ok := degrees.Exact(); ok && d == 1 {
		deg = float64(n % 360) // the remainder is exact beyond 2^53 too
	}
	deg = math.Remainder(deg, 360)
	if quarter := deg / 90; quarter == math.Trunc(quarter) {
		switch int(quarter) {
		case 0:
			return Int(0), Int(1)
		case 1:
			return Int(1), Int(0)
		case -1:
			return Int(-1), Int(0)
		default:
			return Int(0), Int(-1)
		}
	}
	s, c := math.Sincos(deg * math.Pi / 180)
	return Float(s), Float(c)
}
