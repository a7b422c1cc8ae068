package draw

import (
	"fmt"
	"math"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/ink"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// SettingSize is how large pictures of quilts are, without their margins: 16 cm.
const SettingSize = 800.0

// MaxPatches is how many patches a picture of a quilt may show.
const MaxPatches = 100_000

// Setting is a picture of a whole quilt. The error says what a quilter has to
// mend first.
func Setting(set *block.Setting, o Options) (*ink.Drawing, error) {
	quilt, err := cloth.QuiltOf(set)
	if err != nil {
		return nil, err
	}
	if o.Size <= 0 {
		o.Size = SettingSize
	}
	o.View, o.Labels, o.Highlight, o.Colourway = Sewn, NoLabels, nil, nil
	lay := layOut(set, quilt)
	patches := 0
	for _, c := range lay.cells {
		for _, s := range c.Block.Sections {
			patches += len(s.Patches)
		}
	}
	if patches > MaxPatches {
		return nil, fmt.Errorf("the setting %q has %d patches; a picture shows %d at most", set.Name, patches, MaxPatches)
	}
	p := newPicture(lay.box, o)
	p.quilt, p.weight = true, min(0.8, 2.2/math.Sqrt(float64(max(1, len(lay.cells)))))
	p.d.Title = set.Name
	p.d.Description = fmt.Sprintf("A quilt of %s, %s before binding.", english.Count(len(lay.cells), "block", "blocks"),
		geom.FormatSize(quilt.Width, quilt.Height, lay.cells[0].Block.File.Unit))

	p.looks = &looks{}
	for _, c := range lay.cells {
		p.looks.swap = swaps(c.Colourway)
		p.looks.meet(c.Block)
	}
	p.looks.swap = nil
	for _, piece := range lay.pieces {
		p.looks.add(piece.fabric)
	}
	p.looks.choose(o.Grey)

	for _, piece := range lay.pieces {
		p.piece(piece)
	}
	for _, c := range lay.cells {
		p.looks.swap = swaps(c.Colourway)
		p.placed = c.placed
		b := sew.Analyse(c.Block)
		for _, s := range c.Block.Sections {
			p.patches(s.Patches)
		}
		for _, s := range b.Sections {
			p.foundation(s)
		}
		p.d.Layer("outline").Add(&ink.Path{
			Chains: ink.Ring(p.all(c.Block.Outline)...), Stroke: ink.Dark, Width: joinWidth * p.weight,
			Data: []ink.Datum{{Key: "block", Value: c.Block.Name}},
		})
	}
	p.placed, p.looks.swap = geom.Transform{}, nil
	p.findings(nil)
	if o.Key {
		p.key()
	}
	return p.d, nil
}

// piece draws a piece of the quilt that belongs to no block.
func (p *picture) piece(piece piece) {
	is := p.looks.of(piece.fabric)
	corners := p.all(piece.corners)
	p.d.Layer("patches").Add(&ink.Path{Chains: ink.Ring(corners...), Fill: is.fill})
	if lines := is.hatch.lines(corners); len(lines) > 0 {
		p.d.Layer("hatches").Add(&ink.Path{Chains: lines, Stroke: is.ink, Width: is.hatch.width})
	}
	edge := ink.Dark
	if is.fill.Luminance() < darkest {
		edge = is.fill.Mix(ink.White, 0.55)
	}
	p.d.Layer("patches").Add(&ink.Path{Chains: ink.Ring(corners...), Stroke: edge, Width: seamWidth * p.weight})
}

// layout is where everything in a quilt lies, in hairs from its lower left
// corner, the binding outside of it.
type layout struct {
	box    geom.Box
	cells  []laid
	pieces []piece
}

type laid struct {
	block.Cell
	placed geom.Transform
}

type piece struct {
	fabric  *block.Fabric
	corners geom.Polygon
}

func (l *layout) rect(f *block.Fabric, x, y, width, height float64) {
	l.pieces = append(l.pieces, piece{f, geom.Box{
		Min: geom.Point{X: x, Y: y}, Max: geom.Point{X: x + width, Y: y + height},
	}.Polygon()})
}

// put lays a block with the middle of its box at a place: mirrored first, then
// turned.
func (l *layout) put(c block.Cell, middle geom.Point, turned float64) {
	var t geom.Transform
	if c.Mirrored {
		t, _ = geom.MirrorAcross(geom.Point{}, geom.Point{Y: geom.Inch})
	}
	t = t.Then(geom.TurnAbout(geom.Point{}, c.Turned.Float64()))
	at := t.ApplyTo(c.Block.Outline).Bounds().Centre()
	t = t.Then(geom.MoveBy(middle.Sub(at)))
	if turned != 0 {
		t = t.Then(geom.TurnAbout(middle, turned))
	}
	l.cells = append(l.cells, laid{c, t})
}

// Cells are the blocks of a setting, each as often as it is laid. The error says
// what a quilter has to mend first.
func Cells(set *block.Setting) ([]block.Cell, error) {
	quilt, err := cloth.QuiltOf(set)
	if err != nil {
		return nil, err
	}
	var cells []block.Cell
	for _, c := range layOut(set, quilt).cells {
		cells = append(cells, c.Cell)
	}
	return cells, nil
}

// Places are where the blocks of a setting lie in the quilt, in the order in which one reads them, and the quilt without its
// binding. The error says what a quilter has to fix first.
func Places(set *block.Setting) ([]geom.Polygon, geom.Box, error) {
	quilt, err := cloth.QuiltOf(set)
	if err != nil {
		return nil, geom.Box{}, err
	}
	var out []geom.Polygon
	for _, c := range layOut(set, quilt).cells {
		out = append(out, c.placed.ApplyTo(c.Block.Outline))
	}
	return out, quilt.Top(), nil
}

func layOut(set *block.Setting, quilt *cloth.Quilt) *layout {
	l := &layout{}
	var borders float64
	for _, b := range set.Borders {
		borders += b.Width.Float64()
	}
	l.frame(set, quilt)
	inner := geom.Box{
		Min: geom.Point{X: borders, Y: borders},
		Max: geom.Point{X: quilt.Width - borders, Y: quilt.Height - borders},
	}
	if set.OnPoint != nil {
		l.onPoint(set, inner)
	} else {
		l.straight(quilt, inner)
	}
	return l
}

// frame lays the binding and the borders, the outermost first.
func (l *layout) frame(set *block.Setting, quilt *cloth.Quilt) {
	l.box = quilt.Top()
	if set.Binding != nil && set.Binding.Fabric != nil {
		// What a double fold cut to this width finishes at: see cloth.BindingWidth.
		if w := (set.Binding.Width.Float64() - 0.5*geom.Inch) / 4; w > 0 {
			l.box = l.box.Grow(w)
			l.pieces = append(l.pieces, piece{set.Binding.Fabric, l.box.Polygon()})
		}
	}
	out := quilt.Top()
	for i := len(set.Borders) - 1; i >= 0; i-- {
		b := set.Borders[i]
		w := b.Width.Float64()
		in := out.Grow(-w)
		if in.Height() >= in.Width() { // sides first, as cloth has it
			l.rect(b.Fabric, out.Min.X, in.Min.Y, w, in.Height())
			l.rect(b.Fabric, in.Max.X, in.Min.Y, w, in.Height())
			l.rect(b.Fabric, out.Min.X, out.Min.Y, out.Width(), w)
			l.rect(b.Fabric, out.Min.X, in.Max.Y, out.Width(), w)
		} else {
			l.rect(b.Fabric, in.Min.X, out.Min.Y, in.Width(), w)
			l.rect(b.Fabric, in.Min.X, in.Max.Y, in.Width(), w)
			l.rect(b.Fabric, out.Min.X, out.Min.Y, w, out.Height())
			l.rect(b.Fabric, in.Max.X, out.Min.Y, w, out.Height())
		}
		out = in
	}
}

func cellSize(c block.Cell) (width, height float64) {
	box := geom.TurnAbout(geom.Point{}, c.Turned.Float64()).ApplyTo(c.Block.Outline).Bounds()
	return box.Width(), box.Height()
}

// straight lays blocks in rows, with the strips between them.
func (l *layout) straight(quilt *cloth.Quilt, in geom.Box) {
	y := in.Max.Y
	for _, lane := range quilt.Lanes {
		y -= lane.Height
		x := in.Min.X
		for _, p := range lane.Parts {
			if p.Cell != nil {
				l.put(*p.Cell, geom.Point{X: x + p.Width/2, Y: y + lane.Height/2}, 0)
			} else {
				l.rect(p.Fabric, x, y, p.Width, lane.Height)
			}
			x += p.Width
		}
	}
}

// onPoint lays blocks on their corners, on the cloth of the setting triangles.
// Places are counted in half diagonals, as in cloth: see cloth.Quilt.
func (l *layout) onPoint(set *block.Setting, in geom.Box) {
	side, _ := cellSize(set.Cells[0])
	gap := 0.0
	if set.Sashing != nil && set.Rows > 1 && set.Columns > 1 {
		gap = set.Sashing.Width.Float64()
	}
	half := (side + gap) * math.Sqrt2 / 2
	at := func(x, y float64) geom.Point {
		edge := side * math.Sqrt2 / 2
		return geom.Point{X: in.Min.X + edge + x*half, Y: in.Max.Y - edge - y*half}
	}
	has := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < 2*set.Columns-1 && y < 2*set.Rows-1 && (x+y)%2 == 0
	}
	diamond := func(f *block.Fabric, middle geom.Point, width, height, turn float64) {
		box := geom.Box{Min: middle, Max: middle}
		box.Min = box.Min.Sub(geom.Point{X: width / 2, Y: height / 2})
		box.Max = box.Max.Add(geom.Point{X: width / 2, Y: height / 2})
		l.pieces = append(l.pieces, piece{f, geom.TurnAbout(middle, turn).ApplyTo(box.Polygon())})
	}
	l.pieces = append(l.pieces, piece{set.OnPoint, in.Polygon()})
	pair := 2*set.Columns - 1
	for y := range 2*set.Rows - 1 {
		for x := y % 2; x < 2*set.Columns-1; x += 2 {
			fx, fy := float64(x), float64(y)
			if gap > 0 {
				f := set.Sashing.Fabric
				if has(x+1, y+1) {
					diamond(f, at(fx+0.5, fy+0.5), gap, side, 45)
				}
				if has(x+1, y-1) {
					diamond(f, at(fx+0.5, fy-0.5), gap, side, -45)
				}
				if has(x+2, y) && has(x+1, y-1) && has(x+1, y+1) {
					if set.Cornerstone != nil {
						f = set.Cornerstone
					}
					diamond(f, at(fx+1, fy), gap, gap, 45)
				}
			}
			l.put(set.Cells[(y/2*pair+y%2*set.Columns+x/2)%len(set.Cells)], at(fx, fy), 45)
		}
	}
}
