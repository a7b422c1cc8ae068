package query

import (
	"fmt"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/syntax"
)

// named are the kinds of what a slot of the grammar names.
var named = map[string]block.Kind{
	"fabric": block.KindFabric, "let": block.KindLet, "point": block.KindPoint, "seam": block.KindSeam,
	"section": block.KindSection, "colourway": block.KindColourway, "block": block.KindBlock,
}

// expected offers what may follow what is before the cursor.
func (x *completion) expected() {
	next := x.next()
	x.places()
	x.nextSection()
	x.titles(next)
	points := len(x.out) // places come before points
	for i, word := range next.Words {
		if p := slices.IndexFunc(syntax.Points(), func(p *syntax.PointInfo) bool { return p.Word == word }); p >= 0 {
			form := syntax.Points()[p]
			c := Choice{Label: word, Kind: ChoiceForm, Detail: form.Shape, Rank: 200 + p}
			if x.around.Snippets {
				c.Insert, c.Snippet = form.Snippet(), true
			}
			x.add(c)
			continue
		}
		x.add(Choice{Label: word, Kind: ChoiceWord, Detail: meaning(word), Rank: 100 + i})
	}
	var kinds []block.Kind
	var useless []string // names
	for _, s := range next.Slots {
		if kind, ok := named[s.Is]; ok {
			kinds = append(kinds, kind)
		}
		if s.Is == "size or colourway" {
			x.looks()
		}
		if s.Is == "patch number" && x.c.Section != nil {
			x.add(Choice{Label: fmt.Sprint(x.nextNumber()), Kind: ChoiceNumber, Detail: "the next patch", Likely: true})
		}
		if s.Other {
			useless = append(useless, x.before[1].Text)
		}
	}
	if len(kinds) == 0 {
		return
	}
	for i, t := range inScope(x.f, x.c.Block) {
		if !slices.Contains(kinds, t.named.Kind) || slices.Contains(useless, t.named.Name) || t.named.Item == x.c.Item && t.named.At.File == x.f.Source {
			continue
		}
		c := Choice{Label: t.named.Name, Kind: choiceOf[t.named.Kind], Detail: x.detail(t), Rank: i + points}
		if slices.ContainsFunc(x.out[:points], func(o Choice) bool { return o.Kind == c.Kind && o.Label == c.Label }) {
			continue
		}
		if title, colour := colourOf(t); t.named.Kind == block.KindFabric {
			c.Detail, c.Colour = title, colour
		}
		x.add(c)
	}
	if slices.Contains(kinds, block.KindFabric) {
		for i, o := range x.around.Imports {
			x.add(Choice{Label: o.Name, Kind: ChoiceFabric, Detail: o.Detail, Import: o.In, Rank: 1000 + i})
		}
	}
}

// looks offers the sizes and colorways of the block of a setting that is before the cursor.
func (x *completion) looks() {
	var b *block.Block
	for _, t := range x.before {
		if t.Kind == syntax.KindString {
			b = blockCalled(x.f, strings.Trim(t.Text, `"`))
		}
	}
	if b == nil {
		return
	}
	taken := map[string]bool{}
	for i := len(x.before) - 1; i >= 0 && x.before[i].Kind == syntax.KindName; i-- {
		taken[x.before[i].Text] = true
	}
	rank := 0
	add := func(n *block.Named, kind ChoiceKind, detail string) {
		if !taken[n.Name] {
			x.add(Choice{Label: n.Name, Kind: kind, Detail: detail, Rank: rank})
		}
		rank++
	}
	for _, s := range b.Sizes {
		add(&s.Named, ChoiceSize, x.f.sized(s.Width.Float64(), s.Height.Float64()))
	}
	for _, c := range block.Colourways(b) {
		add(&c.Named, ChoiceColourway, c.Title)
	}
}

// blockCalled is the block of a title, of the file or one that it uses; nil when there is none.
func blockCalled(f *File, title string) *block.Block {
	for _, t := range inScope(f, nil) {
		if b, ok := t.value.(*block.Block); ok && b.Name == title {
			return b
		}
	}
	return nil
}

// next is what may follow the tokens before the cursor.
func (x *completion) next() syntax.Next {
	if len(x.before) == 0 {
		return syntax.Expect(x.c.Place, "")
	}
	return syntax.Expect(x.c.Place, x.f.Source.Text[x.before[0].Start:x.before[len(x.before)-1].End])
}

var choiceOf = map[block.Kind]ChoiceKind{
	block.KindFabric: ChoiceFabric, block.KindLet: ChoiceLet, block.KindPoint: ChoicePoint, block.KindSeam: ChoiceSeam,
	block.KindSection: ChoiceSection, block.KindColourway: ChoiceColourway, block.KindBlock: ChoiceBlock,
}

func meaning(word string) string {
	for _, k := range append(syntax.Keywords(), syntax.ContextualWords()...) {
		if k.Word == word {
			return k.Meaning
		}
	}
	return ""
}
