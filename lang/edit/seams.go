package edit

import (
	"context"
	"errors"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
	"sewable/lang/sew/seams"
	"sewable/lang/syntax"
)

// Adding says how seams may be added to a drawing that has no plan without them, or whose patches lie
// over each other.
type Adding struct {
	seams.Options
	Background []string // fabrics; those that take up a whole side of the block when there are none
	Whole      []string // fabrics whose patches stay whole
	Take       int      // the answer that is taken, from 1; 0: the first
}

// Added is what was found out about the seams that a drawing lacks.
type Added struct {
	*seams.Result
	Shapes     []*DrawnPatch // the drawing; the shapes of the result
	Background []string      // fabrics that were taken for it
	Answers    []*Planned    // in the order of the result's; each is a plan of the whole block
	Taken      int           // from 0
	Nudges     []seams.Nudge // corners to move, so that fewer seams do
}

// ErrTake is an answer that there is not.
var ErrTake = errors.New("there are not so many answers")

// stacked says that patches lie over each other, and nothing else is wrong.
func stacked(d *sew.Division) bool {
	return !slices.ContainsFunc(d.Flaws(), func(f sew.Flaw) bool { return f.Kind != sew.Overlap })
}

// add looks for seams to add. Of patches that lie over each other the later ones are seen.
func (w *planWriter) add(ctx context.Context) error {
	o := w.o.Add
	shapes := make([]seams.Shape, len(w.p.Patches))
	fabrics := map[string]int{}
	for i, x := range w.p.Patches {
		if _, known := fabrics[x.Fabric]; !known {
			fabrics[x.Fabric] = len(fabrics)
		}
		shapes[i] = seams.Shape{Outline: x.Corners, Fabric: fabrics[x.Fabric], Whole: slices.Contains(o.Whole, x.Fabric)}
	}
	added := &Added{Shapes: w.p.Patches, Background: o.Background}
	if len(added.Background) == 0 {
		for _, n := range seams.Background(w.b.Outline, shapes) {
			for name, is := range fabrics {
				if is == n && !slices.Contains(o.Whole, name) {
					added.Background = append(added.Background, name)
				}
			}
		}
	}
	slices.Sort(added.Background)
	for i, x := range w.p.Patches {
		shapes[i].Background = slices.Contains(added.Background, x.Fabric)
	}
	w.shapes = shapes
	how := o.Options
	how.Plan = w.o.Options
	r, err := seams.Add(ctx, w.b.Outline, shapes, how)
	if err != nil {
		return err
	}
	added.Result = r
	w.p.Added = added
	var kept []*seams.Answer
	for _, a := range r.Answers {
		if p := w.answered(a); p != nil {
			kept, added.Answers = append(kept, a), append(added.Answers, p)
		}
	}
	r.Answers = kept
	if len(kept) == 0 {
		return nil
	}
	if o.Take > len(kept) {
		return ErrTake
	}
	added.Nudges = seams.Nudges(ctx, w.b.Outline, shapes, how, kept[0])
	added.Taken = max(o.Take, 1) - 1
	w.p.take(added.Answers[added.Taken])
	return nil
}

// take is a plan of the block made the one that is written.
func (p *Planned) take(o *Planned) {
	p.Patches, p.Division, p.Plan = o.Patches, o.Division, o.Plan
	p.Names, p.Titles, p.Lost, p.Notches, p.Edits = o.Names, o.Titles, o.Lost, o.Notches, o.Edits
}

// lastResort plans a drawing with set-in and partial seams, as it is, or as it is seen where patches lie over each
// other.
func (w *planWriter) lastResort(ctx context.Context, over bool) {
	a := &seams.Answer{Division: w.p.Division}
	for i, x := range w.p.Patches {
		a.Pieces = append(a.Pieces, seams.Piece{Outline: x.Corners.CCW(), Shape: i})
	}
	if over {
		a.Pieces, a.Division = seams.Seen(w.b.Outline, w.shapes)
	}
	if a.Division == nil {
		return
	}
	if a.Plan = plan.LastResort(ctx, a.Division, w.o.Options); a.Plan == nil {
		return
	}
	if p := w.answered(a); p != nil {
		w.p.take(p)
	}
}

// answered is an answer as a plan of the block; nil when it does not read back.
func (w *planWriter) answered(a *seams.Answer) *Planned {
	one := *w
	one.p = &Planned{Block: w.b, Division: a.Division, Plan: a.Plan, Lines: w.p.Lines}
	told := map[int]bool{} // shapes whose comments are written
	for _, x := range a.Pieces {
		of := w.p.Patches[x.Shape]
		if of.Corners.CCW().Matches(x.Outline) {
			one.p.Patches = append(one.p.Patches, of)
			continue
		}
		d := &DrawnPatch{Fabric: of.Fabric, Corners: x.Outline, line: of.Fabric}
		for _, c := range x.Outline.FromLowerLeft() {
			d.line += " " + Point(w.b, c)
		}
		if !told[x.Shape] {
			told[x.Shape] = true
			d.line, d.remarks = d.line+w.behind(of), of.remarks
		}
		one.p.Patches = append(one.p.Patches, d)
	}
	if one.finish() != nil {
		return nil
	}
	return one.p
}

// behind is the comment at the end of a patch as it was typed.
func (w *planWriter) behind(x *DrawnPatch) string {
	if x.Of == nil || x.Of.Item == nil || x.Of.Of != nil || x.Of.Item.Comment.Len() == 0 {
		return ""
	}
	return "  " + strings.TrimSpace(w.text[x.Of.Item.Comment.Start:x.Of.Item.Comment.End])
}

// finish names the sections of a plan and writes it, with the notches that its joins want.
func (w *planWriter) finish() error {
	p := w.p
	for i := range p.Plan.Sections {
		p.Names = append(p.Names, SectionName(i))
	}
	w.keepTitles()
	w.write(nil)
	for range 3 { // a notch may make another edge mistakable
		after := w.read()
		if after == nil {
			return ErrUnsound
		}
		missing := missingNotches(after, w.o.Unmarked)
		if len(missing) == 0 {
			break
		}
		p.Notches = append(p.Notches, missing...)
		w.write(p.Notches)
	}
	return nil
}

// MoveCorner moves a corner of the drawing wherever it is typed as coordinates; none where it is not.
func MoveCorner(b *block.Block, n seams.Nudge) []Edit {
	var out []Edit
	for _, x := range b.Loose {
		node, ok := x.Item.Node.(*syntax.Patch)
		if !ok || len(node.Corners) != len(x.Corners) {
			continue
		}
		for i, p := range node.Corners {
			if pair, ok := p.(*syntax.Pair); ok && x.Corners[i].Dist(n.From) <= geom.Hair {
				out = append(out, Edit{x.Item.Abs(pair.Span), geom.FormatPoint(n.To, b.File.Unit)})
			}
		}
	}
	return out
}
