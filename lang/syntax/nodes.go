package syntax

import (
	"sewable/lang/geom"
	"sewable/lang/source"
)

// Every Span in a node is relative to the first byte of its statement, so
// that the reading of a statement stays valid when the statement moves, and
// can be shared by equal statements of many files. Item.Abs makes it absolute.

// Name is a name as typed.
type Name struct {
	Text string
	source.Span
}

// Text is a quoted string; Value is what stands between the quotes, with \"
// and \\ read.
type Text struct {
	Value string
	source.Span
}

// Colour is #rrggbb, or #rgb spelled out to it, in lower case, with the #.
type Colour struct {
	Hex string
	source.Span
}

// Whole is a whole number: a patch number, a count of rows.
type Whole struct {
	Value int
	source.Span
}

// Unit is the unit that follows a number.
type Unit uint8

// The units of length; Bare is a number without one.
const (
	Bare Unit = iota
	Inches
	Millimetres
	Centimetres
)

// Expr is a number, a name of a `let`, or arithmetic over them.
type Expr interface {
	expr()
	At() source.Span
}

// The kinds of Expr.
type (
	// Number is a literal in any of its spellings: 3, 2.5, 1/4, 2 1/2, 2½, 2-1/2.
	Number struct {
		Value geom.Num
		Unit  Unit
		source.Span
	}
	// Ref is the name of a `let`.
	Ref struct{ Name }
	// Negative is -X.
	Negative struct {
		X Expr
		source.Span
	}
	// Binary is X Op Y, with Op one of + - * /.
	Binary struct {
		X, Y Expr
		Op   byte
		source.Span
	}
	// Paren is (X).
	Paren struct {
		X Expr
		source.Span
	}
)

func (*Number) expr()   {}
func (*Ref) expr()      {}
func (*Negative) expr() {}
func (*Binary) expr()   {}
func (*Paren) expr()    {}

// Point is any of the point forms.
type Point interface {
	point()
	At() source.Span
}

// The kinds of Point.
type (
	// Pair is (X, Y).
	Pair struct {
		X, Y Expr
		source.Span
	}
	// PointRef is the name of a point.
	PointRef struct{ Name }
	// Mid is `mid P Q`.
	Mid struct {
		P, Q Point
		source.Span
	}
	// Along is `along P Q by L`, or with a seam's name for P Q.
	Along struct {
		Line Line
		By   Expr
		source.Span
	}
	// Part is `part 1/3 of P Q`.
	Part struct {
		Ratio Expr
		Line  Line
		source.Span
	}
	// Meet is `where P Q meets R S`.
	Meet struct {
		L, M Line
		source.Span
	}
	// Mirror is `mirror P across Q R`.
	Mirror struct {
		P      Point
		Across Line
		source.Span
	}
	// Turn is `turn P about Q by 45`, degrees anticlockwise.
	Turn struct {
		P, About Point
		By       Expr
		source.Span
	}
	// Move is `move P by (dx, dy)`.
	Move struct {
		P  Point
		By Pair
		source.Span
	}
)

func (*Pair) point()     {}
func (*PointRef) point() {}
func (*Mid) point()      {}
func (*Along) point()    {}
func (*Part) point()     {}
func (*Meet) point()     {}
func (*Mirror) point()   {}
func (*Turn) point()     {}
func (*Move) point()     {}

// Line is two points, or the name of a seam: then Seam is set and P, Q are
// nil. A single name is a seam; a name with a point after it is a point.
type Line struct {
	Seam *Name
	P, Q Point
	source.Span
}

// Statement is one statement, of the kinds below.
//
// The tags are the grammar: words in quotes stand as they are, @@ is what the
// field's type reads, @ before a word sets the field, and ( ) | ? * group,
// choose, leave out and repeat. A field's tag goes on where the one before
// it stops. Types without tags read themselves (see parser.go, expr.go,
// point.go, patch.go).
type Statement interface{ statement() }

// Statements of a file or a block.
type (
	// Use is `use "path"`.
	Use struct {
		Path Text `parser:"'use' @@"`
	}
	// Units is `units in`.
	Units struct{ Unit Name }
	// Allowance is `allowance 1/4` or `allowance outer 1/2`.
	Allowance struct {
		Outer bool `parser:"'allowance' @'outer'?"`
		Size  Expr `parser:"@@"`
	}
	// Fabric is `fabric night "Night sky" #1d2b4f width 42 directional`, all
	// but the name optional; Width is nil when not given.
	Fabric struct {
		Name        Name    `parser:"'fabric' @@"`
		Title       *Text   `parser:"( @@"`
		Colour      *Colour `parser:"| @@"`
		Width       Expr    `parser:"| 'width' @@"`
		Directional bool    `parser:"| @'directional' )*"`
	}
	// Let is `let h = 2 1/2`.
	Let struct {
		Name  Name
		Value Expr
	}
	// Colourway opens `colourway dusk "Title" {`; its body holds Swaps.
	Colourway struct {
		Name  Name  `parser:"( 'colourway' | 'colorway' ) @@"`
		Title *Text `parser:"@@?"`
	}
	// Swap is `old = new`, a line of a colourway or a part of `with`.
	Swap struct {
		Old Name `parser:"@@"`
		New Name `parser:"'=' @@"`
	}
	// Block opens `block "Title" W by H {`.
	Block struct {
		Title  Text `parser:"'block' @@"`
		Width  Expr `parser:"@@"`
		Height Expr `parser:"'by' @@"`
	}
	// Setting opens `setting "Title" {`.
	Setting struct {
		Title Text `parser:"'setting' @@"`
	}
	// Note is `note "…"`.
	Note struct {
		Text Text `parser:"'note' @@"`
	}
)

// Statements of a block.
type (
	// PointDef is `point p = …`.
	PointDef struct {
		Name  Name
		Value Point
	}
	// SeamDef is `seam ridge from P to Q`.
	SeamDef struct {
		Name Name  `parser:"'seam' @@"`
		From Point `parser:"'from' @@"`
		To   Point `parser:"'to' @@"`
	}
	// Section opens `section A "Title" {`.
	Section struct {
		Name  Name  `parser:"'section' @@"`
		Title *Text `parser:"@@?"`
	}
	// Copy is `section C, D = A, B turned 90 about hub with sky = plum`.
	Copy struct {
		Names     []Name    `parser:"'section' @@ ( ',' @@ )*"`
		Of        []Name    `parser:"'=' @@ ( ',' @@ )*"`
		Transform Transform `parser:"@@"`
		With      []Swap    `parser:"( 'with' @@ ( ',' @@ )* )?"`
	}
	// Join is `join A to B press toward A inset`.
	Join struct {
		A           Name  `parser:"'join' @@"`
		B           Name  `parser:"'to' @@"`
		PressOpen   bool  `parser:"( 'press' ( @'open'"` // `press open` was typed
		PressToward *Name `parser:"| 'toward' @@ )"`     // `press toward A`
		Inset       bool  `parser:"| @'inset'"`
		Partial     bool  `parser:"| @'partial' )*"`
	}
	// Finish is `finish A to E`.
	Finish struct {
		A Name `parser:"'finish' @@"`
		B Name `parser:"'to' @@"`
	}
	// Notch is `notch m P`, in a block or a section.
	Notch struct {
		Name  Name  `parser:"'notch' @@"`
		Point Point `parser:"@@"`
	}
	// Outline is `outline P Q R …`, in a block or a section.
	Outline struct{ Corners []Point }
	// Patch is `patch 3 sky …` in a section, or `patch sky …` in a block
	// (Number nil). Exactly one of Corners, Beyond and Around is set.
	Patch struct {
		Number  *Whole
		Fabric  Name
		Corners []Point
		Beyond  *Line
		Around  Point
		Cut     *Cut
		Note    *Text
	}
)

// Transform says how a copy is placed: one of the three.
type Transform struct {
	Mirrored *Line // mirrored across P Q
	Turned   Expr  // turned 90 about P
	About    Point
	Moved    *Pair // moved (dx, dy)
	source.Span
}

// CutForm is the form of a designer's own cut size.
type CutForm uint8

// The forms of Cut.
const (
	CutRectangle CutForm = iota // cut 2 1/4 by 3 1/2: Along lies along the seam
	CutStrip                    // cut strip 1 1/2
	CutHalved                   // cut square 3 3/8 halved
	CutQuartered                // cut square 4 1/4 quartered
)

// Cut is the designer's own cut size; Across is set for rectangles alone.
type Cut struct {
	Form          CutForm
	Along, Across Expr
	source.Span
}

// Statements of a setting.
type (
	// Rows is `rows 2`.
	Rows struct {
		Count Whole `parser:"'rows' @@"`
	}
	// Columns is `columns 2`.
	Columns struct {
		Count Whole `parser:"'columns' @@"`
	}
	// Fill is `fill "Little Sloop", "Little Sloop" dusk, "Lantern" turned 90`.
	Fill struct {
		Cells []Cell `parser:"'fill' @@ ( ',' @@ )*"`
	}
	// OnPoint is `on point sky`: the blocks stand on their corners, the
	// setting triangles are of the named fabric.
	OnPoint struct {
		Fabric Name `parser:"'on' 'point' @@"`
	}
	// Sashing is `sashing 1 1/2 sand`.
	Sashing struct {
		Width  Expr `parser:"'sashing' @@"`
		Fabric Name `parser:"@@"`
	}
	// Cornerstone is `cornerstone coral`.
	Cornerstone struct {
		Fabric Name `parser:"'cornerstone' @@"`
	}
	// Border is `border 3 water`; several follow each other outwards.
	Border struct {
		Width  Expr `parser:"'border' @@"`
		Fabric Name `parser:"@@"`
	}
	// Binding is `binding cut 2 1/4 cedar`.
	Binding struct {
		Width  Expr `parser:"'binding' 'cut' @@"`
		Fabric Name `parser:"@@"`
	}
	// Backing is `backing sand`.
	Backing struct {
		Fabric Name `parser:"'backing' @@"`
	}
	// Batting is `batting`.
	Batting struct{}
)

// Cell is one block of a fill; Turned is nil when not turned.
type Cell struct {
	Block     Text
	Colourway *Name
	Turned    Expr
	Mirrored  bool
}

func (*Use) statement()         {}
func (*Units) statement()       {}
func (*Allowance) statement()   {}
func (*Fabric) statement()      {}
func (*Let) statement()         {}
func (*Colourway) statement()   {}
func (*Swap) statement()        {}
func (*Block) statement()       {}
func (*Setting) statement()     {}
func (*Note) statement()        {}
func (*PointDef) statement()    {}
func (*SeamDef) statement()     {}
func (*Section) statement()     {}
func (*Copy) statement()        {}
func (*Join) statement()        {}
func (*Finish) statement()      {}
func (*Notch) statement()       {}
func (*Outline) statement()     {}
func (*Patch) statement()       {}
func (*Rows) statement()        {}
func (*Columns) statement()     {}
func (*Fill) statement()        {}
func (*OnPoint) statement()     {}
func (*Sashing) statement()     {}
func (*Cornerstone) statement() {}
func (*Border) statement()      {}
func (*Binding) statement()     {}
func (*Backing) statement()     {}
func (*Batting) statement()     {}

// At is where the name stands.
func (n *Ref) At() source.Span { return n.Span }

// At is where the name stands.
func (n *PointRef) At() source.Span { return n.Span }

// At is where it stands.
func (n *Number) At() source.Span { return n.Span }

// At is where it stands.
func (n *Negative) At() source.Span { return n.Span }

// At is where it stands.
func (n *Binary) At() source.Span { return n.Span }

// At is where it stands.
func (n *Paren) At() source.Span { return n.Span }

// At is where it stands.
func (n *Pair) At() source.Span { return n.Span }

// At is where it stands.
func (n *Mid) At() source.Span { return n.Span }

// At is where it stands.
func (n *Along) At() source.Span { return n.Span }

// At is where it stands.
func (n *Part) At() source.Span { return n.Span }

// At is where it stands.
func (n *Meet) At() source.Span { return n.Span }

// At is where it stands.
func (n *Mirror) At() source.Span { return n.Span }

// At is where it stands.
func (n *Turn) At() source.Span { return n.Span }

// At is where it stands.
func (n *Move) At() source.Span { return n.Span }
