package syntax

import "slices"

// The items of a section are made of its pieces and of where it begins, when there is nothing to
// remark in it: nothing of them hangs on what is around it. So they are remembered.

// sectionAt is a section by its first piece and its place in the text.
type sectionAt struct {
	first *piece
	at    int
}

type sectionItems struct {
	pieces []*piece
	item   *Item
}

// are reports whether these pieces begin with the section's.
func (s *sectionItems) are(pieces []*piece) bool {
	return len(s.pieces) <= len(pieces) && slices.Equal(s.pieces, pieces[:len(s.pieces)])
}

// remarks is how much has been met that is a matter of the whole file.
type remarks struct{ errors, accepts, large int }

func (b *builder) remarks() remarks {
	return remarks{len(b.tree.Errors), len(b.tree.Accepts), len(b.large)}
}

// byItself reports whether a section that ends or begins here is nested by its own braces alone.
func (b *builder) byItself() bool {
	return b.kept != nil && b.place() == InBlock && b.missing == 0 && b.extra == 0 && b.tooDeep == 0
}

// remembered adds the section that begins with piece i, if it is remembered, and gives the
// number of its pieces.
func (b *builder) remembered(i int) int {
	first := b.pieces[i]
	if first.body() != InSection || !b.byItself() { // the first saves the look-up alone
		return 0
	}
	s, ok := b.kept.Find(sectionAt{first, b.at}, func(s *sectionItems) bool { return s.are(b.pieces[i:]) })
	if !ok {
		return 0
	}
	b.add(s.item)
	b.at = s.item.Close.Raw.End
	return len(s.pieces)
}

// remember notes the section that ends with piece i.
func (b *builder) remember(f frame, i int) {
	// Of what is no section nobody asks.
	if f.place != InSection || !b.byItself() || f.remarks != b.remarks() {
		return
	}
	pieces := b.pieces[f.first : i+1]
	if !pieces[0].partial {
		b.kept.Keep(sectionAt{pieces[0], f.item.Raw.Start}, func(s *sectionItems) bool { return s.are(pieces) }, &sectionItems{slices.Clone(pieces), f.item})
	}
}

// item is room for the item of piece i. A section has an array of its own, since it may
// outlive the tree.
func (b *builder) item(i int) *Item {
	switch {
	case b.kept != nil && b.pieces[i].body() == InSection:
		n := 1
		for i+n < len(b.pieces) && b.pieces[i+n-1].kind != closePiece {
			n++
		}
		b.items = make([]Item, n)
	case b.kept != nil && len(b.items) == 0:
		b.items = make([]Item, min(16, len(b.pieces)-i))
	case len(b.items) == 0:
		b.items = make([]Item, len(b.pieces)-i)
	}
	item := &b.items[0]
	b.items = b.items[1:]
	return item
}
