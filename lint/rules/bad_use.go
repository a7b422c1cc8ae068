package rules

import (
	"path"
	"slices"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var badUse = &lint.Rule{
	Name:  "bad-use",
	Level: lint.Error,
	Title: "A used file that cannot be read",
	Why: `The fabrics of a pattern repository are in one palette that every block uses. When it cannot
be found, no block has its colors or its cut list. The path starts at the folder of the file
that uses it, and stays inside the repository, so that a pattern works the same on every
computer.`,
	Bad: `
use "pallete.block"

block "Horizon" 4 by 4 {
  allowance 1/4
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
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run:       badUses,
}

var unusable = map[block.Cause]string{
	block.UseMissing:  "%s does not exist. Give its path from the folder of this file",
	block.UseNotAFile: "%s is a folder or a device, not a block file",
	block.UseOutside: "%s is outside the repository, so others who open this file may not have it. " +
		"Copy it in. The repository is the folder with `.git`, or the topmost one with a `sewable.toml`",
	block.UseNotABlock: "%s is not a block file, so it is never checked. Give it a name that ends in `.block`",
	block.UseAbsolute:  "%s is a path on one computer only. Give its path from the folder of this file",
	block.UseNotPortable: "%s does not work on every computer. Write `/` between folders; no name may hold `\\` or `:`, end in a dot or " +
		"a space, or be that of a device of Windows, such as aux, nul or com1",
	block.UseCycle: "Circular `use`: %s uses this file. Move what both need into a third file",
}

func badUses(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		switch {
		case bad.Kind != block.BadUse:
		case bad.Cause == block.UseCycle && path.Clean(bad.Name) == path.Base(p.File.Source.Path):
			p.Report(p.At(bad.At), "%s is this file itself. Remove the line", quote(bad.Name)).
				Suggest("Remove the `use`", p.DeleteItem(itemAt(p, bad.At)))
		default:
			p.Report(p.At(bad.At), unusable[bad.Cause], quote(bad.Name))
		}
	}
}

// itemAt is the statement at the top of the file that holds a place.
func itemAt(p *lint.Pass, at source.Span) *syntax.Item {
	items := p.File.Tree.Items
	i := slices.IndexFunc(items, func(it *syntax.Item) bool { return it.Stmt.Start <= at.Start && at.End <= it.Stmt.End })
	return items[i]
}
