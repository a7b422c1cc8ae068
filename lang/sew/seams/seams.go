// Package seams adds to a drawing the straight seams that it lacks, until it can be divided
// into sections. It knows geometry and divisions, not the language.
//
// A corner is blocked when it lies inside the block and no two edges there are on one line. The first
// full chord that reaches an inner point goes straight through it, so a drawing with a blocked corner
// cannot be divided, and every blocked corner needs a seam on one of its edges' lines past it, or one
// that goes through it. That none is blocked is necessary and not enough: package plan decides.
//
//	drawing.go   what is seen of shapes over each other: edges, lines, corners
//	state.go     the seams added so far, and which corners are blocked
//	moves.go     what may be added
//	search.go    best first, and what is kept of it
//	dive.go      a first answer, without looking back
//	answer.go    what an answer is worth, and in which order answers are offered
package seams

import (
	"context"

	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
)

// A Shape of a drawing lies over those before it.
type Shape struct {
	Outline    geom.Polygon
	Fabric     int  // shapes of one number look alike
	Background bool // may be split wherever it is useful
	Whole      bool // must not be split
}

// Options are how to search.
type Options struct {
	Plan  plan.Options
	Order Order
	// Merge makes one patch of neighbors of one fabric that are no background, too.
	Merge         bool
	Narrow, Sharp float64 // a patch narrower (hairs) or sharper (degrees) than this is a sliver
	Tiny          float64 // one narrower than this is too small to sew
	// Answers is how many are wanted; Effort how many states are looked at, at most.
	Answers, Effort int
	Progress        func(states, found int)

	variety   bool // level, upright and corner to corner seams are candidates as well
	everyLine bool // and lines through any two corners, those on the block's outline too
}

// DefaultEffort is enough to exhaust the candidates of a drawing with up to six blocked corners or so.
const DefaultEffort = 5_000

// DefaultAnswers are how many answers are given.
const DefaultAnswers = 5

// A Result is the answers, the best first, and how sure they are.
type Result struct {
	Answers []*Answer
	// Exhausted: no combination of the candidates that adds as few seams, or one line more, is better.
	Exhausted bool
	Stopped   bool // the context ended the search
	States    int
	Blocked   int // corners, at the start
	Least     int // lines that every answer adds, at least
	// Hopeless are blocked corners all of whose seams would split a shape that must stay whole.
	Hopeless []Corner
	// Notched are the shapes that are split whatever is added: a finished patch has no notch.
	Notched []int
}

// A Corner is a place, and the shapes around it.
type Corner struct {
	At     geom.Point
	Shapes []int
}

// An Answer is a drawing with seams added.
type Answer struct {
	Seams    []geom.Segment // those added
	Pieces   []Piece        // what the patches are then
	Division *sew.Division  // part i is Pieces[i]
	Plan     *plan.Plan
	Score    Score
	Split    []int // shapes that are no background and are split

	key string // of its lines, the same for its mirror image
}

// A Piece is a patch of an answer.
type Piece struct {
	Outline geom.Polygon
	Shape   int // that is seen there
}

// Add looks for seams that make a drawing one that can be planned. The outline is that of the block.
// It fails only on coordinates that have no place.
func Add(ctx context.Context, outline geom.Polygon, shapes []Shape, o Options) (*Result, error) {
	o.Answers = maxAnswers(o)
	if o.Effort == 0 {
		o.Effort = DefaultEffort
	}
	r, err := add(ctx, outline, shapes, o)
	if err != nil || !r.Exhausted || len(r.Answers) == 0 || len(r.Answers) >= o.Answers {
		return r, err
	}
	// For variety.
	more := o
	more.Effort, more.variety = o.Effort/4, true
	if other, err := add(ctx, outline, shapes, more); err == nil {
		other.Exhausted, other.Stopped, other.Least = true, false, r.Least
		r.Take(other, o)
	}
	return r, nil
}

func add(ctx context.Context, outline geom.Polygon, shapes []Shape, o Options) (*Result, error) {
	d, err := newDrawing(outline, shapes, o)
	if err != nil {
		return nil, err
	}
	s := newSearch(ctx, d, o)
	return s.run(), nil
}
