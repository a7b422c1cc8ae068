package steps

import (
	"math"
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
	w.order, w.lines = order, make(map[*block.Join]*sew.JoinLine)
	for _, l := range w.Of.JoinLines() {
		w.lines[l.Join] = l
	}
	units := make(map[*sew.Section][]*sew.Section)
	for _, s := range w.Of.Sections {
		units[s] = []*sew.Section{s}
	}
	for i, n := range order {
		j := w.Of.Of.Joins[n-1]
		out := Join{Of: j, Line: w.lines[j], A: units[w.Of.Section(j.A)], B: units[w.Of.Section(j.B)]}
		finish := w.finishedBy(order, i)
		if finish > 0 {
			out.Part = w.part(j, w.lines[w.Of.Of.Joins[order[finish-1]-1]])
		}
		w.join(&out, finish)
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

// Pair is what a join sews to what, in the one form that every page has: D to the unit of A, B and C.
func (j *Join) Pair() string {
	if j.Of.Kind == block.Finish {
		return texts.Fill(texts.FinishPair, "a", j.Of.A.Name, "b", j.Of.B.Name)
	}
	return texts.Fill(texts.JoinPair, "a", unit(j.A), "b", unit(j.B))
}

// join says how a join is sewn; finish is the number of the one that finishes it.
func (w *writer) join(j *Join, finish int) {
	values := []string{"a", unit(j.A), "b", unit(j.B), "allowance", w.len(allowance(w.Of.Of))}
	if j.Line != nil {
		values = append(values, "length", w.measured(j.Line.Length))
	}
	fill := func(text string, more ...string) string {
		return texts.Fill(text, append(slices.Clone(values), more...)...)
	}
	var text string
	match := texts.PinEnds
	switch {
	case j.Part != nil:
		part := []string{"from", j.Part.From, "stop", j.Part.Stop, "length", w.measured(j.Part.Line.Len())}
		text = fill(texts.JoinPart, part...)
		match = texts.Fill(texts.PinPart, slices.Clone(part)...)
		text += fill(texts.JoinPart2, "step", strconv.Itoa(finish))
	case j.Of.Kind == block.Finish:
		text = texts.Fill(texts.JoinFinish, "a", j.Of.A.Name, "b", j.Of.B.Name)
	case j.Line != nil:
		text = fill(texts.Join)
	default:
		text = fill(texts.JoinPlain)
	}
	if j.Line != nil {
		list, meets := w.marks(j.Line)
		text += list
		if meets {
			match = texts.PinMatch
		}
		switch sides := len(j.Line.Line) - 1; {
		case j.Line.Bent && sides > 2:
			text += fill(texts.JoinSetInMany, "sides", strconv.Itoa(sides))
		case j.Line.Bent:
			text += fill(texts.JoinSetIn)
		}
		if n := w.setInAt(j); n > 0 {
			text += fill(texts.JoinStop, "step", strconv.Itoa(n))
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
	brief := Move{Kind: Pin, Title: texts.TitlePinSew, Words: texts.Fill(texts.BriefPin, "match", match, "press", press)}
	j.Brief = []Move{{Kind: Joined, Words: j.Words}, brief}
	switch {
	case j.Of.Kind == block.Finish: // the rest is in the way of a picture
		j.Brief = []Move{{Kind: Joined, Words: j.Words + " " + brief.Words}}
	case j.Line != nil && j.Line.Bent:
		j.sides(match, press)
	}
}

// sides are the moves of a set-in join: each straight side is pinned and stitched by itself.
func (j *Join) sides(match, press string) {
	last := len(j.Line.Line) - 2
	joined, sewn := j.Full[0], j.Full[2]
	j.Full, j.Brief = []Move{joined}, []Move{joined}
	for side := range last + 1 {
		pin, way := texts.PinNext, texts.SewOutward
		if side == 0 {
			pin = texts.Fill(texts.Pin, "match", match+texts.PinOfSide)
		}
		if side > 0 && side < last {
			way = texts.SewBetween
		}
		care := ""
		if side == 0 {
			care = texts.CarePins
		}
		title := texts.Fill(texts.TitlePinSide, "side", strconv.Itoa(side+1))
		stitch := Move{Kind: JoinSewn, Side: side, Title: texts.Fill(texts.TitleSewSide, "side", strconv.Itoa(side+1)), Words: texts.Fill(texts.SewSide, "way", way)}
		short := Move{Kind: Pin, Side: side, Title: title, Words: texts.Fill(texts.BriefSide, "match", match, "way", way)}
		if side > 0 {
			short.Words = texts.TurnToSide + " " + short.Words
		}
		if side == last {
			stitch.Care = sewn.Care
			press := " " + texts.Fill(texts.SidesPress, "press", press)
			stitch.Words += press
			short.Words += press
		}
		j.Full = append(j.Full, Move{Kind: Pin, Side: side, Title: title, Words: pin, Care: care}, stitch)
		j.Brief = append(j.Brief, short)
	}
}

// measured is a length to the nearest mark of the ruler, and says so where it is rounded.
func (w *writer) measured(x float64) string {
	out := w.len(geom.RoundTo(x, mark(w.Unit)))
	if w.off(x) {
		return texts.Fill(texts.About, "figure", out)
	}
	return out
}

// Part is what a partial join sews of its edge.
type Part struct {
	Line       geom.Segment // from its outer end to where it stops
	From, Stop string       // the same in words
}

// part is what a partial join sews: the edge that both sections share, from the end of the whole seam to the notch on it.
func (w *writer) part(j *block.Join, whole *sew.JoinLine) *Part {
	if whole == nil || len(whole.Line) != 2 {
		return nil
	}
	line := geom.Segment{A: whole.Line[0], B: whole.Line[1]}
	from, to := 0.0, whole.Length
	for _, s := range [2]*block.Section{j.A, j.B} {
		low, high := math.Inf(1), math.Inf(-1)
		outline := w.Of.Section(s).Outline()
		for i := range outline {
			if e := outline.Edge(i); line.Dist(e.A) < geom.Hair && line.Dist(e.B) < geom.Hair {
				a, b := e.A.Sub(line.A).Dot(line.Dir()), e.B.Sub(line.A).Dot(line.Dir())
				low, high = min(low, a, b), max(high, a, b)
			}
		}
		from, to = max(from, low), min(to, high)
	}
	if to-from < geom.Hair {
		return nil
	}
	outer, inner := from, to
	if whole.Length-to < from-geom.Hair {
		outer, inner = to, from
	}
	at := func(t float64) geom.Point { return line.A.Add(line.Dir().Scale(t)) }
	out := &Part{From: texts.PartOuter, Stop: texts.PartMiddle}
	stop, far := (outer+inner)/2, 0.0
	for _, m := range whole.Marks {
		if d := math.Abs(m.At - outer); m.Kind == sew.NotchMark && m.At > from+geom.Hair && m.At < to-geom.Hair && d > far {
			stop, far, out.Stop = m.At, d, notchName(m, 1)
		}
	}
	edge := w.Of.Of.Outline
	for i := range edge {
		if edge.Edge(i).Dist(at(outer)) < geom.Hair {
			out.From = texts.PartEdge
		}
	}
	out.Line = geom.Segment{A: at(outer), B: at(stop)}
	return out
}

// setInAt is the number of a later join with a corner at which a join ends; 0 when there is none.
func (w *writer) setInAt(j *Join) int {
	ends := [2]geom.Point{j.Line.Line[0], j.Line.Line[len(j.Line.Line)-1]}
	for i := len(w.Joins) + 1; i < len(w.order); i++ {
		l := w.lines[w.Of.Of.Joins[w.order[i]-1]]
		if l == nil || !l.Bent {
			continue
		}
		for _, corner := range l.Line[1 : len(l.Line)-1] {
			if corner.Dist(ends[0]) < geom.Hair || corner.Dist(ends[1]) < geom.Hair {
				return i + 1
			}
		}
	}
	return 0
}

// marks says what meets along a join, and whether anything does between its ends.
func (w *writer) marks(l *sew.JoinLine) (text string, meets bool) {
	seams := 0
	var list []string
	var names []sew.Mark
	notches := map[string]int{}
	for _, m := range l.Marks {
		switch m.Kind {
		case sew.SeamMark:
			seams++
		case sew.NotchMark:
			notches[m.Name]++
			if notches[m.Name] == 1 {
				names = append(names, m)
			}
		}
	}
	for _, m := range names {
		list = append(list, notchName(m, notches[m.Name]))
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

// notchName is what one notch, or several of one name, is called.
func notchName(m sew.Mark, count int) string {
	text := texts.MatchNamed
	switch {
	case m.Name == "" && count > 1:
		text = texts.MatchNotches
	case m.Name == "":
		text = texts.MatchNotch
	case count > 1:
		text = texts.MatchAlike
	}
	return texts.Fill(text, "name", m.Name)
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
