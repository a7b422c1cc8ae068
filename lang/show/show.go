// Package show writes a file as it is understood: one thing a line, in a set order, with every
// number worked out. Two files that mean the same give the same text, however they
// are spelled; so the differences of two such texts read as what changed. git shows them when
// it is told to (gitattributes, "Performing text diffs of binary files").
package show

import (
	"fmt"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lang/visible"
)

// Open reads a file for showing. When files that it uses are not there, or are not to be
// read (alone), their fabrics are taken by name: read gives the text of a file by its path.
func Open(path, text string, alone bool, reader *syntax.Reader, read func(path string) (string, error)) (f *block.File, unread bool) {
	if !alone {
		f = block.NewLoader(reader, read).OpenText(path, text)
		if !slices.ContainsFunc(f.Uses, func(u *block.Use) bool { return u.File == nil }) {
			return f, false
		}
	}
	// A first reading says which fabrics the file does not have; in a second one, what it
	// uses has them.
	var fabrics, at string // the fabrics, and the one file that has them
	standIn := func(path string) (string, error) {
		if at == "" {
			at = path
		}
		if path == at {
			return fabrics, nil
		}
		return "", nil
	}
	open := func() *block.File { return block.NewLoader(reader, standIn).Within("/").OpenText(path, text) }
	f = open()
	if len(f.Uses) == 0 {
		return f, false
	}
	names := map[string]bool{}
	for _, p := range f.Problems {
		if p.Kind == block.UnknownName && p.What == "fabric" && !names[p.Name] {
			names[p.Name] = true
			fabrics += "fabric " + p.Name + "\n"
		}
	}
	if fabrics != "" {
		f = open()
	}
	return f, true
}

// Options are how the pieces are cut.
type Options func(*block.File) cloth.Options

// Text is the text of a file.
func Text(f *block.File, unread bool, o Options) string {
	w := &writer{unit: f.Unit, options: o}
	w.file(f, unread)
	return w.b.String()
}

type writer struct {
	b       strings.Builder
	unit    geom.Unit
	options Options
}

// line writes a line at a depth.
func (w *writer) line(depth int, format string, args ...any) {
	s := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, fmt.Sprintf(format, args...))
	w.b.WriteString(strings.Repeat("  ", depth) + s + "\n")
}

func (w *writer) file(f *block.File, unread bool) {
	for _, u := range f.Uses {
		if unread {
			w.line(0, "use %s (not read here; its fabrics are taken by name)", visible.Text(u.Path))
		} else {
			w.line(0, "use %s", visible.Text(u.Path))
		}
	}
	if f.Allowance != nil && !f.Allowance.Broken {
		w.line(0, "allowance %s", w.length(f.Allowance.Size.Float64()))
	}
	w.fabrics(0, f.Fabrics)
	w.colorways(0, f.Colourways)
	w.notes(0, f.Notes)
	said := map[*syntax.Item]bool{}
	for _, e := range f.Tree.Errors {
		at := e.At
		if e.Item != nil {
			at = e.Item.Stmt
		}
		if e.Item == nil || !said[e.Item] {
			said[e.Item] = true
			w.line(0, "cannot be read: %s", strings.Join(strings.Fields(f.Source.Text[at.Start:at.End]), " "))
		}
	}
	for _, b := range f.Blocks {
		w.b.WriteString("\n")
		w.block(b)
	}
	for _, s := range f.Settings {
		w.b.WriteString("\n")
		w.setting(s)
	}
}

// length is to the digit: what changes by less than a ruler shows is a change.
func (w *writer) length(hairs float64) string { return geom.FormatExact(hairs, w.unit) }

func (w *writer) by(width, height float64) string {
	return strings.TrimSuffix(w.length(width), " "+w.unit.String()) + " × " + w.length(height)
}

// corners are the corners of a shape, anticlockwise from the lower left, without those on
// straight edges.
func (w *writer) corners(p geom.Polygon) string {
	var out []string
	for _, c := range p.CCW().Straighten().FromLowerLeft() {
		out = append(out, geom.FormatPlace(c, w.unit))
	}
	return strings.Join(out, " ")
}

func (w *writer) fabrics(depth int, fabrics []*block.Fabric) {
	sorted := slices.Clone(fabrics)
	slices.SortStableFunc(sorted, func(a, b *block.Fabric) int { return strings.Compare(a.Name, b.Name) })
	for _, f := range sorted {
		s := "fabric " + f.Name + titled(f.Title)
		if f.Colour != "" {
			s += ", " + f.Colour
		}
		if f.Width.Sign() > 0 {
			s += ", " + w.length(f.Width.Float64()) + " wide"
		}
		if f.Directional {
			s += ", with an up"
		}
		w.line(depth, "%s", s)
	}
}

func titled(title string) string {
	if title == "" {
		return ""
	}
	return fmt.Sprintf(" “%s”", title)
}

func (w *writer) colorways(depth int, ways []*block.Colourway) {
	for _, c := range ways {
		var swaps []string
		for _, s := range c.Swaps {
			if s.Old != nil && s.New != nil {
				swaps = append(swaps, s.New.Name+" for "+s.Old.Name)
			}
		}
		slices.Sort(swaps)
		w.line(depth, "colorway %s%s: %s", c.Name, titled(c.Title), strings.Join(swaps, ", "))
	}
}

func (w *writer) notes(depth int, notes []block.Note) {
	for _, n := range notes {
		w.line(depth, "note “%s”", n.Text)
	}
}

func (w *writer) block(b *block.Block) {
	w.line(0, "block “%s”, finished %s", b.Name, w.by(b.Width.Float64(), b.Height.Float64()))
	if a := b.Allowance; a == nil || a.Broken {
		w.line(1, "allowance not known")
	} else {
		w.line(1, "allowance %s", w.length(a.Size.Float64()))
		if o := b.OuterAllowance; o != nil && !o.Broken && o.Size.Cmp(a.Size) != 0 {
			w.line(1, "outer allowance %s", w.length(o.Size.Float64()))
		}
	}
	if len(b.Outline) > 2 && !isBox(b) {
		w.line(1, "outline %s", w.corners(b.Outline))
	}
	for _, s := range b.Sizes {
		w.line(1, "size %s%s, finished %s", s.Name, titled(s.Title), w.by(s.Width.Float64(), s.Height.Float64()))
	}
	w.fabrics(1, b.Fabrics)
	w.notes(1, b.Notes)
	sewing := sew.Analyse(b)
	seams := cloth.Seams(sewing)
	sections := slices.Clone(b.Sections)
	slices.SortStableFunc(sections, func(a, b *block.Section) int { return strings.Compare(a.Name, b.Name) })
	for _, s := range sections {
		w.section(sewing, s, seams)
	}
	for _, p := range b.Loose {
		w.line(1, "patch without a section, %s: %s", fabric(p), w.corners(p.Corners))
	}
	for i, j := range b.Joins {
		w.line(1, "join %d: %s", i+1, join(j))
	}
	w.notches(1, b.Notches)
	w.colorways(1, b.Colourways)
}

func isBox(b *block.Block) bool {
	box := geom.Box{Max: geom.Point{X: b.Width.Float64(), Y: b.Height.Float64()}}.Polygon()
	at := b.Outline.CCW().Straighten()
	return len(at) == 4 && slices.ContainsFunc(at, func(c geom.Point) bool { return c.Dist(box[0]) < geom.Hair }) &&
		geom.Polygon(at).Area() > box.Area()-geom.Hair
}

func (w *writer) section(sewing *sew.Block, s *block.Section, seams map[*block.Patch]cloth.Seam) {
	head := "section " + s.Name + titled(s.Title)
	if s.Broken {
		w.line(1, "%s could not be read completely", head)
		return
	}
	w.line(1, "%s, %d patches", head, len(s.Patches))
	if is := sewing.Section(s); is != nil {
		if o := is.Outline(); o != nil {
			w.line(2, "outline of %s: %s", s.Name, w.corners(o))
		}
	}
	w.notes(2, s.Notes)
	for _, p := range s.Patches {
		text := fmt.Sprintf("%s %s: %s", p.Label(), fabric(p), w.corners(p.Corners))
		if c, ok := cloth.Place(p, seams[p], cloth.Placed{}, w.options(s.Block.File)); ok {
			piece := cloth.Piece{Form: c.Pick.Form, Along: c.Pick.Along, Across: c.Pick.Across, Keeps: c.Pick.Keeps}
			size, after := cutlist.Size(&piece, w.unit)
			if after != "" {
				size += ", " + after
			}
			text += fmt.Sprintf("; finished %s; cut %s", geom.FormatSize(c.Width, c.Height, w.unit), size)
		}
		if p.Note != "" {
			text += fmt.Sprintf("; note “%s”", p.Note)
		}
		w.line(2, "%s", text)
	}
	w.notches(2, s.Notches)
}

// fabric is the name of a patch's fabric, as it is typed when there is no such fabric.
func fabric(p *block.Patch) string {
	if p.Fabric != nil {
		return p.Fabric.Name
	}
	if at := p.FabricAt(); at.File != nil && at.End > at.Start {
		return at.File.Text[at.Start:at.End] + " (no such fabric)"
	}
	return "no fabric"
}

func join(j *block.Join) string {
	kind := map[block.JoinKind]string{block.Inset: ", inset", block.Partial: ", partly", block.Finish: ", the rest of it"}[j.Kind]
	press := "pressed open"
	if j.PressToward != nil {
		press = "pressed toward " + j.PressToward.Name
	}
	return fmt.Sprintf("%s to %s%s, %s", j.A.Name, j.B.Name, kind, press)
}

func (w *writer) notches(depth int, notches []*block.Notch) {
	var lines []string
	for _, n := range notches {
		lines = append(lines, fmt.Sprintf("notch %s at %s", n.Name, geom.FormatPlace(n.Point, w.unit)))
	}
	slices.Sort(lines)
	for _, l := range lines {
		w.line(depth, "%s", l)
	}
}

func (w *writer) setting(s *block.Setting) {
	if len(s.OwnRows) > 0 {
		w.line(0, "setting “%s”, %d rows of their own", s.Name, len(s.OwnRows))
	} else {
		w.line(0, "setting “%s”, %d rows of %d", s.Name, s.Rows, s.Columns)
	}
	cell := func(c block.Cell) string {
		if c.Block == nil {
			return strings.TrimSpace(c.At.File.Text[c.At.Start:c.At.End])
		}
		text := fmt.Sprintf("“%s”", c.Block.Name)
		if c.Colourway != nil {
			text += " " + c.Colourway.Name
		}
		if c.Turned.Sign() != 0 {
			text += fmt.Sprintf(" turned %g", c.Turned.Float64())
		}
		if c.Mirrored {
			text += " mirrored"
		}
		return text
	}
	for i, r := range s.OwnRows {
		var parts []string
		for _, p := range r.Parts {
			if p.Cell != nil {
				parts = append(parts, cell(*p.Cell))
			} else {
				parts = append(parts, fmt.Sprintf("%s %s of %s", p.StripName(), w.length(p.Strip.Width.Float64()), p.Strip.Fabric.Name))
			}
		}
		w.line(1, "row %d: %s", i+1, strings.Join(parts, ", "))
	}
	if len(s.OwnRows) == 0 {
		for i, c := range s.Cells {
			w.line(1, "fill %d: %s", i+1, cell(c))
		}
	}
	strip := func(name string, st *block.Strip) {
		if st == nil || st.Fabric == nil {
			return
		}
		if st.Width.Sign() > 0 {
			w.line(1, "%s %s of %s", name, w.length(st.Width.Float64()), st.Fabric.Name)
		} else {
			w.line(1, "%s of %s", name, st.Fabric.Name)
		}
	}
	of := func(f *block.Fabric) *block.Strip { return &block.Strip{Fabric: f} }
	strip("on point, setting triangles", of(s.OnPoint))
	if s.Around {
		strip("sashing round the outside too", s.Sashing)
	} else {
		strip("sashing", s.Sashing)
	}
	strip("cornerstones", of(s.Cornerstone))
	for i := range s.Borders {
		strip(fmt.Sprintf("border %d", i+1), &s.Borders[i])
	}
	strip("binding, cut", s.Binding)
	strip("backing", of(s.Backing))
	if s.Batting {
		w.line(1, "batting")
	}
	w.notes(1, s.Notes)
}
