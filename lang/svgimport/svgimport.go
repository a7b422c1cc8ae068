// Package svgimport turns what is seen of a drawing in SVG into a block: areas become patches, their
// colors fabrics, and groups of shapes sections where they divide the block.
//
//	Import       a drawing's text to a block file's        svgimport.go
//	element      the drawing as a tree of elements         xml.go
//	style        what is painted, and in what color        style.go, css.go
//	affine       transforms, units, view boxes             affine.go, view.go
//	area         elements to shapes, strokes and clips     walk.go, path.go, clip.go
//	curve        curves to straight edges                  curve.go
//	own          drawings that this program made           own.go
//	stack        which shapes are seen in a place          seen.go
//	patches      the outline, and the faces in it          patches.go
//	whole        faces without slivers and holes           cover.go, rings.go
//	sections     groups to sections, with their joins      sections.go
//	write        the block file                            write.go
//
// All shapes, and what they are seen through, are one drawing in lines, whose faces are found once (lang/faces), so
// that neighbours share their corners and one tolerance holds for all. A face is seen as the topmost shapes
// there; lines with the same on both sides are dropped.
//
// A seam is straight and a patch has no hole, so some of what can be drawn cannot
// be imported. It is refused with its place, never guessed at; nothing a drawing refers
// to outside itself is ever fetched.
//
// What the elements, attributes and units mean is said by the World Wide Web Consortium: Scalable Vector
// Graphics 1.1 (Second Edition), 16 August 2011, and, where that leaves it open,
// Scalable Vector Graphics 2, Candidate Recommendation, 4 October 2018.
package svgimport

import (
	"fmt"
	"strings"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// The limits. Past one a drawing is refused.
const (
	MaxBytes    = 32 << 20 // of a drawing
	maxElement  = 200_000  // elements drawn, those of `use` counted each time
	maxCorners  = 200_000
	maxDepth    = 200
	MaxSegments = 64
)

// Auto is as many straight edges for each curve as come within 1/16 in of it.
const Auto = -1

// Weld is the distance over which near misses are closed unless another is asked for: 0.5 mm.
const Weld = 2.5

// Options are how a drawing is traced. The zero value closes nothing beyond a
// hair, refuses curves and takes sizes as they are drawn.
type Options struct {
	Title string  // of the block; empty: the drawing's own, or the file's name
	Size  float64 // of the longer side, in hairs; 0: as the page says
	Weld  float64 // near misses up to this, in hairs, are closed
	Units string  // in, mm or cm, what the file's numbers are in; empty: as the drawing gives its width, else inches
	Page  bool    // the block is the whole page, not only what is painted

	Segments int     // how many straight edges each curve gets; Auto; 0 refuses curves
	Smallest float64 // in hairs: a narrower patch is too small, so Auto makes no shorter edges

	Sections bool // groups are sections whatever comes of it
	Merge    bool // colors that look alike are one fabric
}

// A Block is what came of a drawing.
type Block struct {
	Text   string // the block file, formatted
	Title  string
	Unit   geom.Unit       // of the file
	Closed []faces.Closing // near misses, in the block's coordinates
	Notes  []*Error        // what was left out or taken otherwise than drawn; none of it failed
	Counts map[string]int  // "patch", "section", "fabric"
}

// An Error says what cannot be traced and where. Line and Column count from 1; a
// Line of 0 is the drawing as a whole.
type Error struct {
	Path         string
	Line, Column int
	Message      string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return e.Path + ": " + e.Message
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.Path, e.Line, e.Column, e.Message)
}

// Import makes a block of a drawing. Any error is an *Error.
func Import(path, text string, o Options) (*Block, error) {
	t := &tracer{path: path, o: o, clips: make(map[clipKey]*clip), faint: make(map[*element]bool)}
	b, err := t.trace(text)
	if err != nil {
		return nil, err
	}
	return b, nil
}

// tracer is one drawing being traced.
type tracer struct {
	path string
	o    Options

	ids      map[string]*element
	sheet    sheet
	paper    geom.Polygon // the page, nil: it has no end
	sized    bool         // the page says how large it is
	areas    []*area      // all that is drawn, and all that it is seen through
	shapes   []*shape
	strokes  []stroke
	clips    map[clipKey]*clip
	open     []*element // clip paths and masks that are being read
	faint    map[*element]bool
	drawn    int // elements so far
	corner   int // corners so far
	curves   int // curves so far
	painting int // shapes and strokes so far
	notes    []*Error
	unit     geom.Unit // of the file
}

func (t *tracer) trace(text string) (*Block, error) {
	root, err := t.read(text)
	if err != nil {
		return nil, err
	}
	t.unit = unitOf(root, t.o)
	if own := findOwn(root); own != nil {
		return t.traceOwn(root, own)
	}
	if err := t.walk(root); err != nil {
		return nil, err
	}
	return t.block(root)
}

// fail is an error at an element.
func (t *tracer) fail(e *element, format string, args ...any) error {
	return &Error{t.path, e.line, e.column, e.String() + " " + fmt.Sprintf(format, args...)}
}

// failed is an error about the whole drawing.
func (t *tracer) failed(format string, args ...any) error {
	return &Error{Path: t.path, Message: fmt.Sprintf(format, args...)}
}

// note says what was left out, at an element or, where it is nil, in the whole drawing.
func (t *tracer) note(e *element, format string, args ...any) {
	n := &Error{Path: t.path, Message: fmt.Sprintf(format, args...)}
	if e != nil {
		n.Line, n.Column = e.line, e.column
	}
	t.notes = append(t.notes, n)
}

// unitOf is the unit of the file.
func unitOf(root *element, o Options) geom.Unit {
	if u, ok := geom.UnitNamed(o.Units); ok {
		return u
	}
	_, unit := number(strings.TrimSpace(root.attr["width"]))
	u, _ := geom.UnitNamed(strings.TrimSpace(unit))
	return u
}
