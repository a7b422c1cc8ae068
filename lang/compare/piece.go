package compare

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
)

// Piece is a patch on one side, with its piece of cloth.
type Piece struct {
	*block.Patch
	Label         string
	Width, Height float64      // finished, along the seam and across it; 0 when not known
	Cut           *cloth.Offer // nil when not known
}

// cloth is the name of the fabric.
func (p *Piece) cloth() string {
	if p.Fabric == nil {
		return ""
	}
	return p.Fabric.Name
}

// Recut says what becomes of a piece that is cut already.
type Recut uint8

// The answers.
const (
	Keep Recut = iota // the piece is as it was
	Trim              // the new one is smaller: the old one still covers
	Anew              // it has to be cut anew
)

// Patch is a patch on both sides, or on one.
type Patch struct {
	Before, After *Piece // nil: it was added, it was removed

	Shape   bool // another shape, not only moved, turned or mirrored
	Moved   bool // the same shape, elsewhere or otherwise
	Fabric  bool
	Section bool // in another section, as sections are matched
	Number  bool // another number in its section
	Cut     bool // another cut size
	Recut   Recut
}

// named reports whether the fabric is known, on either side that there is. What cannot
// be named is no other cloth: the finding about the name says what to do.
func (p Patch) named() bool {
	return (p.Before == nil || p.Before.Fabric != nil) && (p.After == nil || p.After.Fabric != nil)
}

// named reports whether all fabrics of the block are known.
func (b *Block) named() bool {
	return !slices.ContainsFunc(b.Patches, func(p Patch) bool { return !p.named() })
}

// Same reports whether nothing about the patch changed.
func (p Patch) Same() bool {
	return p.Before != nil && p.After != nil && !p.Shape && !p.Moved && !p.Fabric && !p.Section && !p.Number && !p.Cut
}

// judge says of every patch whether its piece is to be cut anew.
func (b *Block) judge() {
	for i := range b.Patches {
		p := &b.Patches[i]
		switch {
		case p.After == nil:
		case p.Before == nil || p.Before.Cut == nil && p.After.Cut != nil:
			p.Cut, p.Recut = p.Before != nil, Anew
		case p.After.Cut == nil:
			p.Cut = p.Before.Cut != nil
			if p.Fabric {
				p.Recut = Anew
			}
		default:
			old, new := sized(p.Before.Cut), sized(p.After.Cut)
			if !p.named() { // whether the cloth has an up is not known either
				old, new = old.turnable(), new.turnable()
			}
			p.Cut = old != new
			switch {
			case p.Fabric || !covers(old, new) && (p.Shape || !old.keeps || new.keeps):
				p.Recut = Anew
			case p.Cut && old.along*old.across > new.along*new.across:
				p.Recut = Trim
			}
		}
	}
}

// size is how a piece is cut, as a whole number of tenths of a hair, so that what
// only arithmetic has parted is one.
type size struct {
	form          cloth.Form
	along, across int64
	keeps         bool
}

func sized(o *cloth.Offer) size {
	s := size{o.Form, tenths(o.Along), tenths(o.Across), o.Keeps}
	if s.form == cloth.Strip {
		s.form = cloth.Rectangle
	}
	if !s.keeps && s.along < s.across { // one piece, however it was given
		s.along, s.across = s.across, s.along
	}
	return s
}

// turnable is the size without an up.
func (s size) turnable() size {
	s.keeps, s.along, s.across = false, max(s.along, s.across), min(s.along, s.across)
	return s
}

func tenths(hairs float64) int64 { return int64(math.Round(hairs * 10)) }

// covers reports whether a piece that is cut already does for another. One that was cut
// by the print may be turned where the print has no up any more.
func covers(old, new size) bool {
	if old.keeps && !new.keeps {
		old = old.turnable()
	}
	return old.form == new.form && old.keeps == new.keeps && old.along >= new.along && old.across >= new.across
}

// kinship is how two shapes are alike.
type kinship uint8

const (
	unlike  kinship = iota
	turned          // the same shape, turned or mirrored
	shifted         // the same shape, elsewhere
	same            // the same shape at the same place
)

// kin compares two shapes. They may begin at another corner, run the other way, or have
// corners on straight edges.
func kin(a, b geom.Polygon) kinship {
	a, b = a.CCW().Straighten(), b.CCW().Straighten()
	if len(a) != len(b) || len(a) == 0 {
		return unlike
	}
	if a.Matches(b) {
		return same
	}
	if box, other := a.Bounds(), b.Bounds(); near(box.Width(), other.Width()) && near(box.Height(), other.Height()) &&
		geom.MoveBy(other.Min.Sub(box.Min)).ApplyTo(a).Matches(b) {
		return shifted
	}
	if congruent(a, b) || congruent(a, mirrored(b)) {
		return turned
	}
	return unlike
}

func sameShape(a, b geom.Polygon) bool { return len(a) == 0 && len(b) == 0 || kin(a, b) == same }

// congruent reports whether b is a, turned and moved: the distances from a corner to
// the next and to the one after that are the same all round.
func congruent(a, b geom.Polygon) bool {
	n := len(a)
	for shift := range b {
		ok := true
		for i := 0; ok && i < n; i++ {
			for step := 1; ok && step <= min(3, n-1); step++ {
				ok = math.Abs(a[i].Dist(a[(i+step)%n])-b[(i+shift)%n].Dist(b[(i+shift+step)%n])) < 2*geom.Hair
			}
		}
		if ok {
			return true
		}
	}
	return false
}

func mirrored(p geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(p))
	for i, c := range p {
		out[i] = geom.Point{X: -c.X, Y: c.Y}
	}
	return out.CCW()
}

// compareNames orders labels as people do: A2 before A10. No two names are equal.
func compareNames(a, b string) int {
	stem := func(s string) (string, int) {
		t := strings.TrimRight(s, "0123456789")
		n := 0
		for _, d := range s[len(t):] {
			n = n*10 + int(d-'0')
		}
		return t, n
	}
	x, m := stem(a)
	y, n := stem(b)
	return cmp.Or(cmp.Compare(x, y), cmp.Compare(m, n), cmp.Compare(a, b))
}
