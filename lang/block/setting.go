package block

import (
	"math"

	"sewable/lang/near"
	"sewable/lang/syntax"
)

// setting works a setting out. What cannot be resolved leaves it Broken.
func (b *builder) setting(set *Setting) {
	w := where{Block: set.Name}
	set.Broken = set.Item.Close == nil
	seen := map[string]*syntax.Item{}
	for _, it := range set.Item.Body {
		if it.Kind == syntax.Unreadable || it.Kind == syntax.Opens {
			b.file.Partial = true
			set.Broken = true
		}
		if it.Node == nil {
			continue
		}
		if once[it.Word] {
			if first := seen[it.Word]; first != nil {
				b.problem(Problem{Kind: DuplicateName, At: it.Stmt, What: it.Word, Name: it.Word,
					Related: []Place{b.place(first.Stmt)}}, w)
				continue
			}
			seen[it.Word] = it
		}
		switch n := it.Node.(type) {
		case *syntax.Rows:
			set.Rows = n.Count.Value
		case *syntax.Columns:
			set.Columns = n.Count.Value
		case *syntax.Fill:
			for _, cell := range n.Cells {
				set.Cells = append(set.Cells, b.cell(set, it, cell, w))
			}
		case *syntax.Row:
			set.OwnRows = append(set.OwnRows, b.row(set, it, n, w))
		case *syntax.OnPoint:
			set.OnPoint = b.settingFabric(set, it, n.Fabric, w)
		case *syntax.Sashing:
			set.Sashing = b.strip(set, it, n.Width, n.Fabric, w)
			set.Around = n.Around
		case *syntax.Cornerstone:
			set.Cornerstone = b.settingFabric(set, it, n.Fabric, w)
		case *syntax.Border:
			if strip := b.strip(set, it, n.Width, n.Fabric, w); strip != nil {
				set.Borders = append(set.Borders, *strip)
			}
		case *syntax.Binding:
			set.Binding = b.strip(set, it, n.Width, n.Fabric, w)
		case *syntax.Backing:
			set.Backing = b.settingFabric(set, it, n.Fabric, w)
		case *syntax.Batting:
			set.Batting = true
		case *syntax.Note:
			set.Notes = append(set.Notes, b.note(it, n))
		}
	}
	b.mixed(set, w)
}

// mixed finds a statement of a setting that does not go together with one before it.
func (b *builder) mixed(set *Setting, w where) {
	first := map[string]*syntax.Item{}
	for _, it := range set.Item.Body {
		word := it.Word
		if n, ok := it.Node.(*syntax.Sashing); ok && n.Around {
			word = "around"
		}
		if it.Node == nil || first[word] != nil {
			continue
		}
		first[word] = it
		for _, other := range excludes[word] {
			if before := first[other]; before != nil {
				set.Broken = true
				b.problem(Problem{Kind: MixedSetting, At: it.Stmt, Name: word, What: other, Related: []Place{b.place(before.Stmt)}}, w)
				return
			}
		}
	}
}

// excludes says of statements of a setting, and of sashing around, what does not go together with them.
var excludes = map[string][]string{
	"row": {"rows", "columns", "fill", "on"}, "rows": {"row"}, "columns": {"row"}, "fill": {"row"}, "on": {"row", "around"}, "around": {"on"},
}

// row resolves a row that is given by itself; its blocks are cells of the setting.
func (b *builder) row(set *Setting, it *syntax.Item, n *syntax.Row, w where) Row {
	row := Row{At: b.place(it.Stmt)}
	for _, p := range n.Parts {
		if p.Block != nil {
			cell := b.cell(set, it, *p.Block, w)
			set.Cells = append(set.Cells, cell)
			row.Parts = append(row.Parts, RowPart{Cell: &cell})
		} else if strip := b.strip(set, it, p.Width, *p.Fabric, w); strip != nil {
			row.Parts = append(row.Parts, RowPart{Strip: strip, Spacer: p.Spacer})
		}
	}
	return row
}

// once are the statements of a setting that can be said once.
var once = map[string]bool{
	"rows": true, "columns": true, "fill": true, "on": true, "sashing": true,
	"cornerstone": true, "binding": true, "backing": true, "batting": true,
}

func (b *builder) settingFabric(set *Setting, it *syntax.Item, n syntax.Name, w where) *Fabric {
	f := b.fabric(b.scope, it, n, w)
	set.Broken = set.Broken || f == nil
	return f
}

func (b *builder) strip(set *Setting, it *syntax.Item, width syntax.Expr, fabric syntax.Name, w where) *Strip {
	size, ok := b.at(b.scope, it, w).size(width)
	f := b.settingFabric(set, it, fabric, w)
	if !ok || f == nil {
		set.Broken = true
		return nil
	}
	return &Strip{Width: size, Fabric: f, At: b.place(it.Stmt)}
}

// cell resolves one entry of a fill.
func (b *builder) cell(set *Setting, it *syntax.Item, n syntax.Cell, w where) Cell {
	cell := Cell{Mirrored: n.Mirrored, At: b.place(it.Abs(n.Block.Span))}
	blk, ok := find(b.scope, seen(n.Block), blocksOf)
	if !ok {
		set.Broken = true
		b.missing(b.scope, cell.At.Span, "block", seen(n.Block), nearest(b, b.scope, "block", seen(n.Block), blocksOf), w)
		return cell
	}
	b.use(cell.At.Span, &blk.Named)
	cell.Block = blk
	if n.Turned != nil {
		m := b.at(b.scope, it, w)
		turned, ok := m.ratio(n.Turned)
		cell.Turned = turned
		if ok && math.Mod(turned.Float64(), 90) != 0 {
			ok = m.noValue(n.Turned.At(), NotAQuarter, "")
		}
		set.Broken = set.Broken || !ok
	}
	for _, name := range n.Names {
		b.look(set, it, blk, &cell, name, w)
	}
	return cell
}

// look resolves a name behind a block of a setting: that of a size or of a colorway, which share their names.
func (b *builder) look(set *Setting, it *syntax.Item, blk *Block, cell *Cell, n syntax.Name, w where) {
	at := it.Abs(n.Span)
	size := SizeOf(blk, n.Text)
	way := ColourwayOf(blk, n.Text)
	if way == nil {
		way, _ = find(b.scope, n.Text, colourwaysOf)
	}
	switch {
	case size != nil && cell.Block.Size == nil:
		b.use(at, &size.Named)
		if set.Broken = set.Broken || size.Broken; !size.Broken {
			cell.Block = size.Block()
		}
	case size == nil && way != nil && cell.Colourway == nil:
		b.use(at, &way.Named)
		cell.Colourway = way
	case size != nil || way != nil:
		set.Broken = true
		b.problem(Problem{Kind: DuplicateName, At: at, What: "name", Name: n.Text, Related: []Place{cell.At}}, w)
	default:
		set.Broken = true
		var known []string
		for _, s := range blk.Sizes {
			known = append(known, s.Name)
		}
		for _, c := range Colourways(blk) {
			known = append(known, c.Name)
		}
		b.missing(b.scope, at, "colourway", n.Text, near.Nearest(n.Text, append(known, names(b.scope, colourwaysOf)...)), w)
	}
}

// Colourways are those that can be said of a block, nearest first: its own,
// its file's, and those its file brings in.
func Colourways(blk *Block) []*Colourway {
	all := append([]*Colourway(nil), blk.Colourways...)
	all = append(all, blk.File.Colourways...)
	for _, u := range blk.File.Uses {
		if u.File != nil {
			all = append(all, u.File.Colourways...)
		}
	}
	return all
}

// ColourwayOf is the colourway of that name that can be said of a block; nil
// when there is none.
func ColourwayOf(blk *Block, name string) *Colourway {
	for _, c := range Colourways(blk) {
		if c.Name == name {
			return c
		}
	}
	return nil
}
