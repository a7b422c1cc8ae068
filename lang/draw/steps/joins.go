package steps

import (
	"fmt"
	"slices"

	"sewable/lang/block"
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
		out.Words = w.join(out, w.finishedBy(order, i))
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
			return "No join is written, so the sections cannot be sewn together."
		case f.Kind == sew.LeftOver:
			return fmt.Sprintf("No join reaches %s, so the block cannot be sewn together.", Unit(f.Sections))
		default:
			bad = append(bad, f.Join.A.Name+" to "+f.Join.B.Name)
		}
	}
	if len(bad) == 0 {
		return "The sections do not fill the block once, so they cannot be joined."
	}
	return fmt.Sprintf("These sections cannot be sewn together: no order of the written joins works. In the written order, %s cannot be sewn.", english.List(bad))
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
func (w *writer) join(j Join, finish int) string {
	a, b := unit(j.A), unit(j.B)
	var text string
	switch {
	case j.Of.Kind == block.Partial:
		text = fmt.Sprintf("Sew %s to %s along part of their edge only, from the outer end to the mark, and leave the rest open.", a, b)
		if finish > 0 {
			text += fmt.Sprintf(" Step %d finishes it.", finish)
		}
	case j.Of.Kind == block.Finish:
		text = fmt.Sprintf("Finish the seam between %s and %s that was left open.", j.Of.A.Name, j.Of.B.Name)
	default:
		text = fmt.Sprintf("Sew %s to %s, right sides together", a, b)
		if j.Line != nil {
			text += ": " + w.len(j.Line.Length)
		}
		text += "."
	}
	if j.Line != nil {
		text += w.marks(j.Line)
		if j.Line.Bent {
			text += " This seam turns a corner: sew to the corner, leave the needle down, turn, and sew on."
		}
	}
	if j.Of.PressToward != nil {
		return text + fmt.Sprintf(" Press toward %s.", j.Of.PressToward.Name)
	}
	return text + " Press open."
}

// marks says what meets along a join.
func (w *writer) marks(l *sew.JoinLine) string {
	seams := 0
	var notches []string
	for _, m := range l.Marks {
		switch m.Kind {
		case sew.SeamMark:
			seams++
		case sew.NotchMark:
			if name := notchName(m); !slices.Contains(notches, name) {
				notches = append(notches, name)
			}
		}
	}
	switch {
	case seams == 0 && len(notches) == 0:
		return " Match the ends."
	case seams == 0:
		return fmt.Sprintf(" Match the ends and %s.", english.List(notches))
	}
	what := "the seam that meets another"
	if seams > 1 {
		what = fmt.Sprintf("the %d seams that meet others", seams)
	}
	if len(notches) == 0 {
		return fmt.Sprintf(" Match the ends and %s.", what)
	}
	return fmt.Sprintf(" Match the ends, %s, and %s.", what, english.List(notches))
}

func notchName(m sew.Mark) string {
	if m.Name == "" {
		return "the notch"
	}
	return "the notch " + m.Name
}

// Size is a block's finished size: 8 by 8 in.
func Size(b *block.Block) string {
	return geom.FormatNumber(b.Width.Float64(), b.File.Unit) + " by " + geom.Format(b.Height.Float64(), b.File.Unit)
}

// Cautions are the usual ones.
var Cautions = []string{
	"Rotary cutters, needles, pins and fine-point tweezers injure: close the blade whenever it is put down, cut away from yourself, and keep sharp things from children.",
	"A hot iron burns: stand it up, and unplug it when you leave it.",
	"Follow the makers' instructions of your machine, iron and cutter.",
}

// Advice is what is true of every foundation.
var Advice = []string{
	"Print at 100 % (\"actual size\"), without fitting to the page. Measure a printed square before you sew.",
	"The foundations are mirrored: sew on the printed side, with the fabric on the other.",
	"Stitch 1.5 mm (about 17 to the inch), so that the paper tears away. Begin a few stitches before a line and end a few after it.",
	"Trim each section on its cutting line. Leave the paper in until the neighbours are joined.",
}
