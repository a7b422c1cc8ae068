package compare

import (
	"cmp"
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/sew"
)

// Cloth is the cloth of one fabric, where it is not the same on both sides.
type Cloth struct {
	Name          string
	Fabric        *block.Fabric // as it is now, or was
	Before, After Amount        // zero: none of it
}

// Amount is how much of a fabric is needed.
type Amount struct {
	Pieces int
	Used   float64 // length of the cloth
	Buy    float64 // length to buy
}

// cloth works out the cloth of one block on both sides, of the fabrics whose pieces
// changed; nothing where a fabric is not known.
func (b *Block) cloth(how Options) {
	if !b.named() {
		return
	}
	changed := map[string]bool{}
	for _, f := range b.Fabrics {
		if f.Width || f.Directional || f.Renamed {
			changed[f.Before.Name], changed[f.After.Name] = true, true
		}
	}
	for _, p := range b.Patches {
		if p.Before == nil || p.After == nil || p.Fabric || p.Cut {
			for _, side := range []*Piece{p.Before, p.After} {
				if side != nil {
					changed[side.cloth()] = true
				}
			}
		}
	}
	if len(changed) == 0 {
		return
	}
	only := func(f *block.Fabric) bool { return changed[f.Name] }
	how.Before.Only, how.After.Only = only, only
	need := func(of *sew.Block, how cloth.OrderOptions) (*cloth.List, error) {
		if of == nil || how.Options == nil {
			return nil, nil
		}
		return cloth.NewList(cloth.Order{Blocks: []cloth.Placed{{Block: of.Of, Count: 1}}, Kits: 1}, how)
	}
	old, err1 := need(b.Before, how.Before)
	new, err2 := need(b.After, how.After)
	b.Uncut = Pair[error]{err1, err2}
	if err1 == nil && err2 == nil {
		b.Cloth = needs(old, new)
	}
}

// needs compares two cut lists by fabric.
func needs(old, new *cloth.List) []Cloth {
	at := map[string]*Cloth{}
	var names []string
	add := func(l *cloth.List, amount func(*Cloth) *Amount) {
		if l == nil {
			return
		}
		for i := range l.Fabrics {
			f := &l.Fabrics[i]
			c := at[f.Fabric.Name]
			if c == nil {
				c = &Cloth{Name: f.Fabric.Name}
				at[c.Name] = c
				names = append(names, c.Name)
			}
			c.Fabric = f.Fabric
			a := amount(c)
			a.Used += f.Used
			a.Buy += f.Buy
			for _, p := range f.Pieces {
				a.Pieces += p.Count
			}
			for _, w := range f.Whole {
				a.Pieces += w.Count
			}
		}
	}
	add(old, func(c *Cloth) *Amount { return &c.Before })
	add(new, func(c *Cloth) *Amount { return &c.After })
	var out []Cloth
	for _, name := range names {
		if c := at[name]; c.Before.Pieces != c.After.Pieces || !near(c.Before.Used, c.After.Used) || !near(c.Before.Buy, c.After.Buy) {
			out = append(out, *c)
		}
	}
	slices.SortFunc(out, func(a, b Cloth) int {
		return cmp.Or(compareNames(a.Fabric.Called(), b.Fabric.Called()), cmp.Compare(a.Name, b.Name))
	})
	return out
}
