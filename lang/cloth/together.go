package cloth

import (
	"cmp"
	"reflect"
	"slices"
)

// width is how far a piece of a run reaches across the cloth.
func (r Run) width(w Wanted) float64 {
	if r.Turned {
		return w.Across
	}
	return w.Along
}

// height is how far a piece of a run reaches up the cloth.
func (r Run) height(w Wanted) float64 {
	if r.Turned {
		return w.Along
	}
	return w.Across
}

func (s Segment) height() (sum float64) {
	for _, r := range s.Rows {
		sum += r.Height * float64(r.Count)
	}
	return sum
}

// appendRow, appendSegment and appendStrip add one to the last or equal ones.
func appendRow(rows []Row, r Row) []Row {
	if n := len(rows); n > 0 && slices.Equal(rows[n-1].Runs, r.Runs) {
		rows[n-1].Count += r.Count
		return rows
	}
	return append(rows, r)
}

func appendSegment(segs []Segment, s Segment) []Segment {
	for i := range segs {
		if reflect.DeepEqual(segs[i].Rows, s.Rows) {
			segs[i].Count += s.Count
			return segs
		}
	}
	return append(segs, s)
}

func appendStrip(strips []PlanStrip, s PlanStrip) []PlanStrip {
	for i := range strips {
		if reflect.DeepEqual(strips[i].Segments, s.Segments) {
			strips[i].Count += s.Count
			return strips
		}
	}
	return append(strips, s)
}

// sortStrips puts the widest strips first, and in a strip the segments whose pieces
// use its whole height, then the longest.
func sortStrips(strips []PlanStrip) {
	slices.SortStableFunc(strips, func(a, b PlanStrip) int { return cmp.Compare(b.Height, a.Height) })
	for _, s := range strips {
		slices.SortStableFunc(s.Segments, func(a, b Segment) int {
			return cmp.Or(cmp.Compare(len(a.Rows), len(b.Rows)), cmp.Compare(b.Length, a.Length))
		})
	}
}
