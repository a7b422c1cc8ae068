package block

import (
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Where a patch stands is read off its statement.

// At is the whole statement.
func (p *Patch) At() Place { return Place{p.file, p.Item.Stmt} }

// FabricAt is the fabric's name.
func (p *Patch) FabricAt() Place { return Place{p.file, p.Item.Abs(p.node().Fabric.Span)} }

// ShapeAt is the corners or the line.
func (p *Patch) ShapeAt() Place { return Place{p.file, p.Item.Abs(shapeSpan(p.node()))} }

// CutAt is the designer's own cut size, of a patch that has one.
func (p *Patch) CutAt() Place { return Place{p.file, p.Item.Abs(p.node().Cut.Span)} }

func (p *Patch) node() *syntax.Patch { return p.Item.Node.(*syntax.Patch) }

// shapeSpan is where a patch says its shape.
func shapeSpan(n *syntax.Patch) source.Span {
	switch {
	case n.Beyond != nil:
		return n.Beyond.Span
	case n.Around != nil:
		return n.Around.At()
	case len(n.Corners) > 0:
		return n.Corners[0].At().Cover(n.Corners[len(n.Corners)-1].At())
	}
	return n.Fabric.Span
}
