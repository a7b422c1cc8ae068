package query

import (
	"iter"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/visible"
)

// patch says everything that a sewist wants to know of a patch.
func (h *HoverText) patch(f *File, p *block.Patch) {
	h.Title = p.Called()
	if p.Fabric != nil {
		h.Title += " · " + fabricTitle(p.Fabric)
		h.Swatch = p.Fabric.Colour
	}
	if p.Note != "" {
		h.say("%s", p.Note)
	}
	if p.Section == nil {
		return
	}
	s := f.Sewing(p.Section.Block).Known(p.Section)
	if s == nil || !slices.Contains(s.Of.Patches, p) {
		h.say("Its shape cannot be worked out yet, so there are no figures.")
		return
	}
	h.Picture = &Picture{Sewn: f.Sewing(p.Section.Block), Patch: p}
	seam, sewn := seamOf(s, p)
	h.cut(f, p, cloth.SeamOf(s, p))
	h.order(s, p)
	if sewn {
		h.fact("seam", "%s, onto %s", f.length(seam.Len()), labels(seam.On))
	}
	if p.Section.Broken {
		return // a part of it is missing
	}
	for _, x := range s.Flaws() {
		for _, q := range x.Patches {
			if q == p {
				h.say("It is part of a %s in the section.", x.Kind)
			}
		}
	}
}

func fabricTitle(f *block.Fabric) string {
	if f.Title == "" {
		return f.Name
	}
	return f.Title + " (" + f.Name + ")"
}

// order says where a patch sits in the order and what it waits for.
func (h *HoverText) order(s *sew.Section, p *block.Patch) {
	switch n := len(s.Of.Patches); {
	case s.Flawed():
		return
	case s.InOrder() && p.Number == 1:
		h.fact("sewn", "first of %d", n)
	case s.InOrder():
		h.fact("sewn", "%s of %d", ordinal(p.Number), n)
		if w := s.Waits()[p.Number]; len(w) > 0 {
			h.fact("waits for", "%s", labels(numbered(s.Of, w)))
		}
	default:
		if u := s.FirstUnsewable(); u != nil && u.Patch == p {
			h.say("It cannot be sewn in its turn.")
		}
	}
}

// numbered are the patches of a section with these numbers.
func numbered(s *block.Section, numbers []int) []*block.Patch {
	var out []*block.Patch
	for _, n := range numbers {
		if i := slices.IndexFunc(s.Patches, func(p *block.Patch) bool { return p.Number == n }); i >= 0 {
			out = append(out, s.Patches[i])
		}
	}
	return out
}

func ordinal(n int) string {
	suffix := "th"
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		suffix = "st"
	case n%10 == 2:
		suffix = "nd"
	case n%10 == 3:
		suffix = "rd"
	}
	return strconv.Itoa(n) + suffix
}

// seamOf is the seam a patch is sewn on.
func seamOf(s *sew.Section, p *block.Patch) (seam sew.Seam, sewn bool) {
	for _, m := range s.Seams() {
		if m.Patch == p {
			return m, true
		}
	}
	return sew.Seam{}, false
}

// cut says the finished size, the sizes to cut, and what is to spare.
func (h *HoverText) cut(f *File, p *block.Patch, on cloth.Seam) {
	c, ok := cloth.Place(p, on, cloth.Placed{}, f.Cloth)
	if !ok {
		return
	}
	o, ways := c.Pick, c.Ways()
	h.fact("cut", "%s", f.pieceOf(o))
	if laid := cutlist.Laid(c.Lay(), o.Form, f.Unit); laid != "" {
		h.fact("laid", "%s", laid)
	}
	if o.Form == cloth.Rectangle && ways.Smallest.Cloth() < o.Cloth()*(1-1e-9) && !o.Keeps {
		h.fact("smallest", "%s", f.offer(ways.Smallest))
	}
	if extra := c.Extra(); o.Keeps && extra > 1 {
		h.fact("print", "keeping it upright takes %s more fabric", geom.FormatArea(extra, f.Unit))
	}
	for _, x := range []*cloth.Offer{ways.HalfSquare, ways.QuarterSquare} {
		if x != nil && x.Form != o.Form && (c.Fabric == nil || !c.Fabric.Directional) {
			h.fact(x.Form.String(), "%s, %s of fabric instead of %s", f.offer(*x),
				geom.FormatArea(x.Cloth(), f.Unit), geom.FormatArea(o.Cloth(), f.Unit))
		}
	}
	h.fact("to spare", "%s", f.spare(o))
	along := ""
	if c.Seam.Sewn {
		along = " along the seam"
	}
	h.fact("finished", "%s%s", geom.FormatSize(c.Width, c.Height, f.Unit), along)
}

// pieceOf is how a piece is cut: of a print that is kept upright as the cut list says it.
func (f *File) pieceOf(o cloth.Offer) string {
	if !o.Keeps {
		return f.offer(o)
	}
	p := cloth.PieceOf(o)
	size, after := cutlist.Size(&p, f.Unit)
	if after != "" {
		size += ", " + after
	}
	return size
}

// offer is a size as it is cut.
func (f *File) offer(o cloth.Offer) string {
	up := func(x float64) string { return geom.FormatRuler(x, f.Unit, geom.Up) }
	switch o.Form {
	case cloth.Strip:
		return "strip " + up(o.Across) + " wide"
	case cloth.HalfSquare:
		return "square " + up(o.Along) + " halved"
	case cloth.QuarterSquare:
		return "square " + up(o.Along) + " quartered"
	}
	return geom.FormatCut(o.Along, o.Across, f.Unit)
}

// spare is what an offer has to spare over the patch, laid well and laid badly.
func (f *File) spare(o cloth.Offer) string {
	return geom.FormatMargin(o.Nominal.Least, f.Unit) + ", at worst " + geom.FormatMargin(o.Worst.Least, f.Unit)
}

// usedAs is the path of another file as this one's `use` has it, or would have it.
func (f *File) usedAs(other *source.File) string {
	path := files.Absolute(other.Path)
	for _, u := range f.Uses {
		if u.File != nil && files.Absolute(u.File.Source.Path) == path {
			return visible.Text(u.Path)
		}
	}
	rel, err := filepath.Rel(filepath.Dir(files.Absolute(f.Source.Path)), path)
	if err != nil {
		return other.Path
	}
	return filepath.ToSlash(rel)
}

func (h *HoverText) fabric(f *File, x *block.Fabric) {
	h.Title, h.Swatch = fabricTitle(x), x.Colour
	h.Code = f.statement(&x.Named)
	if x.At.File != f.Source {
		h.fact("from", "%s", f.usedAs(x.At.File))
	}
	if w := x.Width.Float64(); w > 0 {
		h.fact("usable width", "%s", geom.FormatLong(w, f.Unit))
	}
	if x.Directional {
		h.fact("print", "directional")
	}
	area, pieces := 0.0, 0
	for p := range f.patchesOf(x) {
		area += math.Abs(p.Corners.Area())
		pieces++
	}
	if pieces > 0 {
		h.fact("finished", "%s, %s", english.Count(pieces, "patch", "patches"), geom.FormatArea(area, f.Unit))
	}
	if pieces > 0 && pieces <= maxPlanned {
		if buy, ok := f.clothFor(x); ok {
			h.fact("cloth", "%s off the bolt, each block of this file once", cutlist.Buy(buy, f.Unit))
		}
	}
	h.uses(f, &x.Named)
}

// maxPlanned is how many pieces are laid out while somebody waits.
const maxPlanned = 200

func (f *File) patchesOf(x *block.Fabric) iter.Seq[*block.Patch] {
	return func(yield func(*block.Patch) bool) {
		for _, b := range f.Blocks {
			for _, s := range b.Sections {
				known := s.Known()
				if known == nil {
					continue
				}
				for _, p := range known.Patches {
					if p.Fabric == x && !yield(p) {
						return
					}
				}
			}
		}
	}
}

// clothFor is the length to buy of a fabric for the blocks of the file, each once.
func (f *File) clothFor(x *block.Fabric) (buy float64, ok bool) {
	seams := map[*block.Patch]cloth.Seam{}
	for _, b := range f.Blocks {
		for _, s := range b.Sections {
			if known := f.Sewing(b).Known(s); known != nil {
				maps.Copy(seams, cloth.SeamsOf(known))
			}
		}
	}
	var wanted []cloth.Wanted
	for p := range f.patchesOf(x) {
		c, ok := cloth.Place(p, seams[p], cloth.Placed{}, f.Cloth)
		if !ok {
			return 0, false
		}
		wanted = append(wanted, cloth.Wanted{Along: c.Pick.Along, Across: c.Pick.Across, Keeps: c.Pick.Keeps, Count: 1})
	}
	width := cloth.DefaultWidth
	if w := x.Width.Float64(); w > 0 {
		width = w
	}
	plan, err := cloth.MakePlan(wanted, cloth.Cutter{Width: width, Ruler: cloth.DefaultRuler, Lengthwise: true, Effort: 0.0125})
	if err != nil {
		return 0, false
	}
	return cloth.Purchase(plan.Length(), cloth.DefaultSquaring(f.Unit), f.Unit), true
}
