// Package block is the typed model of a block file: what the statements mean,
// resolved across files, with every place where it was said.
//
// Open reads a file and gives a *File. Building never fails: what cannot be
// resolved is left out, marked (Broken) and recorded as a Problem, in data
// and not in words, so that a rule can phrase it. What depends on a broken
// part is to be left unsaid by whoever reads the model.
//
// Titles, notes and what else stands in quotes are as people may see them (see package visible);
// the bytes as they were typed are in the statement's node. Names hold nothing that needs it.
//
// Lengths are in hairs (see package geom): exact Nums where the text is exact,
// float64 polygons for everything that is computed.
package block

import (
	"cmp"
	"iter"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Place is a span of a file.
type Place struct {
	File *source.File
	source.Span
}

// Kind tells what a name names.
type Kind uint8

// The kinds of named things.
const (
	KindFabric Kind = iota
	KindLet
	KindPoint
	KindSeam
	KindSection
	KindColourway
	KindBlock
	KindSetting
	KindSize
)

// String is the trade's word for it: "fabric", "section".
func (k Kind) String() string {
	return [...]string{"fabric", "let", "point", "seam", "section", "colourway", "block", "setting", "size"}[k]
}

// Named is what every named thing has.
type Named struct {
	Kind Kind
	Name string       // for a block or setting, its title
	At   Place        // the name where it is declared
	Item *syntax.Item // the statement that declares it
}

// Reference is one place where a name is used; declarations are not references.
type Reference struct {
	At source.Span // in the file that holds the Reference
	To *Named
}

// File is the model of one file.
type File struct {
	Tree   *syntax.Tree
	Source *source.File
	Unit   geom.Unit // of bare numbers

	Uses       []*Use
	Allowance  *Allowance // nil when the file gives none
	Fabrics    []*Fabric  // its own; used files' come through Uses
	Lets       []*Let
	Colourways []*Colourway // those that stand in no block
	Blocks     []*Block
	Settings   []*Setting
	Notes      []Note

	Problems []Problem // what could not be resolved, in file order

	// Partial: a statement could not be read, so that a name that seems unused
	// may be used there.
	Partial bool

	// Memo is where results are remembered beyond this model; nil: nowhere. Facts are those of
	// this model alone.
	Memo  *memo.Store
	Facts memo.Facts

	oneSize    bool        // one of InSizes
	references []Reference // but for those in sections
	loader     *Loader     // that made it
}

// References are all uses of names, in no set order.
func (f *File) References() []Reference {
	return memo.Of(&f.Facts, referencesKey{}, func() []Reference {
		n := len(f.references)
		for s := range f.typed() {
			n += len(s.uses)
		}
		out := append(make([]Reference, 0, n), f.references...)
		for s := range f.typed() {
			for _, u := range s.uses {
				out = append(out, Reference{s.span(u.at), s.Block.known[s.trace.Question(int(u.question))].named})
			}
		}
		return out
	})
}

// Used reports whether anything in the file refers to a named thing. Of InSizes nobody knows, and nothing is unused.
func (f *File) Used(n *Named) bool {
	if f.oneSize {
		return true
	}
	return memo.Of(&f.Facts, usedKey{}, func() map[*Named]bool {
		used := map[*Named]bool{}
		for _, r := range f.references {
			used[r.To] = true
		}
		for s := range f.typed() {
			for i := range s.trace.Len() {
				used[s.Block.known[s.trace.Question(i)].named] = true
			}
		}
		return used
	})[n]
}

type (
	referencesKey struct{}
	usedKey       struct{}
)

// typed are the sections of all blocks that are typed out.
func (f *File) typed() iter.Seq[*Section] {
	return func(yield func(*Section) bool) {
		for _, b := range f.Blocks {
			for _, s := range b.Sections {
				if s.CopyOf == nil && !yield(s) {
					return
				}
			}
		}
	}
}

// With is the model that another text of the file would have.
func (f *File) With(text string) *File { return f.loader.OpenText(f.Source.Path, text) }

// Use is a `use` statement; File is nil when it could not be followed.
type Use struct {
	At   Place  // the path
	Path string // as it was typed
	File *File
	Item *syntax.Item
}

// Fabric is a fabric. Colour is #rrggbb or empty; Width, the usable width, is
// zero when not given.
type Fabric struct {
	Named
	Title       string
	Colour      string
	Width       geom.Num
	Directional bool
}

// Called is the fabric as people know it: its title, or its name where it has none.
func (f *Fabric) Called() string {
	if f.Title != "" {
		return f.Title
	}
	return f.Name
}

// Let is a named number.
type Let struct {
	Named
	Value  Value
	Block  *Block // nil for the file's own
	Broken bool
}

// Allowance is a seam allowance; Outer when it is for the block's outer edge alone.
type Allowance struct {
	Size   geom.Num
	Outer  bool
	At     Place
	Item   *syntax.Item
	Broken bool // the size could not be worked out
}

// Note is words for the sewist.
type Note struct {
	Text string
	At   Place
}

// Swap puts the fabric New where Old is.
type Swap struct{ Old, New *Fabric }

// Colourway is other fabrics for a block, or, where Block is nil, for every
// block of the file. Swaps are done all at once.
type Colourway struct {
	Named
	Title string
	Swaps []Swap
	Block *Block
}

// Block is a block. Its outline is the rectangle from (0, 0) to (Width,
// Height) unless one is given.
type Block struct {
	Named
	File          *File
	Width, Height geom.Num
	Outline       geom.Polygon // as typed
	OutlineAt     Place        // the `outline` statement, or the size

	// The allowances that hold for this block: its own or the file's; nil when
	// there is none. OuterAllowance is Allowance unless `allowance outer` is given.
	Allowance, OuterAllowance *Allowance

	Fabrics    []*Fabric // its own
	Lets       []*Let
	Points     []*NamedPoint
	Seams      []*NamedSeam
	Sections   []*Section // in written order, copies included
	Joins      []*Join    // joins and finishes in the order they are sewn, copied joins after the one they copy
	Notches    []*Notch   // of the block itself, not of its sections
	Loose      []*Patch   // patches that belong to no section yet; Number is 0
	Colourways []*Colourway
	Sizes      []*Size
	Notes      []Note

	// Size is that of a model in another size than the block is drawn in: see Size.Block.
	Size *Size

	// Broken: a statement of the block itself (size, outline, a section's
	// opening line, a join) could not be read or resolved, or a section is broken, so
	// nothing can be said of how the block goes together.
	Broken bool

	Facts memo.Facts // of this model of the block

	known map[asked]*known // what sections look up
}

// Undivided reports whether the block is a drawing, in patches or in lines, that has no
// section yet.
func (b *Block) Undivided() bool {
	return len(b.Sections) == 0 && len(b.Loose)+len(b.Seams) > 0
}

// Unread reports whether a line of the block, or one of its file that is in no block or setting, cannot be read or
// resolved.
func (b *Block) Unread() bool {
	return b.Broken || memo.Of(&b.File.Facts, unreadKey{}, b.File.unread)[b]
}

type unreadKey struct{}

func (f *File) unread() map[*Block]bool {
	out := map[*Block]bool{}
	all := false
	mark := func(at int) {
		b, outside := f.Around(at)
		if b != nil {
			out[b] = true
		}
		all = all || outside
	}
	for _, e := range f.Tree.Errors {
		mark(e.At.Start)
	}
	for _, p := range f.Problems {
		mark(p.At.Start)
	}
	for _, b := range f.Blocks {
		out[b] = out[b] || all
	}
	return out
}

// Around is the block around a place of the file, if any, or else whether it is outside of settings too.
func (f *File) Around(at int) (b *Block, outside bool) {
	if i, ok := extentAround(f.Blocks, at, func(b *Block) *Named { return &b.Named }); ok {
		return f.Blocks[i], false
	}
	_, ok := extentAround(f.Settings, at, func(s *Setting) *Named { return &s.Named })
	return nil, !ok
}

// extentAround finds the statement around a place, among statements in the order of the file.
func extentAround[T any](all []T, at int, named func(T) *Named) (int, bool) {
	i, _ := slices.BinarySearchFunc(all, at, func(x T, at int) int { return cmp.Compare(named(x).Item.Extent().End, at) })
	return i, i < len(all) && named(all[i]).Item.Extent().Contains(at)
}

// NamedPoint is a `point`. Exact is good to the last digit where the text
// is, and meaningless when Broken.
type NamedPoint struct {
	Named
	Exact  geom.Exact
	Broken bool
}

// NamedSeam is a `seam`: a straight line.
type NamedSeam struct {
	Named
	Line   geom.Segment
	Broken bool
}

// Section is a foundation.
type Section struct {
	Named
	Block       *Block
	Title       string // its own: a copy does not have its original's
	*Foundation        // what its statements say
	OutlineAt   Place
	Lines       []geom.Segment // that it is given by: of a copy, its own
	Patches     []*Patch       // by number; complete and correct unless Broken (then see Known)
	Notches     []*Notch
	Notes       []Note

	read int // problems of the foundation that are recorded already

	// A copy has the section it was copied from, straight from the
	// statement, and the placing: Placed(original corner) = copy's corner. Of a copy of another
	// size (Placed.Scale() is not 1) sewing works out everything anew, and it has no cut sizes of the designer's.
	// Original follows copies of copies to the section that was typed out.
	CopyOf *Section
	Placed geom.Transform

	// Broken: a statement that shapes it could not be read or resolved.
	Broken bool
}

// Original is the section that was typed out: s itself unless it is a copy.
func (s *Section) Original() *Section {
	for s.CopyOf != nil {
		s = s.CopyOf
	}
	return s
}

// Reported is the section at which what is wrong with s is reported: itself when it was typed out, is a copy
// of another size or comes from another block, else the one that it is like, patch for patch.
func (s *Section) Reported() *Section {
	for s.CopyOf != nil && s.Placed.Scale() == 1 && s.CopyOf.Block == s.Block {
		s = s.CopyOf
	}
	return s
}

// FromElsewhere reports whether the section was typed out in another block, of this file or of one that it uses.
func (s *Section) FromElsewhere() bool { return s.Original().Block != s.Block }

// Own reports whether what is wrong with s is reported at s.
func (s *Section) Own() bool { return s.Reported() == s }

// Known is the section as far as it is known: itself, or of a broken one the patches that are not Lost, as
// if the others were not typed; nil when there are none.
func (s *Section) Known() *Section {
	if !s.Broken {
		return s
	}
	if s.Rest == nil || len(s.Rest.Corners) == 0 {
		return nil
	}
	known, foundation := *s, *s.Foundation
	known.Foundation, known.Patches, known.Broken = &foundation, nil, false
	foundation.Geometry, foundation.Shapes = s.Rest, nil
	for _, p := range s.Patches {
		if p.known() {
			known.Patches, foundation.Shapes = append(known.Patches, p), append(foundation.Shapes, p.Shape)
		}
	}
	return &known
}

// Given says how a patch was described.
type Given uint8

// The ways to describe a patch.
const (
	ByCorners Given = iota
	ByBeyond
	ByAround
)

// Patch is a patch of a section. Its label is Section.Name and Number.
type Patch struct {
	Section *Section     // nil for a loose patch
	Fabric  *Fabric      // nil when unknown; in a copy, after the swaps
	Of      *Patch       // in a copy, the patch it copies
	Item    *syntax.Item // the statement (for a copy: the original's)
	*Shape
	file *source.File
}

// Shape is what a patch is apart from its name, cloth and place in the text. It is a part of a
// Foundation, and holds nothing of the model.
type Shape struct {
	Number  int
	Given   Given
	Corners geom.Polygon // for beyond and around: what it comes to; nil where that is unknown
	Line    geom.Segment // for ByBeyond: as given
	Cut     *Cut         // the designer's own cut size, or nil
	Note    string

	// Lost: the shape cannot be worked out or placed, and the section is broken. The others are what they would be
	// without it.
	Lost bool

	statement, fabric int32 // of its section; the question for its fabric
}

// Cut is the designer's own cut size, in hairs.
type Cut struct {
	Form          syntax.CutForm
	Along, Across geom.Num
}

// JoinKind tells joins apart.
type JoinKind uint8

// The kinds of join.
const (
	Straight JoinKind = iota
	Inset             // bent on purpose
	Partial           // the first part of a partial seam
	Finish            // its rest
)

// Join sews the unit that holds A to the unit that holds B.
type Join struct {
	A, B        *Section
	Kind        JoinKind
	PressToward *Section // nil: press open
	CopyOf      *Join    // for a join that came along with copied sections
	At          Place
	Item        *syntax.Item
}

// Notch is a match mark.
type Notch struct {
	Name    string
	Point   geom.Point
	Section *Section // nil for the block's own
	Of      *Notch   // in a copy, the notch it copies
	At      Place    // the whole statement
	NameAt  Place
	Item    *syntax.Item
}

// Setting is a whole quilt.
type Setting struct {
	Named
	Rows, Columns int
	Cells         []Cell // the fill list, as typed; or the blocks of OwnRows
	OwnRows       []Row  // given one by one, in place of Rows, Columns and a fill
	OnPoint       *Fabric
	Sashing       *Strip
	Around        bool // sashing round the outside too
	Cornerstone   *Fabric
	Borders       []Strip // from the inside out
	Binding       *Strip  // Width is the cut width
	Backing       *Fabric
	Batting       bool
	Notes         []Note
	Broken        bool
}

// Cell is one entry of a fill.
type Cell struct {
	Block     *Block
	Colourway *Colourway
	Turned    geom.Num // degrees anticlockwise
	Mirrored  bool
	At        Place
}

// Row is a row of a setting that is given by itself, from left to right.
type Row struct {
	Parts []RowPart
	At    Place
}

// RowPart is a part of a Row: a block or, where Cell is nil, a strip as high as the row.
type RowPart struct {
	Cell   *Cell
	Strip  *Strip
	Spacer bool // the strip is a filler, not sashing
}

// StripName is what lists call a strip of a row.
func (p RowPart) StripName() string {
	if p.Spacer {
		return "spacer"
	}
	return "sashing"
}

// Strip is a width of one fabric.
type Strip struct {
	Width  geom.Num
	Fabric *Fabric
	At     Place
}

// Problem is something that could not be resolved. Which fields are set
// depends on the Kind.
type Problem struct {
	Kind    ProblemKind
	At      source.Span // in the file that holds the Problem
	Name    string      // the name concerned
	What    string      // what sort of thing it is: "fabric", "point or seam"
	Near    string      // the nearest name there is; empty when none is near
	Cause   Cause       // for UnclearSeam, NoValue, BadUse
	Number  int         // for PatchNumber: the number that is wrong or missing
	Point   geom.Point  // for CrossedOutline, FirstOutside, NotInRest, Untaken and Unequal: where
	Swap    bool        // for DuplicateName: a fabric is replaced twice
	Block   string      // where: title, section's name, patch number
	Section string
	Patch   int
	Related []Place
}

// ProblemKind tells problems apart.
type ProblemKind uint8

// The kinds of problem.
const (
	UnknownName ProblemKind = iota
	DuplicateName
	PatchNumber
	CopyCycle
	UnclearSeam
	NoValue
	BadUse
	OverLimit
	CrossedOutline // the outline of a section with patches by `beyond` crosses itself
	OutlineSize    // a block's outline that does not have the block's bounds
	UnevenSize     // a size that is not scaled by one ratio both ways
	MixedSetting   // two statements of a setting, Name and What, that do not go together
	UnclearSection // a section whose outline does not follow from its lines or from what the others leave
)

// Cause says which of several things went wrong.
type Cause uint8

// The causes. The zero Cause is none.
const (
	// UnclearSeam
	Misses        Cause = iota + 1 // the line misses what is left
	CutsFirst                      // it cuts patch 1
	TwoChords                      // it could mean two chords
	LeavesTwo                      // a patch with corners leaves the rest in two pieces
	NotInRest                      // a patch with corners lies not wholly in what is left
	AroundOutside                  // the point of `around` is outside what is left
	OnePoint                       // the two points of the line are one

	// UnclearSection: those above as far as they are about lines and what is left, and
	OutlineAndLines // it has an outline and lines
	TwoWithout      // it is the second section that has neither
	LeavesHole      // it lies in the middle of what is left
	FirstOutside    // its first patch is not in what is left
	Untaken         // a piece of the block that no section takes
	Unequal         // the lines of a copy give another outline than its original has

	// CopyCycle
	BlocksInCircle // two blocks take sections from each other
	NeedsLines     // it is taken before its original, whose outline is what remains

	// NoValue
	DividedByZero
	NotALength     // a negative or zero size
	NotAScale      // a ratio of `scaled` that is not more than nothing, or beyond its limit
	NotARatio      // a length where a ratio or an angle belongs
	AreaNotLength  // a length times a length, or a number divided by a length
	OneEndedLine   // a line through one point
	ParallelLines  // two lines that do not meet
	RefersToItself // a point, seam or let that needs itself
	NotAQuarter    // a block of a setting turned by less than a quarter
	SeamNotPoint   // a seam where a point belongs
	PointNotSeam   // one point where a line belongs

	// BadUse
	UseMissing     // no such file
	UseOutside     // outside the repository
	UseCycle       // the file comes back to itself
	UseNotAFile    // a folder, a device
	UseAbsolute    // an absolute path
	UseNotPortable // another file, or none, on another system
	UseNotABlock   // a file that is no block file by its name, or a link to one

	// PatchNumber
	NumberTwice
	NumberMissing // a hole, or no patch 1
	NotBeyond     // patch 1 by `beyond`
	NotAround     // a later patch by `around`
)

// Value is a number as the language has it: a bare number takes the unit of
// the file it was typed in when it is used as a length, and is a plain
// number when it is used as a ratio or an angle.
type Value struct {
	Num    geom.Num  // hairs when Length, else as typed
	Length bool      // a unit was said
	Unit   geom.Unit // of a bare number used as a length
}
