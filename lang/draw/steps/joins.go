package steps

import (
	"slices"
	"strconv"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// joins says how the sections are joined.
func (w *writer) joins() {
	if len(w.Of.Sections) < 2 {
		return
	}
	order := w.Of.JoinOrder()
	if order == nil {
		w.Sewable, w.NoJoins = false, noJoins(w.Of)
		return
	}
	lines := make(map[*block.Join]*sew.JoinLine)
	for _, l := range w.Of.JoinLines() {
		lines[l.Join] = l
	}
	units := make(map[*sew.Section][]*sew.Section)
	for _, s := range w.Of.Sections {
		units[s] = []*sew.Section{s}
	}
	for i, n := range order {
		j := w.Of.Of.Joins[n-1]
		out := Join{Of: j, Line: lines[j], A: units[w.Of.Section(j.A)], B: units[w.Of.Section(j.B)]}
		w.join(&out, w.finishedBy(order, i))
		w.Joins = append(w.Joins, out)
		if j.Kind != block.Finish {
			whole := slices.Concat(out.A, out.B)
			for _, s := range whole {
				units[s] = whole
			}
		}
	}
}

// noJoins says why the sections cannot be joined as it is written.
func noJoins(b *sew.Block) string {
	var bad []string
	for _, f := range b.JoinFlaws() {
		switch {
		case len(b.Of.Joins) == 0:
			return texts.NoJoins
		case f.Kind == sew.LeftOver:
			return texts.Fill(texts.NoJoinTo, "section", Unit(f.Sections))
		default:
			bad = append(bad, texts.Fill(texts.JoinPair, "a", f.Join.A.Name, "b", f.Join.B.Name))
		}
	}
	if len(bad) == 0 {
		return texts.NotFilled
	}
	if b.GaveUp() {
		return texts.Fill(texts.NoneFound, "tries", english.Thousands(sew.MaxJoinTrials), "joins", english.List(bad))
	}
	return texts.Fill(texts.NoOrder, "joins", english.List(bad))
}

// finishedBy is the number of the step that finishes a partial seam.
func (w *writer) finishedBy(order []int, i int) int {
	j := w.Of.Of.Joins[order[i]-1]
	if j.Kind != block.Partial {
		return 0
	}
	for k := i + 1; k < len(order); k++ {
		f := w.Of.Of.Joins[order[k]-1]
		if f.Kind == block.Finish && (f.A == j.A && f.B == j.B || f.A == j.B && f.B == j.A) {
			return k + 1
		}
	}
	return 0
}

// Unit is a unit by the names of its sections: "A", "A, B and C".
func Unit(sections []*sew.Section) string {
	words := make([]string, len(sections))
	for i, s := range sections {
		words[i] = s.Of.Name
	}
	slices.Sort(words)
	return english.List(words)
}

// unit is a unit in a sentence.
func unit(sections []*sew.Section) string {
	if len(sections) > 1 {
		return "the unit of " + Unit(sections)
	}
	return Unit(sections)
}

// join says how a join is sewn.
func (w *writer) join(j *Join, finish int) {
	values := []string{"a", unit(j.A), "b", unit(j.B)}
	if j.Line != nil {
		values = append(values, "length", w.len(geom.RoundTo(j.Line.Length, mark(w.Unit))))
	}
	fill := func(text string, more ...string) string {
		return texts.Fill(text, append(slices.Clone(values), more...)...)
	}
	var text string
	switch {
	case j.Of.Kind == block.Partial:
		text = fill(texts.JoinPart)
		if finish > 0 {
			text += fill(texts.JoinPart2, "step", strconv.Itoa(finish))
		}
	case j.Of.Kind == block.Finish:
		text = texts.Fill(texts.JoinFinish, "a", j.Of.A.Name, "b", j.Of.B.Name)
	case j.Line != nil:
		text = fill(texts.Join)
	default:
		text = fill(texts.JoinPlain)
	}
	match := ""
	if j.Line != nil {
		var meets bool
		match, meets = w.marks(j.Line)
		text += match
		match = ""
		if meets {
			match = texts.PinMatch
		}
		if j.Line.Bent {
			text += texts.JoinTurns
		}
	}
	j.Jogs = w.jogsAt(j)
	for _, jog := range j.Jogs {
		text += " " + jog
	}
	press, say := texts.PressOpen, texts.SayOpen
	if to := j.Of.PressToward; to != nil {
		press, say = texts.Fill(texts.PressToward, "section", to.Name), texts.Fill(texts.SayToward, "section", to.Name)
	}
	j.Words = text + say
	j.Full = []Move{
		{Kind: Joined, Words: j.Words},
		{Kind: Pin, Title: texts.TitlePin, Words: texts.Fill(texts.Pin, "match", match), Care: texts.CarePins},
		{Kind: JoinSewn, Title: texts.TitleSewJoin, Words: texts.Fill(texts.JoinSew, "press", press), Care: texts.CareIron},
	}
	j.Brief = []Move{
		{Kind: Joined, Words: j.Words},
		{Kind: Pin, Title: texts.TitlePinSew, Words: texts.Fill(texts.BriefPin, "match", match, "press", press)},
	}
}

// marks says what meets along a join, and whether anything does between its ends.
func (w *writer) marks(l *sew.JoinLine) (text string, meets bool) {
	seams := 0
	var list []string
	for _, m := range l.Marks {
		switch m.Kind {
		case sew.SeamMark:
			seams++
		case sew.NotchMark:
			if name := notchName(m); !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	switch {
	case seams == 1:
		list = append([]string{texts.MatchSeam}, list...)
	case seams > 1:
		list = append([]string{texts.Fill(texts.MatchSeams, "count", strconv.Itoa(seams))}, list...)
	}
	if len(list) == 0 {
		return texts.MatchEnds, false
	}
	return texts.Fill(texts.MatchMore, "list", english.List(append([]string{texts.TheEnds}, list...))), true
}

func notchName(m sew.Mark) string {
	if m.Name == "" {
		return texts.MatchNotch
	}
	return texts.Fill(texts.MatchNamed, "name", m.Name)
}

// Size is a block's finished size: 8 × 8 in.
func Size(b *block.Block) string {
	return Sides(b.Width.Float64(), b.Height.Float64(), b.File.Unit)
}

// Unfinished is a block's size as it is trimmed; the finished size where its allowance is not known.
func Unfinished(b *block.Block) string {
	cut, ok := cloth.CutOutline(b)
	if !ok {
		return Size(b)
	}
	box := cut.Bounds()
	near := func(x float64) float64 { return geom.RoundTo(x, mark(b.File.Unit)) }
	return Sides(near(box.Width()), near(box.Height()), b.File.Unit)
}

// Advice is what is true of every foundation of a block.
func Advice(b *block.Block) []string {
	apart := texts.Measure(geom.Format(allowance(b), b.File.Unit))
	out := make([]string, len(texts.Advice))
	for i, text := range texts.Advice {
		out[i] = texts.Fill(text, "apart", apart)
	}
	return out
}
