package lint

import (
	"maps"

	"sewable/lang/cloth"
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/sew/plan"
	"sewable/lang/sew/seams"
)

// Settings are what a sewable.toml says, on top of the defaults. They are
// plain data. Lengths are in hairs, angles in degrees.
//
// What can be set, how it is written and what holds when it is not set stands in
// one table: see Keys.
type Settings struct {
	Levels  map[string]Level // by rule; a rule that is not in it has its own level, and a mandatory one keeps it
	Exclude []string         // globs, relative to the settings file's folder
	Grain   Grain

	LeastAllowance geom.Num // a smaller allowance is too little
	LeastPatch     geom.Num // a narrower patch vanishes in its allowances
	SmallPatch     geom.Num // a narrower patch is fiddly
	LeastSeam      geom.Num // a shorter seam is hard to hold
	UnmarkedJoin   geom.Num // a longer join wants a mark between its ends
	Step           geom.Num // cut sizes are whole steps
	SharpCorner    geom.Num // a sharper corner makes a long tail; degrees
	BulkyPoint     int      // this many seam lines leaving one point make a bulky intersection

	Paper  Paper
	Margin geom.Num // what a printer leaves white on every side

	LabelWidth, LabelHeight geom.Num // of the label of a piece
	LabelGap                geom.Num // between labels

	PlanMatch, PlanBulky, PlanBalance int // weights of a plan, see PlanFor

	PlanSplit, PlanSection, PlanPatch, PlanSliver, PlanAsymmetry, PlanLine int // weights of seams that are added

	Shift  geom.Num     // placement error: a piece lands this far off
	Turn   geom.Num     // and turned this far; degrees
	Swing  geom.Num     // the ends of a first piece swing this far at most
	Center cloth.Center // where along its seam a piece goes
	Extra  geom.Num     // what covering on the line too may add along the seam
	Sold   bool         // pieces cut to the designers' own sizes are sold
}

// Grain says which way the grain of a piece runs.
type Grain uint8

// The ways of Grain.
const (
	AlongSeam  Grain = iota // every piece lies along its own seam
	AlongOuter              // patches with an outer edge lie along the block's sides
)

// Paper is a size of paper, upright.
type Paper struct {
	Name          string
	Width, Height geom.Num
}

// Papers are the sizes that can be named. A4 is 210 × 297 mm (ISO 216),
// Letter 8 1/2 × 11 in.
var Papers = []Paper{
	{"letter", geom.Frac(17*127, 2), geom.Int(11 * 127)},
	{"a4", geom.Int(210 * 5), geom.Int(297 * 5)},
}

// Cutting is how pieces of cloth are cut.
func (s *Settings) Cutting() cloth.Options {
	return cloth.Options{
		Step:      s.Step.Float64(),
		Placement: cloth.Placement{Shift: s.Shift.Float64(), Turn: s.Turn.Float64(), Swing: s.Swing.Float64()},
		Center:    s.Center, Extra: s.Extra.Float64(),
		Outer: s.Grain == AlongOuter,
	}
}

// PlanFor is how drawings are planned. Ends and corners are closed over a sixteenth of an inch.
func (s *Settings) PlanFor() edit.PlanFor {
	o := edit.PlanFor{
		Options:  plan.Options{Weights: plan.Weights{Match: s.PlanMatch, Bulky: s.PlanBulky, Balance: s.PlanBalance, BulkyPoint: s.BulkyPoint}},
		Unmarked: s.UnmarkedJoin.Float64(),
		Close:    geom.Inch / 16,
		Add: &edit.Adding{Options: seams.Options{
			Order:  seams.Order{Split: s.PlanSplit, Section: s.PlanSection, Patch: s.PlanPatch, Sliver: s.PlanSliver, Asymmetry: s.PlanAsymmetry, Line: s.PlanLine},
			Narrow: s.SmallPatch.Float64(), Sharp: s.SharpCorner.Float64(), Tiny: s.LeastPatch.Float64(),
		}},
	}
	o.SheetWidth, o.SheetHeight = s.Printable()
	return o
}

// Printable is the width and height of what a printer can print on a sheet.
func (s *Settings) Printable() (width, height float64) {
	margin := s.Margin.Float64()
	return s.Paper.Width.Float64() - 2*margin, s.Paper.Height.Float64() - 2*margin
}

// level is the level of a rule as set; what is mandatory keeps its own, see Pass.Report.
func (s *Settings) level(r *Rule) Level {
	if l, ok := s.Levels[r.Name]; ok {
		return l
	}
	return r.Level
}

// With is a copy of the settings with one rule at another level.
func (s *Settings) With(rule string, l Level) *Settings {
	c := *s
	c.Levels = maps.Clone(s.Levels)
	if c.Levels == nil {
		c.Levels = map[string]Level{}
	}
	c.Levels[rule] = l
	return &c
}

// DefaultSettings are those of a file without a sewable.toml. Where the trade
// has another round figure in metric files, it depends on the unit.
func DefaultSettings(unit geom.Unit) *Settings { return new(SettingsFile).For(unit) }
