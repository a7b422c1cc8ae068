package edit

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/faces"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
	"sewable/lang/sew/seams"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
)

// What is planned while somebody waits, for a fix or in an editor: a drawing that takes longer is for
// a command of its own.
const (
	QuickEffort  = 2_000
	QuickPatches = 100 // at most
	QuickWays    = 600 // to add seams
)

// A PlanFor says how a block is to be planned.
type PlanFor struct {
	plan.Options
	// Width and Height of what can be printed on a sheet, allowances included; hairs. With 0
	// sections may have any size.
	SheetWidth, SheetHeight float64

	Unmarked float64 // a longer join without a mark gets a notch; hairs
	Close    float64 // ends of lines this near are closed; hairs
	Again    bool    // the sections and joins that the block has are given up
	Add      *Adding // where there is no plan, seams are added; nil: none
}

// A Planned block is a plan as an edit of the file.
type Planned struct {
	Block    *block.Block
	Division *sew.Division // of the drawing; part i is Patches[i]
	Patches  []*DrawnPatch
	Plan     *plan.Plan         // nil: there is none without an inset or partial seam
	Knots    []plan.Knot        // then: the places to blame
	Names    []string           // of Plan.Sections
	Titles   []string           // of Plan.Sections, kept of those they were; or empty
	Lost     []*block.Section   // had titles, and none of Plan.Sections has their patches
	Notches  []string           // those added
	Lines    *faces.Subdivision // of a block drawn in lines only, or nil
	Added    *Added             // where seams were looked for, or nil
	// Untiled is how many sections would do if they could be larger than a sheet; 0: no fewer.
	Untiled int

	Edits []Edit
}

// A DrawnPatch is a patch of the drawing.
type DrawnPatch struct {
	Of      *block.Patch // nil for a face that lines enclose
	Fabric  string
	Corners geom.Polygon

	line    string   // behind the number: fabric, shape, what follows, the comment
	remarks []string // the comments above it
}

// Reasons why a block is not planned, beside that no plan exists.
var (
	ErrNoDrawing = errors.New("it has no patches and no lines")
	ErrSections  = errors.New("it is already divided into sections")
	ErrPartly    = errors.New("some of its patches are already in sections and some are not")
	ErrBroken    = errors.New("one of its lines cannot be read or resolved")
	ErrHole      = errors.New("its lines enclose a patch with a hole, and a patch cannot have a hole")
	ErrElsewhere = errors.New("it has sections of other blocks, which cannot be planned again here")
	ErrUnsound   = errors.New("internal error: the planned file does not match the plan")
)

// A FlawedDrawing is a drawing whose patches do not fill the block once.
type FlawedDrawing struct{ Flaws []sew.Flaw }

func (FlawedDrawing) Error() string { return "its patches leave gaps or overlap" }

// Plan divides the drawing of a block into sections, with their orders, joins and
// notches. Without an error, the plan is nil only when there is none.
func Plan(ctx context.Context, f *block.File, b *block.Block, o PlanFor) (*Planned, error) {
	if b.Broken || b.Outline == nil {
		return nil, ErrBroken
	}
	if len(b.Sections) > 0 && !o.Again {
		if len(b.Loose) > 0 {
			return nil, ErrPartly
		}
		return nil, ErrSections
	}
	w := planWriter{f: f, b: b, o: o, p: &Planned{Block: b}, text: f.Source.Text}
	p := w.p
	if err := w.drawing(); err != nil {
		return p, err
	}
	parts := make([]geom.Polygon, len(p.Patches))
	for i, x := range p.Patches {
		parts[i] = x.Corners
	}
	p.Division = sew.Divide(b.Outline, parts)
	over := p.Division.Flawed()
	if over && (o.Add == nil || !stacked(p.Division)) {
		return p, FlawedDrawing{p.Division.Flaws()}
	}
	if b.Allowance != nil {
		o.Near = b.Allowance.Size.Float64() / 2
	}
	if o.SheetWidth > 0 && o.SheetHeight > 0 && b.Allowance != nil {
		around := 2 * max(b.Allowance.Size.Float64(), b.OuterAllowance.Size.Float64())
		o.Width, o.Height = o.SheetWidth-around, o.SheetHeight-around
	}
	w.o = o
	if p.Plan = plan.Of(ctx, p.Division, o.Options); p.Plan != nil {
		p.Untiled = w.untiled(ctx)
		return p, w.finish()
	}
	if !over {
		p.Knots = plan.Blame(p.Division)
	}
	if o.Add == nil {
		return p, nil
	}
	err := w.add(ctx)
	if err == nil && p.Plan == nil {
		w.lastResort(ctx, over)
	}
	p.Untiled = w.untiled(ctx)
	return p, err
}

// untiled is how many sections there would be if they need not fit on a sheet; 0 where there would be no fewer.
func (w *planWriter) untiled(ctx context.Context) int {
	p, o := w.p, w.o.Options
	if p.Plan == nil || p.Plan.Cost.Sections < 2 || o.Width <= 0 || o.Height <= 0 {
		return 0
	}
	o.Width, o.Height = 0, 0
	if cost, ok := plan.CostOf(ctx, p.Division, o); ok && cost.Sections < p.Plan.Cost.Sections {
		return cost.Sections
	}
	return 0
}

// SectionName counts A to Z, then AA, AB: a section's name may not end in a digit.
func SectionName(i int) string {
	name := string(rune('A' + i%26))
	if i < 26 {
		return name
	}
	return SectionName(i/26-1) + name
}

// A planWriter writes a plan into the place of a drawing.
type planWriter struct {
	f    *block.File
	b    *block.Block
	o    PlanFor
	p    *Planned
	text string

	gone    map[*syntax.Item]bool // items of the block that the plan replaces
	fabrics []string              // statements for fabrics of its own
	shapes  []seams.Shape         // of the drawing, where seams were looked for
	keep    []string              // lines out of sections that are given up
}

// drawing collects the patches, and the items that they stand in.
func (w *planWriter) drawing() error {
	w.gone = map[*syntax.Item]bool{}
	if len(w.b.Loose) == 0 && len(w.b.Sections) == 0 {
		return w.faces()
	}
	for _, x := range w.b.Loose {
		if x.Item == nil || len(x.Corners) < 3 {
			return ErrBroken
		}
	}
	for _, s := range w.b.Sections {
		switch {
		case s.Broken:
			return ErrBroken
		case s.FromElsewhere():
			return ErrElsewhere
		}
	}
	w.typed(w.b.Item.Body, w.b.Loose)
	for _, s := range w.b.Sections {
		if s.CopyOf == nil {
			rest := w.typed(s.Item.Body, s.Patches)
			w.keep = append(w.keep, rest...)
			continue
		}
		for _, x := range s.Patches {
			w.p.Patches = append(w.p.Patches, w.given(x, nil))
		}
	}
	for _, it := range w.b.Item.Body {
		switch it.Word {
		case "section", "join", "finish":
			w.gone[it] = true
		}
	}
	if w.o.Again {
		for _, n := range w.b.Notches {
			if n.Item != nil && w.b.Outline.Contains(n.Point) != geom.OnEdge {
				w.gone[n.Item] = true
			}
		}
	}
	return nil
}

// typed takes patches that stand among items, with the comments above each. It gives
// the comments and notes that belong to none.
func (w *planWriter) typed(items []*syntax.Item, patches []*block.Patch) (rest []string) {
	of := map[*syntax.Item]*block.Patch{}
	for _, x := range patches {
		of[x.Item] = x
	}
	var above []*syntax.Item
	byPatch := map[*block.Patch]*DrawnPatch{}
	flush := func() {
		for _, it := range above {
			rest = append(rest, strings.TrimSpace(w.text[it.Raw.Start:it.Raw.End]))
		}
		above = nil
	}
	for _, it := range items {
		x := of[it]
		switch {
		case it.Kind == syntax.Remark:
			above = append(above, it)
			continue
		case x != nil:
			var remarks []string
			for _, r := range above {
				remarks = append(remarks, strings.TrimSpace(w.text[r.Raw.Start:r.Raw.End]))
				w.gone[r] = true
			}
			above = nil
			w.gone[it] = true
			byPatch[x] = w.given(x, remarks)
		case it.Word == "note":
			flush()
			rest = append(rest, strings.TrimSpace(w.text[it.Raw.Start:it.Raw.End]))
		default:
			flush()
		}
	}
	flush()
	for _, x := range patches { // in the order of their numbers
		w.p.Patches = append(w.p.Patches, byPatch[x])
	}
	return rest
}

// given is a patch with the line that stands behind its number. Typed corners keep
// their spelling. A cut size is left out where the seam may be another one now.
func (w *planWriter) given(x *block.Patch, remarks []string) *DrawnPatch {
	d := &DrawnPatch{Of: x, Corners: x.Corners, Fabric: fabricName(x), remarks: remarks}
	if x.Fabric == nil { // unknown, but typed
		at := x.FabricAt()
		d.Fabric = at.File.Text[at.Start:at.End]
	}
	it := x.Item
	node, ok := it.Node.(*syntax.Patch)
	if ok && x.Of == nil && x.Given == block.ByCorners && (x.Section == nil || x.Cut == nil) {
		line := w.text[it.Abs(node.Fabric.Span).Start:it.Raw.End]
		d.line = strings.ReplaceAll(strings.TrimRight(line, "\r\n \t"), "\n", "\n  ")
		return d
	}
	corners := make([]string, len(x.Corners))
	for i, c := range x.Corners.FromLowerLeft() {
		corners[i] = Point(w.b, c)
	}
	d.line = d.Fabric + " " + strings.Join(corners, " ")
	if ok && node.Note != nil {
		d.line += " note " + syntax.Quote(node.Note.Value)
	}
	if x.Of == nil && it.Comment.Len() > 0 {
		d.line += "  " + w.text[it.Comment.Start:it.Comment.End]
	}
	return d
}

// read reads the planned text; nil when it does not hold the plan.
func (w *planWriter) read() *sew.Block {
	after := w.f.With(Apply(w.text, w.p.Edits))
	i := slices.Index(w.f.Blocks, w.b)
	if len(after.Blocks) != len(w.f.Blocks) || after.Blocks[i].Broken || len(after.Blocks[i].Loose) > 0 {
		return nil
	}
	b := sew.Analyse(after.Blocks[i])
	if len(b.Sections) != len(w.p.Plan.Sections) || len(b.JoinFlaws()) > 0 || b.Division() == nil || b.Division().Flawed() {
		return nil
	}
	for _, s := range b.Sections {
		if s.Flawed() || !s.InOrder() {
			return nil
		}
	}
	return b
}

// write makes the edits: what the plan replaces goes, and its sections stand where
// the first of it stood. A file that was formatted stays so.
func (w *planWriter) write(notches []string) {
	body := w.b.Item.Body
	nl := lineBreak(w.text)
	lead := "  "
	if len(body) > 0 {
		lead = indent(w.text, w.b.Item) + "  "
	}
	var spans []source.Span
	for i, it := range body {
		gone := w.gone[it]
		if it.Kind == syntax.Blank && !gone {
			gone = i > 0 && (w.gone[body[i-1]] || body[i-1].Kind == syntax.Blank) && len(spans) > 0 && (i+1 == len(body) || w.gone[body[i+1]])
		}
		if gone {
			spans = append(spans, it.Extent())
		}
	}
	lines := w.lines(notches)
	first := w.b.Item.Extent().End
	if w.b.Item.Close != nil {
		first = w.b.Item.Close.Raw.Start
	}
	if len(spans) > 0 {
		first = spans[0].Start
	} else {
		spans = []source.Span{{Start: first, End: first}}
	}
	if before := strings.TrimRight(w.text[:first], " \t"); !strings.HasSuffix(before, "\n\n") && !strings.HasSuffix(before, "\n\r\n") && !strings.HasSuffix(strings.TrimSpace(before), "{") {
		lines = append([]string{""}, lines...)
	}
	var b strings.Builder
	for _, l := range lines {
		if l != "" {
			b.WriteString(lead + strings.ReplaceAll(l, "\n", "\n"+lead))
		}
		b.WriteString(nl)
	}
	edits := []Edit{{spans[0], b.String()}}
	for _, s := range spans[1:] {
		if last := &edits[len(edits)-1]; last.At.End == s.Start {
			last.At.End = s.End
			continue
		}
		edits = append(edits, Edit{s, ""})
	}
	// A blank line parts the joins from what follows.
	last := &edits[0]
	if rest := w.text[last.At.End:]; !strings.HasPrefix(strings.TrimSpace(rest), "}") && strings.TrimSpace(strings.SplitN(rest, "\n", 2)[0]) != "" {
		last.New += nl
	}
	if format.Format(w.f.Tree) == w.text {
		after := Apply(w.text, edits)
		formatted := format.Format(w.f.With(after).Tree)
		edits = []Edit{between(w.text, formatted)}
	}
	w.p.Edits = edits
}

// between is the one edit that makes one text of another, in whole lines.
func between(from, to string) Edit {
	head, tail := source.CommonLines(from, to)
	return Edit{source.Span{Start: head, End: len(from) - tail}, to[head : len(to)-tail]}
}

// lines are the statements of the plan.
func (w *planWriter) lines(notches []string) []string {
	out := slices.Concat(w.fabrics, w.keep)
	if len(out) > 0 {
		out = append(out, "")
	}
	for i, s := range w.p.Plan.Sections {
		if i > 0 {
			out = append(out, "")
		}
		out = append(out, sectionHead(w.p.Names[i], w.p.Titles[i]))
		out = append(out, sectionBody(w.p.Patches, s.Parts)...)
		out = append(out, "}")
	}
	if len(w.p.Plan.Joins) > 0 {
		out = append(out, "")
	}
	for _, j := range w.p.Plan.Joins {
		line := [...]string{sew.Straight: "join %s to %s", sew.Inset: "join %s to %s inset", sew.Partial: "join %s to %s partial", sew.Finish: "finish %s to %s"}[j.Kind]
		out = append(out, fmt.Sprintf(line, w.p.Names[j.A], w.p.Names[j.B]))
	}
	return append(out, notches...)
}

// sectionBody are the patches of a section with their numbers.
func sectionBody(patches []*DrawnPatch, parts []int) []string {
	var out []string
	for n, k := range parts {
		x := patches[k]
		for _, r := range x.remarks {
			out = append(out, "  "+r)
		}
		out = append(out, "  patch "+itoa(n+1)+" "+x.line)
	}
	return out
}
