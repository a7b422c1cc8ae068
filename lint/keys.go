package lint

import (
	"errors"
	"fmt"
	"path"
	"slices"

	"sewable/lang/cloth"
	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Key is one thing that can be set in a sewable.toml. Reading, the
// documentation page and the schema all come from the list of Keys.
type Key struct {
	Table   string // the table it stands in; empty for the top of the file
	Name    string
	Was     string // its name in the version before, in the same table, which still works
	Kind    KeyKind
	Words   []string // for OneOf: what can be said
	Default string   // as it would be written, without quotes
	Metric  string   // the default in metric files, where it is another
	Like    string   // the key before it whose value holds when this one is not set
	Looser  int      // 1: a larger value lets more pass, -1: a smaller one; 0: it is no limit
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
	Path                  // a settings file, from this one
)

// Path is the key as people name it: limits.allowance.
func (k Key) Path() string { return joinPath(k.Table, k.Name) }

func joinPath(table, name string) string {
	if table == "" {
		return name
	}
	return table + "." + name
}

// value is what a key was set to: of the kind that the key takes.
type value struct {
	num   geom.Num
	word  string
	words []string

	text string // as it was written, without quotes
}

// whole is a whole number.
func (v value) whole() int { n, _, _ := v.num.Exact(); return int(n) }

// LevelsTable is the table whose keys are the names of rules.
const LevelsTable = "levels"

// Keys are all keys but the rules' levels, in the order of the page.
var Keys = []Key{
	{Name: ExtendsKey, Kind: Path,
		Doc: "Another `sewable.toml` of this repository, by its path from this one: what it sets holds here too, where this file does not set it otherwise. Without it, this file stands alone.",
		set: func(*Settings, value) {}},
	{Name: "exclude", Kind: Globs,
		Doc: "Files and folders that are not checked or formatted, even when a command or hook names them: patterns relative to this file, where ** matches any folders. Put drafts here.",
		set: func(s *Settings, v value) { s.Exclude = v.words }},
	{Name: "grain", Kind: OneOf, Words: []string{"seam", "outer"}, Default: "seam",
		Doc: "How pieces are cut: along their own seam, or, for patches at an outer edge of the block, along the block's sides.",
		set: func(s *Settings, v value) {
			s.Grain = AlongSeam
			if v.word == "outer" {
				s.Grain = AlongOuter
			}
		}},

	{Table: "limits", Name: "allowance", Kind: Length, Default: "1/4 in", Metric: "6 mm", Looser: -1,
		Doc: "Smallest seam allowance. Lower it for miniatures.",
		set: func(s *Settings, v value) { s.LeastAllowance = v.num }},
	{Table: "limits", Name: "patch", Kind: Length, Default: "1/4 in", Looser: -1,
		Doc: "A finished patch narrower than this is too small to sew. Its width is that of the largest circle that fits in it.",
		set: func(s *Settings, v value) { s.LeastPatch = v.num }},
	{Table: "limits", Name: "small-patch", Kind: Length, Default: "1/2 in", Looser: -1,
		Doc: "A finished patch narrower than this is fiddly to sew.",
		set: func(s *Settings, v value) { s.SmallPatch = v.num }},
	{Table: "limits", Name: "seam", Kind: Length, Default: "1/2 in", Looser: -1,
		Doc: "A seam shorter than this is hard to hold.",
		set: func(s *Settings, v value) { s.LeastSeam = v.num }},
	{Table: "limits", Name: "corner", Kind: Angle, Default: "20", Looser: -1,
		Doc: "A corner sharper than this leaves a long tail of seam allowance.",
		set: func(s *Settings, v value) { s.SharpCorner = v.num }},
	{Table: "limits", Name: "bulky", Kind: Whole, Default: "8", Looser: 1,
		Doc: "This many seams meeting at one point are a bulky intersection.",
		set: func(s *Settings, v value) { s.BulkyPoint = v.whole() }},
	{Table: "limits", Name: "unmarked", Kind: Length, Default: "6 in", Looser: 1,
		Doc: "A join longer than this needs a notch between its ends.",
		set: func(s *Settings, v value) { s.UnmarkedJoin = v.num }},
	{Table: "limits", Name: "step", Kind: Length, Default: "1/4 in", Metric: "5 mm",
		Doc: "Cut sizes are rounded up to a multiple of this.",
		set: func(s *Settings, v value) { s.Step = v.num }},

	{Table: "paper", Name: "size", Kind: OneOf, Words: []string{"letter", "a4"}, Default: "letter", Metric: "a4",
		Doc: "Paper for foundations and labels.",
		set: func(s *Settings, v value) {
			for _, p := range Papers {
				if p.Name == v.word {
					s.Paper = p
				}
			}
		}},
	{Table: "paper", Name: "margin", Kind: Length, Default: "1/4 in", Metric: "6 mm",
		Doc: "Margin that the printer leaves blank on every side.",
		set: func(s *Settings, v value) { s.Margin = v.num }},

	{Table: "labels", Name: "width", Kind: Length, Default: "2 in", Metric: "50 mm",
		Doc: "Width of a piece label on the label sheets.",
		set: func(s *Settings, v value) { s.LabelWidth = v.num }},
	{Table: "labels", Name: "height", Kind: Length, Default: "1 in", Metric: "25 mm",
		Doc: "Height of a label.",
		set: func(s *Settings, v value) { s.LabelHeight = v.num }},
	{Table: "labels", Name: "gap", Kind: Length, Default: "1/8 in", Metric: "3 mm",
		Doc: "Gap between labels. With 0 in, neighbors share one cut line.",
		set: func(s *Settings, v value) { s.LabelGap = v.num }},

	{Table: "plan", Name: "match", Kind: Weight, Default: "1",
		Doc: "Penalty for each match point in a plan: a place on a join where seams of both sides meet. Fewer sections always come first, whatever the weights.",
		set: func(s *Settings, v value) { s.PlanMatch = v.whole() }},
	{Table: "plan", Name: "bulky", Was: "lump", Kind: Weight, Default: "3",
		Doc: "Penalty for a join that crosses a bulky intersection (see limits.bulky).",
		set: func(s *Settings, v value) { s.PlanBulky = v.whole() }},
	{Table: "plan", Name: "balance", Kind: Weight, Default: "0",
		Doc: "Penalty for sections of unequal size: the sum of the squared patch counts, times this weight. With 0, size only breaks ties.",
		set: func(s *Settings, v value) { s.PlanBalance = v.whole() }},
	{Table: "plan", Name: "split", Kind: Weight, Default: "1000",
		Doc: "Where plan adds seams: penalty for each piece more that a motif is split into.",
		set: func(s *Settings, v value) { s.PlanSplit = v.whole() }},
	{Table: "plan", Name: "section", Kind: Weight, Default: "150",
		Doc: "Where plan adds seams: penalty for each section. To save a section rather than keep a motif whole, make it larger than plan.split.",
		set: func(s *Settings, v value) { s.PlanSection = v.whole() }},
	{Table: "plan", Name: "patch", Kind: Weight, Default: "20",
		Doc: "Where plan adds seams: penalty for each patch.",
		set: func(s *Settings, v value) { s.PlanPatch = v.whole() }},
	{Table: "plan", Name: "sliver", Kind: Weight, Default: "5",
		Doc: "Where plan adds seams: penalty for each patch that is narrower than limits.small-patch or sharper than limits.corner, and each place where seams almost match.",
		set: func(s *Settings, v value) { s.PlanSliver = v.whole() }},
	{Table: "plan", Name: "asymmetry", Kind: Weight, Default: "4",
		Doc: "Where plan adds seams: penalty for seams that are not symmetric in a drawing that is.",
		set: func(s *Settings, v value) { s.PlanAsymmetry = v.whole() }},
	{Table: "plan", Name: "line", Kind: Weight, Default: "1",
		Doc: "Where plan adds seams: penalty for each line that seams are added on. Shorter seams break ties.",
		set: func(s *Settings, v value) { s.PlanLine = v.whole() }},

	{Table: "placement", Name: "shift", Kind: Length, Default: "1/8 in", Metric: "3 mm",
		Doc: "Placement tolerance: how far a piece may be off, along its seam and across it.",
		set: func(s *Settings, v value) { s.Shift = v.num }},
	{Table: "placement", Name: "turn", Kind: Angle, Default: "3",
		Doc: "Placement tolerance: how far a piece may be turned, in degrees.",
		set: func(s *Settings, v value) { s.Turn = v.num }},
	{Table: "placement", Name: "swing", Kind: Length, Default: "1/4 in", Metric: "6 mm",
		Doc: "Limit on how far turning moves the ends of a first piece: nobody places a long piece that crooked.",
		set: func(s *Settings, v value) { s.Swing = v.num }},
	{Table: "placement", Name: "center", Kind: OneOf, Words: []string{"auto", "line", "patch"}, Default: "auto",
		Doc: "Where a piece goes along its seam: centered on the printed line, or by its patch, with the distance past the end of the line given on every page. With auto, on the line if that adds no more than placement.extra.",
		set: func(s *Settings, v value) {
			s.Center = map[string]cloth.Center{"auto": cloth.CenterAuto, "line": cloth.CenterLine, "patch": cloth.CenterPatch}[v.word]
		}},
	{Table: "placement", Name: "extra", Kind: Length, Like: "limits.step",
		Doc: "How much longer a piece may be made so that it can be centered on the printed line.",
		set: func(s *Settings, v value) { s.Extra = v.num }},

	{Table: "cuts", Name: "sold", Kind: Switch, Default: "false",
		Doc: "Whether pieces are sold cut to size. If so, a designer's `cut` that fails with ordinary placement error is a warning instead of a hint.",
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
	case Path:
		return k.Path() + " is the path of another " + SettingsName + " from this one, such as \"../" + SettingsName + "\""
	case Globs:
		return k.Path() + " is a list of patterns, such as [\"drafts/**\"]"
	}
	panic(fmt.Sprintf("no kind %d", k.Kind))
}

// parse reads a value as it is written, without quotes. The error says what
// the key takes.
func (k Key) parse(text string) (value, error) {
	v, ok := value{text: text}, false
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
	case Path:
		v.word, ok = text, path.Base(text) == SettingsName && files.Portable(text) && !files.Rooted(text)
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
