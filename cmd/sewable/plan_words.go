package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
	"sewable/lang/visible"
)

// A blockPlan is the plan of one block, or why it has none. Places are as people
// read them, in the unit of the file.
type blockPlan struct {
	File     string        `json:"file"`
	Block    string        `json:"block"`
	Patches  int           `json:"patches"`
	Sections []planSection `json:"sections"`
	Joins    []planJoin    `json:"joins"`
	Notches  []string      `json:"notches"` // statements, those added

	// Proved: no plan costs less. Least: no plan has fewer sections than this.
	Proved bool `json:"proved"`
	Least  int  `json:"least"`
	// Stopped: --time ended the search, and more might find a better plan.
	Stopped bool     `json:"stopped,omitempty"`
	Why     []string `json:"why,omitempty"`

	// Unplanned says why there is no plan; Knots are the places to blame.
	Unplanned string     `json:"unplanned,omitempty"`
	Knots     []planKnot `json:"knots,omitempty"`
	Remarks   []string   `json:"remarks,omitempty"` // about a drawing in lines, and titles that are lost

	// Untiled is how many sections would do if they need not fit on a sheet; 0: no fewer.
	Untiled int `json:"untiled,omitempty"`

	// Answers are the ways to add the seams that the drawing lacks; Background the fabrics that may be divided anywhere.
	Answers    []planAnswer `json:"answers,omitempty"`
	Background []string     `json:"background,omitempty"`

	edits    []edit.Edit
	verdict  string
	sure     string // how good the answers are
	paper    string // that the paper makes more sections
	pictures []*ink.Drawing
}

type planSection struct {
	Name    string   `json:"name"`
	Patches []string `json:"patches"` // their fabrics, in sewing order
}

type planJoin struct {
	A       string `json:"a"`
	B       string `json:"b"`
	From    string `json:"from"`
	To      string `json:"to"`
	Matches int    `json:"matches"`
	Lumps   int    `json:"lumps"`
	Kind    string `json:"kind,omitempty"` // inset, partial or finish; else straight
}

type planKnot struct {
	Patches []string `json:"patches"` // fabric and a place inside
	Says    string   `json:"says"`
}

// planWords puts plans into words.
type planWords struct {
	unit  geom.Unit
	of    edit.PlanFor
	path  string
	paper string // its name
}

func (w planWords) at(p geom.Point) string { return geom.FormatPlace(p, w.unit) }

// ends are the ends of a line, the one on the left first, or the lower.
func (w planWords) ends(s geom.Segment) (from, to string) {
	if s.B.X < s.A.X-geom.Hair || s.B.X < s.A.X+geom.Hair && s.B.Y < s.A.Y {
		s = s.Reverse()
	}
	return w.at(s.A), w.at(s.B)
}

// plan is what became of a block.
func (w planWords) plan(b *block.Block, p *edit.Planned, err error) blockPlan {
	out := blockPlan{File: w.path, Block: b.Name, Sections: []planSection{}, Joins: []planJoin{}, Notches: []string{}}
	if p != nil {
		out.Patches = len(p.Patches)
		out.Remarks = w.remarks(p)
	}
	var flawed edit.FlawedDrawing
	var loose edit.LooseSeams
	switch {
	case errors.As(err, &loose):
		out.Unplanned, out.Remarks = w.loose(loose), nil
		return out
	case errors.As(err, &flawed):
		out.Unplanned = "the patches do not fill the block once: " + w.flaws(flawed.Flaws, p)
		return out
	case errors.Is(err, edit.ErrBroken):
		out.Unplanned = err.Error() + "; `sewable lint` says which"
		return out
	case errors.Is(err, edit.ErrSections), errors.Is(err, edit.ErrPartly):
		out.Unplanned = err.Error() + "; --again replans all of it"
		return out
	case err != nil:
		out.Unplanned = err.Error()
		return out
	}
	if p.Added != nil {
		w.added(&out, p)
	}
	if p.Plan == nil {
		w.knots(&out, p)
		return out
	}
	out.edits, out.Notches = p.Edits, append(out.Notches, p.Notches...)
	out.Proved, out.Least, out.Stopped = p.Plan.Proved, p.Plan.Least, p.Plan.Stopped
	for i, s := range p.Plan.Sections {
		sec := planSection{Name: p.Names[i]}
		for _, k := range s.Parts {
			sec.Patches = append(sec.Patches, p.Patches[k].Fabric)
		}
		out.Sections = append(out.Sections, sec)
	}
	for _, j := range p.Plan.Joins {
		one := planJoin{A: p.Names[j.A], B: p.Names[j.B], Matches: j.Cost.Matches, Lumps: j.Cost.Bulky, Kind: joinKinds[j.Kind]}
		if j.Len() > 0 {
			one.From, one.To = w.ends(j.Segment)
		}
		out.Joins = append(out.Joins, one)
	}
	for _, s := range p.Lost {
		out.Remarks = append(out.Remarks, fmt.Sprintf("the title %q is lost, because no new section has exactly the patches of section %s; add it where it fits", s.Title, s.Name))
	}
	var written []string // out: what a plan does not keep
	for _, s := range p.Block.Sections {
		if s.CopyOf != nil || len(s.Lines) > 0 {
			written = append(written, s.Name)
		}
	}
	if len(written) > 0 {
		out.Remarks = append(out.Remarks, fmt.Sprintf("%s: copies and lines are not kept; the plan writes the patches out with their corners, and the sections by outlines", english.List(written)))
	}
	out.verdict = w.verdict(p)
	if out.Untiled = p.Untiled; p.Untiled > 0 {
		out.paper = fmt.Sprintf("The paper is a reason for %s: each has to fit on one %s sheet. Printed over several sheets, %s would do: --tiled.",
			english.Count(p.Plan.Cost.Sections, "section", "sections"), w.paper, english.Count(p.Untiled, "section", "sections"))
	}
	return out
}

// verdict says how good the plan is.
func (w planWords) verdict(p *edit.Planned) string {
	say := fmt.Sprintf("%s in %s", english.Count(len(p.Patches), "patch", "patches"), cost(p.Plan.Cost))
	n, least := p.Plan.Cost.Sections, p.Plan.Least
	kinds := map[sew.JoinKind]int{}
	for _, j := range p.Plan.Joins {
		kinds[j.Kind]++
	}
	switch {
	case kinds[sew.Inset]+kinds[sew.Partial] > 0:
		return say + price(kinds)
	case p.Plan.Proved && n == 1:
	case p.Plan.Proved:
		say += "; no plan is better"
	case n == least:
		say += "; no plan has fewer sections, but one may have fewer match points"
	default:
		say += fmt.Sprintf("; no plan has fewer than %d sections (gap %d)", least, n-least)
	}
	if p.Plan.Stopped {
		say += "; stopped by --time"
	}
	return say
}

// joinKinds are the words of joins that are not straight.
var joinKinds = map[sew.JoinKind]string{sew.Inset: "inset", sew.Partial: "partial", sew.Finish: "finish"}

// price says what set-in and partial seams cost the sewist.
func price(kinds map[sew.JoinKind]int) string {
	say := ", as a last resort: no straight seams divide it unless patches are split"
	if n := kinds[sew.Partial]; n > 0 {
		say += fmt.Sprintf("; %s: sew the first stitches, and finish when the last section is on", english.Count(n, "partial seam", "partial seams"))
	}
	if n := kinds[sew.Inset]; n > 0 {
		say += fmt.Sprintf("; %s: sew leg by leg and pivot at the corner", english.Count(n, "set-in seam (Y-seam)", "set-in seams (Y-seams)"))
	}
	return say
}

// cost is a cost in words.
func cost(c plan.Cost) string {
	words := []string{english.Count(c.Sections, "section", "sections")}
	for _, x := range []struct {
		n         int
		one, many string
	}{
		{c.Matches, "match point", "match points"},
		{c.Bulky, "bulky intersection on a join", "bulky intersections on joins"},
		{c.Near, "place where seams almost match", "places where seams almost match"},
	} {
		if x.n > 0 {
			words = append(words, english.Count(x.n, x.one, x.many))
		}
	}
	return strings.Join(words, ", ")
}

// remarks are what was closed and left out of a drawing in lines.
func (w planWords) remarks(p *edit.Planned) []string {
	var out []string
	if p.Lines == nil {
		return nil
	}
	for _, x := range p.Lines.Closed {
		out = append(out, fmt.Sprintf("closed: the end at %s, moved by %s to %s", w.at(x.From), geom.FormatExact(x.Dist, w.unit), w.at(x.To)))
	}
	for _, x := range p.Lines.Strays {
		if x.Bridge {
			out = append(out, fmt.Sprintf("ignored: the line from %s to %s borders no patch", w.at(x.From), w.at(x.To)))
			continue
		}
		if p.Block.Outline.Contains(x.From) == geom.Outside {
			out = append(out, fmt.Sprintf("cut off at the edge of the block: the line to %s, from %s on", w.at(x.From), w.at(x.To)))
			continue
		}
		out = append(out, fmt.Sprintf("ignored: the loose end of a line, from %[2]s to %[1]s", w.at(x.From), w.at(x.To)))
	}
	return out
}

// loose says what to do about seams that stop in the middle of a patch.
func (w planWords) loose(seams edit.LooseSeams) string {
	var words []string
	for _, l := range seams {
		say := fmt.Sprintf("seam %s stops at %s without meeting another: remove it, or extend it to ", l.Seam.Name, w.at(l.End))
		if l.Met {
			say += fmt.Sprintf("%s, %s further", w.at(l.On), geom.FormatExact(l.End.Dist(l.On), w.unit))
		} else {
			say += "another line"
		}
		words = append(words, say)
	}
	return strings.Join(words, "; ")
}

// flaws are the first flaws of a drawing.
func (w planWords) flaws(flaws []sew.Flaw, p *edit.Planned) string {
	const most = 4
	var words []string
	for i, x := range flaws {
		if i == most {
			words = append(words, fmt.Sprintf("and %d more", len(flaws)-most))
			break
		}
		var of []string
		for _, k := range x.Parts {
			of = append(of, w.patch(p, k))
		}
		at := w.at(x.At)
		switch x.Kind {
		case sew.Gap:
			words = append(words, fmt.Sprintf("no patch covers %s around %s", geom.FormatArea(x.Area, w.unit), at))
		case sew.Overlap:
			words = append(words, fmt.Sprintf("%s overlap by %s around %s", english.List(of), geom.FormatArea(x.Area, w.unit), at))
		case sew.Outside:
			words = append(words, fmt.Sprintf("%s extends outside the block at %s", english.List(of), at))
		case sew.Crossed:
			words = append(words, fmt.Sprintf("the outline of %s crosses itself at %s", english.List(of), at))
		case sew.NoArea:
			words = append(words, fmt.Sprintf("%s has no area at %s", english.List(of), at))
		default:
			words = append(words, fmt.Sprintf("a corner of %s has no place", english.List(of)))
		}
	}
	return strings.Join(words, "; ")
}

// patch names a patch of a drawing, which has no number, by its fabric and a place in it.
func (w planWords) patch(p *edit.Planned, k int) string {
	x := p.Patches[k]
	if len(x.Corners) < 3 {
		return x.Fabric
	}
	return x.Fabric + " at " + w.at(x.Corners.InteriorPoint())
}

// knots say which places have no plan, and the change that would cure them.
func (w planWords) knots(out *blockPlan, p *edit.Planned) {
	out.Unplanned = "it cannot be divided with straight seams only"
	for _, k := range p.Knots {
		knot := planKnot{Patches: []string{}}
		for _, n := range k.Parts {
			knot.Patches = append(knot.Patches, w.patch(p, n))
		}
		const most = 6
		of := knot.Patches
		if len(of) > most {
			of = append(of[:most:most], fmt.Sprintf("%d more", len(knot.Patches)-most))
		}
		knot.Says = fmt.Sprintf("no straight seam divides these %d patches: %s", len(k.Parts), english.List(of))
		out.Knots = append(out.Knots, knot)
	}
}

// why shows the decisions: the first cut first.
func (w planWords) why(p *plan.Plan) []string {
	out := []string{fmt.Sprintf("Fewest sections first; then each match point counts %d and each bulky intersection %d; then similar sizes.", w.of.Match, w.of.Bulky)}
	if w.of.Balance > 0 {
		out[0] = fmt.Sprintf("Fewest sections first; then each match point counts %d, each bulky intersection %d, and unequal sizes %d.", w.of.Match, w.of.Bulky, w.of.Balance)
	}
	for i, d := range p.Decisions {
		of := fmt.Sprintf("the %d patches there", len(d.Region))
		if i == 0 {
			of = fmt.Sprintf("all %d patches", len(d.Region))
		}
		from, to := w.ends(d.Taken.Segment)
		out = append(out, fmt.Sprintf("Join %d divides %s from %s to %s: %s.", d.Join+1, of, from, to, cost(d.Taken.Cost)))
		switch d.Reason {
		case plan.Needed:
			out = append(out, "  Every plan has this join: seams end on it from both sides, and none crosses it.")
		case plan.Leaf:
			out = append(out, "  One of two identical parts of a patch has to become its own section.")
		}
		const most = 5
		for n, x := range d.Others {
			if n == most {
				out = append(out, fmt.Sprintf("  and %d more seams that cost as much or more", len(d.Others)-most))
				break
			}
			at := ""
			if !x.Exact {
				at = "at least "
			}
			from, to := w.ends(x.Segment)
			out = append(out, fmt.Sprintf("  from %s to %s instead: %s%s", from, to, at, cost(x.Cost)))
		}
	}
	return out
}

// write writes the plan for people.
func (p blockPlan) write(out io.Writer) {
	fmt.Fprintf(out, "%s: %s\n", visible.Text(p.File), p.Block)
	p.answers(out)
	if p.Unplanned != "" {
		fmt.Fprintf(out, "  no plan: %s\n", p.Unplanned)
		for _, k := range p.Knots {
			fmt.Fprintf(out, "  %s\n", k.Says)
		}
	} else {
		fmt.Fprintf(out, "  %s\n", p.verdict)
		if p.paper != "" {
			fmt.Fprintf(out, "  %s\n", p.paper)
		}
	}
	for _, s := range p.Sections {
		words := make([]string, len(s.Patches))
		for i, f := range s.Patches {
			words[i] = fmt.Sprintf("%d %s", i+1, f)
		}
		fmt.Fprintf(out, "  section %s: %s\n", s.Name, strings.Join(words, ", "))
	}
	for _, j := range p.Joins {
		marks := ""
		if j.Matches > 0 {
			marks = ", " + english.Count(j.Matches, "match point", "match points")
		}
		word, kind := "join", ""
		switch j.Kind {
		case "finish":
			word = "finish"
		case "inset", "partial":
			kind = " " + j.Kind
		}
		if j.From != "" {
			marks = fmt.Sprintf(", from %s to %s", j.From, j.To) + marks
		}
		fmt.Fprintf(out, "  %s %s to %s%s%s\n", word, j.A, j.B, kind, marks)
	}
	for _, n := range p.Notches {
		fmt.Fprintf(out, "  %s\n", n)
	}
	for _, r := range p.Remarks {
		fmt.Fprintf(out, "  %s\n", r)
	}
	if p.Unplanned != "" && len(p.Knots) > 0 {
		fmt.Fprintln(out, "  Redraw this part, or write its sections by hand, with a set-in or partial seam.")
	}
	if len(p.Why) > 0 {
		fmt.Fprintln(out)
		for _, l := range p.Why {
			fmt.Fprintf(out, "  %s\n", l)
		}
	}
}
