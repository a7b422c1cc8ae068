package plan

import (
	"cmp"
	"slices"

	"sewable/lang/sew"
)

// A Knot is a place of a drawing that no straight cut divides: parts that have to be
// sewn with an inset or a partial seam, unless seams are added (package seams).
type Knot struct{ Parts []int }

// Blame finds the knots of a division that cannot be planned, the smallest first.
func Blame(d *sew.Division) []Knot {
	if d.Flawed() {
		return nil
	}
	var knots []Knot
	for _, set := range chordless(d) {
		knots = append(knots, Knot{Parts: set.Parts()})
	}
	slices.SortStableFunc(knots, func(a, b Knot) int { return cmp.Compare(len(a.Parts), len(b.Parts)) })
	return knots
}

// chordless gives the regions of several parts that are left when a division is cut
// along chord after chord, in whichever order.
func chordless(d *sew.Division) []sew.Set {
	r := d.Regions()
	var left []sew.Set
	todo := []sew.Set{r.All()}
	for len(todo) > 0 {
		set := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if set.Len() < 2 {
			continue
		}
		if chords := r.Chords(set); len(chords) > 0 {
			todo = append(todo, chords[0].Left, chords[0].Right)
		} else {
			left = append(left, set)
		}
	}
	return left
}
