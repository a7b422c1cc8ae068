package syntax

// Visitor visits the points, lines and numbers of a statement, each before what
// it is made of, in the order they are typed. Functions may be nil.
type Visitor struct {
	Point func(Point)
	Line  func(Line)
	Expr  func(Expr)
}

func (v Visitor) points(list ...Point) {
	for _, p := range list {
		v.visitPoint(p)
	}
}

func (v Visitor) visitPoint(p Point) {
	if p == nil {
		return
	}
	if v.Point != nil {
		v.Point(p)
	}
	switch p := p.(type) {
	case *Pair:
		v.exprs(p.X, p.Y)
	case *Mid:
		v.points(p.P, p.Q)
	case *Along:
		v.lines(p.Line)
		v.exprs(p.By)
	case *Part:
		v.exprs(p.Ratio)
		v.lines(p.Line)
	case *Meet:
		v.lines(p.L, p.M)
	case *Mirror:
		v.points(p.P)
		v.lines(p.Across)
	case *Turn:
		v.points(p.P, p.About)
		v.exprs(p.By)
	case *Move:
		v.points(p.P)
		v.exprs(p.By.X, p.By.Y)
	}
}

func (v Visitor) lines(list ...Line) {
	for _, l := range list {
		if v.Line != nil {
			v.Line(l)
		}
		if l.Seam == nil {
			v.points(l.P, l.Q)
		}
	}
}

func (v Visitor) exprs(list ...Expr) {
	for _, e := range list {
		if e == nil {
			continue
		}
		if v.Expr != nil {
			v.Expr(e)
		}
		switch e := e.(type) {
		case *Negative:
			v.exprs(e.X)
		case *Binary:
			v.exprs(e.X, e.Y)
		case *Paren:
			v.exprs(e.X)
		}
	}
}

// Statement visits the parts of one statement; nil has none.
func (v Visitor) Statement(n Statement) {
	switch n := n.(type) {
	case *Allowance:
		v.exprs(n.Size)
	case *Fabric:
		v.exprs(n.Width)
	case *Let:
		v.exprs(n.Value)
	case *Block:
		v.exprs(n.Width, n.Height)
	case *PointDef:
		v.points(n.Value)
	case *SeamDef:
		v.points(n.From, n.To)
	case *Copy:
		v.transform(n.Transform)
	case *Notch:
		v.points(n.Point)
	case *Outline:
		v.points(n.Corners...)
	case *Patch:
		v.points(n.Corners...)
		if n.Beyond != nil {
			v.lines(*n.Beyond)
		}
		v.points(n.Around)
		if n.Cut != nil {
			v.exprs(n.Cut.Along, n.Cut.Across)
		}
	case *Sashing:
		v.exprs(n.Width)
	case *Border:
		v.exprs(n.Width)
	case *Binding:
		v.exprs(n.Width)
	case *Fill:
		for _, c := range n.Cells {
			v.exprs(c.Turned)
		}
	}
}

func (v Visitor) transform(t Transform) {
	if t.Mirrored != nil {
		v.lines(*t.Mirrored)
	}
	v.exprs(t.Turned)
	v.points(t.About)
	if t.Moved != nil {
		v.exprs(t.Moved.X, t.Moved.Y)
	}
}
