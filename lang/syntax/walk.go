package syntax

import (
	"sort"
	"strings"

	"sewable/lang/source"
)

// Print gives the text of a tree back, byte for byte.
func Print(t *Tree) string {
	var s strings.Builder
	s.Grow(len(t.File.Text))
	Walk(t.Items, func(item *Item) bool {
		s.WriteString(t.File.Text[item.Raw.Start:item.Raw.End])
		return true
	})
	return s.String()
}

// Walk visits items in file order: each, then its body, then its closing
// line. It leaves out body and closing line when visit returns false.
func Walk(items []*Item, visit func(*Item) bool) {
	for _, item := range items {
		if !visit(item) {
			continue
		}
		Walk(item.Body, visit)
		if item.Close != nil {
			visit(item.Close)
		}
	}
}

// Extent is the item with its body and closing line.
func (it *Item) Extent() source.Span {
	s := it.Raw
	if n := len(it.Body); n > 0 {
		s.End = it.Body[n-1].Extent().End
	}
	if it.Close != nil {
		s.End = it.Close.Raw.End
	}
	return s
}

// ItemAt is the item whose own lines hold the offset; a body is not part of
// them. At the end of a text that lacks its last line break it is the last
// item. Nil where there is no item: in an empty file, on an empty last line.
func (t *Tree) ItemAt(offset int) *Item {
	_, item := t.find(offset)
	return item
}

// Around lists the items whose bodies hold the offset, outermost first: what
// stands there stands in them. The line of an opening or closing brace is not in its body;
// the end of an unclosed body is.
func (t *Tree) Around(offset int) []*Item {
	around, _ := t.find(offset)
	return around
}

func (t *Tree) find(offset int) (around []*Item, item *Item) {
	text := t.File.Text
	if n := len(text); offset == n && n > 0 && text[n-1] != '\n' {
		offset--
	}
	items := t.Items
	for {
		// The last item that begins at or before the offset.
		i := sort.Search(len(items), func(i int) bool { return items[i].Raw.Start > offset }) - 1
		if i < 0 {
			return around, nil
		}
		item := items[i]
		switch {
		case offset < item.Raw.End:
			return around, item
		case item.Close != nil && offset >= item.Close.Raw.Start:
			if offset < item.Close.Raw.End {
				return around, item.Close
			}
			return around, nil
		case item.Kind != Opens:
			return around, nil
		}
		around, items = append(around, item), item.Body
	}
}
