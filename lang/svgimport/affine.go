package svgimport

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/tdewolff/parse/v2"
	"github.com/tdewolff/parse/v2/css"

	"sewable/lang/geom"
)

// An affine takes (x, y) to (a x + c y + e, b x + d y + f), in SVG's order of
// letters.
type affine struct{ a, b, c, d, e, f float64 }

var identity = affine{a: 1, d: 1}

func (m affine) apply(p geom.Point) geom.Point {
	return geom.Point{X: m.a*p.X + m.c*p.Y + m.e, Y: m.b*p.X + m.d*p.Y + m.f}
}

func (m affine) all(points geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(points))
	for i, p := range points {
		out[i] = m.apply(p)
	}
	return out
}

// of is n first, and m of what comes of it.
func (m affine) of(n affine) affine {
	return affine{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

// size is how many times as long it makes things, in the mean.
func (m affine) size() float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

func (m affine) finite() bool {
	for _, v := range [...]float64{m.a, m.b, m.c, m.d, m.e, m.f} {
		if math.IsNaN(v) || math.Abs(v) > 1e12 {
			return false
		}
	}
	return true
}

// transforms are the functions of a transform attribute, with how many numbers
// they may have.
var transforms = map[string]struct {
	least, most int
	make        func(v []float64) affine
}{
	"matrix": {6, 6, func(v []float64) affine { return affine{v[0], v[1], v[2], v[3], v[4], v[5]} }},
	"translate": {1, 2, func(v []float64) affine {
		return affine{1, 0, 0, 1, v[0], append(v, 0)[1]}
	}},
	"scale": {1, 2, func(v []float64) affine {
		return affine{a: v[0], d: append(v, v[0])[1]}
	}},
	"rotate": {1, 3, func(v []float64) affine {
		sin, cos := sincos(v[0])
		turn := affine{cos, sin, -sin, cos, 0, 0}
		if len(v) == 3 {
			return affine{1, 0, 0, 1, v[1], v[2]}.of(turn).of(affine{1, 0, 0, 1, -v[1], -v[2]})
		}
		return turn
	}},
	"skewX": {1, 1, func(v []float64) affine { return affine{1, 0, math.Tan(v[0] * math.Pi / 180), 1, 0, 0} }},
	"skewY": {1, 1, func(v []float64) affine { return affine{1, math.Tan(v[0] * math.Pi / 180), 0, 1, 0, 0} }},
}

// sincos is exact for quarter turns.
func sincos(degrees float64) (sin, cos float64) {
	switch quarter := math.Remainder(degrees, 360) / 90; quarter {
	case 0:
		return 0, 1
	case 1:
		return 1, 0
	case -1:
		return -1, 0
	case 2, -2:
		return 0, -1
	}
	return math.Sincos(degrees * math.Pi / 180)
}

// parseTransform reads a transform attribute, or the transform property: the same functions
// with the units px and deg allowed.
func parseTransform(text string) (affine, error) {
	m := identity
	lexer := css.NewLexer(parse.NewInputString(text))
	comma, some := false, false // one comma may stand between two
	for {
		kind, data := lexer.Next()
		switch {
		case kind == css.CommaToken && some && !comma:
			comma = true
			continue
		case kind == css.ErrorToken:
			if comma {
				return m, errors.New("it ends in a comma")
			}
			if !m.finite() {
				return m, errors.New("its numbers are too large")
			}
			return m, nil
		case kind == css.WhitespaceToken || kind == css.CommentToken:
			continue
		case kind == css.IdentToken && string(data) == "none":
			continue
		case kind != css.FunctionToken:
			return m, fmt.Errorf("%q is not a transform", data)
		}
		name := string(data[:len(data)-1])
		f, ok := transforms[name]
		if !ok {
			return m, fmt.Errorf("%q is not a transform", name)
		}
		comma, some = false, true
		var values []float64
		between := false // a comma was last
		for open := true; open; {
			kind, data := lexer.Next()
			if kind != css.WhitespaceToken {
				if between && (kind == css.CommaToken || kind == css.RightParenthesisToken) || len(values) == 0 && kind == css.CommaToken {
					return m, fmt.Errorf("%s has a comma without a number", name)
				}
				between = kind == css.CommaToken
			}
			switch kind {
			case css.NumberToken:
				v, _ := strconv.ParseFloat(string(data), 64)
				values = append(values, v)
			case css.DimensionToken:
				v, unit := number(string(data))
				if unit != "px" && unit != "deg" {
					return m, fmt.Errorf("%s has a number in %s", name, unit)
				}
				values = append(values, v)
			case css.WhitespaceToken, css.CommaToken:
			case css.RightParenthesisToken:
				open = false
			default:
				return m, fmt.Errorf("%s is not closed", name)
			}
		}
		if len(values) < f.least || len(values) > f.most || name == "rotate" && len(values) == 2 {
			return m, fmt.Errorf("%s has %d numbers", name, len(values))
		}
		m = m.of(f.make(values))
	}
}

// number is the number that a text begins with, and what stands behind it. Without a number it is
// not a number.
func number(text string) (float64, string) {
	n := parse.Number([]byte(text))
	v, err := strconv.ParseFloat(text[:n], 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) {
		return math.NaN(), text
	}
	return v, text[n:]
}
