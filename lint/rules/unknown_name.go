package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/near"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var unknownName = &lint.Rule{
	Name:  "unknown-name",
	Level: lint.Error,
	Title: "A name that is not defined",
	Why: `A fabric that is not declared has no color and is missing from the cut list; a point or section
that is not declared leaves a hole in the block. Most are typing slips. The finding is at the
first use and lists the others.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sly (0, 2) (4, 2) (4, 4) (0, 4)
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
	Run:       unknownNames,
}

// declaring says where a name of each sort is declared.
var declaring = map[string]string{
	"fabric":    "Declare it with `fabric %s`, or bring it in with `use`",
	"let":       "Declare it with `let %s = …`",
	"point":     "Declare it with `point %s = …`",
	"seam":      "Declare it with `seam %s from … to …`",
	"section":   "Declare it with `section %s {`",
	"colourway": "Declare it with `size %[1]s … by …` in the block, or with `colorway %[1]s {` in the block or in its file",
	"block":     "Declare it with `block %q`, or bring in its file with `use`",
}

func unknownNames(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind != block.UnknownName {
			continue
		}
		if bad.Near == "" && bad.What == "point" {
			bad.Near = near.Nearest(bad.Name, shapeWords)
		}
		r := p.Report(p.At(bad.At), "There is no %s called %s%s", sort(bad.What), bad.Name, remedy(bad)).
			In(bad.Block, bad.Section, bad.Patch)
		for _, at := range bad.Related {
			r.Related(at, "also used here")
		}
		if bad.Near != "" {
			edits := []lint.Edit{lint.Replace(p.At(bad.At), nameText(bad.What, bad.Near))}
			for _, at := range bad.Related {
				edits = append(edits, lint.Replace(at, nameText(bad.What, bad.Near)))
			}
			r.Suggest("Use "+bad.Near+" instead", edits...)
		}
		if bad.What == "fabric" && syntax.IsName(bad.Name) && !waiting(p, bad.Near) {
			r.Suggest("Add the fabric "+bad.Name, declareFabric(p, bad.Name))
		}
	}
}

// shapeWords stand where a patch's first corner could stand: misspelt, they look like
// the name of a point.
var shapeWords = []string{"beyond", "around"}

var spokenSort = map[string]string{"let": "number", "colourway": "size or colorway"}

// sort is what a quilter calls a thing of that kind.
func sort(what string) string {
	if word, ok := spokenSort[what]; ok {
		return word
	}
	return what
}

func remedy(bad block.Problem) string {
	if bad.Near != "" {
		return lint.DidYouMean(bad.Near)
	}
	return ". " + sprintf(declaring[bad.What], bad.Name)
}

// nameText is the name as it is typed: a block's title stands in quotes.
func nameText(what, name string) string {
	if what == "block" {
		return quote(name)
	}
	return name
}

// waiting reports whether a fabric of that name is there and not used yet: it is the one that was meant.
func waiting(p *lint.Pass, name string) bool {
	return slices.ContainsFunc(p.File.Fabrics, func(f *block.Fabric) bool { return f.Name == name && !p.Used(&f.Named) })
}

// declareFabric puts a fabric below those of the file, or on top, below the comments there.
func declareFabric(p *lint.Pass, name string) lint.Edit {
	at, text := 0, "fabric "+name+"\n"
	items := p.File.Tree.Items
	top := true
	for _, it := range items {
		top = top && it.Kind == syntax.Remark
		if top || it.Word == "fabric" || it.Word == "use" || it.Word == "units" {
			at = it.Raw.End
		}
	}
	if !slices.ContainsFunc(items, func(it *syntax.Item) bool { return it.Word == "fabric" }) {
		text += "\n"
	}
	if at > 0 && p.File.Source.Text[at-1] != '\n' {
		text = "\n" + text
	}
	return lint.InsertAfter(p.At(source.Span{Start: at, End: at}), text)
}
