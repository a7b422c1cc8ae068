package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"sewable/lang/cloth"
	"sewable/lang/draw"
	"sewable/lang/draw/flow"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
)

// The styles of the first pages.
var (
	titleStyle = flow.Style{Size: 38, Bold: true}
	underTitle = flow.Style{Size: 15, Colour: ink.Muted}
	heading    = flow.Style{Size: 18, Bold: true, Before: 14, Keep: 40}
	body       = flow.Style{Size: 15, Before: 3, Hang: 12}
	item       = flow.Style{Size: 15, Before: 1, Indent: 12, Hang: 12}
	strong     = flow.Style{Size: 15, Bold: true, Before: 4, Keep: 18}
)

// titleHeight is what the title takes above the columns of the first page.
const titleHeight = 84.0

// cover is the first page of a pattern, or, when there is more to say than
// it holds, the first pages. Words are set a little smaller where that saves a page.
func cover(p Pattern, plan *steps.Plan, how Options, r run) []*ink.Drawing {
	best := coverAt(p, plan, how, r, 1)
	for _, scale := range [...]float64{0.95, 0.9} {
		if len(best) > 1 {
			if tighter := coverAt(p, plan, how, r, scale); len(tighter) < len(best) {
				return tighter
			}
		}
	}
	return best
}

func coverAt(p Pattern, plan *steps.Plan, how Options, r run, scale float64) []*ink.Drawing {
	heading, body, item, strong := heading.Scaled(scale), body.Scaled(scale), item.Scaled(scale), strong.Scaled(scale)
	b := p.Block.Of
	room := how.Room()
	_, high := squaresSize(false)
	f := flow.New(func() *ink.Drawing { return blank(how) }, func(page int) []geom.Box {
		const gap = 36
		left, right := room, room
		left.Max.X = room.Min.X + (room.Width()-gap)/2
		right.Min.X = left.Max.X + gap
		if page == 0 {
			left.Min.Y += titleHeight
			right.Min.Y += titleHeight
			right.Max.Y -= high + 10
		}
		return []geom.Box{left, right}
	})
	Title(f.Page(), p, room)
	squares(f.Page(), geom.Point{X: f.Width() + room.Min.X + 36, Y: room.Max.Y - high}, false)
	f.Page().Title = p.Title()

	labels := draw.SectionLabels
	if len(b.Sections) == 1 {
		labels = draw.PatchLabels
	}
	o := draw.Options{Labels: labels, Colourway: p.Colourway, Size: f.Width() - 4}
	if p.Mirrored {
		o.View = draw.Printed
	}
	f.Picture(Trimmed(draw.Block(p.Block, o)), 0)

	for _, list := range p.Remarks() {
		f.Text(list.Title, heading)
		for _, text := range list.Texts {
			f.Text(text, body)
		}
	}
	if m := p.Map(f.Width() - 4); m != nil {
		f.Text(texts.MapTitle, heading)
		f.Text(p.MapWords(), body)
		f.Picture(m, 6)
	}
	f.Text(texts.SampleTitle, heading)
	for _, s := range samples(p, plan, how) {
		f.Beside(s.drawing, 4, 10, []string{s.text}, []flow.Style{{Size: body.Size}})
	}
	f.Text(texts.AdviceTitle, heading)
	for _, text := range steps.Advice(b) {
		f.Text(text, body)
	}
	f.Text(r.advice(), body)
	cutList(f, p, heading, item, strong)
	order := "Sewing order"
	if len(plan.Joins) > 0 {
		order += ", sections in joining order"
	}
	f.Text(order, heading)
	for _, s := range plan.Sections {
		f.Text(s.Head(), strong)
		f.Text(s.Fault, item)
		for _, step := range s.Steps {
			text := step.Short()
			if step.Patch.Note != "" {
				text += " (" + step.Patch.Note + ")"
			}
			f.Text(text, item)
		}
		for _, n := range s.Of.Of.Notes {
			f.Text(n.Text, item)
		}
	}
	if len(plan.Joins) > 0 || plan.NoJoins != "" {
		f.Text("Joining", heading)
		f.Text(plan.NoJoins, body)
		for i, j := range plan.Joins {
			f.Text(fmt.Sprintf("%d. %s", i+1, j.Words), body)
		}
	}
	if notes := p.Notes(); len(notes) > 0 {
		f.Text("Notes", heading)
		for _, n := range notes {
			f.Text(n, body)
		}
	}
	f.Text(texts.CareTitle, heading)
	for _, text := range texts.Cautions {
		f.Text(text, body)
	}
	return f.Pages
}

// Remarks are sentences under a title.
type Remarks struct {
	Title string
	Texts []string
}

// Remarks are what stands first in a pattern: why it cannot be sewn, and what is accepted.
func (p Pattern) Remarks() (out []Remarks) {
	if len(p.Faults) > 0 {
		out = append(out, Remarks{"This block cannot be sewn", p.Faults})
	}
	if len(p.Accepted) > 0 {
		out = append(out, Remarks{"Accepted by the designer", p.Accepted})
	}
	return out
}

// Notes are the words for the quilter that belong to no section.
func (p Pattern) Notes() []string {
	var out []string
	for _, n := range p.Block.Of.File.Notes {
		out = append(out, n.Text)
	}
	for _, n := range p.Block.Of.Notes {
		out = append(out, n.Text)
	}
	if p.Setting != nil {
		for _, n := range p.Setting.Notes {
			out = append(out, n.Text)
		}
	}
	return out
}

// Under is what stands below a pattern's name: its sizes, how many sections and patches it has, its allowance.
func (p Pattern) Under() string {
	b := p.Block.Of
	patches := 0
	for _, s := range b.Sections {
		patches += len(s.Patches)
	}
	under := []string{texts.Fill(texts.FinishedSize, "finished", steps.Size(b), "unfinished", steps.Unfinished(b)),
		english.Count(len(b.Sections), "section", "sections"), english.Count(patches, "patch", "patches")}
	if a := b.Allowance; a != nil && !a.Broken {
		under = append(under, "allowance "+measured(a.Size.Float64(), b.File.Unit))
		if o := b.OuterAllowance; o != nil && !o.Broken && o.Size.Float64() != a.Size.Float64() {
			under = append(under, measured(o.Size.Float64(), b.File.Unit)+" outside")
		}
	}
	if c := p.Colourway; c != nil && c.Title != "" {
		under = append(under, c.Title)
	}
	if p.Copies > 1 {
		under = append(under, english.Count(p.Copies, "copy", "copies"))
	}
	return strings.Join(under, "  ·  ")
}

// Title writes the block's name and what it is.
func Title(d *ink.Drawing, p Pattern, room geom.Box) {
	size := max(min(titleStyle.Size, room.Width()/fonts.Width(p.Title(), true)), 0.6*titleStyle.Size)
	name := fonts.Shorten(p.Title(), true, room.Width()/size)
	d.Layer("text").Add(
		&ink.Text{At: geom.Point{X: room.Min.X, Y: room.Min.Y + 42}, String: name, Size: size, Bold: true, Align: ink.Start, Colour: ink.Dark, Back: ink.White},
		&ink.Text{At: geom.Point{X: room.Min.X, Y: room.Min.Y + 66}, String: fonts.Shorten(p.Under(), true, room.Width()/underTitle.Size), Size: underTitle.Size, Align: ink.Start, Colour: underTitle.Colour, Back: ink.White})
}

// Trimmed is a picture without the white around it.
func Trimmed(d *ink.Drawing) *ink.Drawing {
	out := &ink.Drawing{Width: d.Width - 16, Height: d.Height - 16}
	for _, l := range d.Layers {
		out.Layer(l.Name)
	}
	out.Put(d, geom.Point{X: -8, Y: -8}, "")
	return out
}

// cutList writes the cut list.
func cutList(f *flow.Flow, p Pattern, heading, item, strong flow.Style) {
	if p.Cuts == nil {
		return
	}
	text := "Cut list"
	if p.Copies > 1 {
		text += " for " + english.Count(p.Copies, "block", "blocks")
	}
	f.Text(text, heading)
	for _, fabric := range p.Cuts.Fabrics {
		name := steps.FabricName(fabric.Fabric)
		f.Text(texts.Fill(texts.CutFabric, "fabric", name, "buy", buy(fabric.Buy, p.Cuts.Unit), "width", measured(fabric.Width, p.Cuts.Unit)), strong)
		for _, piece := range fabric.Pieces {
			f.Text(pieceWords(piece, p.Cuts.Unit), item)
		}
	}
}

// pieceWords is so many pieces of a size, and what they are for.
func pieceWords(p cloth.Piece, unit geom.Unit) string {
	var uses []string
	_, _, mixed := p.Seamed()
	for _, u := range p.Uses {
		use := u.Label
		if mixed && u.Lay.Edge > 0 {
			edge, _ := u.Seamed(&p)
			use = texts.Fill(texts.CutEdge, "patch", use, "edge", measured(edge, unit))
		}
		uses = append(uses, use)
	}
	size := steps.CutSize(p.Along, p.Across, p.Keeps, unit)
	switch p.Form {
	case cloth.HalfSquare:
		size = texts.Fill(texts.SizeHalf, "side", measured(p.Along, unit))
	case cloth.QuarterSquare:
		size = texts.Fill(texts.SizeQuarter, "side", measured(p.Along, unit))
	}
	count := strconv.Itoa(p.Cuts)
	if p.Form.PerSquare() > 1 {
		count = english.Count(p.Cuts, "square", "squares")
	}
	text := texts.Fill(texts.CutCount, "count", count, "size", size, "uses", strings.Join(uses, ", "))
	if p.Keeps {
		text += texts.CutUpright
	}
	return text
}

// buy is a length to buy.
func buy(hairs float64, unit geom.Unit) string {
	if unit == geom.Inches {
		return texts.Measure(geom.FormatNumber(hairs/36, geom.Inches) + " yd")
	}
	return measured(hairs, geom.Centimetres)
}

type sample struct {
	drawing *ink.Drawing
	text    string
}

// samples show the lines and marks of the sheets.
func samples(p Pattern, plan *steps.Plan, how Options) []sample {
	const wide, high = 52.0, 17.0
	line := func(width float64, dash []float64) *ink.Drawing {
		d := &ink.Drawing{Width: wide, Height: high}
		d.Layer("samples").Add(&ink.Path{
			Chains: ink.Line(geom.Point{X: 1, Y: high / 2}, geom.Point{X: wide - 1, Y: high / 2}), Stroke: ink.Dark, Width: width, Dash: dash,
		})
		return d
	}
	b := p.Block.Of
	unit := b.File.Unit
	far := texts.SampleCut
	if b.OuterAllowance.Size.Float64() != b.Allowance.Size.Float64() {
		far = texts.SampleCutOuter
	}
	far = texts.Fill(far, "allowance", measured(b.Allowance.Size.Float64(), unit), "outer", measured(b.OuterAllowance.Size.Float64(), unit))
	out := []sample{
		{line(stitchWidth, nil), texts.SampleStitch},
		{line(outerWidth, nil), texts.SampleOuter},
		{line(cutWidth, cutDash), far},
	}
	tick := &ink.Drawing{Width: wide, Height: high}
	tick.Layer("samples").Add(
		&ink.Path{Chains: ink.Line(geom.Point{X: 6, Y: high - 2}, geom.Point{X: wide - 6, Y: high - 2}), Stroke: ink.Dark, Width: outerWidth},
		&ink.Path{Chains: ink.Line(geom.Point{X: 18, Y: high - 2}, geom.Point{X: 18, Y: 0}), Stroke: ink.Dark, Width: markWidth},
		&ink.Path{Chains: ink.Line(geom.Point{X: 36, Y: high - 2}, geom.Point{X: 36, Y: 0}), Stroke: ink.Dark, Width: markWidth},
		notch(geom.Point{X: 36, Y: high - 2}, geom.Point{X: 36, Y: -2}))
	if len(b.Sections) > 1 || len(b.Notches) > 0 {
		out = append(out, sample{tick, texts.SampleMarks})
	}
	reaches, jogs := false, false
	for i := range plan.Sections {
		s := &plan.Sections[i]
		jogs = jogs || len(s.Jogs) > 0
		for k := range s.Steps {
			reaches = reaches || how.Marks && s.Steps[k].Laid.Reach != nil
		}
	}
	if reaches {
		ticks := line(stitchWidth, nil)
		for _, x := range [...]float64{8, wide / 2, wide - 8} {
			from := high/2 - reachTick
			if x == wide/2 {
				from = high / 2
			}
			ticks.Layer("samples").Add(&ink.Path{Chains: ink.Line(geom.Point{X: x, Y: from}, geom.Point{X: x, Y: high/2 + reachTick}), Stroke: ink.Dark, Width: reachWidth})
		}
		out = append(out, sample{ticks, texts.SampleReach})
	}
	if jogs {
		step := &ink.Drawing{Width: wide, Height: high + 8}
		step.Layer("samples").Add(
			&ink.Path{Chains: ink.Line(geom.Point{X: 4, Y: 17}, geom.Point{X: wide / 2, Y: 17}, geom.Point{X: wide / 2, Y: 8}, geom.Point{X: wide - 4, Y: 8}), Stroke: ink.Dark, Width: outerWidth},
			&ink.Path{Chains: ink.Disc(geom.Point{X: wide / 2, Y: 12.5}, 11), Stroke: ink.Dark, Width: 1.2})
		out = append(out, sample{step, texts.SampleJog})
	}
	grain := &ink.Drawing{Width: wide, Height: 30}
	(&lettering{d: grain}).arrow(geom.Point{X: wide / 2, Y: 15}, geom.Point{Y: -1}, 28, "grain")
	return append(out, sample{grain, texts.SampleGrain})
}

// measured is a length as it is printed.
func measured(hairs float64, unit geom.Unit) string { return texts.Measure(geom.Format(hairs, unit)) }
