package lint

import (
	"strings"
	"unicode/utf8"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/source"
)

// A block is checked as it is drawn and in each of its sizes. What a rule finds as drawn is reported once, whatever
// sizes have it too; what it finds only in a size, or there at a higher level, is reported with the size.

// as makes a finding of a model in a size one of the block: its title and its places are those of the block as drawn.
func (f *Finding) as(s *block.Size) {
	f.Size = strings.Clone(s.Name)
	if f.Block == s.Block().Name {
		f.Block = s.Of().Name
	}
	ratio := s.Ratio().Float64()
	for _, spot := range f.Spots {
		for i, p := range spot.Points {
			spot.Points[i] = geom.Point{X: p.X / ratio, Y: p.Y / ratio}
		}
	}
}

// culprit is what a finding of one rule is about, in whatever size.
type culprit struct {
	at             source.Span
	block, section string
	patch          int
}

func (f *Finding) culprit() culprit { return culprit{f.Span, f.Block, f.Section, f.Patch} }

// onlyInSizes are the findings of one rule that are not also there as drawn; the same one in several sizes is one.
func onlyInSizes(drawn, inSizes []Finding) (out []Finding) {
	if len(inSizes) == 0 {
		return nil
	}
	known := map[culprit]Level{}
	for _, f := range drawn {
		known[f.culprit()] = max(known[f.culprit()], f.Level)
	}
	type said struct {
		culprit
		level   Level
		message string
	}
	sizes := map[said][]string{}
	of := func(f *Finding) said { return said{f.culprit(), f.Level, f.Message} }
	for _, f := range inSizes {
		if f.Level > known[f.culprit()] {
			if sizes[of(&f)] == nil {
				out = append(out, f)
			}
			sizes[of(&f)] = append(sizes[of(&f)], f.Size)
		}
	}
	for i := range out {
		f := &out[i]
		f.Message = inSize(sizes[of(f)], f.Message)
	}
	return out
}

// inSize is a message with the sizes for which it holds.
func inSize(names []string, message string) string {
	size := "size"
	if len(names) > 1 {
		size = "sizes"
	}
	word, _, _ := strings.Cut(message, " ")
	if small := strings.ToLower(word); articles[small] || small == "section" {
		_, first := utf8.DecodeRuneInString(message)
		message = small[:first] + message[first:]
	}
	return "In " + size + " " + english.List(names) + ", " + message
}
