package compare

import (
	"fmt"
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
)

// Quilt is what changed between two models of a setting.
type Quilt struct {
	Before, After *block.Setting // nil: there was none, there is none

	Title         *Pair[string]
	Rows, Columns *Pair[int]
	Size          *Pair[Size] // finished, without binding
	OnPoint       *Pair[bool]
	Around        *Pair[bool] // whether there is sashing round the outside
	Blocks        []Laid      // those that are laid more or less often
	Arranged      bool        // the same blocks, otherwise laid
	Parts         []Part      // sashing, borders and what else is not a block
	Batting       *Pair[bool]
	Notes         []Note
	Cloth         []Cloth
	Faulty        Pair[error] // why a side cannot be laid out or cut
}

// Laid is how often a block is laid in a colourway.
type Laid struct {
	Block, Colourway string
	Count            Pair[int]
}

// Part is a part of a setting that changed. A width of 0 is none, or not given.
type Part struct {
	Name   string
	Before *block.Strip // nil: there was none
	After  *block.Strip
}

// Same reports whether nothing about the quilt changed.
func (q *Quilt) Same() bool {
	return q.Before != nil && q.After != nil && q.Title == nil && q.Rows == nil && q.Columns == nil && q.Size == nil && q.OnPoint == nil && q.Around == nil &&
		q.Batting == nil && !q.Arranged && len(q.Blocks)+len(q.Parts)+len(q.Notes)+len(q.Cloth) == 0 &&
		(q.Faulty.Before == nil) == (q.Faulty.After == nil)
}

// Quilts compares two models of a setting; one may be nil.
func Quilts(before, after *block.Setting, how Options) *Quilt {
	q := &Quilt{Before: before, After: after}
	old, err1 := quiltOf(before)
	new, err2 := quiltOf(after)
	if before != nil && after != nil {
		q.heads(before, after)
	}
	if old != nil && new != nil {
		if was, is := (Size{old.Width, old.Height}), (Size{new.Width, new.Height}); !near(was.Width, is.Width) || !near(was.Height, is.Height) {
			q.Size = &Pair[Size]{was, is}
		}
		q.Blocks = laid(old, new)
	}
	var a, b *cloth.List
	if err1 == nil && err2 == nil {
		a, err1 = listOf(old, how.Before)
		b, err2 = listOf(new, how.After)
		if err1 == nil && err2 == nil {
			q.Cloth = needs(a, b)
		}
	}
	q.Faulty = Pair[error]{err1, err2}
	return q
}

func quiltOf(s *block.Setting) (*cloth.Quilt, error) {
	if s == nil {
		return nil, nil
	}
	return cloth.QuiltOf(s)
}

func listOf(q *cloth.Quilt, how cloth.OrderOptions) (*cloth.List, error) {
	if q == nil || how.Options == nil {
		return nil, nil
	}
	return cloth.NewList(cloth.Order{Quilts: []*cloth.Quilt{q}, Kits: 1}, how)
}

func (q *Quilt) heads(x, y *block.Setting) {
	differ := func(a, b int) *Pair[int] {
		if a == b {
			return nil
		}
		return &Pair[int]{a, b}
	}
	if x.Name != y.Name {
		q.Title = &Pair[string]{x.Name, y.Name}
	}
	q.Rows, q.Columns = differ(rows(x), rows(y)), differ(x.Columns, y.Columns)
	if x.Around != y.Around {
		q.Around = &Pair[bool]{x.Around, y.Around}
	}
	if was, is := x.OnPoint != nil, y.OnPoint != nil; was != is {
		q.OnPoint = &Pair[bool]{was, is}
	}
	if x.Batting != y.Batting {
		q.Batting = &Pair[bool]{x.Batting, y.Batting}
	}
	q.Arranged = !x.Broken && !y.Broken && !slices.EqualFunc(patterns(x), patterns(y), slices.Equal[[]cellKey])
	part := func(name string, a, b *block.Strip) {
		if (a == nil) != (b == nil) || a != nil && (fabricName(a.Fabric) != fabricName(b.Fabric) || a.Width.Cmp(b.Width) != 0) {
			q.Parts = append(q.Parts, Part{name, a, b})
		}
	}
	part("setting triangles", cut(x.OnPoint), cut(y.OnPoint))
	for r := range max(len(x.OwnRows), len(y.OwnRows)) {
		was, is := stripsOf(x, r), stripsOf(y, r)
		for i := range max(len(was), len(is)) {
			name := fmt.Sprintf("row %d, ", r+1)
			a, b := nth(was, i), nth(is, i)
			if b != nil {
				name += b.StripName()
			} else {
				name += a.StripName()
			}
			part(name, a.strip(), b.strip())
		}
	}
	part("sashing", x.Sashing, y.Sashing)
	part("cornerstones", cut(x.Cornerstone), cut(y.Cornerstone))
	for i := range max(len(x.Borders), len(y.Borders)) {
		name := "border"
		if max(len(x.Borders), len(y.Borders)) > 1 {
			name = fmt.Sprintf("border %d", i+1)
		}
		part(name, nth(x.Borders, i), nth(y.Borders, i))
	}
	part("binding", x.Binding, y.Binding)
	part("backing", cut(x.Backing), cut(y.Backing))
	q.Notes = noteChanges("", x.Notes, y.Notes)
}

// cut is a fabric as a strip without a width.
func cut(f *block.Fabric) *block.Strip {
	if f == nil {
		return nil
	}
	return &block.Strip{Fabric: f}
}

func nth[T any](list []T, i int) *T {
	if i >= len(list) {
		return nil
	}
	return &list[i]
}

// rowStrip is a strip of a row that is given by itself.
type rowStrip struct{ block.RowPart }

func (s *rowStrip) strip() *block.Strip {
	if s == nil {
		return nil
	}
	return s.Strip
}

// stripsOf are the strips of a setting's own row.
func stripsOf(s *block.Setting, row int) (strips []rowStrip) {
	if row < len(s.OwnRows) {
		for _, p := range s.OwnRows[row].Parts {
			if p.Cell == nil {
				strips = append(strips, rowStrip{p})
			}
		}
	}
	return strips
}

// rows is how many rows of blocks there are.
func rows(s *block.Setting) int { return max(s.Rows, len(s.OwnRows)) }

func fabricName(f *block.Fabric) string {
	if f == nil {
		return ""
	}
	return f.Name
}

// cellKey is a cell of a fill, or a strip of a row, by what lies in it.
type cellKey struct {
	block, way string // of a strip: empty, and its name
	turned     float64
	mirrored   bool
}

// patterns are the blocks as they are laid: the shortest list that repeats to the fill, or each of the rows.
func patterns(s *block.Setting) (rows [][]cellKey) {
	for _, r := range s.OwnRows {
		var row []cellKey
		for _, p := range r.Parts {
			if p.Cell != nil {
				row = append(row, pattern([]block.Cell{*p.Cell})...)
			} else {
				row = append(row, cellKey{way: p.StripName()})
			}
		}
		rows = append(rows, row)
	}
	if rows == nil {
		rows = [][]cellKey{pattern(s.Cells)}
	}
	return rows
}

// pattern is the shortest list that repeats to the fill.
func pattern(cells []block.Cell) []cellKey {
	keys := make([]cellKey, len(cells))
	for i, c := range cells {
		keys[i] = cellKey{turned: c.Turned.Float64(), mirrored: c.Mirrored}
		if c.Block != nil {
			keys[i].block = c.Block.Name
		}
		if c.Colourway != nil {
			keys[i].way = c.Colourway.Name
		}
	}
	for n := 1; n < len(keys); n++ {
		if len(keys)%n == 0 && slices.Equal(keys[n:], keys[:len(keys)-n]) {
			return keys[:n]
		}
	}
	return keys
}

// laid counts the blocks of both sides.
func laid(old, new *cloth.Quilt) []Laid {
	type key struct{ block, way string }
	at := map[key]*Laid{}
	var keys []key
	add := func(q *cloth.Quilt, count func(*Laid) *int) {
		for _, p := range q.Blocks {
			k := key{block: p.Block.Name}
			if p.Colourway != nil {
				k.way = p.Colourway.Name
			}
			if at[k] == nil {
				at[k] = &Laid{Block: k.block, Colourway: k.way}
				keys = append(keys, k)
			}
			*count(at[k]) += p.Count
		}
	}
	add(old, func(l *Laid) *int { return &l.Count.Before })
	add(new, func(l *Laid) *int { return &l.Count.After })
	var out []Laid
	for _, k := range keys {
		if l := at[k]; l.Count.Before != l.Count.After {
			out = append(out, *l)
		}
	}
	return out
}
