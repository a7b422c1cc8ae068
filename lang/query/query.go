// Package query answers what an editor asks about a block file, as plain data:
// spans, words and numbers. It knows no protocol, and nothing of positions but
// byte offsets.
//
//	At(f, offset)      what stands under the cursor           cursor.go
//	Hover              what there is to say of it             hover*.go
//	Definition, …      where else it stands                   navigate.go
//	Symbols, Search    outlines, and finding by name          symbols.go, fuzzy.go
//	Order              what a patch waits for                 order.go
//	Hints, Lenses      figures between the lines              hints.go, lenses.go
//	Tokens, Folds, …   the look of the text                   tokens.go, ranges.go, colours.go
//	Complete, Signature, Rename                               completion*.go, signature.go, rename.go
//
// Every function takes a File, which is one moment of one text; none keeps
// anything. What could not be read or resolved is left out of an answer.
package query

import (
	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// File is a file and what is known about it.
type File struct {
	*block.File
	Lex   func() [][]syntax.Piece // the tokens of every line; nil: they are cut when they are needed
	Cloth cloth.Options           // how cut sizes are offered
	Paper Paper

	// Read gives the model that another text of the file would have; nil: nobody can.
	Read func(text string) *block.File

	// Errors is how many errors are to be fixed before a block can be called sewable. It is asked only where
	// nothing else is wrong; nil: nobody looked.
	Errors func(*block.Block) int
}

// Sewing is how a block is sewn.
func (f *File) Sewing(b *block.Block) *sew.Block { return sew.Analyse(b) }

// Paper is what can be printed on one sheet, in hairs.
type Paper struct {
	Name          string
	Width, Height float64
}

// Place is a span of some file.
type Place = block.Place

// length is a length as people say it in the file's unit.
func (f *File) length(hairs float64) string { return geom.Format(hairs, f.Unit) }

// both is a length in inches and in metric, the file's unit first, written by one of the two formats.
func (f *File) both(hairs float64, format func(float64, geom.Unit) string) string {
	other := geom.Inches
	if f.Unit == other {
		other = geom.Millimetres
	}
	return format(hairs, f.Unit) + " (" + format(hairs, other) + ")"
}

// sized is a size, as people say it: 2 1/4 × 3 1/2 in.
func (f *File) sized(a, b float64) string { return geom.FormatSize(a, b, f.Unit) }

// text is a piece of the file.
func (f *File) text(s source.Span) string { return f.Source.Text[s.Start:s.End] }

// word is the word or other token at an offset: the one that holds it, else the
// one that ends there.
func word(text string, it *syntax.Item, offset int) (syntax.Token, bool) {
	if it == nil {
		return syntax.Token{}, false
	}
	var before syntax.Token
	found := false
	for _, t := range syntax.Tokens(text[it.Raw.Start:it.Raw.End]) {
		t.Span = t.Span.Shift(it.Raw.Start)
		switch {
		case t.Start <= offset && offset < t.End:
			if t.Kind != syntax.KindPunctuation || !found {
				return t, true
			}
			return before, true // the end of a word before a comma
		case t.End == offset:
			before, found = t, true
		case t.Start > offset:
			return before, found
		}
	}
	return before, found
}
