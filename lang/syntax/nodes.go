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
		X Expr `parser:"'(' @@"`
		Y Expr `parser:"',' @@ ')'"`
		source.Span
	}
	// PointRef is the name of a point.
	PointRef struct{ Name }
	// Mid is `mid P Q`.
	Mid struct {
		P Point `parser:"'mid' @@"`
		Q Point `parser:"','? @@" noun:"a second point"`
		source.Span
	}
	// Along is `along P Q by L`, or with a seam's name for P Q.
	Along struct {
		Line Line `parser:"'along' @@"`
		By   Expr `parser:"'by' @@" noun:"a distance"`
		source.Span
	}
	// Part is `part 1/3 of P Q`.
	Part struct {
		Ratio Expr `parser:"'part' @@" noun:"a number such as 1/3"`
		Line  Line `parser:"'of' @@"`
		source.Span
	}
	// Meet is `where P Q meets R S`.
	Meet struct {
		L Line `parser:"'where' @@"`
		M Line `parser:"'meets' @@"`
		source.Span
	}
	// Mirror is `mirror P across Q R`.
	Mirror struct {
		P      Point `parser:"'mirror' @@"`
		Across Line  `parser:"'across' @@"`
		source.Span
	}
	// Turn is `turn P about Q by 45`, degrees anticlockwise.
	Turn struct {
		P     Point `parser:"'turn' @@"`
		About Point `parser:"'about' @@" noun:"the point that stays"`
		By    Expr  `parser:"'by' @@" noun:"a number of degrees"`
		source.Span
	}
	// Move is `move P by (dx, dy)`.
	Move struct {
		P  Point `parser:"'move' @@"`
		By Pair  `parser:"'by' @@"`
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
	Seam *Name `parser:"@@" is:"seam"`
	P    Point `parser:"| @@"`
	Q    Point `parser:"','? @@" noun:"a second point"`
	source.Span
}

// sum and factor are the grammar of an Expr, which reads itself.
type (
	sum struct {
		First factor   `parser:"@@"`
		More  []factor `parser:"( ( '+' | '-' | '*' | '/' ) @@ )*"`
	}
	factor struct {
		Number Number `parser:"'-'* ( @@ ( 'in' | 'mm' | 'cm' )?"`
		Name   Name   `parser:"| @@" is:"let"`
		Paren  *sum   `parser:"| '(' @@ ')' )"`
	}
)

// Statement is one statement, of the kinds below.
//
// The tags are the grammar, of every form: words in quotes are typed as they are, @@ is what the
// field's type reads, @ before a word sets the field, and ( ) | ? * group,
// choose, omit and repeat; an option that may be repeated is one of several, each once. A field's tag
// goes on where the one before it stops. What a name or a text names is in the tag `is`, how a
// message calls the field in `noun`. The library reads most statements by these tags; frequent ones
// and the parts that many share read themselves (parser.go, expr.go, point.go, patch.go), and a
// test holds them to the tags. What may come next is worked out from the tags too (expect.go).
type Statement interface{ statement() }

// Statements of a file or a block.
type (
	// Use is `use "path"`.
	Use struct {
		Path Text `parser:"'use' @@" is:"path" noun:"the path of a file in quotes"`
	}
	// Units is `units in`.
	Units struct {
		Unit Name `parser:"'units' ( @'in' | @'mm' | @'cm' )"`
	}
	// Allowance is `allowance 1/4` or `allowance outer 1/2`.
	Allowance struct {
		Outer bool `parser:"'allowance' @'outer'?"`
		Size  Expr `parser:"@@" noun:"a size"`
	}
	// Fabric is `fabric night "Night sky" #1d2b4f width 42 directional`, all
	// but the name optional; Width is nil when not given.
	Fabric struct {
		Name        Name    `parser:"'fabric' @@"`
		Title       *Text   `parser:"( @@" noun:"a title in quotes"`
		Colour      *Colour `parser:"| @@"`
		Width       Expr    `parser:"| 'width' @@"`
		Directional bool    `parser:"| @'directional' )*"`
	}
	// Let is `let h = 2 1/2`.
	Let struct {
		Name  Name `parser:"'let' @@"`
		Value Expr `parser:"'=' @@"`
	}
	// Colourway opens `colourway dusk "Title" {`; its body holds Swaps.
	Colourway struct {
		Name  Name  `parser:"( 'colourway' | 'colorway' ) @@"`
		Title *Text `parser:"@@?" noun:"a title in quotes"`
	}
	// Swap is `old = new`, a line of a colourway or a part of `with`.
	Swap struct {
		Old Name `parser:"@@" is:"fabric"`
		New Name `parser:"'=' @@" is:"fabric"`
	}
	// Block opens `block "Title" W by H {`.
	Block struct {
		Title  Text `parser:"'block' @@" noun:"a title in quotes"`
		Width  Expr `parser:"@@" noun:"a width"`
		Height Expr `parser:"'by' @@" noun:"a height"`
	}
	// Setting opens `setting "Title" {`.
	Setting struct {
		Title Text `parser:"'setting' @@" noun:"a title in quotes"`
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
		Name  Name  `parser:"'point' @@"`
		Value Point `parser:"'=' @@"`
	}
	// SeamDef is `seam ridge from P to Q`.
	SeamDef struct {
		Name Name  `parser:"'seam' @@"`
		From Point `parser:"'from' @@"`
		To   Point `parser:"'to' @@"`
	}
	// Section opens `section A "Title" beyond ridge, P Q {`.
	Section struct {
		Name   Name   `parser:"'section' @@"`
		Title  *Text  `parser:"@@?" noun:"a title in quotes"`
		Beyond []Line `parser:"( 'beyond' @@ ( ',' @@ )* )?"`
	}
	// Copy is `section C, D "Title" = A, B turned 90 about hub with sky = plum`. The changes of place
	// follow each other. From is the block that Of is of, nil for this one. Only a copy that is made alone has lines.
	Copy struct {
		Made   []Copied    `parser:"'section' @@ ( ',' @@ )*" noun:"a name"`
		Beyond []Line      `parser:"( 'beyond' @@ ( ',' @@ )* )?"`
		Of     []Name      `parser:"'=' @@ ( ',' @@ )*" is:"section"`
		From   *Text       `parser:"( 'of' @@ )?" is:"block" noun:"the title of a block in quotes"`
		Places []Transform `parser:"@@ @@*" noun:"\x60mirrored across\x60, \x60turned\x60, \x60moved\x60 or \x60scaled\x60"`
		With   []Swap      `parser:"( 'with' @@ ( ',' @@ )* )?" noun:"a fabric"`
	}
	// Size is `size mini "Three inch mini" 3 by 3`.
	Size struct {
		Name   Name  `parser:"'size' @@"`
		Title  *Text `parser:"@@?" noun:"a title in quotes"`
		Width  Expr  `parser:"@@" noun:"a width"`
		Height Expr  `parser:"'by' @@" noun:"a height"`
	}
	// Join is `join A to B press toward A inset`.
	Join struct {
		A           Name  `parser:"'join' @@" is:"section"`
		B           Name  `parser:"'to' @@" is:"section" other:"first"`
		PressOpen   bool  `parser:"( 'press' ( @'open'"`          // `press open` was typed
		PressToward *Name `parser:"| 'toward' @@ )" is:"section"` // `press toward A`
		Inset       bool  `parser:"| @'inset'"`
		Partial     bool  `parser:"| @'partial' )*"`
	}
	// Finish is `finish A to E`.
	Finish struct {
		A Name `parser:"'finish' @@" is:"section"`
		B Name `parser:"'to' @@" is:"section" other:"first"`
	}
	// Notch is `notch m P`, in a block or a section.
	Notch struct {
		Name  Name  `parser:"'notch' @@"`
		Point Point `parser:"@@"`
	}
	// Outline is `outline P Q R …`, in a block or a section.
	Outline struct {
		Corners []Point `parser:"'outline' @@ ','? @@ ','? @@ ( ','? @@ )*" noun:"a corner"`
	}
	// Patch is `patch 3 sky …` in a section, or `patch sky …` in a block
	// (Number nil). Exactly one of Corners, Beyond and Around is set.
	Patch struct {
		Number  *Whole  `parser:"'patch' @@" is:"patch number"`
		Fabric  Name    `parser:"@@" is:"fabric"`
		Corners []Point `parser:"( @@ ','? @@ ','? @@ ( ','? @@ )*" noun:"a corner"`
		Beyond  *Line   `parser:"| 'beyond' @@"`
		Around  Point   `parser:"| 'around' @@ )" noun:"a point inside the patch"`
		Cut     *Cut    `parser:"( @@"`
		Note    *Text   `parser:"| 'note' @@ )*"`
	}
	// loosePatch is the grammar of a Patch outside a section.
	loosePatch struct {
		Number  *Whole
		Fabric  Name    `parser:"'patch' @@" is:"fabric"`
		Corners []Point `parser:"@@ ','? @@ ','? @@ ( ','? @@ )*" noun:"a corner"`
		Beyond  *Line
		Around  Point
		Cut     *Cut
		Note    *Text `parser:"( 'note' @@ )?"`
	}
)

var _ = Patch(loosePatch{}) // they have the same fields

// Copied is a section that a Copy makes; Title is nil when not given.
type Copied struct {
	Name  Name  `parser:"@@"`
	Title *Text `parser:"@@?" noun:"a title in quotes"`
}

// Transform is one change of a copy's place: one of the four.
type Transform struct {
	Mirrored *Line `parser:"'mirrored' 'across' @@"`
	Turned   Expr  `parser:"| 'turned' @@" noun:"a number of degrees"`
	About    Point `parser:"'about' @@" noun:"the point that stays"`
	Moved    *Pair `parser:"| 'moved' @@"`
	Scaled   Expr  `parser:"| 'scaled' @@" noun:"a ratio such as 3/4"`
	Center   Point `parser:"'about' @@" noun:"the point that stays"`
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

// cutForms is the grammar of a Cut, which reads itself.
type cutForms struct {
	Along  Expr `parser:"'cut' ( @@" noun:"a size"`
	Across Expr `parser:"'by' @@" noun:"the other side of the piece"`
	Strip  Expr `parser:"| 'strip' @@" noun:"the width of the strip"`
	Square Expr `parser:"| 'square' @@ ( 'halved' | 'quartered' ) )" noun:"the side of the square"`
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
		Cells []Cell `parser:"'fill' @@ ( ',' @@ )*" noun:"the title of a block in quotes"`
	}
	// OnPoint is `on point sky`: the blocks stand on their corners, the
	// setting triangles are of the named fabric.
	OnPoint struct {
		Fabric Name `parser:"'on' 'point' @@" is:"fabric"`
	}
	// Row is `row "Little Sloop", sashing 1 sand, "Lantern" mirrored`.
	Row struct {
		Parts []RowPart `parser:"'row' @@ ( ',' @@ )*" noun:"the title of a block in quotes, \x60sashing\x60 or \x60spacer\x60"`
	}
	// Sashing is `sashing 1 1/2 sand around`.
	Sashing struct {
		Width  Expr `parser:"'sashing' @@" noun:"a width"`
		Fabric Name `parser:"@@" is:"fabric"`
		Around bool `parser:"@'around'?"` // round the outside too
	}
	// Cornerstone is `cornerstone coral`.
	Cornerstone struct {
		Fabric Name `parser:"'cornerstone' @@" is:"fabric"`
	}
	// Border is `border 3 water`; several follow each other outwards.
	Border struct {
		Width  Expr `parser:"'border' @@" noun:"a width"`
		Fabric Name `parser:"@@" is:"fabric"`
	}
	// Binding is `binding cut 2 1/4 cedar`.
	Binding struct {
		Width  Expr `parser:"'binding' 'cut' @@" noun:"a width"`
		Fabric Name `parser:"@@" is:"fabric"`
	}
	// Backing is `backing sand`.
	Backing struct {
		Fabric Name `parser:"'backing' @@" is:"fabric"`
	}
	// Batting is `batting`.
	Batting struct {
		_ struct{} `parser:"'batting'"`
	}
)

// Cell is one block of a fill, in a size and a colorway where Names say so; Turned is nil when not turned.
type Cell struct {
	Block    Text   `parser:"@@" is:"block" noun:"the title of a block in quotes"`
	Names    []Name `parser:"( @@ @@?" is:"size or colourway" noun:"a size or colorway"`
	Turned   Expr   `parser:"| 'turned' @@" noun:"a number of degrees"`
	Mirrored bool   `parser:"| @'mirrored' )*"`
}

// RowPart is a part of a row: a block, or a strip as high as the row, which then has a fabric.
type RowPart struct {
	Block  *Cell `parser:"@@"`
	Spacer bool  `parser:"| ( 'sashing' | @'spacer' )"`
	Width  Expr  `parser:"@@" noun:"a width"`
	Fabric *Name `parser:"@@" is:"fabric"`
}

func (*loosePatch) statement()  {}
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
func (*Size) statement()        {}
func (*Join) statement()        {}
func (*Finish) statement()      {}
func (*Notch) statement()       {}
func (*Outline) statement()     {}
func (*Patch) statement()       {}
func (*Rows) statement()        {}
func (*Columns) statement()     {}
func (*Fill) statement()        {}
func (*Row) statement()         {}
func (*OnPoint) statement()     {}
func (*Sashing) statement()     {}
func (*Cornerstone) statement() {}
func (*Border) statement()      {}
func (*Binding) statement()     {}
func (*Backing) statement()     {}
func (*Batting) statement()     {}
