package rules

import (
	"path"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lint"
)

var unsewableBlock = &lint.Rule{
	Name:  "unsewable-block",
	Level: lint.Error,
	Title: "A quilt with a block that cannot be sewn",
	Why: `A quilt is only as good as its blocks. A block of another file may be out of sight: that file is
not checked in this run, or it is excluded as a draft. A drawing that is not yet divided into
sections has no pieces, so the cut list of the quilt would leave it out.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  patch water (0, 0) (4, 0) (4, 2) (0, 2)  // accept unplanned-block: still a drawing
  patch sky (0, 2) (4, 2) (4, 4) (0, 4)
}

setting "Horizon Runner" {
  rows 1
  columns 3
  fill "Horizon"
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}

setting "Horizon Runner" {
  rows 1
  columns 3
  fill "Horizon"
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.2",
	Run:       unsewableBlocks,
}

func unsewableBlocks(p *lint.Pass) {
	for _, b := range p.File.Blocks {
		for _, s := range b.Sections {
			if of := s.CopyOf; of != nil && of.Broken && of.Block.File != p.File {
				p.Report(s.At, "Section %s comes from %s in %s, which cannot be read as a whole. Correct it there", s.Name, quote(of.Block.Name), path.Base(of.Block.File.Source.Path)).
					In(b.Name, s.Name, 0)
			}
		}
	}
	for _, set := range p.File.Settings {
		said := map[*block.Block]bool{}
		for _, cell := range set.Cells {
			b := cell.Block
			if set.Broken || b == nil || said[b] {
				continue
			}
			said[b] = true
			switch verdict, _ := p.Sewing(b).Verdict(); {
			case verdict == sew.Undivided:
				p.Report(cell.At, "%s is not divided into sections yet, so it has no pieces to cut. `sewable plan` divides it", quote(b.Name)).
					In(set.Name, "", 0).Related(b.At, "the drawing")
			case b.File != p.File && verdict != sew.SewnAsWritten: // of this file its own findings say why
				p.Report(cell.At, "%s cannot be sewn as it is written in %s. `sewable order` of that file says why", quote(b.Name), path.Base(b.File.Source.Path)).
					In(set.Name, "", 0)
			}
		}
	}
}
