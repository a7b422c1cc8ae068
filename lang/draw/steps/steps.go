// Package steps says in words how a block is sewn: patch by patch on every
// foundation, then join by join. It is what the sheets and the guide print, and
// what the words of an animation are.
package steps

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Plan is how a block is sewn.
type Plan struct {
	Of       *sew.Block
	Unit     geom.Unit
	Sections []Section // in the order they are first needed by the joins
	Joins    []Join    // in an order that works
	NoJoins  string    // why there is no such order, in sentences; empty when there is one
	Sewable  bool      // everything can be sewn in this order
	Last     []Move    // what is left when everything is joined
}

// Section is how a foundation is sewn.
type Section struct {
	Of      *sew.Section
	Steps   []Step
	Fault   string       // why it cannot be sewn, in a sentence; empty when it can
	Outline geom.Polygon // the outer stitching line, in the block; nil when it is unclear
	Cut     geom.Polygon // the trimming line, likewise
	Jogs    []sew.Jog
	Finish  []Move   // when all patches are on
	Brief   []Move   // the same in few words
	Like    *Section // the section before that is sewn in the same way, its moves and pieces all the same
}

// Step is one patch going on.
type Step struct {
	Patch  *block.Patch
	Fabric *block.Fabric      // in the colourway; nil when it is unknown
	Piece  *cloth.PlacedPiece // how its piece is cut and laid; nil when that is unknown
	Laid   Laid               // the same, as the hands need it
	Cut    string             // the piece to cut; empty when there is none
	Seam   *sew.Seam          // nil for the first patch
	Full   []Move             // one hand movement after the other
	Brief  []Move             // the same for those who have done it once
	Past   string             // how far the stitches go past the ends of the seam
	Words  string             // the same in sentences
}

// Join is one join being sewn.
type Join struct {
	Of    *block.Join
	A, B  []*sew.Section // the units
	Line  *sew.JoinLine  // nil for the first part of a partial seam
	Part  *Part          // that part; nil for others
	Jogs  []string       // the steps along it, in words
	Words string
	Full  []Move
	Brief []Move
}

// Move is one movement of the hands, in words. Its kind says what a picture of it shows.
type Move struct {
	Kind  Kind
	Title string
	Words string
	Care  string // the caution that belongs here
	Side  int    // of a set-in join: which of its straight sides, from 0
}

// Kind is a kind of move.
type Kind uint8

// The kinds of moves.
const (
	Foundation   Kind = iota // the printed side of a section
	Light                    // a first piece on the blank side, against the light
	LightPrinted             // the same from the printed side
	Fold                     // a card on the line, the paper folded back
	Trim                     // a ruler on the fold
	Folded                   // both in one picture, when the hands know them
	Lay                      // the new piece right sides together
	Crease                   // a print upright over its place, folded under along the line
	Test                     // pinned and flipped
	Sew                      // stitched, printed side
	Back                     // the same, fabric side
	Open                     // flipped open
	Done                     // the same, printed side
	Baste                    // around a section
	Cut                      // a section trimmed
	Pin                      // two units pinned
	JoinSewn                 // stitched and pressed
	Joined                   // two units joined
	Measure                  // the block
	PaperOut                 // the paper torn out

	Kinds // how many there are
)

var kindNames = [Kinds]string{"foundation", "light", "light-printed", "fold", "trim", "folded", "lay", "crease", "test", "sew", "back", "open", "done",
	"baste", "cut", "pin", "join-sewn", "joined", "measure", "paper"}

// String is the kind in one word, for pages that are read by programs.
func (k Kind) String() string { return kindNames[k] }

// Options are what the words depend on.
type Options struct {
	Colourway *block.Colourway
	At        cloth.Placed // where in a quilt the block is sewn
	Cloth     cloth.Options
	Unit      geom.Unit
}

// Of is how a block is sewn.
func Of(b *sew.Block, how Options) *Plan {
	p := &Plan{Of: b, Unit: how.Unit, Sewable: !b.Of.Broken}
	if how.Colourway != nil {
		how.At.Colourway = how.Colourway
	}
	w := &writer{Plan: p, how: how, seams: cloth.Seams(b)}
	for _, s := range b.Sections {
		p.Sections = append(p.Sections, w.section(s))
	}
	w.joins()
	p.inOrder()
	p.alike()
	w.last()
	return p
}

// Faults say why a block cannot be sewn, in sentences.
func (p *Plan) Faults() (out []string) {
	for _, s := range p.Sections {
		if s.Fault != "" {
			out = append(out, s.Head()+": "+s.Fault)
		}
	}
	if p.NoJoins != "" {
		out = append(out, p.NoJoins)
	}
	return out
}

// inOrder puts the sections in the order in which the joins need them.
func (p *Plan) inOrder() {
	first := make(map[*block.Section]int)
	for i, j := range p.Joins {
		for k, s := range [2]*block.Section{j.Of.A, j.Of.B} {
			if _, ok := first[s]; !ok {
				first[s] = 2*i + k
			}
		}
	}
	slices.SortStableFunc(p.Sections, func(a, b Section) int { return first[a.Of.Of] - first[b.Of.Of] })
}

// alike finds the sections that are sewn like one before.
func (p *Plan) alike() {
	for i := range p.Sections {
		for k := range i {
			if p.Sections[k].Like == nil && p.Sections[i].like(&p.Sections[k]) {
				p.Sections[i].Like = &p.Sections[k]
				break
			}
		}
	}
}

// like says whether a section is sewn like another: a copy that is not mirrored, with pieces of the
// same fabrics and sizes, laid in the same way, without a print that is kept upright.
func (s *Section) like(o *Section) bool {
	a, b := s.Of.Of, o.Of.Of
	if a.Reported() != b.Reported() || len(s.Steps) != len(o.Steps) || flips(a) != flips(b) {
		return false
	}
	for i := range s.Steps {
		x, y := &s.Steps[i], &o.Steps[i]
		if x.Patch.Number != y.Patch.Number || x.Fabric != y.Fabric || x.Cut != y.Cut || x.Past != y.Past || (x.Seam == nil) != (y.Seam == nil) ||
			x.Laid.Up || y.Laid.Up || x.Laid.Edge != y.Laid.Edge || x.Laid.Where != y.Laid.Where {
			return false
		}
	}
	return true
}

// flips says whether a section is the mirror image of the one that it is like.
func flips(s *block.Section) bool {
	out := false
	for ; !s.Own(); s = s.CopyOf {
		out = out != s.Placed.Flips()
	}
	return out
}

type writer struct {
	*Plan
	how   Options
	seams map[*block.Patch]cloth.Seam
	order []int // of the joins
	lines map[*block.Join]*sew.JoinLine
}

func (w *writer) len(hairs float64) string { return w.Length(hairs) }

// Length is a length in words, never to be broken: 2 1/4 in.
func (p *Plan) Length(hairs float64) string { return texts.Measure(geom.Format(hairs, p.Unit)) }

// Label is how a quilter calls a patch: C4.
func Label(p *block.Patch) string { return p.Label() }

// FabricName is what a fabric is called on paper.
func FabricName(f *block.Fabric) string {
	if f == nil {
		return "a fabric"
	}
	return f.Called()
}

// labels are the labels of patches, by number.
func labels(patches []*block.Patch) string {
	patches = slices.Clone(patches)
	slices.SortStableFunc(patches, func(p, q *block.Patch) int { return p.Number - q.Number })
	words := make([]string, len(patches))
	for i, p := range patches {
		words[i] = Label(p)
	}
	return english.List(words)
}

func (w *writer) section(s *sew.Section) Section {
	out := Section{Of: s, Jogs: s.Jogs()}
	if outline := s.Outline(); outline != nil && allowance(w.Of.Of) > 0 && outer(w.Of.Of) > 0 {
		if fine, cut, ok := Cutting(w.Of.Of, outline); ok {
			out.Outline, out.Cut = fine, cut
		}
	}
	order := s.Order()
	switch {
	case len(s.Of.Patches) == 0:
		out.Fault = texts.FaultEmpty
	case s.Flawed():
		out.Fault = texts.FaultFlawed
	case order == nil:
		out.Fault = texts.FaultOrder
	}
	if out.Fault != "" {
		w.Sewable = false
	}
	if order == nil {
		for _, p := range s.Of.Patches {
			order = append(order, p.Number)
		}
	}
	byNumber := make(map[int]*block.Patch)
	for _, p := range s.Of.Patches {
		byNumber[p.Number] = p
	}
	seams := make(map[*block.Patch]*sew.Seam)
	all := s.Seams()
	for i := range all {
		seams[all[i].Patch] = &all[i]
	}
	for i, n := range order {
		p := byNumber[n]
		if p == nil {
			continue
		}
		step := Step{Patch: p, Fabric: w.how.At.Fabric(p.Fabric)}
		if i > 0 {
			step.Seam = seams[p]
		}
		w.piece(&step)
		w.moves(&out, &step, i == 0)
		out.Steps = append(out.Steps, step)
	}
	w.finish(&out)
	return out
}

// Short is a step in a few words: A2 Morning sky, 7 by 4 1/4 in.
func (s Step) Short() string {
	text := Label(s.Patch) + " " + FabricName(s.Fabric)
	if s.Cut != "" {
		text += ", " + s.Cut
	}
	return text
}

// Sequence is a section's order in a sentence: Sew A1 to A12 in this order. It is empty when the section cannot be sewn.
func (s Section) Sequence() string {
	if s.Fault != "" || len(s.Steps) == 0 {
		return ""
	}
	words := make([]string, len(s.Steps))
	inOrder := true
	for i, step := range s.Steps {
		words[i] = Label(step.Patch)
		inOrder = inOrder && step.Patch.Number == i+1
	}
	n, order, text := len(words), english.List(words), texts.SectionOrder
	switch {
	case n == 1:
		text = texts.SectionOne
	case inOrder && n > 3:
		order = words[0] + " to " + words[n-1]
	}
	return texts.Fill(text, "order", order)
}

// Turned says whether a section that is Like one before has its paper turned.
func (s *Section) Turned() bool {
	if s.Like == nil || len(s.Steps) == 0 {
		return false
	}
	a, b := s.Steps[0].Patch.Corners, s.Like.Steps[0].Patch.Corners
	return a[1].Sub(a[0]).Dist(b[1].Sub(b[0])) > geom.Hair
}

// Head is how a section is called: Section A, Jib.
func (s Section) Head() string {
	if called := s.Of.Of.Called(); called != "" {
		return texts.Fill(texts.SectionNamed, "section", s.Of.Of.Name, "title", called)
	}
	return texts.Fill(texts.SectionTitle, "section", s.Of.Of.Name)
}
