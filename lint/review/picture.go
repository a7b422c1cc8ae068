package review

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/compare"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint/marks"
)

// maxDrawn is the number of patches up to which a block is drawn.
const maxDrawn = 4000

// pictures are a block or a quilt before and after a change, drawn at one scale; nil where there
// is none. Overlay is the same two laid on each other, without what stands below.
type pictures struct {
	before, after *ink.Drawing
	overlay       *compare.Pair[*ink.Drawing]
	marks         []string // what the marks in them mean
}

// What the marks mean, in the order in which it is said.
var meanings = []struct {
	look  draw.MarkLook
	words string
}{
	{draw.Hatched, "hatched: recut"},
	{draw.Dotted, "dots: a new patch"},
	{draw.Crossed, "crossed lines: gone"},
	{draw.Ringed, "heavy outline: changed, and the piece can be kept"},
	{draw.Dashed, "dashes: where it was"},
}

// looks reports whether a block looks otherwise than before, or has findings to show.
func (b Block) looks() bool {
	if b.Before == nil || b.After == nil || b.Size != nil || b.Outline || len(b.New) > 0 {
		return true
	}
	for _, f := range b.Fabrics {
		if f.Colour || f.Directional {
			return true
		}
	}
	return slices.ContainsFunc(b.Patches, func(p compare.Patch) bool {
		return p.Before == nil || p.After == nil || p.Shape || p.Moved || p.Fabric || p.Section || p.Number || p.Recut == compare.Anew
	})
}

// looks reports whether a quilt looks otherwise than before.
func (q Quilt) looks() bool {
	return q.Before == nil || q.After == nil || q.Size != nil || q.OnPoint != nil || q.Arranged || len(q.Blocks)+len(q.Quilt.Parts) > 0
}

// picturesOf draws a block.
func picturesOf(b *Block) pictures {
	var out pictures
	if len(b.Patches) > maxDrawn {
		return out
	}
	var was, is, ghosts []draw.Mark
	used := map[draw.MarkLook]bool{}
	mark := func(list *[]draw.Mark, p *compare.Piece, look draw.MarkLook, name string) {
		*list = append(*list, draw.Mark{Area: p.Corners, Look: look, Name: p.Label + ": " + name})
		used[look] = true
	}
	if b.Before != nil && b.After != nil {
		for _, p := range b.Patches {
			changed := p.Shape || p.Moved || p.Fabric || p.Section || p.Cut
			switch {
			case p.Before == nil:
				mark(&is, p.After, draw.Dotted, "new")
			case p.After == nil:
				mark(&was, p.Before, draw.Crossed, "gone")
			case p.Recut == compare.Anew:
				mark(&is, p.After, draw.Hatched, "recut it")
			case changed:
				mark(&is, p.After, draw.Ringed, "changed, and the piece can be kept")
			}
			if p.Before != nil && (p.After == nil || p.Shape || p.Moved) {
				mark(&ghosts, p.Before, draw.Dashed, "where it was")
			}
		}
	}
	for _, m := range meanings {
		if used[m.look] {
			out.marks = append(out.marks, m.words)
		}
	}
	longest := max(longestSide(b.Before), longestSide(b.After))
	picture := func(s *sew.Block, marks []draw.Mark, found []draw.Finding, key bool) *ink.Drawing {
		if s == nil {
			return nil
		}
		return draw.Block(s, draw.Options{Size: draw.DefaultSize * longestSide(s) / longest, Marks: marks, Findings: found, MarksOnly: true, Key: key})
	}
	out.before = picture(b.Before, was, nil, b.After == nil)
	out.after = picture(b.After, is, marks.Of(b.New), true)
	if b.Before != nil && b.After != nil && len(ghosts) > 0 {
		x, y := picture(b.Before, was, nil, false), picture(b.After, ghosts, nil, false)
		w, h := max(x.Width, y.Width), max(x.Height, y.Height)
		out.overlay = &compare.Pair[*ink.Drawing]{Before: onPaper(x, w, h), After: onPaper(y, w, h)}
	}
	out.align()
	return out
}

// align gives both pictures the same width, so that they are shown at one scale.
func (p *pictures) align() {
	if p.before != nil && p.after != nil {
		w := max(p.before.Width, p.after.Width)
		p.before, p.after = onPaper(p.before, w, p.before.Height), onPaper(p.after, w, p.after.Height)
	}
}

// onPaper lays a picture in the lower left corner of a larger paper.
func onPaper(d *ink.Drawing, width, height float64) *ink.Drawing {
	if d.Width == width && d.Height == height {
		return d
	}
	out := &ink.Drawing{Width: width, Height: height, Paper: d.Paper, Title: d.Title, Description: d.Description}
	out.Put(d, geom.Point{Y: height - d.Height}, "")
	return out
}

func longestSide(b *sew.Block) float64 {
	if b == nil {
		return 0
	}
	box := b.Of.Outline.Bounds()
	if len(b.Of.Outline) < 3 {
		box = geom.Box{Max: geom.Point{X: b.Of.Width.Float64(), Y: b.Of.Height.Float64()}}
	}
	return max(box.Width(), box.Height(), geom.Hair)
}

// quiltPictures draws a quilt, where it can be laid out.
func quiltPictures(q *Quilt) pictures {
	part := func(s compare.Size) float64 { // of the larger of the two
		if q.Size == nil {
			return 1
		}
		return max(s.Width, s.Height) / max(q.Size.Before.Width, q.Size.Before.Height, q.Size.After.Width, q.Size.After.Height)
	}
	picture := func(s *block.Setting, part float64) *ink.Drawing {
		if s == nil {
			return nil
		}
		d, err := draw.Setting(s, draw.Options{Size: draw.DefaultSize * part})
		if err != nil {
			return nil // said among the lines
		}
		return d
	}
	size := compare.Pair[compare.Size]{}
	if q.Size != nil {
		size = *q.Size
	}
	out := pictures{before: picture(q.Before, part(size.Before)), after: picture(q.After, part(size.After))}
	out.align()
	return out
}
