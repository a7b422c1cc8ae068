// Package guide says and shows how a block is sewn, one step after the other:
// patch by patch on every foundation, then join by join. Pages makes pages of
// it, HTML a page for a screen, of one file and nothing from elsewhere.
package guide

import (
	"fmt"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/flow"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

// Part is the steps that belong together: a foundation, or the joins.
type Part struct {
	Title string
	Notes []string
	Steps []Step
}

// Step is one step, in words and as a picture of the finished side.
type Step struct {
	Title   string // 2. Morning sky
	Piece   string // what to cut; empty for a join
	Words   string
	Note    string
	Picture *ink.Drawing
}

// pictureSize is how large the pictures of steps are: 32 mm.
const pictureSize = 32 * geom.Millimetre

// Parts are the steps of a pattern.
func Parts(p sheet.Pattern) []Part {
	plan := steps.Of(p.Block, steps.How{Colourway: p.Colourway, Cloth: p.Cloth, Unit: p.Block.Of.File.Unit})
	var parts []Part
	for _, s := range plan.Sections {
		parts = append(parts, section(p, s))
	}
	if len(plan.Joins) > 0 || plan.NoJoins != "" {
		parts = append(parts, joins(p, plan))
	}
	return parts
}

func section(p sheet.Pattern, s steps.Section) Part {
	part := Part{Title: s.Head()}
	if s.Fault != "" {
		part.Notes = append(part.Notes, s.Fault)
	}
	for _, n := range s.Of.Of.Notes {
		part.Notes = append(part.Notes, n.Text)
	}
	done := make(map[*block.Patch]bool)
	for _, step := range s.Steps {
		done[step.Patch] = true
		o := options(p)
		o.Done = func(patch *block.Patch) bool { return done[patch] }
		o.Highlight = step.Patch
		if step.Seam != nil {
			o.Stitch = []geom.Point{step.Seam.A, step.Seam.B}
		}
		part.Steps = append(part.Steps, Step{
			Title: steps.Label(step.Patch) + " in " + steps.FabricName(step.Fabric), Piece: step.Cut,
			Words: step.Words, Note: step.Patch.Note, Picture: sheet.Trimmed(draw.Section(s.Of, o)),
		})
	}
	return part
}

func joins(p sheet.Pattern, plan *steps.Plan) Part {
	part := Part{Title: "Joining the sections"}
	if plan.NoJoins != "" {
		part.Notes = append(part.Notes, plan.NoJoins)
	}
	for i, j := range plan.Joins {
		in := make(map[*block.Section]bool)
		for _, s := range j.A {
			in[s.Of] = true
		}
		for _, s := range j.B {
			in[s.Of] = true
		}
		o := options(p)
		o.Labels = draw.SectionLabels
		o.Done = func(patch *block.Patch) bool { return in[patch.Section] }
		if j.Line != nil {
			o.Stitch = j.Line.Line
		}
		part.Steps = append(part.Steps, Step{
			Title: fmt.Sprintf("%d. %s to %s", i+1, steps.Unit(j.A), steps.Unit(j.B)),
			Words: j.Words, Picture: sheet.Trimmed(draw.Block(p.Block, o)),
		})
	}
	return part
}

func options(p sheet.Pattern) draw.Options {
	o := draw.Options{Colourway: p.Colourway, Size: pictureSize}
	if p.Mirrored {
		o.View = draw.Printed
	}
	return o
}

// The styles of the pages.
var (
	heading = flow.Style{Size: 20, Bold: true, Before: 20, Keep: pictureSize}
	body    = flow.Style{Size: 14, Before: 4}
	head    = flow.Style{Size: 15, Bold: true}
	piece   = flow.Style{Size: 13.5, Colour: ink.Muted, Before: 1}
	words   = flow.Style{Size: 13.5, Before: 3}
)

// Pages are the pages of a guide.
func Pages(p sheet.Pattern, how sheet.How) ([]*ink.Drawing, error) {
	if err := check(p); err != nil {
		return nil, err
	}
	p = complete(p)
	how.Guide, how.Alert = true, p.Alert()
	how = how.Filled()
	room := how.Room()
	const titleHigh = 84
	f := flow.New(how.Blank, func(page int) []geom.Box {
		const gap = 36
		left, right := room, room
		left.Max.X = room.Min.X + (room.Width()-gap)/2
		right.Min.X = left.Max.X + gap
		if page == 0 {
			left.Min.Y += titleHigh
			right.Min.Y += titleHigh
		}
		return []geom.Box{left, right}
	})
	sheet.Title(f.Page(), p, room)
	f.Page().Title = p.Block.Of.Name
	labels := draw.SectionLabels
	if len(p.Block.Sections) == 1 {
		labels = draw.PatchLabels
	}
	o := options(p)
	o.Labels, o.Size = labels, f.Width()-4
	f.Picture(sheet.Trimmed(draw.Block(p.Block, o)), 0)
	for _, list := range p.Remarks() {
		f.Text(list.Title, heading)
		for _, text := range list.Texts {
			f.Text(text, body)
		}
	}
	f.Text("Before you sew", heading)
	for _, text := range steps.Advice {
		f.Text(text, body)
	}
	f.Text(explained, body)
	for _, text := range p.Notes() {
		f.Text(text, body)
	}
	for _, part := range Parts(p) {
		f.Text(part.Title, heading)
		for _, text := range part.Notes {
			f.Text(text, body)
		}
		for _, s := range part.Steps {
			texts, styles := []string{s.Title}, []flow.Style{head}
			if s.Piece != "" {
				texts, styles = append(texts, "Cut "+s.Piece), append(styles, piece)
			}
			texts, styles = append(texts, s.Words), append(styles, words)
			if s.Note != "" {
				texts, styles = append(texts, "Note: "+s.Note), append(styles, words)
			}
			f.Beside(s.Picture, 12, 14, texts, styles)
		}
	}
	f.Text("Take care", heading)
	for _, text := range steps.Cautions {
		f.Text(text, body)
	}
	for i, page := range f.Pages {
		sheet.Head(page, p.Block.Of.Name+", sewing guide", i+1, len(f.Pages), how)
	}
	return f.Pages, nil
}

// explained says what the pictures show.
const explained = "The pictures show the finished side. The patch that goes on is in full colour with a heavy line around it; the dashed line is the one to stitch."

// complete gives a pattern the faults of its plan where it has none of its own.
func complete(p sheet.Pattern) sheet.Pattern {
	if len(p.Faults) == 0 {
		p.Faults = steps.Of(p.Block, steps.How{Unit: p.Block.Of.File.Unit}).Faults()
	}
	return p
}

func check(p sheet.Pattern) error {
	if b := p.Block.Of; b.Broken || len(p.Block.Sections) == 0 {
		return fmt.Errorf("%q cannot be read whole, so there is no way to say how it is sewn", b.Name)
	}
	return nil
}
