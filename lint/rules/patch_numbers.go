package rules

import (
	"cmp"
	"slices"
	"strconv"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var patchNumbers = &lint.Rule{
	Name:  "patch-numbers",
	Level: lint.Error,
	Title: "Patch numbers that do not run 1, 2, 3",
	Why: `The number is the patch's place in the sewing order, and the label on the bag. When a number is
missing, the quilter looks for a piece that does not exist; when it is there twice, she sews
whichever piece she picks up first. Patch 1 is placed first and has no seam of its own; every
later patch is sewn on.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 3 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
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
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       checkPatchNumbers,
}

func checkPatchNumbers(p *lint.Pass) {
	said := map[[2]string]bool{} // of each section the first: one number exchanged with another is wrong at both
	for _, bad := range p.File.Problems {
		section := [2]string{bad.Block, bad.Section}
		if bad.Kind != block.PatchNumber || said[section] || unread(p, bad.At) {
			continue
		}
		said[section] = true
		label := block.Label(bad.Section, bad.Number)
		var message string
		switch bad.Cause {
		case block.NumberTwice:
			message = sprintf("There are two patches %s. Number the patches in sewing order, each number once", label)
		case block.NumberMissing:
			message = sprintf("There is no patch %s. Number the patches in sewing order, from 1 without gaps", label)
		case block.NotBeyond:
			message = sprintf("%s is placed first and has no seam. Give its corners, or `around` and a point inside it", label)
		case block.NotAround:
			message = sprintf("`around` is only for patch 1. Give %s by `beyond` and the line it is sewn on, or by corners", label)
		}
		r := p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
		for _, at := range bad.Related {
			r.Related(at, "the other one is here")
		}
		if bad.Cause == block.NumberTwice || bad.Cause == block.NumberMissing {
			if edits := inSequence(p, bad); len(edits) > 0 {
				r.Suggest("Renumber the patches of section "+bad.Section+" from 1", edits...)
			}
		}
	}
}

// inSequence numbers the patches of a section 1, 2, 3 in the order of the numbers they have; of two with one
// number the upper line comes first.
func inSequence(p *lint.Pass, bad block.Problem) []lint.Edit {
	type numbered struct {
		number int
		at     source.Span
	}
	var patches []numbered
	for _, b := range p.File.Blocks {
		for _, s := range b.Sections {
			if s.CopyOf != nil || !s.Item.Extent().Contains(bad.At.Start) {
				continue
			}
			for _, it := range s.Item.Body {
				if n, ok := it.Node.(*syntax.Patch); ok && n.Number != nil {
					patches = append(patches, numbered{n.Number.Value, it.Abs(n.Number.Span)})
				}
			}
		}
	}
	slices.SortStableFunc(patches, func(a, b numbered) int { return cmp.Compare(a.number, b.number) })
	var edits []lint.Edit
	for i, patch := range patches {
		if patch.number != i+1 {
			edits = append(edits, lint.Replace(p.At(patch.at), strconv.Itoa(i+1)))
		}
	}
	return edits
}
