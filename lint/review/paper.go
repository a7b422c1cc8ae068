package review

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/compare"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/english"
	"sewable/lang/sew"
	"sewable/lint"
	"sewable/lint/output"
)

// Paper is which of the things that are printed of a block or a quilt read or look otherwise than before: what
// a workshop has in its drawer is out of date. It is decided by what the writers print, words, numbers and
// geometry, but for page numbers and where things lie on a page.
type Paper struct {
	Foundations []string // sections, as they are called now
	First       bool     // the first pages of the foundations
	Guide       bool
	Labels      bool
	Cuts        bool // the cut list
}

// Any reports whether anything is to be printed again.
func (p Paper) Any() bool {
	return len(p.Foundations) > 0 || p.First || p.Guide || p.Labels || p.Cuts
}

// Artifacts names what is out of date: the foundation of A, the guide.
func (p Paper) Artifacts() []string {
	var out []string
	switch n := len(p.Foundations); {
	case n == 1:
		out = append(out, "foundation "+p.Foundations[0])
	case n > 1:
		out = append(out, "foundations "+english.List(p.Foundations))
	}
	for _, a := range []struct {
		is   bool
		name string
	}{{p.First, "first page"}, {p.Guide, "guide"}, {p.Labels, "labels"}, {p.Cuts, "cut list"}} {
		if a.is {
			out = append(out, a.name)
		}
	}
	return out
}

// Words are the artifacts in a row.
func (p Paper) Words() string { return english.List(p.Artifacts()) }

type sum = [sha256.Size]byte

// printed is what is printed of a block on one side, as sums of it.
type printed struct {
	err         error // why nothing can be printed
	first       sum
	guide       sum
	foundations map[string]sum
	labels      string // their size and paper
	pieces      string // what the cut list and the labels follow from
	list        func() (*cloth.List, error)
}

// printedOf works out what is printed of a block, or of one as it lies in a quilt.
func (s *side) printedOf(o *opened, b *sew.Block, at cloth.Placed) *printed {
	set := s.config.For(s.tree.Abs(o.path)).For(o.model.Unit)
	at.Block, at.Count = b.Of, 1
	p := sheet.Pattern{Block: b, Cloth: set.Cutting(), Colourway: at.Colourway, Mirrored: at.Mirrored, Turned: at.Turned, Up: at.Up}
	for _, f := range slices.Concat(o.findings, o.accepted) {
		switch {
		case f.Level < lint.Error || f.Block != b.Of.Name && f.Block != "":
		case f.Accepted == "":
			p.Faults = append(p.Faults, f.Message)
		default:
			p.Accepted = append(p.Accepted, output.AcceptedWords(f))
		}
	}
	out := &printed{foundations: map[string]sum{}, labels: fmt.Sprint(set.LabelWidth, set.LabelHeight, set.LabelGap, set.Paper, set.Margin)}
	out.list = func() (*cloth.List, error) {
		return cloth.NewList(cloth.Order{Blocks: []cloth.Placed{at}, Kits: 1}, s.cutting(o.model.Unit))
	}
	paper := sheet.Options{Paper: sheet.Paper{Name: set.Paper.Name, Width: set.Paper.Width.Float64(), Height: set.Paper.Height.Float64()}, Margin: set.Margin.Float64()}
	is, err := sheet.ContentOf(p, paper)
	if err != nil {
		out.err = err
		return out
	}
	on := fmt.Sprint(paper)
	var first, guide bytes.Buffer
	fmt.Fprint(&first, on, p.Alert())
	for _, page := range is.First {
		is := page.Digest()
		first.Write(is[:])
	}
	fmt.Fprint(&guide, on, b.Of.Name, p.Faults, p.Accepted)
	guideWords(&guide, is.Plan, at)
	for _, section := range is.Plan.Sections {
		name := section.Of.Of.Name
		drawn := is.Foundations[name].Digest()
		guide.Write(drawn[:])
		out.foundations[name] = sha256.Sum256(append([]byte(on), drawn[:]...))
		out.pieces += piecesOf(section)
	}
	out.first, out.guide = sha256.Sum256(first.Bytes()), sha256.Sum256(guide.Bytes())
	return out
}

// guideWords writes all that a guide says. What its pictures show beside the foundations, the colors of the fabrics
// and which of their sides have a top, goes with it.
func guideWords(w io.Writer, plan *steps.Plan, at cloth.Placed) {
	moves := func(lists ...[]steps.Move) {
		for _, m := range slices.Concat(lists...) {
			fmt.Fprintln(w, m.Kind, m.Title, m.Words, m.Care)
		}
	}
	for _, s := range plan.Sections {
		fmt.Fprintln(w, s.Head(), s.Sequence(), s.Fault, len(s.Jogs), s.Turned(), s.Like != nil)
		for _, n := range s.Of.Of.Notes {
			fmt.Fprintln(w, n.Text)
		}
		for _, step := range s.Steps {
			colour, up := "", false
			if f := at.Fabric(step.Patch.Fabric); f != nil {
				colour, up = f.Colour, f.Directional
			}
			fmt.Fprintln(w, steps.Label(step.Patch), steps.FabricName(step.Fabric), step.Cut, step.Past, step.Words, step.Patch.Note, colour, up)
			moves(step.Full, step.Brief)
		}
		moves(s.Finish, s.Brief)
	}
	for _, j := range plan.Joins {
		fmt.Fprintln(w, j.Words, j.Jogs)
		moves(j.Full, j.Brief)
	}
	fmt.Fprintln(w, plan.NoJoins, plan.Sewable)
	moves(plan.Last)
}

// piecesOf is what the cut list and the labels of a section's pieces follow from.
func piecesOf(s steps.Section) string {
	var b strings.Builder
	for _, step := range s.Steps {
		if f := step.Fabric; f != nil {
			fmt.Fprintln(&b, f.Name, f.Called(), f.Width.Float64(), f.Directional)
		}
		fmt.Fprintln(&b, steps.Label(step.Patch), step.Cut, step.Laid.Edge, step.Laid.Where)
		if is := step.Piece; is != nil {
			fmt.Fprintln(&b, is.Pick.Form, mm(is.Pick.Along), mm(is.Pick.Across), is.Pick.Keeps, mm(is.Width), mm(is.Height))
		}
	}
	return b.String()
}

// paperOf compares what is printed of a block on both sides. Sections are paired as the diff has them.
func paperOf(old, new *printed, sections []compare.Section) Paper {
	var out Paper
	if new.err != nil {
		return out // nothing can be printed of it
	}
	for _, s := range sections {
		if s.After == nil {
			continue
		}
		was, ok := sum{}, false
		if s.Before != nil && old.err == nil {
			was, ok = old.foundations[s.Before.Name]
		}
		if is, now := new.foundations[s.After.Name]; now && (!ok || was != is) {
			out.Foundations = append(out.Foundations, s.After.Name)
		}
	}
	out.First, out.Guide = old.err != nil || old.first != new.first, old.err != nil || old.guide != new.guide
	list, labels := listTexts(old, new)
	out.Cuts, out.Labels = list, labels || list && old.err != nil
	out.First = out.First || list // it has the cut list
	if old.labels != new.labels {
		out.Labels = true
	}
	return out
}

// listTexts reports whether the cut list and the labels of two sides read otherwise.
func listTexts(old, new *printed) (list, labels bool) {
	if old.err == nil && old.pieces == new.pieces {
		return false, false
	}
	text := func(p *printed) (list, labels string) {
		l, err := p.list()
		if err != nil {
			return "", ""
		}
		var a, b bytes.Buffer
		_, _ = cutlist.Text(&a, l, false), cutlist.LabelsCSV(&b, l) // a buffer takes everything
		return a.String(), b.String()
	}
	x, a := text(old)
	y, b := text(new)
	return x != y, a != b
}

// paper is what is to be printed again of a pair of blocks.
func (b *blockPair) printed(old, new *opened, x, y *side) Paper {
	if !y.prints || b.before == nil || b.after == nil || old == nil || new == nil {
		return Paper{}
	}
	return paperOf(x.printedOf(old, b.before, cloth.Placed{}), y.printedOf(new, b.after, cloth.Placed{}), b.diff.Sections)
}

// printed is what is to be printed again of a pair of settings: the foundations are said with their blocks.
func (q *quiltPair) printed(old, new *opened, x, y *side) Paper {
	if !y.prints || q.before == nil || q.after == nil || q.diff.Faulty.After != nil {
		return Paper{}
	}
	of := func(s *side, o *opened, set *block.Setting) *printed {
		held := s.config.For(s.tree.Abs(o.path)).For(o.model.Unit)
		return &printed{
			labels: fmt.Sprint(held.LabelWidth, held.LabelHeight, held.LabelGap, held.Paper, held.Margin),
			list: func() (*cloth.List, error) {
				quilt, err := cloth.QuiltOf(set)
				if err != nil {
					return nil, err
				}
				return cloth.NewList(cloth.Order{Quilts: []*cloth.Quilt{quilt}, Kits: 1}, s.cutting(o.model.Unit))
			},
		}
	}
	a, b := of(x, old, q.before), of(y, new, q.after)
	a.pieces, b.pieces = "before", "after" // a quilt is compared by its list
	var out Paper
	out.Cuts, out.Labels = listTexts(a, b)
	out.Labels = out.Labels || a.labels != b.labels
	return out
}
