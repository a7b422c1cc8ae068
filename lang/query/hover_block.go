package query

import (
	"cmp"
	"fmt"
	"path"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

func (h *HoverText) section(f *File, s *block.Section) {
	h.Title = "section " + s.Name
	if called := s.Called(); called != "" {
		h.Title += " · " + called
	}
	sec := f.Sewing(s.Block).Section(s)
	if s.Broken || sec == nil {
		h.say("It cannot be read as a whole yet.")
		return
	}
	h.Picture = &Picture{Sewn: f.Sewing(s.Block), Section: s}
	h.fact("order", "%s", orderWords(sec))
	if s.CopyOf != nil {
		of := s.CopyOf.Name
		if s.CopyOf.Block != s.Block {
			of += " of " + s.CopyOf.Block.Name
		}
		if from := s.CopyOf.At.File; from != f.Source {
			of += ", in " + path.Base(from.Path)
		}
		h.fact("copy of", "%s", of)
	}
	h.fact("patches", "%d", len(s.Patches))
	outline := sec.Outline()
	if outline == nil {
		return
	}
	if s.Hangs || len(s.Lines) > 0 {
		h.fact("outline", "%s", cornerWords(outline, f.Unit))
	}
	box := outline.Bounds()
	h.fact("finished", "%s", geom.FormatSize(box.Width(), box.Height(), f.Unit))
	if a := s.Block.OuterAllowance; a != nil && !a.Broken && s.Block.Allowance != nil && !s.Block.Allowance.Broken {
		more := 2 * max(a.Size.Float64(), s.Block.Allowance.Size.Float64())
		w, t := box.Width()+more, box.Height()+more
		h.fact("paper", "%s with its allowance%s", f.sized(w, t), f.sheets(w, t))
	}
}

// sheets says whether a section fits on one sheet, either way round.
func (f *File) sheets(w, t float64) string {
	p := f.Paper
	name := strings.ReplaceAll(p.Name, "a4", "A4") // as it is written outside the settings
	switch {
	case name == "":
		return ""
	case w <= p.Width && t <= p.Height || t <= p.Width && w <= p.Height:
		return ", on one sheet of " + name
	}
	return ", on several sheets of " + name
}

// orderWords says in a few words how a section is sewn.
func orderWords(s *sew.Section) string {
	switch {
	case len(s.Of.Patches) == 0:
		return "no patches yet"
	case s.Flawed():
		return "none yet: the patches do not fill the section once"
	case s.InOrder():
		return "as written"
	case s.Sewable():
		return "not as written; " + spaced(s.Order()) + " works"
	}
	return fmt.Sprintf("none: %s would have to be divided among sections", labels(s.Core()))
}

func spaced(numbers []int) string {
	return strings.Trim(fmt.Sprint(numbers), "[]")
}

func (h *HoverText) join(f *File, b *block.Block, j *block.Join) {
	h.Title = fmt.Sprintf("join %s to %s", j.A.Name, j.B.Name)
	switch j.Kind {
	case block.Finish:
		h.Title = fmt.Sprintf("finish %s to %s", j.A.Name, j.B.Name)
	case block.Partial:
		h.say("Stitch a part of the edge now; `finish` sews the rest.")
	case block.Inset:
		h.say("A set-in seam (Y-seam): pivot at the corner.")
	}
	s := f.Sewing(b)
	for _, line := range s.JoinLines() {
		if line.Join != j {
			continue
		}
		h.fact("length", "%s", f.both(line.Length, geom.Format))
		h.fact("marks", "%s", markWords(line))
	}
	if j.PressToward != nil {
		h.fact("press", "toward %s", j.PressToward.Name)
	} else {
		h.fact("press", "open")
	}
	for _, x := range s.JoinFlaws() {
		if x.Join == j {
			h.say("It cannot be sewn as it is written.")
		}
	}
}

// markWords counts the marks of a join between its ends.
func markWords(line *sew.JoinLine) string {
	seams, notches := 0, 0
	for _, m := range line.Marks {
		switch m.Kind {
		case sew.SeamMark:
			seams++
		case sew.NotchMark:
			notches++
		}
	}
	var words []string
	if seams > 0 {
		words = append(words, english.Count(seams, "seam that meets", "seams that meet"))
	}
	if notches > 0 {
		words = append(words, english.Count(notches, "notch", "notches"))
	}
	if len(words) == 0 {
		return "only its ends"
	}
	return english.List(words)
}

func (h *HoverText) notch(f *File, b *block.Block, n *block.Notch) {
	h.Title = "notch " + n.Name
	h.fact("in", "%s", geom.FormatPlace(n.Point, geom.Inches))
	h.fact("mm", "%s", geom.FormatPlace(n.Point, geom.Millimetres))
	partners := 0
	for _, m := range allNotches(b) {
		if m.Name == n.Name && m != n {
			partners++
		}
	}
	others := "no other notch"
	if partners > 0 {
		others = english.Count(partners, "other notch", "other notches")
	}
	h.fact("same name", "%s in this block", others)
}

func allNotches(b *block.Block) []*block.Notch {
	all := append([]*block.Notch(nil), b.Notches...)
	for _, s := range b.Sections {
		if !s.FromElsewhere() {
			all = append(all, s.Notches...)
		}
	}
	return all
}

func (h *HoverText) block(f *File, b *block.Block) {
	h.Title = b.Name
	if !b.Broken {
		h.Picture = &Picture{Sewn: f.Sewing(b)}
	}
	h.fact("finished", "%s", f.sized(b.Width.Float64(), b.Height.Float64()))
	if len(b.Sizes) > 0 && b.Size == nil {
		var sizes []string
		for _, s := range b.Sizes {
			sizes = append(sizes, fmt.Sprintf("%s, %s", s.Name, f.sized(s.Width.Float64(), s.Height.Float64())))
		}
		h.fact("sizes", "%s", strings.Join(sizes, "; "))
	}
	patches := 0
	for _, s := range b.Sections {
		patches += len(s.Patches)
	}
	h.fact("sections", "%d", len(b.Sections))
	h.fact("patches", "%d", patches)
	if b.Allowance != nil && !b.Allowance.Broken {
		h.fact("allowance", "%s", f.length(b.Allowance.Size.Float64()))
	}
	if words := blockWords(f, b); words != "" {
		h.fact("sewing", "%s", words)
	}
}

// verdictWords say in a few words why a block cannot be sewn. %s is the section.
var verdictWords = map[sew.Verdict]string{
	sew.Unclear:      "cannot be read as a whole yet",
	sew.Undivided:    "not divided into sections yet",
	sew.NoPatches:    "no patches yet",
	sew.EmptySection: "section %s has no patches yet",
	sew.NotFilled:    "section %s is not filled exactly once",
	sew.NoOrder:      "section %s has no order",
	sew.OutOfOrder:   "section %s is not in a sewable order",
	sew.NotCovered:   "the sections do not fill the block exactly once",
	sew.NotJoined:    "the joins do not go together as written",
	sew.NoAllowance:  "no seam allowance yet",
	sew.Unread:       "cannot be read as a whole yet",
}

// size is the block in that size.
func (h *HoverText) size(f *File, s *block.Size) {
	if s.Broken {
		h.Title = s.Name
		h.say("It does not scale the block both ways alike.")
		return
	}
	h.block(f, s.Block())
	h.fact("scale", "%s of the size as drawn", number(s.Ratio()))
}

// blockWords says in a few words whether a block can be sewn.
func blockWords(f *File, b *block.Block) string {
	verdict, section := f.Sewing(b).Verdict()
	words := verdictWords[verdict]
	if section != nil {
		return fmt.Sprintf(words, section.Of.Name)
	}
	if f.Errors != nil && (verdict == sew.SewnAsWritten || verdict == sew.NoAllowance || verdict == sew.Unread) {
		if n := f.Errors(b); n > 0 {
			return english.Count(n, "error", "errors") + " to fix"
		}
	}
	return cmp.Or(words, "sewable")
}

func patchesOf(b *block.Block) int {
	n := len(b.Loose)
	for _, s := range b.Sections {
		n += len(s.Patches)
	}
	return n
}

func (h *HoverText) colourway(c *block.Colourway) {
	h.Title = "colorway " + c.Name
	if c.Title != "" {
		h.Title += " · " + c.Title
	}
	for _, s := range c.Swaps {
		h.fact(s.Old.Name, "%s", fabricTitle(s.New))
	}
}

func (h *HoverText) setting(f *File, s *block.Setting) {
	h.Title = s.Name
	if s.Broken {
		h.say("It cannot be read as a whole yet.")
		return
	}
	quilt, err := cloth.QuiltOf(s)
	if err != nil {
		h.say("It has no size yet: %s.", err)
		return
	}
	h.fact("finished", "%s before binding", geom.FormatSize(quilt.Width, quilt.Height, f.Unit))
	rows := fmt.Sprintf("%s of %d", english.Count(s.Rows, "row", "rows"), s.Columns)
	if s.OnPoint != nil && s.Rows > 1 && s.Columns > 1 {
		rows += fmt.Sprintf(" on point, and %d of %d between them", s.Rows-1, s.Columns-1)
	}
	if n := len(s.OwnRows); n > 0 {
		rows = english.Count(n, "row", "rows")
	}
	h.fact("blocks", "%s", rows)
	h.fact("of these", "%s", blocksOf(quilt))
	if x := s.Sashing; x != nil {
		around := ""
		if s.Around {
			around = ", round the outside too"
		}
		h.fact("sashing", "%s%s", f.strip(*x), around)
	}
	var borders []string
	for _, b := range s.Borders {
		borders = append(borders, f.strip(b))
	}
	switch len(borders) {
	case 0:
	case 1:
		h.fact("border", "%s", borders[0])
	default:
		h.fact("borders", "%s, from the inside out", english.List(borders))
	}
}

// blocksOf counts the blocks of a quilt by their names, however they lie and in whatever colours.
func blocksOf(q *cloth.Quilt) string {
	counts := map[string]int{}
	var names []string
	for _, p := range q.Blocks {
		if counts[p.Block.Name] == 0 {
			names = append(names, p.Block.Name)
		}
		counts[p.Block.Name] += p.Count
	}
	const most = 12
	var words []string
	for i, name := range names {
		if i == most && len(names) > most+1 {
			words = append(words, english.Count(len(names)-most, "other block", "other blocks"))
			break
		}
		words = append(words, fmt.Sprintf("%d %s", counts[name], name))
	}
	return english.List(words)
}

// strip is a finished strip of cloth: 2 in of deep.
func (f *File) strip(s block.Strip) string {
	if s.Fabric == nil {
		return f.length(s.Width.Float64())
	}
	return f.length(s.Width.Float64()) + " of " + s.Fabric.Name
}
