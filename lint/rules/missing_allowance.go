package rules

import (
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lint"
)

var missingAllowance = &lint.Rule{
	Name:  "missing-allowance",
	Level: lint.Error,
	Title: "No seam allowance, or one too narrow to hold",
	Why: `The allowance is what holds the block together. Under a quarter of an inch (6 mm in metric
files; both common practice) the fabric frays out of the seam, and the cutting lines of the
sections are printed from it. There is no silent default, because a pattern that is cut with one
allowance and sewn with another does not fit. For miniatures, lower the limit (limits.allowance
in sewable.toml) or accept it once for the file. A missing allowance cannot be accepted.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
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
	Mandatory: lint.Unsewable, MandatoryWhere: "where there is none at all",
	Since: "0.1",
	Run:   missingAllowances,
}

func missingAllowances(p *lint.Pass) {
	tooLittle(p, p.File.Allowance, nil)
	for _, b := range p.File.Blocks {
		if b.Allowance == nil && !p.File.Partial {
			size := usualAllowance(p)
			r := p.Insist(b.At, "%s has no seam allowance. Add one, such as `allowance %s`, in the block or at the top of the file",
				quote(b.Name), size).Block(b)
			if opening := p.At(b.Item.Raw); strings.HasSuffix(p.File.Source.Text[:opening.End], "\n") {
				r.Suggest("Add `allowance "+size+"` to this block", lint.InsertAfter(opening, "  allowance "+size+"\n"))
			}
		}
		if b.Allowance != p.File.Allowance {
			tooLittle(p, b.Allowance, b)
		}
		if b.OuterAllowance != b.Allowance {
			tooLittle(p, b.OuterAllowance, b)
		}
	}
	eachCut(p, func(piece *cloth.PlacedPiece) {
		if noneLeft(piece.Own) {
			p.Insist(piece.CutAt(), "The piece for %s leaves no seam allowance: it ends inside the finished patch. Cut it larger: `%s` covers",
				lint.Label(piece.Patch), coveringCut(p, piece)).Patch(piece.Patch).
				Suggest("Change it to the smallest cut that covers with ordinary placement error", lint.Replace(piece.CutAt(), coveringCut(p, piece)))
		}
	})
}

// usualAllowance is the allowance of another block of the file, else the least that holds.
func usualAllowance(p *lint.Pass) string {
	size := p.Settings.LeastAllowance
	if size.Sign() <= 0 {
		size = lint.DefaultSettings(p.File.Unit).LeastAllowance
	}
	for _, b := range p.File.Blocks {
		if a := b.Allowance; a != nil && !a.Broken && a.Size.Cmp(size) > 0 {
			size = a.Size
		}
	}
	return p.Number(size.Float64())
}

func tooLittle(p *lint.Pass, a *block.Allowance, b *block.Block) {
	least := p.Settings.LeastAllowance
	if a == nil || a.Broken {
		return
	}
	if a.Size.Sign() <= 0 && (b == nil || a != b.OuterAllowance || a == b.Allowance) { // the edge of the block alone may be left raw
		if least.Sign() <= 0 {
			least = lint.DefaultSettings(p.File.Unit).LeastAllowance
		}
		p.Insist(a.At, "An allowance of %s does not hold a seam. Use at least %s", p.Len(a.Size.Float64()), p.Len(least.Float64())).Block(b)
		return
	}
	if a.Size.Cmp(least) >= 0 {
		return
	}
	p.Report(a.At, "A seam allowance of %s is too narrow to hold. Use at least %s",
		under(p, a.Size.Float64(), least.Float64()), p.Len(least.Float64())).Block(b)
}
