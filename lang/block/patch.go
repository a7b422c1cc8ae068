package block

import (
	"cmp"
	"strconv"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Label is how a quilter calls a patch, by section and number: C4.
func Label(section string, number int) string { return section + strconv.Itoa(number) }

// Label is the patch's label; it is empty outside a section.
func (p *Patch) Label() string {
	if p.Section == nil {
		return ""
	}
	return Label(p.Section.Name, p.Number)
}

// Called is the label, or what to call a patch outside a section.
func (p *Patch) Called() string { return cmp.Or(p.Label(), "a patch without a section") }

// Where a patch is follows from its statement. What is reported at a copy has no statement of its own: its
// patches are where the name of the copy is.

// At is the whole statement.
func (p *Patch) At() Place { return p.place(p.Item.Stmt) }

// FabricAt is the fabric's name.
func (p *Patch) FabricAt() Place { return p.place(p.Item.Abs(p.node().Fabric.Span)) }

// ShapeAt is the corners or the line.
func (p *Patch) ShapeAt() Place { return p.place(p.Item.Abs(shapeSpan(p.node()))) }

// CutAt is the designer's own cut size, of a patch that has one.
func (p *Patch) CutAt() Place { return p.place(p.Item.Abs(p.node().Cut.Span)) }

func (p *Patch) place(at source.Span) Place {
	if p.Section != nil {
		if s := p.Section.Reported(); s.CopyOf != nil {
			return s.At
		}
	}
	return Place{p.file, at}
}

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
