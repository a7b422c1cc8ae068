// Package steps says in words how a block is sewn: patch by patch on every
// foundation, then join by join. It is what the sheets and the guide print, and
// what the words of an animation are.
package steps

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
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
}

// Section is how a foundation is sewn.
type Section struct {
	Of    *sew.Section
	Steps []Step
	Fault string // why it cannot be sewn, in a sentence; empty when it can
}

// Step is one patch going on.
type Step struct {
	Patch  *block.Patch
	Fabric *block.Fabric      // in the colourway; nil when it is unknown
	Piece  *cloth.PlacedPiece // how its piece is cut and laid; nil when that is unknown
	Cut    string             // the piece to cut; empty when there is none
	Seam   *sew.Seam          // nil for the first patch
	Words  string
}

// Join is one join being sewn.
type Join struct {
	Of    *block.Join
	A, B  []*sew.Section // the units
	Line  *sew.JoinLine  // nil for the first part of a partial seam
	Words string
}

// How is what the words depend on.
type How struct {
	Colourway *block.Colourway
	At        cloth.Placed // where in a quilt the block is sewn
	Cloth     cloth.Options
	Unit      geom.Unit
}

// Of is how a block is sewn.
func Of(b *sew.Block, how How) *Plan {
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

type writer struct {
	*Plan
	how   How
	seams map[*block.Patch]cloth.Seam
}

func (w *writer) len(hairs float64) string { return geom.Format(hairs, w.Unit) }

// Label is how a quilter calls a patch: C4.
func Label(p *block.Patch) string { return cloth.LabelOf(p) }

// FabricName is what a fabric is called on paper.
func FabricName(f *block.Fabric) string {
	switch {
	case f == nil:
		return "a fabric"
	case f.Title != "":
		return f.Title
	}
	return f.Name
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
	out := Section{Of: s}
	order := s.Order()
	switch {
	case len(s.Of.Patches) == 0:
		out.Fault = "This section has no patches yet."
	case s.Flawed():
		out.Fault = "This section cannot be sewn: its patches do not fill it once."
	case order == nil:
		out.Fault = "This section cannot be sewn: no order of its patches works. The patches are shown by their numbers."
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
		if piece, ok := cloth.Place(p, w.seams[p], w.how.At, w.how.Cloth); ok {
			step.Piece, step.Cut = piece, w.cut(piece.Pick)
		}
		step.Words = w.words(step, i)
		out.Steps = append(out.Steps, step)
	}
	return out
}

// cut is the size of a piece in words.
func (w *writer) cut(o cloth.Offer) string {
	switch o.Form {
	case cloth.HalfSquare:
		return "half of a " + w.len(o.Along) + " square, cut corner to corner"
	case cloth.QuarterSquare:
		return "a quarter of a " + w.len(o.Along) + " square, cut corner to corner twice"
	case cloth.Strip:
		return "a strip " + w.len(o.Across) + " wide"
	}
	if o.Along == o.Across {
		return w.len(o.Along) + " square"
	}
	return geom.FormatNumber(geom.RoundTo(o.Along, 1e-6), w.Unit) + " by " + w.len(o.Across)
}

// words says how a patch goes on.
func (w *writer) words(s Step, turn int) string {
	allowance := ""
	if a := w.Of.Of.Allowance; a != nil && !a.Broken {
		allowance = " to " + w.len(a.Size.Float64())
	}
	name := Label(s.Patch)
	if turn == 0 {
		return fmt.Sprintf("Lay %s on the unprinted side of the foundation, right side up, so that it covers %s and reaches past it on every side. Hold it up to the light to see. Pin it, or fix it with a dab of glue.", FabricName(s.Fabric), name)
	}
	if s.Seam == nil {
		return fmt.Sprintf("%s cannot be sewn on here in one straight seam.", name)
	}
	side := "one edge"
	if s.Piece != nil {
		switch o := s.Piece.Pick; {
		case o.Form == cloth.HalfSquare || o.Form == cloth.QuarterSquare:
			side = "the long edge"
		case o.Keeps:
			side = "the edge next to the line"
		case o.Along > o.Across:
			side = "a long edge"
		case o.Along < o.Across && o.Form == cloth.Rectangle:
			side = "a short edge"
		}
	}
	text := fmt.Sprintf("Lay %s right side down on %s, with %s%s past the line that %s shares with %s. Stitch on that line from the printed side, trim the seam%s, and press it over %s.",
		FabricName(s.Fabric), labels(s.Seam.On), side, strings.Replace(allowance, " to", "", 1), name, labels(s.Seam.On), allowance, name)
	if s.Fabric != nil && s.Fabric.Directional {
		text += " The print keeps its up."
	}
	return text
}

// Short is a step in a few words: A2 Morning sky, 7 by 4 1/4 in.
func (s Step) Short() string {
	text := Label(s.Patch) + " " + FabricName(s.Fabric)
	if s.Cut != "" {
		text += ", " + s.Cut
	}
	return text
}

// Order is a section's order in a few words: 1, 2, 3. It is empty when the section cannot be sewn.
func (s Section) Order() string {
	if s.Fault != "" {
		return ""
	}
	words := make([]string, len(s.Steps))
	inOrder := true
	for i, step := range s.Steps {
		words[i] = strconv.Itoa(step.Patch.Number)
		inOrder = inOrder && step.Patch.Number == i+1
	}
	if n := len(words); inOrder && n > 3 {
		return "1 to " + strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}

// Head is how a section is called: Section A, Jib.
func (s Section) Head() string {
	if s.Of.Of.Title == "" {
		return "Section " + s.Of.Of.Name
	}
	return "Section " + s.Of.Of.Name + ", " + s.Of.Of.Title
}
