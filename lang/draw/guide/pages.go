package guide

import (
	"sewable/lang/draw"
	"sewable/lang/draw/flow"
	"sewable/lang/draw/hands"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// The styles of the pages: running text of 11 pt, words under pictures of 9 pt.
var (
	heading = flow.Style{Size: pt(16), Bold: true, Before: 22, Keep: 2 * geom.Inch}
	body    = flow.Style{Size: pt(11), Before: 4}
	care    = flow.Style{Size: pt(11), Bold: true, Before: 4}
	head    = flow.Style{Size: pt(12), Bold: true, Before: 14, Keep: hands.Large.Y + 70}
	above   = flow.Style{Size: pt(11), Before: 1, Keep: hands.Large.Y + 50}
	move    = flow.Style{Size: pt(9.5), Bold: true, Before: 3}
	words   = flow.Style{Size: pt(9.5), Before: 1}
	warning = flow.Style{Size: pt(9.5), Bold: true, Before: 2}
)

// pt is a size of type in hairs.
func pt(n float64) float64 { return n * geom.Inch / 72 }

// between is the white between pictures of a row.
const between = 11.0

// Pages are the pages of a guide.
func Pages(p sheet.Pattern, paper sheet.Options, o Options) ([]*ink.Drawing, error) {
	if err := check(p); err != nil {
		return nil, err
	}
	p = complete(p)
	paper.Guide, paper.Alert = true, p.Alert()
	paper = paper.Filled()
	room := paper.Room()
	const titleHigh = 84
	f := flow.New(paper.Blank, func(page int) []geom.Box {
		if page > 0 && !o.Short {
			return []geom.Box{room}
		}
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
	f.Page().Title = p.Title()
	for _, list := range p.Remarks() {
		f.Text(list.Title, heading)
		for _, text := range list.Texts {
			f.Text(text, body)
		}
	}
	f.Text(texts.CareTitle, flow.Style{Size: heading.Size, Bold: true})
	for _, text := range texts.Cautions {
		f.Text(text, body)
	}
	f.Picture(blockPicture(p, min(f.Width()-4, f.Left()-20)), 16)
	f.NextColumn()
	if m := p.Map(f.Width() - 4); m != nil {
		f.Text(texts.MapTitle, heading)
		f.Text(p.MapWords(), body)
		f.Picture(m, 8)
	}
	f.Text(texts.LegendTitle, heading)
	for _, l := range hands.Legend() {
		f.Beside(l.Picture, 5, 8, []string{l.Words}, []flow.Style{{Size: body.Size}})
	}
	f.Text(texts.LegendAsShown, body)
	f.Text(texts.AdviceTitle, heading)
	for _, text := range steps.Advice(p.Block.Of) {
		f.Text(text, body)
	}
	for _, text := range p.Notes() {
		f.Text(text, body)
	}
	f.NextPage()
	for _, part := range Parts(p, o) {
		setPart(f, part, o)
	}
	for i, page := range f.Pages {
		sheet.Head(page, texts.Fill(texts.GuideOf, "block", p.Title()), i+1, len(f.Pages), paper)
	}
	return f.Pages, nil
}

// blockPicture is the finished block.
func blockPicture(p sheet.Pattern, size float64) *ink.Drawing {
	o := draw.Options{Colourway: p.Colourway, Size: size, Labels: draw.SectionLabels}
	if p.Mirrored {
		o.View = draw.Printed
	}
	if len(p.Block.Sections) == 1 {
		o.Labels = draw.PatchLabels
	}
	return sheet.Trimmed(draw.Block(p.Block, o))
}

// part sets the steps that belong together.
func setPart(f *flow.Flow, part Part, o Options) {
	title := heading
	if len(part.Steps) > 0 && !(o.Short && part.Steps[0].Of != nil) {
		cells := cellsOf(part.Steps[0], f.Width())
		title.Keep = max(title.Keep, flow.High(cells[:min(len(cells), 4)])+2*head.Size+head.Before+4)
	}
	f.Text(part.Title, title)
	if part.Lead != "" {
		f.Text(part.Lead, care)
	}
	for _, text := range part.Notes {
		f.Text(text, body)
	}
	for _, s := range part.Steps {
		if s.Like != "" {
			text := s.Title + "  ·  " + texts.Fill(texts.CutPiece, "piece", s.Piece) + "  ·  " + s.Like
			if s.Note != "" {
				text += "  ·  " + texts.Fill(texts.StepNote, "note", s.Note)
			}
			f.Text(text, body)
			continue
		}
		if len(s.Moves) == 1 && s.Moves[0].Picture == nil {
			f.Text(s.Title, flow.Style{Size: head.Size, Bold: true, Before: head.Before, Keep: 40})
			f.Text(s.Moves[0].Words, body)
			continue
		}
		if o.Short && s.Of != nil {
			short(f, s)
			continue
		}
		cells := cellsOf(s, f.Width())
		lead := head
		lead.Keep = flow.High(cells[:min(len(cells), 4)]) + 4
		if s.Title == "" {
			f.Row(8, between, cells, "", head)
			continue
		}
		title := s.Title
		if s.Piece != "" {
			title += "  ·  " + texts.Fill(texts.CutPiece, "piece", s.Piece)
		}
		f.Text(title, lead)
		if s.Note != "" {
			f.Text(texts.Fill(texts.StepNote, "note", s.Note), body)
		}
		f.Row(4, between, cells, texts.Fill(texts.StepAgain, "step", s.Title), flow.Style{Size: head.Size, Bold: true})
	}
}

// cellsOf are the moves of a step as pictures with words. Few of them share the room.
func cellsOf(s Step, room float64) []flow.Cell {
	n := float64(len(s.Moves))
	var cells []flow.Cell
	for _, m := range s.Moves {
		c := flow.Cell{Picture: m.Picture, Paragraphs: []string{m.Head(), m.Care, m.Words}, Styles: []flow.Style{move, warning, words}}
		switch {
		case len(s.Moves) <= 3:
			c.Width = (room - (n-1)*between) / n
		case m.Picture == nil:
			c.Width = hands.Large.X
		}
		if c.Width > 1.7*hands.Large.X {
			c.Width = 1.7 * hands.Large.X
		}
		cells = append(cells, c)
	}
	return cells
}

// short sets a step as pictures with their words beside them.
func short(f *flow.Flow, s Step) {
	first := true
	for _, m := range s.Moves {
		var paragraphs []string
		var styles []flow.Style
		if first && s.Title != "" {
			paragraphs, styles = append(paragraphs, s.Title), append(styles, flow.Style{Size: head.Size, Bold: true})
			if s.Piece != "" {
				paragraphs, styles = append(paragraphs, texts.Fill(texts.CutPiece, "piece", s.Piece)), append(styles, above)
			}
		}
		if m.Title != "" {
			paragraphs, styles = append(paragraphs, m.Head()), append(styles, flow.Style{Size: body.Size, Bold: true, Before: 2})
		}
		if m.Care != "" {
			paragraphs, styles = append(paragraphs, m.Care), append(styles, care)
		}
		paragraphs, styles = append(paragraphs, m.Words), append(styles, body)
		if first && s.Note != "" {
			paragraphs, styles = append(paragraphs, texts.Fill(texts.StepNote, "note", s.Note)), append(styles, body)
		}
		picture := m.Picture
		if picture == nil {
			picture = &ink.Drawing{Width: hands.Large.X, Height: 1}
		}
		f.Beside(picture, 10, 14, paragraphs, styles)
		first = false
	}
}
