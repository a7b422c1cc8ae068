package svgimport

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"sewable/lang/geom"
)

// A chain is corners in a row. The edge behind each may be a curve.
type chain struct {
	points []geom.Point
	curves map[int]*curve // by the corner that they begin at; none: a straight edge
	closed bool
}

// curve adds an edge to a point; nil is a straight one.
func (c *chain) curve(e *curve, to geom.Point) {
	if e != nil {
		if c.curves == nil {
			c.curves = make(map[int]*curve)
		}
		c.curves[len(c.points)-1] = e
	}
	c.points = append(c.points, to)
}

// ring closes a chain that comes back to where it began: it has that corner once.
func (c *chain) ring() {
	if p := c.points; len(p) > 2 && p[0] == p[len(p)-1] {
		c.points, c.closed = p[:len(p)-1], true
	}
}

const straightOnly = "a foundation seam is straight. Draw it with straight lines, or use --segments auto"

// pathCommands are how many numbers each command of a path takes: SVG 1.1, 8.3.
var pathCommands = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2, 'A': 7, 'Z': 0}

// pathReader reads the data of a path.
type pathReader struct {
	text string
	at   int
}

func (r *pathReader) space() {
	for r.at < len(r.text) && strings.IndexByte(" \t\r\n\f", r.text[r.at]) >= 0 {
		r.at++
	}
}

// comma skips white space with at most one comma in it.
func (r *pathReader) comma() {
	r.space()
	if r.at < len(r.text) && r.text[r.at] == ',' {
		r.at++
		r.space()
	}
}

// number reads a number. "1." is one in SVG 1.1.
func (r *pathReader) number() (float64, bool) {
	v, rest := number(r.text[r.at:])
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, false
	}
	r.at = len(r.text) - len(rest)
	if strings.HasPrefix(rest, ".") && (len(rest) < 2 || rest[1] < '0' || rest[1] > '9') {
		r.at++
	}
	return v, true
}

// flag reads a flag of an arc, which may stand without anything behind it.
func (r *pathReader) flag() (float64, bool) {
	if r.at < len(r.text) && (r.text[r.at] == '0' || r.text[r.at] == '1') {
		r.at++
		return float64(r.text[r.at-1] - '0'), true
	}
	return 0, false
}

// parsePath reads the data of a path into chains of corners, placed by m, its curves as chords.
func (t *tracer) parsePath(e *element, data string, m affine) ([]chain, error) {
	r := &pathReader{text: data}
	var chains []chain
	var c *chain
	var at, start, control geom.Point // where it is, where the chain began, the last control point
	var before byte                   // the command before, in capitals
	count := 0
	wrong := func(what string) error {
		near := r.text[r.at:]
		if len(near) > 12 {
			near = near[:12]
		}
		return t.fail(e, "has path data that cannot be read: %s, before %q", what, strings.ToValidUTF8(near, "?"))
	}
	begin := func() {
		chains = append(chains, chain{points: []geom.Point{m.apply(at)}})
		c = &chains[len(chains)-1]
	}
	r.space()
	if data == "" || strings.TrimSpace(data) == "none" {
		return nil, nil
	}
	for r.at < len(r.text) {
		letter := r.text[r.at]
		capital := letter &^ 0x20
		n, ok := pathCommands[capital]
		if !ok || letter < 'A' {
			return nil, wrong("there is no command here")
		}
		if before == 0 && capital != 'M' {
			return nil, wrong("it begins without M")
		}
		r.at++
		relative := letter != capital
		for first := true; ; first = false {
			var v [7]float64
			for i := range n {
				if i > 0 || !first {
					r.comma()
				} else {
					r.space()
				}
				read := r.number
				if capital == 'A' && (i == 3 || i == 4) {
					read = r.flag
				}
				if v[i], ok = read(); !ok {
					return nil, wrong(fmt.Sprintf("%c takes %d numbers", letter, n))
				}
			}
			if count++; count > maxCorners {
				return nil, t.fail(e, "has more than %d commands", maxCorners)
			}
			from := at
			point := func(i int) geom.Point {
				p := geom.Point{X: v[i], Y: v[i+1]}
				if relative {
					p = p.Add(from)
				}
				return p
			}
			var curve *curve
			next := control
			switch capital {
			case 'M':
				at = point(0)
				if first {
					start = at
					begin()
				}
			case 'L', 'T', 'Q', 'C', 'S', 'A':
				at = point(n - 2)
			case 'H':
				if at.X = v[0]; relative {
					at.X += from.X
				}
			case 'V':
				if at.Y = v[0]; relative {
					at.Y += from.Y
				}
			case 'Z':
				at = start
			}
			mirrored := from
			switch capital {
			case 'S':
				if before == 'C' || before == 'S' {
					mirrored = from.Scale(2).Sub(control)
				}
				next = point(0)
				curve = cubic(m.apply(from), m.apply(mirrored), m.apply(next), m.apply(at))
			case 'C':
				next = point(2)
				curve = cubic(m.apply(from), m.apply(point(0)), m.apply(next), m.apply(at))
			case 'T':
				if before == 'Q' || before == 'T' {
					mirrored = from.Scale(2).Sub(control)
				}
				next = mirrored
				curve = quadratic(m.apply(from), m.apply(next), m.apply(at))
			case 'Q':
				next = point(0)
				curve = quadratic(m.apply(from), m.apply(next), m.apply(at))
			case 'A':
				curve = arc(from, at, v[0], v[1], v[2], v[3] != 0, v[4] != 0, m)
			}
			control = next
			if !reachable(at.X) || !reachable(at.Y) {
				return nil, wrong("its numbers are too large")
			}
			switch {
			case capital == 'Z':
				if c != nil {
					c.closed = true
				}
				c = nil
			case capital == 'M' && first:
			default:
				if c == nil { // goes on from where a chain was closed
					saved := at
					at = from
					begin()
					at, start = saved, from
				}
				if curve != nil && t.o.Segments == 0 {
					return nil, t.fail(e, "has a curve, command %d of its path, %q from %s to %s, and %s", count, string(letter), place(from), place(at), straightOnly)
				}
				c.curve(curve, m.apply(at))
			}
			before = capital
			r.space()
			if n == 0 || r.at == len(r.text) || isCommand(r.text[r.at]) {
				break
			}
		}
	}
	for i := range chains {
		chains[i].ring()
	}
	return chains, nil
}

func isCommand(b byte) bool {
	_, ok := pathCommands[b&^0x20]
	return ok && b >= 'A'
}

// place is a place in the drawing's own numbers.
func place(p geom.Point) string { return fmt.Sprintf("(%.6g, %.6g)", p.X, p.Y) }

// numbers are numbers with white space or one comma between them.
func numbers(text string) ([]float64, error) {
	r := &pathReader{text: text}
	var out []float64
	for r.space(); r.at < len(r.text); {
		v, ok := r.number()
		if !ok {
			return nil, errors.New("not a number")
		}
		out = append(out, v)
		r.comma()
	}
	return out, nil
}
