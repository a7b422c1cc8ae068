package lint

import (
	"slices"

	"sewable/lang/geom"
	"sewable/lang/source"
)

// InForce is a setting as it holds: what it is, and where that was said.
type InForce struct {
	Path   string // limits.seam, levels.sharp-corner
	Value  string // as it is written, without quotes; of a list, one after the other
	File   *source.File
	At     source.Span // of the key in File, which is nil for a default
	Looser int         // see Key.Looser; of a level -1: a lower one lets more pass
	Rule   *Rule       // whose level it is; nil for a key
}

// InForce lists everything that can be set, with what holds for files that count in a unit, in the
// order of the page; then the levels of the rules.
func (f *SettingsFile) InForce(unit geom.Unit, rules []*Rule) []InForce {
	var out []InForce
	said := map[string]string{}
	for _, k := range Keys {
		is := InForce{Path: k.Path(), Value: k.defaultOf(unit), Looser: k.Looser}
		if is.Value == "" && k.Like != "" {
			is.Value = said[k.Like]
		}
		if v, ok := f.values[is.Path]; ok {
			is.Value, is.File, is.At = v.text, f.places[is.Path].file, f.places[is.Path].at
		}
		said[is.Path] = is.Value
		out = append(out, is)
	}
	for _, r := range rules {
		is := InForce{Path: joinPath(LevelsTable, r.Name), Value: r.Level.String(), Looser: -1, Rule: r}
		if l, ok := f.levels[r.Name]; ok {
			is.Value, is.File, is.At = l.String(), f.places[is.Path].file, f.places[is.Path].at
		}
		out = append(out, is)
	}
	return out
}

// Altered is a setting that two settings files do not agree on.
type Altered struct {
	Before, After InForce
	Loosened      bool // more passes now; false for what is no limit
}

// AlteredIn compares what is in force in two settings files.
func AlteredIn(before, after *SettingsFile, unit geom.Unit, rules []*Rule) []Altered {
	x, y := before.InForce(unit, rules), after.InForce(unit, rules)
	var out []Altered
	for i := range x {
		if x[i].Value != y[i].Value {
			out = append(out, Altered{x[i], y[i], looser(x[i], y[i])})
		}
	}
	return out
}

func looser(before, after InForce) bool {
	if before.Looser == 0 {
		return false
	}
	a, b := sizeOf(before.Value), sizeOf(after.Value)
	return b.Cmp(a)*before.Looser > 0
}

// sizeOf is how much a limit or a level allows, as a number.
func sizeOf(value string) geom.Num {
	if i := slices.Index(LevelNames, value); i >= 0 {
		l, _ := ParseLevel(value)
		return geom.Int(int64(l))
	}
	if n, ok := ParseLength(value); ok {
		return n
	}
	n, _ := parseDecimal(value)
	return n
}
