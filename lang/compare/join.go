package compare

import (
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// Join is a join that came, went, or is sewn otherwise.
type Join struct {
	Before, After *block.Join // nil: it was added, it was removed
	Units         Pair[Units] // what it sews together
	Kind, Press   bool        // it is sewn or pressed otherwise
}

// Units are the sections of the two units that a join sews together, sorted.
type Units struct{ A, B []string }

// seamOf is a join with its units.
type seamOf struct {
	*block.Join
	units Units
	key   string // what it sews together, in sections of both sides
	press string // the section toward which it is pressed, or empty
	aside bool   // it is pressed toward the first unit of the key
}

// joins compares the joins by the units they sew together: `join C to A` and `join C
// to B` are one join when A and B are sewn already.
func (b *Block) joins(x, y *block.Block) {
	name := map[*block.Section]string{} // of sections that are on both sides
	for _, s := range b.Sections {
		if s.Before != nil && s.After != nil {
			name[s.Before], name[s.After] = s.After.Name, s.After.Name
		}
	}
	old, new := seamsOf(x, name), seamsOf(y, name)
	taken := make([]bool, len(new))
	last := -1
	for _, j := range old {
		i := -1
		for n, k := range new {
			if !taken[n] && k.key == j.key && (k.Kind == block.Finish) == (j.Kind == block.Finish) {
				i = n
				break
			}
		}
		if i < 0 {
			b.Joins = append(b.Joins, Join{Before: j.Join, Units: Pair[Units]{Before: j.units}})
			continue
		}
		taken[i] = true
		b.JoinOrder = b.JoinOrder || i < last
		last = i
		k := new[i]
		c := Join{Before: j.Join, After: k.Join, Units: Pair[Units]{j.units, k.units}, Kind: j.Kind != k.Kind,
			Press: (j.press == "") != (k.press == "") || j.press != "" && j.aside != k.aside}
		if c.Kind || c.Press {
			b.Joins = append(b.Joins, c)
		}
	}
	for i, k := range new {
		if !taken[i] {
			b.Joins = append(b.Joins, Join{After: k.Join, Units: Pair[Units]{After: k.units}})
		}
	}
}

func seamsOf(b *block.Block, name map[*block.Section]string) []seamOf {
	unit := map[*block.Section][]*block.Section{}
	of := func(s *block.Section) []*block.Section {
		if unit[s] == nil {
			unit[s] = []*block.Section{s}
		}
		return unit[s]
	}
	var out []seamOf
	for _, j := range b.Joins {
		a, c := of(j.A), of(j.B)
		if j.Kind == block.Finish {
			a, c = []*block.Section{j.A}, []*block.Section{j.B}
		}
		s := seamOf{Join: j, units: Units{names(a, nil), names(c, nil)}}
		ka, kc := strings.Join(names(a, name), " "), strings.Join(names(c, name), " ")
		if ka == "" || kc == "" { // of a section that is on one side alone
			ka, kc = "+"+strings.Join(s.units.A, " "), "+"+strings.Join(s.units.B, " ")
		}
		if j.PressToward != nil {
			s.press = j.PressToward.Name
			s.aside = slices.Contains(a, j.PressToward) == (ka < kc)
		}
		s.key = min(ka, kc) + "\x00" + max(ka, kc)
		out = append(out, s)
		if j.Kind != block.Finish && !slices.Contains(a, j.B) {
			both := slices.Concat(a, c)
			for _, m := range both {
				unit[m] = both
			}
		}
	}
	return out
}

// names are the names of sections, sorted: as they are, or those of sections that
// are on both sides.
func names(sections []*block.Section, as map[*block.Section]string) []string {
	var out []string
	for _, s := range sections {
		if as == nil {
			out = append(out, s.Name)
		} else if n, ok := as[s]; ok {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// Notch is a match mark that came, went, moved or was renamed.
type Notch struct {
	Before, After *block.Notch
	Moved, Name   bool
}

// notches compares match marks: by place first, then by name.
func (b *Block) notches(x, y *block.Block) {
	compare := func(old, new []*block.Notch) {
		left := slices.Clone(new)
		pair := func(n *block.Notch, like func(m *block.Notch) bool) bool {
			i := slices.IndexFunc(left, like)
			if i < 0 {
				return false
			}
			m := left[i]
			left = slices.Delete(left, i, i+1)
			if c := (Notch{n, m, n.Point.Dist(m.Point) > geom.Hair, n.Name != m.Name}); c.Moved || c.Name {
				b.Notches = append(b.Notches, c)
			}
			return true
		}
		there := func(n, m *block.Notch) bool { return n.Point.Dist(m.Point) <= geom.Hair }
		for _, like := range []func(n, m *block.Notch) bool{
			func(n, m *block.Notch) bool { return there(n, m) && n.Name == m.Name },
			there,
			func(n, m *block.Notch) bool { return n.Name == m.Name },
		} {
			old = slices.DeleteFunc(slices.Clone(old), func(n *block.Notch) bool {
				return pair(n, func(m *block.Notch) bool { return like(n, m) })
			})
		}
		for _, n := range old {
			b.Notches = append(b.Notches, Notch{Before: n})
		}
		for _, m := range left {
			b.Notches = append(b.Notches, Notch{After: m})
		}
	}
	compare(x.Notches, y.Notches)
	for i := range b.Sections {
		s := &b.Sections[i]
		if s.Unread || s.Before == nil || s.After == nil {
			continue
		}
		compare(s.Before.Notches, s.After.Notches)
	}
}
