package main

import (
	"context"
	"fmt"
	"io"

	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/trace"
	"sewable/lang/visible"
	"sewable/lint"
)

type importCmd struct {
	Path   string `arg:"" name:"drawing" help:"A drawing in SVG."`
	Out    string `short:"o" placeholder:"FILE" help:"Where the block file goes; it must not be there yet. Left out, it is printed."`
	Title  string `placeholder:"TITLE" help:"What the block is called. Left out, as the drawing says, or as its file."`
	Size   string `placeholder:"LENGTH" help:"How long the longer side is finished, as \"6 in\". Left out, as drawn, with 96 units to the inch."`
	Weld   string `placeholder:"LENGTH" default:"0.5 mm" help:"How near corners and lines must come to be closed. Each closing is listed."`
	Chords int    `placeholder:"N" help:"Make every curve N straight edges. Left out, curves are refused."`
	Units  string `enum:"in,mm,cm," default:"" help:"What the numbers of the file are in: in, mm or cm. Left out, as the drawing says, or inches."`
}

// Help is what `sewable import --help` says at length.
func (importCmd) Help() string {
	return `Every filled shape becomes a patch, and its colour a fabric. Lines alone will do as well: what they enclose
becomes patches. Shapes lie side by side: none over another, so take out a background that runs on below the others.
Groups that divide the block into sections that can be sewn become its sections, under the names of the groups, with
the shapes in sewing order.

A seam is straight. With --chords a curve becomes a bent edge, which no one seam sews: other seams have to run to its
bends.

Without groups the block is still to be divided. To go on:

    sewable import gull.svg -o gull.block
    sewable plan gull.block --write`
}

// mostWeld is the furthest that a drawing can be welded over: 5 mm, near the seam
// allowance, is where it would eat patches.
const mostWeld = 5 * geom.Millimetre

// Run turns a drawing into a block file.
func (c importCmd) Run(ctx context.Context, s streams) error {
	o := trace.Options{Title: c.Title, Chords: c.Chords, Units: c.Units}
	if c.Size != "" {
		n, ok := lint.ParseLength(c.Size)
		if !ok || !(n.Float64() >= geom.Inch/4) {
			return fmt.Errorf("--size is %q, and has to be a length with its unit, a quarter of an inch or more, as \"6 in\"", c.Size)
		}
		o.Size = n.Float64()
	}
	n, ok := lint.ParseLength(c.Weld)
	if !ok || n.Sign() < 0 || n.Float64() > mostWeld {
		return fmt.Errorf("--weld is %q, and has to be a length with its unit, up to 5 mm", c.Weld)
	}
	o.Weld = n.Float64()
	if c.Chords < 0 || c.Chords > trace.MostChords {
		return fmt.Errorf("--chords is %d, and has to be a number from 1 to %d", c.Chords, trace.MostChords)
	}
	if c.Out != "" { // known before the work is done
		if files.Exists(c.Out) {
			return fmt.Errorf("%s is there already. Give another name with -o, or move it away", c.Out)
		}
	}
	text, err := files.Read(c.Path, files.Drawing)
	if err != nil {
		return err
	}
	b, err := trace.Trace(c.Path, text, o)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, n := range b.Closed {
		fmt.Fprintf(s.err, "%s: closed %s at %s, moved to %s\n", visible.Text(c.Path), geom.FormatMM(n.Dist), geom.FormatPlace(n.From, b.Unit), geom.FormatPlace(n.To, b.Unit))
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
	fmt.Fprintf(s.err, "%s: written, with %s", visible.Text(c.Out), english.Count(b.Counts["patch"], "patch", "patches"))
	if n := b.Counts["section"]; n > 0 {
		fmt.Fprintf(s.err, " in %s\n", english.Count(n, "section", "sections"))
	} else {
		fmt.Fprintf(s.err, "; \"sewable plan\" divides the block into sections\n")
	}
	return nil
}
