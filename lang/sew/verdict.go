package sew

// A Verdict says whether a block can be sewn as it is written, and if not, the first reason why.
type Verdict uint8

// The verdicts. Those of a section come with it.
const (
	SewnAsWritten Verdict = iota
	Unclear               // nothing can be said of how the block goes together
	Undivided             // a drawing, or a part of one, not yet divided into sections
	NoPatches
	EmptySection // a section without patches
	NotFilled    // the patches of a section do not fill it once
	NoOrder      // no order of a section works
	OutOfOrder   // another order of a section works
	NotCovered   // the sections do not fill the block once
	NotJoined    // the joins do not go together as written
	NoAllowance
	Unread // a line of the block, or of its file outside of blocks, cannot be read or resolved
)

// Verdict is that of the block.
func (b *Block) Verdict() (Verdict, *Section) {
	patches := 0
	for _, s := range b.Sections {
		patches += len(s.Of.Patches)
	}
	switch {
	case b.Of.Broken:
		return Unclear, nil
	case b.Of.Undivided() || len(b.Of.Loose) > 0:
		return Undivided, nil
	case patches == 0:
		return NoPatches, nil
	}
	for _, s := range b.Sections {
		switch {
		case len(s.Of.Patches) == 0:
			return EmptySection, s
		case s.Flawed():
			return NotFilled, s
		case !s.Sewable():
			return NoOrder, s
		case !s.InOrder():
			return OutOfOrder, s
		}
	}
	switch a := b.Of.Allowance; {
	case len(b.Flaws()) > 0:
		return NotCovered, nil
	case len(b.JoinFlaws()) > 0:
		return NotJoined, nil
	case a == nil || a.Broken || a.Size.Sign() <= 0:
		return NoAllowance, nil
	case b.Of.Unread():
		return Unread, nil
	}
	return SewnAsWritten, nil
}
