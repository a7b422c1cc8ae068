package ink

import (
	"crypto/sha256"
	"encoding/binary"
	"math"

	"sewable/lang/geom"
)

// Digest is a sum of what is seen of a drawing: two drawings with the same one look the same. Lengths
// count to a hundredth of a hair; names, titles and data do not count.
func (d *Drawing) Digest() [sha256.Size]byte {
	b := appendLengths(nil, d.Width, d.Height)
	b = binary.LittleEndian.AppendUint32(b, uint32(d.Paper))
	for _, l := range d.Layers {
		for _, item := range l.Items {
			switch is := item.(type) {
			case *Path:
				b = append(b, 'p')
				b = binary.LittleEndian.AppendUint32(b, uint32(is.Fill))
				b = binary.LittleEndian.AppendUint32(b, uint32(is.Stroke))
				b = appendLengths(b, is.Width)
				b = appendLengths(b, is.Dash...)
				for _, c := range is.Chains {
					b = append(b, 'c', map[bool]byte{true: 1}[c.Closed])
					b = appendPoints(b, c.fromLeast()...)
				}
			case *Text:
				b = append(b, 't')
				b = appendPoints(b, is.At)
				b = append(append(b, is.String...), 0, byte(is.Align), map[bool]byte{true: 1}[is.Bold])
				b = appendLengths(b, is.Size, is.Turn)
				b = binary.LittleEndian.AppendUint32(b, uint32(is.Colour))
			}
		}
	}
	return sha256.Sum256(b)
}

// fromLeast are the points of a chain: of a closed one from the least of them on, towards the lesser of its
// neighbors, since a ring looks the same wherever it begins.
func (c Chain) fromLeast() []geom.Point {
	n := len(c.Points)
	if !c.Closed || n < 3 {
		return c.Points
	}
	less := func(i, j int) bool {
		p, q := c.Points[(i+n)%n], c.Points[(j+n)%n]
		return whole(p.X) < whole(q.X) || whole(p.X) == whole(q.X) && whole(p.Y) < whole(q.Y)
	}
	least := 0
	for i := range n {
		if less(i, least) {
			least = i
		}
	}
	step := 1
	if less(least-1, least+1) {
		step = n - 1
	}
	out := make([]geom.Point, 0, n)
	for i := range n {
		out = append(out, c.Points[(least+i*step)%n])
	}
	return out
}

// whole counts a length in hundredths of a hair. What is added keeps the fractions of an inch and the halves of
// a millimeter away from where it rounds.
func whole(l float64) int64 { return int64(math.Floor(l*100 + 0.37)) }

func appendLengths(b []byte, lengths ...float64) []byte {
	for _, l := range lengths {
		b = binary.LittleEndian.AppendUint64(b, uint64(whole(l)))
	}
	return b
}

func appendPoints(b []byte, points ...geom.Point) []byte {
	for _, p := range points {
		b = appendLengths(b, p.X, p.Y)
	}
	return b
}
