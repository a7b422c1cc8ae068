// Package sheet lays out the pages that a block is sewn from: foundations at
// true size, mirrored, and a first page with everything there is to know.
//
//	Pages         patterns to pages                          sheet.go
//	foundation    one section at true size                   foundation.go, allowance.go, text.go
//	pack          foundations on as few pages as can be      pack.go
//	tiles         a foundation larger than a page            tile.go
//	page          what every page carries                    page.go
//	cover         the first pages                            cover.go, flow.go
package sheet

import (
	"errors"
	"fmt"
	"strconv"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Paper is a size of paper, upright, in hairs.
type Paper struct {
	Name          string
	Width, Height float64
}

// The papers: Letter is 8 1/2 by 11 in, A4 210 by 297 mm (ISO 216).
var (
	Letter = Paper{"letter", 8.5 * geom.Inch, 11 * geom.Inch}
	A4     = Paper{"a4", 210 * geom.Millimetre, 297 * geom.Millimetre}
)

// Pattern is a block to be printed.
type Pattern struct {
	Block     *sew.Block
	Colourway *block.Colourway
	Cuts      *cloth.List    // the cut list for all copies; nil leaves it out
	Cloth     cloth.Options  // for the sizes in the sewing order
	Copies    int            // 0 is 1
	Mirrored  bool           // the finished block is to be the mirror image
	Faults    []string       // why it cannot be sewn, in sentences, and what to fix: every page says the first
	Accepted  []string       // what is wrong and accepted, with the reasons: the first page says so
	Turned    float64        // degrees anticlockwise that the block is turned by in its quilt, where that matters
	Up        float64        // the quilt's up in the block, for prints that are kept upright: degrees anticlockwise from its y
	Numbers   []int          // of the places of a quilt that it is for, as one reads them; none for a block by itself
	Setting   *block.Setting // whose places the numbers are
}

// Plan is how the block is sewn.
func (p Pattern) Plan() *steps.Plan {
	return steps.Of(p.Block, steps.Options{
		Colourway: p.Colourway, Cloth: p.Cloth, Unit: p.Block.Of.File.Unit,
		At: cloth.Placed{Block: p.Block.Of, Colourway: p.Colourway, Mirrored: p.Mirrored, Turned: p.Turned, Up: p.Up, Count: 1},
	})
}

// Options are how patterns are printed.
type Options struct {
	Paper  Paper   // the zero Paper is Letter
	Margin float64 // what the printer leaves white; 0 is half an inch
	Marks  bool    // on foundations: where a piece goes that is not simply centered on its line
	Bare   bool    // foundations alone, without the first pages
	Guide  bool    // pages to read, which may be printed at any size
	Alert  string  // stands in a band at the head of every page; see Pattern.Alert
	calm   bool    // the band says what is accepted
}

// MaxCopies is how many copies of a block can be printed at a time.
const MaxCopies = 200

// Pages are the pages of patterns, each beginning on a new page.
func Pages(patterns []Pattern, how Options) ([]*ink.Drawing, error) {
	how = how.Filled()
	var pages []*ink.Drawing
	var errs []error
	for _, p := range patterns {
		own, err := pagesOf(p, how)
		if err != nil {
			errs = append(errs, err)
		}
		pages = append(pages, own...)
	}
	return pages, errors.Join(errs...)
}

func pagesOf(p Pattern, how Options) ([]*ink.Drawing, error) {
	if err := p.printable(); err != nil {
		return nil, err
	}
	b := p.Block.Of
	p.Copies = max(p.Copies, 1)
	if p.Copies > MaxCopies {
		return nil, fmt.Errorf("%d copies of %q are too many to print at a time; %d are the most", p.Copies, b.Name, MaxCopies)
	}
	plan := p.Plan()
	if len(p.Faults) == 0 {
		p.Faults = plan.Faults()
	}
	if how.Alert = p.Alert(); how.Alert == "" && how.Bare && len(p.Accepted) > 0 {
		how.calm, how.Alert = true, "Accepted: "+p.Accepted[0]+more(len(p.Accepted))
	}
	room := how.Room()
	if room.Width() < 3*geom.Inch || room.Height() < 4*geom.Inch {
		return nil, fmt.Errorf("a margin of %s leaves too little of the paper", geom.Format(how.Margin, b.File.Unit))
	}
	var all []*foundation
	for _, s := range plan.Sections {
		f, err := foundationOf(p, plan, s, room)
		if err != nil {
			return nil, err
		}
		f.reach, f.legend = how.Marks, how.Bare
		all = append(all, f)
	}
	set, run := layOut(all, p.Copies, room, how)
	var pages []*ink.Drawing
	if !how.Bare {
		pages = cover(p, plan, how, run)
	}
	first, total := len(pages), len(pages)+len(set)
	for i, page := range set {
		head(page, p.Title(), texts.Fill(texts.SheetNumber, "page", strconv.Itoa(first+i+1), "pages", strconv.Itoa(total), "times", run.words(), "print", texts.SheetScale), how)
	}
	for i, page := range pages {
		Head(page, p.Title(), i+1, total, how)
	}
	return append(pages, set...), nil
}

// run is how often a set of pages is printed to give the copies of a block.
type run struct{ copies, together, times int }

// words say how often a page is printed.
func (r run) words() string {
	times := texts.SheetOnce
	if r.times > 1 {
		times = texts.Fill(texts.SheetTimes, "times", strconv.Itoa(r.times))
	}
	if r.copies == 1 {
		return times
	}
	return texts.Fill(texts.SheetForCopies, "copies", strconv.Itoa(r.copies), "times", times)
}

// advice says the same in a sentence for the first page; nothing of a single copy.
func (r run) advice() string {
	text := texts.SheetSet
	switch {
	case r.copies == 1:
		return ""
	case r.times == 1:
		text = texts.SheetSetOnce
	}
	text = texts.Fill(text, "copies", strconv.Itoa(r.copies), "times", strconv.Itoa(r.times))
	if spare := r.times*r.together - r.copies; spare > 0 {
		is := "are"
		if spare == 1 {
			is = "is"
		}
		text += texts.Fill(texts.SheetSpare, "count", english.Count(spare, "copy", "copies"), "is", is)
	}
	return text
}

// printable says why a pattern cannot be printed.
func (p Pattern) printable() error {
	b := p.Block.Of
	switch {
	case b.Broken || len(p.Block.Sections) == 0:
		return fmt.Errorf("%q could not be read completely, so it cannot be printed", b.Name)
	case b.Allowance == nil || b.Allowance.Broken || b.OuterAllowance == nil || b.OuterAllowance.Broken:
		return fmt.Errorf("%q has no seam allowance, and without one no cutting line can be drawn", b.Name)
	}
	return nil
}
