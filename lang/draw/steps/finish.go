package steps

import (
	"math"
	"slices"

	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// finish says what is done when all patches of a section are on.
func (w *writer) finish(s *Section) {
	b := w.Of.Of
	if s.Cut == nil {
		return
	}
	values := []string{
		"section", s.Of.Of.Name, "allowance", w.len(allowance(b)), "outer", w.len(outer(b)), "baste", w.len(allowance(b) / 2),
	}
	unfinished, finished := s.Cut.Bounds(), s.Outline.Bounds()
	about := ""
	if w.rounded(unfinished) || w.rounded(finished) {
		about = texts.CutAbout
	}
	values = append(values, "unfinished", w.nearly(unfinished), "finished", w.nearly(finished), "about", about)
	fill := func(text string) string { return texts.Fill(text, slices.Clone(values)...) }
	cut, size := texts.Cut, texts.CutSize
	if outer(b) != allowance(b) {
		cut = texts.CutOuter
	}
	if !isBox(s.Outline) {
		size = texts.CutWidest
	}
	tail := fill(size)
	if len(s.Jogs) > 0 {
		var sizes []string
		for _, j := range s.Jogs {
			sizes = append(sizes, w.len(j.Size))
		}
		tail += " " + texts.Fill(texts.JogSewn, "section", s.Of.Of.Name,
			"jogs", english.Count(len(s.Jogs), "small step", "small steps"), "sizes", english.List(sizes))
	}
	brief := texts.BriefFinish
	if outer(b) != allowance(b) {
		brief = texts.BriefFinish2
	}
	s.Finish = []Move{
		{Kind: Baste, Title: texts.TitleBaste, Words: fill(texts.Baste)},
		{Kind: Cut, Title: texts.TitleCut, Words: fill(cut) + " " + tail, Care: texts.CareKnife},
	}
	s.Brief = []Move{{Kind: Cut, Title: texts.TitleBasteCut, Words: fill(brief) + " " + tail}}
}

// nearly is the size of a box, to the nearest sixteenth of an inch or half millimeter.
func (w *writer) nearly(b geom.Box) string {
	step := mark(w.Unit)
	out := w.size(geom.RoundTo(b.Width(), step), geom.RoundTo(b.Height(), step))
	if w.rounded(b) {
		return texts.Fill(texts.About, "figure", out)
	}
	return out
}

// rounded says whether a size is not a mark of the ruler.
func (w *writer) rounded(b geom.Box) bool { return w.off(b.Width()) || w.off(b.Height()) }

func (w *writer) off(x float64) bool { return math.Abs(x-geom.RoundTo(x, mark(w.Unit))) > geom.Hair/2 }

// mark is what is measured to: a sixteenth of an inch or half a millimeter.
func mark(u geom.Unit) float64 {
	if u != geom.Inches {
		return geom.Millimetre / 2
	}
	return geom.Inch / 16.0
}

// isBox says whether a polygon is an upright rectangle.
func isBox(poly geom.Polygon) bool {
	b := poly.Bounds()
	return b.Width()*b.Height()-max(poly.Area(), -poly.Area()) < geom.Hair*(b.Width()+b.Height())/2
}

// last says what is done when everything is joined.
func (w *writer) last() {
	b := w.Of.Of
	box := b.Outline.Bounds()
	fill := func(text string) string {
		return texts.Fill(text, "unfinished", Unfinished(b), "finished", w.nearly(box))
	}
	w.Last = []Move{
		{Kind: Measure, Title: texts.TitleMeasure, Words: fill(texts.MeasureBlock) + " " + texts.MeasureOff},
		{Kind: PaperOut, Title: texts.TitlePaper, Words: texts.PaperOut + " " + texts.PaperTweezers, Care: texts.CareTools},
	}
}

// jogsAt says what steps lie along a join.
func (w *writer) jogsAt(j *Join) []string {
	var steps []sew.Jog // each once: it is in both edges, or in one
	var names [][]string
	for _, s := range slices.Concat(j.A, j.B) {
		for _, jog := range s.Jogs() {
			if jog.Join != j.Of {
				continue
			}
			i := slices.IndexFunc(steps, func(o sew.Jog) bool { return o.Step.Mid().Dist(jog.Step.Mid()) < geom.Hair })
			if i < 0 {
				i = len(steps)
				steps, names = append(steps, jog), append(names, nil)
			}
			names[i] = append(names[i], s.Of.Name)
		}
	}
	var out []string
	for i, jog := range steps {
		text := texts.JogAtJoin
		if len(names[i]) > 1 {
			text = texts.JogAtBoth
		}
		out = append(out, texts.Fill(text, "section", english.List(names[i]), "size", w.len(jog.Size)))
	}
	return out
}
