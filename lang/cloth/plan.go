package cloth

import (
	"cmp"
	"fmt"

	"sewable/lang/geom"
)

// Wanted is so many equal rectangles.
type Wanted struct {
	Along, Across float64 // Along lies across the cloth, Across up its length, unless turned
	Keeps         bool    // it may not be turned on the cloth
	Count         int
}

// Cutter is what a plan is made for.
type Cutter struct {
	Width float64 // the cloth's usable width
	// Ruler is the widest strip that is cut across the cloth where a narrower
	// one will do; zero when there is no such bound.
	Ruler float64
	// Lengthwise lets a piece longer than the cloth is wide run up the length.
	Lengthwise bool
	// Effort is how long MakePlan looks for a shorter plan: 0 stands for 1, about half a
	// second.
	Effort float64
}

// DefaultRuler is the length of the long rulers: 24 in, common practice.
const DefaultRuler = 24 * geom.Inch

// Plan is a list of strips that a ruler can cut: every strip goes from edge to
// edge of the cloth, is cut across into segments, a segment across into rows, and a row into
// pieces, edge to edge each time. A piece lower than its row is trimmed.
type Plan struct {
	Width  float64 // of the cloth
	Strips []PlanStrip
}

// PlanStrip is Count equal strips, each Height of the cloth's length.
type PlanStrip struct {
	Height   float64
	Count    int
	Segments []Segment
}

// Segment is Count equal parts of a strip, side by side, each Length long.
type Segment struct {
	Length float64
	Count  int
	Rows   []Row
}

// Row is Count equal rows of a segment, one above the other.
type Row struct {
	Height float64
	Count  int
	Runs   []Run
}

// Run is Count equal pieces side by side in a row.
type Run struct {
	Wanted int // the number of what is wanted
	Turned bool
	Count  int
}

// Length is the length of cloth that the strips take.
func (p Plan) Length() float64 {
	var sum float64
	for _, s := range p.Strips {
		sum += s.Height * float64(s.Count)
	}
	return sum
}

// StripCount is how many strips are cut.
func (p Plan) StripCount() int {
	n := 0
	for _, s := range p.Strips {
		n += s.Count
	}
	return n
}

// Ends is the area of what is left whole at the ends of strips, where it is long
// enough to keep.
func (p Plan) Ends() float64 {
	const worthKeeping = 4 * geom.Inch
	var area float64
	for _, s := range p.Strips {
		rest := p.Width
		for _, g := range s.Segments {
			rest -= g.Length * float64(g.Count)
		}
		if rest >= worthKeeping {
			area += rest * s.Height * float64(s.Count)
		}
	}
	return area
}

// TooWide is the error of a piece that the cloth is too narrow for.
type TooWide struct {
	Wanted     int  // which
	Lengthwise bool // it would do along the length, were that allowed
}

func (e *TooWide) Error() string {
	return fmt.Sprintf("piece %d is wider than the fabric", e.Wanted)
}

// MakePlan lays the pieces out on the cloth. The error is a *TooWide.
//
// It goes strip by strip. The piece that is hardest to place gives the next
// strip its height, either way it may lie, and the strip is filled with segments by
// dynamic programming over its length (the knapsack of two-stage guillotine
// cutting: Gilmore and Gomory, "Multistage cutting stock problems of two and more
// dimensions", Operations Research 13(1), 1965); what is left above the
// pieces of a segment and at the strip's end takes smaller pieces. The fuller strip wins and
// is cut as often as the pieces last. The whole is then tried again in other
// orders, more often the fewer pieces there are, and the shortest plan stays.
// It is the same every time.
func MakePlan(wanted []Wanted, c Cutter) (Plan, error) {
	p, err := newPacker(wanted, c)
	if err != nil {
		return Plan{}, err
	}
	p.first()
	p.search(cmp.Or(c.Effort, 1))
	return p.finish(p.plan), nil
}
