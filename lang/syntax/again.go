package syntax

// whole is a section that was nested without anything to remark: nothing of it hung
// on what stands around it, so that the same pieces give the same items again.
type whole struct {
	first, pieces int
	item          *Item
	own           bool // its items lie by themselves, and hold no others in memory
}

// note remembers a body that ends with piece i, if its items can be taken over.
func (b *builder) note(f frame, i int) {
	if !b.keep || b.missing > 0 || b.extra > 0 || b.remarkable > f.remarkable || b.place() != InBlock || f.place != InSection {
		return
	}
	w := whole{first: f.first, pieces: i + 1 - f.first, item: f.item}
	if len(f.item.Body)+2 == w.pieces {
		b.tree.wholes = append(b.tree.wholes, w)
	}
}

// expect finds the sections of the text before that stand in this one, piece by piece.
func (b *builder) expect(before *Tree) {
	room := len(b.pieces)
	if before != nil {
		old, now := before.pieces, b.pieces
		head, tail := 0, 0
		for head < min(len(old), len(now)) && old[head] == now[head] {
			head++
		}
		for tail < min(len(old), len(now))-head && old[len(old)-1-tail] == now[len(now)-1-tail] {
			tail++
		}
		b.again = make([]whole, 0, len(before.wholes)+1)
		b.tree.wholes = make([]whole, 0, len(before.wholes)+1)
		for _, w := range before.wholes {
			switch {
			case w.first+w.pieces <= head:
			case w.first >= len(old)-tail:
				w.first += len(now) - len(old)
			default:
				continue
			}
			b.again = append(b.again, w)
			room -= w.pieces
		}
	}
	b.items = make([]Item, room)
}

// takeOver takes the section that begins with piece i from the text before, if it can, and
// gives the number of its pieces.
func (b *builder) takeOver(i int) int {
	for len(b.again) > 0 && b.again[0].first < i {
		b.again = b.again[1:]
	}
	if len(b.again) == 0 || b.again[0].first > i || b.place() != InBlock || b.missing > 0 || b.extra > 0 || b.tooDeep > 0 {
		return 0
	}
	w := b.again[0]
	if by := b.at - w.item.Raw.Start; by != 0 || !w.own {
		w.item, w.own = w.item.moved(by), true
	}
	b.work.frames[len(b.work.frames)-1].statements++
	b.add(w.item)
	b.tree.wholes = append(b.tree.wholes, w)
	b.at = w.item.Close.Raw.End
	return w.pieces
}

// moved is a section of statements as it stands n bytes further on.
func (it *Item) moved(n int) *Item {
	made := make([]Item, len(it.Body)+2)
	move := func(to, from *Item) *Item {
		*to = *from
		to.Raw, to.Stmt, to.Comment = to.Raw.Shift(n), to.Stmt.Shift(n), to.Comment.Shift(n)
		return to
	}
	out := move(&made[0], it)
	out.Close = move(&made[1], it.Close)
	if len(it.Body) > 0 {
		out.Body = make([]*Item, len(it.Body))
	}
	for i, x := range it.Body {
		out.Body[i] = move(&made[i+2], x)
	}
	return out
}
