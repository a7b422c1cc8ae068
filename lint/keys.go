package lint

import (
	"errors"
	"fmt"
	"slices"

	"sewable/lang/cloth"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Key is one thing that can be set in a sewable.toml. Reading, the
// documentation page and the schema all come from the list of Keys.
type Key struct {
	Table   string // the table it stands in; empty for the top of the file
	Name    string
	Kind    KeyKind
	Words   []string // for OneOf: what can be said
	Default string   // as it would be written, without quotes
	Metric  string   // the default in metric files, where it is another
	Like    string   // the key before it whose value holds when this one is not set
	Doc     string   // one sentence or two

	set func(*Settings, value)
}

// KeyKind says what a key takes.
type KeyKind uint8

// The kinds of key.
const (
	Length KeyKind = iota // "1/4 in", "6 mm"
	Angle                 // degrees, a number
	Whole                 // a whole number from 1
	Weight                // a whole number from 0 to 1000
	OneOf                 // one of Words
	Switch                // true or false
	Globs                 // a list of file patterns
)

// Path is the key as people name it: limits.allowance.
func (k Key) Path() string {
	if k.Table == "" {
		return k.Name
	}
	return k.Table + "." + k.Name
}

// value is what a key was set to: of the kind that the key takes.
type value struct {
	num   geom.Num
	word  string
	words []string
}

// whole is a whole number.
func (v value) whole() int { n, _, _ := v.num.Exact(); return int(n) }

// LevelsTable is the table whose keys are the names of rules.
const LevelsTable = "levels"

// Keys are all keys but the rules' levels, in the order of the page.
var Keys = []Key{
	{Name: "exclude", Kind: Globs,
		Doc: "Files and folders that are not checked or formatted, also when a command or a hook names them; as patterns relative to this file, where ** stands for any folders. Drafts belong here.",
		set: func(s *Settings, v value) { s.Exclude = v.words }},
	{Name: "grain", Kind: OneOf, Words: []string{"seam", "outer"}, Default: "seam",
		Doc: "Which way pieces are cut: along their own seam, or, for patches with an outer edge of the block, along the block's sides.",
		set: func(s *Settings, v value) {
			s.Grain = AlongSeam
			if v.word == "outer" {
				s.Grain = AlongOuter
			}
		}},

	{Table: "limits", Name: "allowance", Kind: Length, Default: "1/4 in", Metric: "6 mm",
		Doc: "The least seam allowance. Miniatures lower it.",
		set: func(s *Settings, v value) { s.LeastAllowance = v.num }},
	{Table: "limits", Name: "patch", Kind: Length, Default: "1/4 in",
		Doc: "A finished patch narrower than this vanishes in its own allowances. The width is that of the largest circle in it.",
		set: func(s *Settings, v value) { s.LeastPatch = v.num }},
	{Table: "limits", Name: "small-patch", Kind: Length, Default: "1/2 in",
		Doc: "A finished patch narrower than this is fiddly.",
		set: func(s *Settings, v value) { s.SmallPatch = v.num }},
	{Table: "limits", Name: "seam", Kind: Length, Default: "1/2 in",
		Doc: "A seam shorter than this is hard to hold.",
		set: func(s *Settings, v value) { s.LeastSeam = v.num }},
	{Table: "limits", Name: "corner", Kind: Angle, Default: "20",
		Doc: "A corner sharper than this makes a long tail.",
		set: func(s *Settings, v value) { s.SharpCorner = v.num }},
	{Table: "limits", Name: "bulky", Kind: Whole, Default: "8",
		Doc: "This many seam lines leaving one point make a lump.",
		set: func(s *Settings, v value) { s.BulkyPoint = v.whole() }},
	{Table: "limits", Name: "unmarked", Kind: Length, Default: "6 in",
		Doc: "A join longer than this without a mark between its ends wants a notch.",
		set: func(s *Settings, v value) { s.UnmarkedJoin = v.num }},
	{Table: "limits", Name: "step", Kind: Length, Default: "1/4 in", Metric: "5 mm",
		Doc: "Cut sizes are whole steps of this.",
		set: func(s *Settings, v value) { s.Step = v.num }},

	{Table: "paper", Name: "size", Kind: OneOf, Words: []string{"letter", "a4"}, Default: "letter", Metric: "a4",
		Doc: "The paper that foundations and labels are printed on.",
		set: func(s *Settings, v value) {
			for _, p := range Papers {
				if p.Name == v.word {
					s.Paper = p
				}
			}
		}},
	{Table: "paper", Name: "margin", Kind: Length, Default: "1/4 in", Metric: "6 mm",
		Doc: "What the printer leaves white on every side.",
		set: func(s *Settings, v value) { s.Margin = v.num }},

	{Table: "labels", Name: "width", Kind: Length, Default: "2 in", Metric: "50 mm",
		Doc: "How wide the label of a piece is, on the sheets of labels.",
		set: func(s *Settings, v value) { s.LabelWidth = v.num }},
	{Table: "labels", Name: "height", Kind: Length, Default: "1 in", Metric: "25 mm",
		Doc: "How high a label is.",
		set: func(s *Settings, v value) { s.LabelHeight = v.num }},
	{Table: "labels", Name: "gap", Kind: Length, Default: "1/8 in", Metric: "3 mm",
		Doc: "What is left white between labels; with 0 in, one cut parts two.",
		set: func(s *Settings, v value) { s.LabelGap = v.num }},

	{Table: "plan", Name: "match", Kind: Weight, Default: "1",
		Doc: "What a match point costs when a drawing is planned: a place on a join where seams of both sides meet. The fewest sections come first, whatever these weights are.",
		set: func(s *Settings, v value) { s.PlanMatch = v.whole() }},
	{Table: "plan", Name: "lump", Kind: Weight, Default: "3",
		Doc: "What it costs that a join goes through a lump, as limits.bulky counts them.",
		set: func(s *Settings, v value) { s.PlanLump = v.whole() }},
	{Table: "plan", Name: "balance", Kind: Weight, Default: "0",
		Doc: "What it costs that sections differ in size: the sum of the squares of their numbers of patches counts this much. With 0, balance decides between plans that are equal otherwise.",
		set: func(s *Settings, v value) { s.PlanBalance = v.whole() }},

	{Table: "placement", Name: "shift", Kind: Length, Default: "1/8 in", Metric: "3 mm",
		Doc: "How far off a piece may be laid, along its seam and across.",
		set: func(s *Settings, v value) { s.Shift = v.num }},
	{Table: "placement", Name: "turn", Kind: Angle, Default: "3",
		Doc: "How far a piece may be turned when it is laid, in degrees.",
		set: func(s *Settings, v value) { s.Turn = v.num }},
	{Table: "placement", Name: "swing", Kind: Length, Default: "1/4 in", Metric: "6 mm",
		Doc: "How far the ends of a first piece swing at most when it is turned: nobody lays a long piece that crooked.",
		set: func(s *Settings, v value) { s.Swing = v.num }},
	{Table: "placement", Name: "center", Kind: OneOf, Words: []string{"auto", "line", "patch"}, Default: "auto",
		Doc: "Where a piece goes along its seam: centered on the printed line, or by its patch, with the distance past the end of the line on every page. With auto, on the line where that takes no more than placement.extra.",
		set: func(s *Settings, v value) {
			s.Center = map[string]cloth.Center{"auto": cloth.CenterAuto, "line": cloth.CenterLine, "patch": cloth.CenterPatch}[v.word]
		}},
	{Table: "placement", Name: "extra", Kind: Length, Like: "limits.step",
		Doc: "How much longer a piece may be so that it also covers when it is centered on the printed line.",
		set: func(s *Settings, v value) { s.Extra = v.num }},

	{Table: "cuts", Name: "sold", Kind: Switch, Default: "false",
		Doc: "Whether pieces are sold cut to size. Then a designer's `cut` that misses with the placement error is a warning instead of a hint.",
		set: func(s *Settings, v value) { s.Sold = v.word == "true" }},
}

// defaultOf is the text of a key's default in a unit.
func (k Key) defaultOf(unit geom.Unit) string {
	if unit != geom.Inches && k.Metric != "" {
		return k.Metric
	}
	return k.Default
}

// wants says what the key takes.
func (k Key) wants() string {
	switch k.Kind {
	case Length:
		return k.Path() + " is a length with its unit, such as \"1/4 in\" or \"6 mm\""
	case Angle:
		return k.Path() + " is an angle in degrees from 0 to 180, a number without quotes"
	case Whole:
		return k.Path() + " is a whole number from 1, without quotes"
	case Weight:
		return k.Path() + " is a whole number from 0 to 1000, without quotes"
	case OneOf:
		return k.Path() + " is " + orList(k.Words)
	case Switch:
		return k.Path() + " is true or false, without quotes"
	case Globs:
		return k.Path() + " is a list of patterns, such as [\"drafts/**\"]"
	}
	panic(fmt.Sprintf("no kind %d", k.Kind))
}

// parse reads a value as it is written, without quotes. The error says what
// the key takes.
func (k Key) parse(text string) (value, error) {
	v, ok := value{}, false
	switch k.Kind {
	case Length:
		v.num, ok = ParseLength(text)
	case Angle:
		v.num, ok = parseDecimal(text)
		ok = ok && v.num.Sign() >= 0 && v.num.Cmp(geom.Int(180)) <= 0
	case Whole:
		v.num, ok = parseDecimal(text)
		_, d, exact := v.num.Exact()
		ok = ok && exact && d == 1 && v.num.Sign() > 0
	case Weight:
		v.num, ok = parseDecimal(text)
		_, d, exact := v.num.Exact()
		ok = ok && exact && d == 1 && v.num.Sign() >= 0 && v.num.Cmp(geom.Int(1000)) <= 0
	case OneOf:
		v.word, ok = text, slices.Contains(k.Words, text)
	case Switch:
		v.word, ok = text, text == "true" || text == "false"
	}
	if !ok {
		return value{}, errors.New(k.wants())
	}
	return v, nil
}

// ParseLength reads a length with its unit as the language writes it: "1/2 in".
func ParseLength(text string) (geom.Num, bool) {
	tree := syntax.NewReader().Parse(source.New("", "allowance "+text))
	if len(tree.Errors) > 0 || len(tree.Items) != 1 || tree.Items[0].Comment.Len() > 0 {
		return geom.Num{}, false
	}
	a, ok := tree.Items[0].Node.(*syntax.Allowance)
	if !ok || a.Outer {
		return geom.Num{}, false
	}
	n, ok := a.Size.(*syntax.Number)
	if !ok {
		return geom.Num{}, false
	}
	unit, ok := map[syntax.Unit]geom.Unit{
		syntax.Inches: geom.Inches, syntax.Millimetres: geom.Millimetres, syntax.Centimetres: geom.Centimetres,
	}[n.Unit]
	return n.Value.Mul(unit.Num()), ok
}

// orList joins words as a choice: "seam" or "outer".
func orList(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = fmt.Sprintf("%q", w)
	}
	return english.Choice(quoted)
}
