package lint

import (
	"strings"
	"unicode/utf8"

	"sewable/lang/block"
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

// onlyInSizes are the findings of one rule that are not also there as drawn.
func onlyInSizes(drawn, inSizes []Finding) (out []Finding) {
	if len(inSizes) == 0 {
		return nil
	}
	known := map[culprit]Level{}
	for _, f := range drawn {
		known[f.culprit()] = max(known[f.culprit()], f.Level)
	}
	for _, f := range inSizes {
		if f.Level > known[f.culprit()] {
			f.Message = inSize(f.Size, f.Message)
			out = append(out, f)
		}
	}
	return out
}

// inSize is a message with the size for which it holds.
func inSize(name, message string) string {
	word, _, _ := strings.Cut(message, " ")
	if small := strings.ToLower(word); articles[small] || small == "section" {
		_, first := utf8.DecodeRuneInString(message)
		message = small[:first] + message[first:]
	}
	return "In size " + name + ", " + message
}

// IsOf reports whether a finding is one of a block in its size: of that size, or of the block as drawn, which is not
// repeated for sizes that share it.
func (f Finding) IsOf(b *block.Block) bool {
	return f.Block == b.Drawn().Name && (f.Size == "" || b.Size != nil && f.Size == b.Size.Name)
}

// In is the finding with its places where they are in the model of a size, for a picture of it.
func (f Finding) In(b *block.Block) Finding {
	if b.Size == nil {
		return f
	}
	ratio := b.Size.Ratio().Float64()
	spots := make([]Spot, len(f.Spots))
	for i, s := range f.Spots {
		spots[i] = Spot{make([]geom.Point, len(s.Points)), s.Closed}
		for k, p := range s.Points {
			spots[i].Points[k] = geom.Point{X: p.X * ratio, Y: p.Y * ratio}
		}
	}
	f.Spots = spots
	return f
}
