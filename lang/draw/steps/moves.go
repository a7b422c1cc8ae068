package steps

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// moves says how a patch goes on, in full and in few words.
func (w *writer) moves(s *Section, step *Step, first bool) {
	values := []string{
		"patch", Label(step.Patch), "fabric", FabricName(step.Fabric),
		"allowance", w.len(allowance(w.Of.Of)), "edge", step.Laid.Edge, "where", w.where(step), "clear", w.len(w.clear()),
	}
	fill := func(text string) string { return texts.Fill(text, append([]string(nil), values...)...) }
	if first {
		step.Full = []Move{
			{Kind: Light, Title: texts.TitleLight, Words: fill(texts.Light), Care: texts.CareMaker},
			{Kind: LightPrinted, Title: texts.TitleLightPrinted, Words: fill(texts.LightPrinted)},
		}
		step.Full[0].Care = ""
		tilt := w.turned(step)
		step.Full[0].Words += tilt
		step.Brief = []Move{{Kind: Light, Title: texts.TitleLight, Words: fill(texts.SentenceFirst) + tilt}}
		step.Words = fill(texts.SentenceFirst) + tilt
		return
	}
	if step.Seam == nil {
		step.Words = fill(texts.NoSeam)
		return
	}
	step.Past = w.past(s, step.Seam.Segment)
	values = append(values, "on", labels(step.Seam.On), "past", step.Past)
	loose := ""
	if crossesWork(step.Seam.Segment, step.Seam.On) {
		loose = texts.FoldLoose
	}
	tail := []Move{
		{Kind: Sew, Title: texts.TitleSew, Words: fill(texts.Sew)},
		{Kind: Back, Title: texts.TitleBack, Words: fill(texts.Back)},
		{Kind: Open, Title: texts.TitleOpen, Words: fill(texts.Open), Care: texts.CareIron},
		{Kind: Done, Title: texts.TitleDone, Words: fill(texts.Done)},
	}
	head := []Move{
		{Kind: Fold, Title: texts.TitleFold, Words: fill(texts.Fold) + loose},
		{Kind: Trim, Title: texts.TitleTrim, Words: fill(texts.Trim), Care: texts.CareKnife},
	}
	if step.Laid.Way != cloth.ByEdge && step.Laid.Open != nil {
		step.Full = append(append(head,
			Move{Kind: Crease, Title: texts.TitleCrease, Words: fill(texts.Crease)},
			Move{Kind: Lay, Title: texts.TitlePinned, Words: fill(texts.CreasePin), Care: texts.CarePins},
			Move{Kind: Test, Title: texts.TitleTest, Words: fill(texts.CreaseTest)}),
			Move{Kind: Sew, Title: texts.TitleSew, Words: fill(texts.CreaseSew)},
			tail[1], Move{Kind: Open, Title: texts.TitleOpen, Words: fill(texts.CreaseOpen), Care: texts.CareKnife + " " + texts.CareIron}, tail[3])
		step.Brief = []Move{
			{Kind: Folded, Title: texts.TitleFolded, Words: fill(texts.ShortFold) + loose},
			{Kind: Crease, Title: texts.TitleCrease, Words: fill(texts.Crease)},
			{Kind: Lay, Title: texts.TitlePinned, Words: fill(texts.CreasePin)},
			{Kind: Test, Title: texts.TitleTest, Words: fill(texts.CreaseTest)},
			{Kind: Sew, Title: texts.TitleSew, Words: fill(texts.CreaseSew)},
			{Kind: Open, Title: texts.TitleOpen, Words: fill(texts.CreaseShort), Care: texts.CareKnife},
		}
		step.Words = fill(texts.SentenceUpright)
		return
	}
	step.Full = append(append(head,
		Move{Kind: Lay, Title: texts.TitleLay, Words: fill(texts.Lay)},
		Move{Kind: Test, Title: texts.TitleTest, Words: fill(texts.Test), Care: texts.CarePins}), tail...)
	step.Brief = []Move{
		{Kind: Folded, Title: texts.TitleFolded, Words: fill(texts.ShortFold) + loose},
		{Kind: Lay, Title: texts.TitleLay, Words: fill(texts.ShortLay)},
		{Kind: Test, Title: texts.TitleTest, Words: fill(texts.ShortTest)},
		{Kind: Sew, Title: texts.TitleSew, Words: fill(texts.ShortSew)},
		{Kind: Open, Title: texts.TitleOpen, Words: fill(texts.ShortOpen)},
	}
	step.Words = fill(texts.SentenceNext)
}

// turned says how a first piece is turned, where that matters, after a space.
func (w *writer) turned(step *Step) string {
	if step.Piece == nil {
		return ""
	}
	pick := step.Piece.Pick
	text := ""
	switch {
	case pick.Keeps:
		text = texts.TurnUpright
	case pick.Laid.Lie == cloth.SquareToBlock:
		text = texts.TurnSquare
	case pick.Laid.Lie != cloth.AlongLongest:
		return ""
	case pick.Form == cloth.HalfSquare || pick.Form == cloth.QuarterSquare:
		text = texts.TurnTriangle
	case w.up(pick.Along) == w.up(pick.Across):
		text = texts.TurnSide
	default:
		text = texts.TurnLong
	}
	return " " + texts.Fill(text, "size", w.len(w.up(pick.Along)), "patch", Label(step.Patch))
}

// where says how a piece lies along its seam, and what is unusual about it.
func (w *writer) where(step *Step) string {
	l := step.Laid
	text := l.Where
	if a := allowance(w.Of.Of); l.Way == cloth.ByEdge && l.Past > a+geom.Hair/2 {
		text += " " + texts.Fill(texts.LayOverEdge, "far", w.len(l.Past), "allowance", w.len(a), "patch", Label(step.Patch))
	}
	if step.Piece != nil && step.Piece.Pick.Slant != nil {
		text += " " + texts.CutAtAngle
	}
	if l.Up && l.Way == cloth.ByEdge && step.Seam != nil {
		text += " " + w.upright(step)
	}
	return text
}

// upright says where the top of a print goes while its piece lies face down: mirrored over the seam from
// where it is after the flip.
func (w *writer) upright(step *Step) string {
	d, up := step.Seam.Dir(), step.Laid.UpTo
	into := up.Dot(geom.Point{X: -d.Y, Y: d.X}) // the patch is on the left of its seam
	way, end := texts.LayUpOn, ""
	switch {
	case math.Abs(into) < 0.5: // within 30 degrees of the seam
		way = texts.LayUpEnd
		if up.Dot(d) < 0 {
			d = d.Scale(-1)
		}
		if w.how.At.Mirrored {
			d.X = -d.X
		}
		end = texts.Ends[cloth.EndToward(d).String()]
	case into < 0:
		way = texts.LayUpOff
	}
	return texts.Fill(texts.LayUpright, "way", texts.Fill(way, "on", labels(step.Seam.On), "end", end))
}

// Stitches is the line of stitches of a seam: the allowance past both its ends, or,
// where an end lies on the section's outline, through the allowance there.
func (s *Section) Stitches(seam geom.Segment, past float64) (line geom.Segment, outer [2]bool) {
	line = seam
	ends := [2]*geom.Point{&line.A, &line.B}
	for i, out := range [2]geom.Point{seam.Dir().Scale(-1), seam.Dir()} {
		at := *ends[i]
		*ends[i] = at.Add(out.Scale(past))
		for k := range s.Outline {
			if s.Outline.Edge(k).Dist(at) <= geom.Hair {
				outer[i] = true
			}
		}
		if outer[i] {
			if ray, ok := Ray(at, out, s.Cut); ok && ray.Len() < 6*past {
				*ends[i] = ray.B
			}
		}
	}
	return line, outer
}

// past says how far the stitches go past the ends of a seam.
func (w *writer) past(s *Section, seam geom.Segment) string {
	_, outer := s.Stitches(seam, Past)
	text := texts.PastBoth
	switch {
	case outer[0] && outer[1]:
		text = texts.PastOuter
	case outer[0] || outer[1]:
		text = texts.PastOneOuter
	}
	return texts.Fill(text, "past", w.len(w.pastEnd()))
}

// Past is how far stitches go past the inner ends of a seam: 1/4 in, our choice
// among what teachers publish (four stitches).
const Past = geom.Inch / 4

// pastEnd is Past as the block's unit has it.
func (w *writer) pastEnd() float64 {
	if w.Unit != geom.Inches {
		return 6 * geom.Millimetre
	}
	return Past
}

// clear is how far a pin is moved from the line before it is stitched: past the presser foot's middle.
func (w *writer) clear() float64 {
	if w.Unit != geom.Inches {
		return 12 * geom.Millimetre
	}
	return geom.Inch / 2
}

// crossesWork says whether the line of a seam runs on through patches that are sewn already, so
// that stitches cross the fold.
func crossesWork(seam geom.Segment, on []*block.Patch) bool {
	d := seam.Dir()
	for _, p := range on {
		least, most := 0.0, 0.0
		for _, c := range p.Corners {
			off := d.Cross(c.Sub(seam.A))
			least, most = min(least, off), max(most, off)
		}
		if least < -geom.Hair && most > geom.Hair {
			return true
		}
	}
	return false
}
