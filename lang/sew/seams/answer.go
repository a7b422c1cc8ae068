package seams

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/faces"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
)

// A Score is what an answer is judged by.
type Score struct {
	Splits     int // patches more than before, of shapes that are no background
	Sections   int
	Patches    int
	Slivers    int  // patches too narrow or too sharp, and places where seams almost match
	Asymmetric bool // though the drawing is the same on both sides of an axis
	Lines      int
	Length     float64
	Narrowest  float64
	Sharpest   float64 // degrees
}

// tiny is how many slivers a patch counts for that is too small to sew.
const tiny = 20

// An Order says what the counts of a score weigh. Where the sums are equal the counts decide in the order
// of the fields, and then the length.
type Order struct{ Split, Section, Patch, Sliver, Asymmetry, Line int }

// DefaultOrder puts motifs that stay whole first. SectionsFirst would rather split one than have a section more.
var (
	DefaultOrder  = Order{Split: 1000, Section: 150, Patch: 20, Sliver: 5, Asymmetry: 4, Line: 1}
	SectionsFirst = Order{Split: 150, Section: 1000, Patch: 20, Sliver: 5, Asymmetry: 4, Line: 1}
)

// Compare orders scores, the better first.
func (o Order) Compare(a, b Score) int {
	asymmetric := func(s Score) int {
		if s.Asymmetric {
			return 1
		}
		return 0
	}
	sum := func(s Score) int {
		return o.Split*s.Splits + o.Section*s.Sections + o.Patch*s.Patches + o.Sliver*s.Slivers + o.Asymmetry*asymmetric(s) + o.Line*s.Lines
	}
	return cmp.Or(cmp.Compare(sum(a), sum(b)), cmp.Compare(a.Splits, b.Splits), cmp.Compare(a.Sections, b.Sections), cmp.Compare(a.Patches, b.Patches),
		cmp.Compare(a.Slivers, b.Slivers), cmp.Compare(asymmetric(a), asymmetric(b)), cmp.Compare(a.Lines, b.Lines),
		cmp.Compare(math.Round(a.Length), math.Round(b.Length)))
}

// divide is the drawing with some seams: its patches, and the division they make.
func (d *drawing) divide(runs []run) ([]Piece, *sew.Division) {
	var lines []geom.Segment
	for _, l := range d.lines {
		for _, e := range l.edges {
			lines = append(lines, geom.Segment{A: l.point(e.from), B: l.point(e.to)})
		}
	}
	for _, r := range runs {
		lines = append(lines, d.segment(r))
	}
	found, err := faces.Subdivide(lines, faces.Options{Outline: d.outline})
	if err != nil {
		return nil, nil
	}
	var pieces []Piece
	var parts []geom.Polygon
	for _, f := range found.Faces {
		if len(f.Holes) > 0 {
			return nil, nil
		}
		shape := d.shapeAt(f.Outline.InteriorPoint())
		if shape < 0 {
			return nil, nil
		}
		pieces = append(pieces, Piece{f.Outline, shape})
		parts = append(parts, f.Outline)
	}
	division := sew.Divide(d.outline, parts)
	if division.Flawed() {
		return nil, nil
	}
	return pieces, division
}

// A sketch is a state without blocked corners as patches, before it is planned.
type sketch struct {
	*Answer
	from *state
	core []geom.Polygon // the patches that are to blame that it has no plan, or more than one section
}

// sketch divides a state without blocked corners into patches, and counts them.
func (d *drawing) sketch(s *state) *sketch {
	pieces, division := d.divide(s.runs)
	if division == nil {
		return nil
	}
	a := &Answer{Pieces: pieces, Division: division}
	a.Score = Score{Patches: len(pieces), Splits: -d.motifs, Lines: lineCount(s.runs)}
	for _, x := range pieces {
		if !d.shapes[x.Shape].Background {
			a.Score.Splits++
		}
	}
	for _, r := range s.runs {
		a.Score.Length += r.to - r.from
	}
	return &sketch{Answer: a, from: s}
}

// least is the best that a sketch can become, whatever seams are carried on besides.
func (x *sketch) least() Score {
	s := x.Score
	s.Sections = 1
	return s
}

// plan finds out whether a sketch can be planned, and judges it.
func (d *drawing) plan(ctx context.Context, x *sketch) bool {
	part := func(k int) { x.core = append(x.core, x.Division.Part(k)) }
	cost, ok := plan.CostOf(ctx, x.Division, d.o.Plan)
	if !ok {
		for _, k := range plan.Blame(x.Division) {
			for _, n := range k.Parts {
				part(n)
			}
		}
		return false
	}
	if cost.Sections > 1 {
		r := x.Division.Regions()
		for _, k := range r.Core(r.All(), nil).Parts() {
			part(k)
		}
	}
	sc := &x.Score
	sc.Sections, sc.Slivers = cost.Sections, cost.Near
	sc.Narrowest, sc.Sharpest = math.Inf(1), 180
	of := map[int]int{} // pieces by patch that they come of
	for _, p := range x.Pieces {
		width, sharp := 2*geom.InscribedCircle(p.Outline).R, sharpest(p.Outline)
		sc.Narrowest, sc.Sharpest = min(sc.Narrowest, width), min(sc.Sharpest, sharp)
		switch {
		case width < d.o.Tiny-tol:
			sc.Slivers += tiny
		case width < d.o.Narrow-tol || sharp < d.o.Sharp:
			sc.Slivers++
		}
		if !d.shapes[p.Shape].Background {
			of[d.patchAt(p.Outline.InteriorPoint())]++
		}
	}
	for k, n := range of {
		if n > 1 && k >= 0 && !slices.Contains(x.Split, d.faces[k].shape) {
			x.Split = append(x.Split, d.faces[k].shape)
		}
	}
	slices.Sort(x.Split)
	for _, r := range x.from.runs {
		x.Seams = append(x.Seams, d.segment(r))
	}
	sc.Asymmetric = len(d.mirror) > 0 && !d.symmetric(x.from.runs)
	x.key = d.linesKey(x.from.runs)
	return true
}

// patchAt is the patch of the drawing, before seams are added, that a place is in.
func (d *drawing) patchAt(p geom.Point) int {
	for i, f := range d.faces {
		if f.Contains(p) != geom.Outside && !slices.ContainsFunc(f.holes, func(h geom.Polygon) bool { return h.Contains(p) == geom.Inside }) {
			return i
		}
	}
	return -1
}

// sharpest is the sharpest corner of a patch, in degrees.
func sharpest(p geom.Polygon) float64 {
	least := 180.0
	for i := range p {
		a, b := p[(i+len(p)-1)%len(p)].Sub(p[i]), p[(i+1)%len(p)].Sub(p[i])
		least = min(least, math.Abs(math.Atan2(a.Cross(b), a.Dot(b)))*180/math.Pi)
	}
	return least
}

// symmetric says whether runs are their own image in one of the drawing's mirrors.
func (d *drawing) symmetric(runs []run) bool {
	for m := range d.mirror {
		same := true
		for _, r := range runs {
			l := d.lines[r.line]
			to := l.mirror[m]
			same = same && to >= 0 && slices.ContainsFunc(runs, func(o run) bool {
				if o.line != to {
					return false
				}
				a, _ := d.lines[to].place(d.mirror[m](l.point(r.from)))
				b, _ := d.lines[to].place(d.mirror[m](l.point(r.to)))
				return math.Abs(min(a, b)-o.from) <= tol && math.Abs(max(a, b)-o.to) <= tol
			})
		}
		if same {
			return true
		}
	}
	return false
}

// linesKey names the lines that runs lie on, and their mirror images: answers on the same lines differ
// by where seams stop.
func (d *drawing) linesKey(runs []run) string {
	name := func(image func(l int) int) string {
		var lines []int
		for _, r := range runs {
			lines = append(lines, image(r.line))
		}
		slices.Sort(lines)
		var words []string
		for _, l := range slices.Compact(lines) {
			words = append(words, strconv.Itoa(l))
		}
		return strings.Join(words, " ")
	}
	best := name(func(l int) int { return l })
	for m := range d.mirror {
		if !slices.ContainsFunc(runs, func(r run) bool { return d.lines[r.line].mirror[m] < 0 }) {
			best = min(best, name(func(l int) int { return d.lines[l].mirror[m] }))
		}
	}
	return best
}

// Mergeable says whether neighbors that are no background look alike, so that they might be one patch.
func Mergeable(outline geom.Polygon, shapes []Shape) bool {
	d, err := newDrawing(outline, shapes, Options{})
	if err != nil {
		return false
	}
	for i, f := range d.faces {
		for _, g := range d.faces[:i] {
			if f.shape < 0 || g.shape < 0 || shapes[f.shape].Background || shapes[f.shape].Fabric != shapes[g.shape].Fabric || shapes[f.shape].Whole != shapes[g.shape].Whole {
				continue
			}
			for k := range f.Polygon {
				e := f.Edge(k)
				if slices.ContainsFunc(edges(g.Polygon), func(o geom.Segment) bool { return o.Holds(e) || e.Holds(o) }) {
					return true
				}
			}
		}
	}
	return false
}

func edges(p geom.Polygon) []geom.Segment {
	out := make([]geom.Segment, len(p))
	for i := range p {
		out[i] = p.Edge(i)
	}
	return out
}

// Take adds the answers of another result for the same drawing.
func (r *Result) Take(o *Result, how Options) {
	for _, a := range o.Answers {
		same := func(b *Answer) bool {
			return len(a.Pieces) == len(b.Pieces) && !slices.ContainsFunc(a.Pieces, func(p Piece) bool {
				return !slices.ContainsFunc(b.Pieces, func(q Piece) bool { return p.Outline.Matches(q.Outline) })
			})
		}
		if !slices.ContainsFunc(r.Answers, same) {
			r.Answers = append(r.Answers, a)
		}
	}
	slices.SortStableFunc(r.Answers, func(a, b *Answer) int { return how.Order.Compare(a.Score, b.Score) })
	r.Answers = r.Answers[:min(len(r.Answers), maxAnswers(how))]
	r.Exhausted, r.Stopped = r.Exhausted && o.Exhausted, r.Stopped || o.Stopped
	r.States, r.Least = r.States+o.States, min(r.Least, o.Least)
	if len(r.Hopeless) > 0 && len(o.Answers) > 0 {
		r.Hopeless = nil
	}
}

func maxAnswers(o Options) int {
	if o.Answers == 0 {
		return DefaultAnswers
	}
	return o.Answers
}

// Seen are the patches that are seen of shapes over each other, and their division; nil where one has a hole.
func Seen(outline geom.Polygon, shapes []Shape) ([]Piece, *sew.Division) {
	d, err := newDrawing(outline, shapes, Options{})
	if err != nil {
		return nil, nil
	}
	return d.divide(nil)
}
