package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strconv"

	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/svgimport"
	"sewable/lang/visible"
	"sewable/lint"
)

type importCmd struct {
	Path        string `arg:"" name:"drawing" help:"An SVG drawing."`
	Out         string `short:"o" placeholder:"FILE" help:"Block file to write; it must not exist yet. Default: print it."`
	Title       string `placeholder:"TITLE" help:"Title of the block. Default: the drawing's title or label, or its file name."`
	Finished    string `placeholder:"LENGTH" help:"Finished length of the longer side, such as \"6 in\". Default: the size of the page; needed where the page has none."`
	Page        bool   `help:"The block is the whole page. Default: what is drawn on it."`
	Snap        string `placeholder:"LENGTH" default:"0.5 mm" help:"Corners and lines this close to each other are joined, and narrower slivers are removed. Each one is listed."`
	Segments    string `placeholder:"N" default:"auto" help:"Straight edges for each curve: a number; auto, the fewest within 1/16 in of it; or none, which refuses curves."`
	Sections    bool   `help:"Groups are sections, even where they cannot be sewn. Default: where they can, and one has more than one patch."`
	MergeColors bool   `help:"Make colors that look alike one fabric. Each one is listed."`
	Units       string `enum:"in,mm,cm," default:"" help:"Unit of the file: in, mm or cm. Default: the drawing's, or inches."`
}

// Help is what `sewable import --help` says at length.
func (importCmd) Help() string {
	return `Imports what is seen: every area of one color becomes a patch, and its color a fabric. Shapes may be on each other, the
topmost counts; clips and masks are applied, and what is outside the page is cut off. A visible line over a shape becomes a
seam. A drawing in lines works too: the areas they enclose become patches.

A patch has no hole. An area that goes around others, such as a background, is divided by seams across it; "sewable plan"
decides how the block is divided in the end. Groups that divide the block into sections that can be sewn become its
sections, named after the groups, with the shapes in sewing order.

A seam is straight. A curve becomes straight edges, the same on both sides, and other seams have to run to its bends.

The block is as large as the page says, or as --finished says. What is changed or left out is listed.

Without groups the block still has to be divided. Next:

    sewable import gull.svg -o gull.block
    sewable plan gull.block --write`
}

// maxWeld is the furthest that a drawing can be welded over: 5 mm, near the seam
// allowance, is where it would eat patches.
const maxWeld = 5 * geom.Millimetre

// Run turns a drawing into a block file.
func (c importCmd) Run(ctx context.Context, s streams) error {
	o := svgimport.Options{Title: c.Title, Units: c.Units, Page: c.Page, Sections: c.Sections, Merge: c.MergeColors}
	if c.Finished != "" {
		n, ok := lint.ParseLength(c.Finished)
		if !ok || !(n.Float64() >= geom.Inch/4) {
			return fmt.Errorf("--finished is %q; it must be a length with its unit, at least 1/4 in, such as \"6 in\"", c.Finished)
		}
		o.Size = n.Float64()
	}
	n, ok := lint.ParseLength(c.Snap)
	if !ok || n.Sign() < 0 || n.Float64() > maxWeld {
		return fmt.Errorf("--snap is %q; it must be a length with its unit, up to 5 mm", c.Snap)
	}
	o.Weld = n.Float64()
	switch c.Segments {
	case "auto":
		o.Segments = svgimport.Auto
	case "none":
	default:
		n, err := strconv.Atoi(c.Segments)
		if err != nil || n < 1 || n > svgimport.MaxSegments {
			return fmt.Errorf("--segments is %q; it must be auto, none, or from 1 to %d", c.Segments, svgimport.MaxSegments)
		}
		o.Segments = n
	}
	settings, err := lintOptions("")
	if err != nil {
		return err
	}
	o.Smallest = settings.Config.For(cmp.Or(c.Out, c.Path)).For(geom.Inches).SmallPatch.Float64()
	if c.Out != "" { // known before the work is done
		if files.Exists(c.Out) {
			return fmt.Errorf("%s already exists. Choose another name with -o, or move it", c.Out)
		}
	}
	text, err := files.Read(c.Path, files.Drawing)
	if err != nil {
		return err
	}
	b, err := svgimport.Import(c.Path, text, o)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, n := range b.Closed {
		fmt.Fprintf(s.err, "%s: closed %s at %s, moved to %s\n", visible.Text(c.Path), geom.FormatExact(n.Dist, b.Unit), geom.FormatPlace(n.From, b.Unit), geom.FormatPlace(n.To, b.Unit))
	}
	for _, n := range b.Notes {
		fmt.Fprintln(s.err, visible.Text(n.Error()))
	}
	if c.Out == "" {
		_, err = io.WriteString(s.text(), b.Text)
		return err
	}
	if err := writeText(c.Out, b.Text); err != nil {
		return err
	}
	fmt.Fprintf(s.err, "%s: wrote %s", visible.Text(c.Out), english.Count(b.Counts["patch"], "patch", "patches"))
	if n := b.Counts["section"]; n > 0 {
		fmt.Fprintf(s.err, " in %s\n", english.Count(n, "section", "sections"))
	} else {
		fmt.Fprintf(s.err, "; \"sewable plan\" divides the block into sections\n")
	}
	return nil
}
