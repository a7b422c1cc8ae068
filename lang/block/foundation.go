package block

import (
	"cmp"
	"hash/maphash"
	"math"
	"slices"
	"unique"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// A Foundation is what the statements of a section say, apart from its name and its place in
// the text: a value, made by found of these statements and of what they look up, and
// shared by all models in which both are the same. It holds nothing of a model or a text.
type Foundation struct {
	Outline geom.Polygon // as typed, placed; nil when left out (it is then the union of the patches)
	Shapes  []*Shape     // of the patches, by number

	// Lines are those of the section's opening line. Of a section that Hangs the outline follows from the rest of
	// the block: from its lines, or from what the other sections leave.
	Lines []geom.Segment
	Hangs bool

	// Geometry is Outline and the corners of Shapes as sewing sees them: one, in all models, for all
	// that are the same to the last bit. Of a broken section Rest is that of the patches that are not Lost.
	Geometry, Rest *Geometry

	broken, partial bool
	linesBroken     bool
	outlineLost     bool  // an outline is typed that cannot be read
	outlineAt       int32 // the statement; -1 when left out
	first           firstPatch
	notches         []notchForm
	notes           []noteForm

	problems []sectionProblem
	uses     []sectionUse

	// What it was made of.
	head       statement // none of a section without lines
	statements []statement
	closed     bool
	trace      memo.Trace[asked, answer]
}

// A Geometry is the shapes of a section. What sewing makes of them hangs on it.
type Geometry struct {
	Outline geom.Polygon
	Corners []geom.Polygon // of the patches, by number
	Facts   memo.Facts
}

func newGeometry(outline geom.Polygon, shapes []*Shape) *Geometry {
	g := &Geometry{Outline: outline, Corners: make([]geom.Polygon, len(shapes))}
	for i, s := range shapes {
		g.Corners[i] = s.Corners
	}
	return g
}

// measure notes the shapes of a foundation as sewing sees them.
func (f *Foundation) measure() {
	f.Geometry, f.Rest = newGeometry(f.Outline, f.Shapes), nil
	if !f.broken {
		return
	}
	rest := make([]*Shape, 0, len(f.Shapes))
	for _, s := range f.Shapes {
		if s.known() {
			rest = append(rest, s)
		}
	}
	f.Rest = newGeometry(f.Outline, rest)
}

func (s *Shape) known() bool { return !s.Lost && s.Corners != nil }

// A mark is a place in a section: in one of its statements, relative to it. Statement -1 opens it.
type mark struct {
	statement int32
	source.Span
}

type notchForm struct {
	name      string
	point     geom.Point
	statement int32
	nameAt    source.Span
}

type noteForm struct {
	text      string
	statement int32
}

// sectionProblem is a Problem; what says where it is comes with the section.
type sectionProblem struct {
	Problem
	at      mark
	related []mark
}

// sectionUse is a name that is used: the question by which it was looked up.
type sectionUse struct {
	at       mark
	question int32
}

// statement is all that a Foundation is made of, of one statement.
type statement struct {
	node syntax.Statement // readings are shared by equal statements, so one node is one text
	kind syntax.ItemKind
	word string
}

func statementOf(it *syntax.Item) statement { return statement{it.Node, it.Kind, it.Word} }

// headOf is the opening line of a section as far as its patches depend on it.
func headOf(it *syntax.Item) statement {
	if n := it.Node.(*syntax.Section); len(n.Beyond) > 0 {
		return statementOf(it)
	}
	return statement{}
}

var seed = maphash.MakeSeed()

// foundation gives what the statements of a section come to, from memory where it can.
func (c *blockBuild) foundation(item *syntax.Item) *Foundation {
	closed, head := item.Close != nil, headOf(item)
	work := func() *Foundation {
		statements := make([]statement, len(item.Body))
		for i, it := range item.Body {
			statements[i] = statementOf(it)
		}
		return c.shared(found(head, statements, closed, c.knownAnswer))
	}
	if c.file.Memo == nil {
		return work()
	}
	var key maphash.Hash
	key.SetSeed(seed)
	maphash.WriteComparable(&key, head.node)
	for _, it := range item.Body {
		maphash.WriteComparable(&key, it.Node)
	}
	return memo.In[foundationKey, *Foundation](c.file.Memo).Get(foundationKey(key.Sum64()), func(f *Foundation) bool {
		same := func(s statement, it *syntax.Item) bool { return s == statementOf(it) }
		return f.closed == closed && f.head == head && slices.EqualFunc(f.statements, item.Body, same) && f.trace.Holds(c.knownAnswer)
	}, work)
}

type foundationKey uint64

// shared gives a foundation the one Geometry of its shapes.
func (c *blockBuild) shared(f *Foundation) *Foundation {
	f.Geometry = c.geometry(f.Geometry)
	if f.Rest != nil {
		f.Rest = c.geometry(f.Rest)
	}
	return f
}

// geometry is the one Geometry of these shapes.
func (c *blockBuild) geometry(g *Geometry) *Geometry {
	if c.file.Memo == nil {
		return g
	}
	return memo.In[geometryKey, *Geometry](c.file.Memo).Get(g.key(), g.equal, func() *Geometry { return g })
}

type geometryKey uint64

func (g *Geometry) key() geometryKey {
	const prime = 1099511628211 // FNV-1a
	hash := uint64(14695981039346656037)
	add := func(p geom.Polygon) {
		hash = (hash ^ uint64(len(p))) * prime
		for _, c := range p {
			hash = (hash ^ math.Float64bits(c.X)) * prime
			hash = (hash ^ math.Float64bits(c.Y)) * prime
		}
	}
	add(g.Outline)
	for _, c := range g.Corners {
		add(c)
	}
	return geometryKey(hash)
}

func (g *Geometry) equal(o *Geometry) bool {
	return (g.Outline == nil) == (o.Outline == nil) && slices.Equal(g.Outline, o.Outline) &&
		slices.EqualFunc(g.Corners, o.Corners, slices.Equal[geom.Polygon])
}

// founder makes a Foundation. It is the context of the statements: what they look up is
// recorded, and they know nothing else.
type founder struct {
	*Foundation
	ask       func(asked) answer
	statement int32 // that is worked out
	patch     int
	fabric    int32 // the question for the last fabric
	unitKnown bool
	bare      geom.Unit
}

// found makes a Foundation of the statements of a section; ask answers what names mean.
func found(head statement, statements []statement, closed bool, ask func(asked) answer) *Foundation {
	f := &founder{Foundation: &Foundation{head: head, statements: statements, closed: closed, outlineAt: -1, broken: !closed}, ask: ask}
	if n, ok := head.node.(*syntax.Section); ok {
		f.lines(n)
	}
	patches := 0
	for _, s := range statements {
		if _, ok := s.node.(*syntax.Patch); ok {
			patches++
		}
	}
	f.Shapes, f.uses = make([]*Shape, 0, patches), make([]sectionUse, 0, patches)
	shapes := make([]Shape, patches)
	for i, s := range statements {
		f.statement, f.patch = int32(i), 0
		if s.kind == syntax.Unreadable || s.kind == syntax.Opens {
			f.partial = true
			f.broken = f.broken || s.word != "note"
			f.outlineLost = f.outlineLost || s.word == "outline"
		}
		switch n := s.node.(type) {
		case *syntax.Outline:
			f.outline(n)
		case *syntax.Notch:
			if at, ok := (maker{f}).point(n.Point); ok {
				f.notches = append(f.notches, notchForm{n.Name.Text, at.Point(), f.statement, n.Name.Span})
			} else {
				f.broken = true // its partner would look alone
			}
		case *syntax.Note:
			f.notes = append(f.notes, noteForm{seen(n.Text), f.statement})
		case *syntax.Patch:
			if n.Number == nil { // the reader reports it
				f.broken = true
				continue
			}
			shape := &shapes[len(f.Shapes)]
			shape.Number, shape.statement, f.patch = n.Number.Value, f.statement, n.Number.Value
			maker{f}.shape(shape, n)
			shape.fabric = f.fabric
			f.Shapes = append(f.Shapes, shape)
		}
	}
	f.number()
	f.shapesOfPatches()
	f.measure()
	return f.Foundation
}

func (f *founder) look(at source.Span, q question) answer {
	a, n := f.trace.Ask(unique.Make(q), f.ask)
	if q.sort == aFabric {
		f.fabric = int32(n)
	}
	if a.found > lost {
		f.uses = append(f.uses, sectionUse{mark{f.statement, at}, int32(n)})
	}
	return a
}

var theUnit = unique.Make(question{})

func (f *founder) unit() geom.Unit {
	if !f.unitKnown {
		a, _ := f.trace.Ask(theUnit, f.ask)
		f.bare, f.unitKnown = a.value.(geom.Unit), true
	}
	return f.bare
}

func (f *founder) fail(at source.Span, p Problem) { f.record(mark{f.statement, at}, p) }

func (f *founder) record(at mark, p Problem, related ...mark) {
	p.Patch = f.patch
	f.problems = append(f.problems, sectionProblem{p, at, related})
}

// whole is a statement, all of it.
func whole(statement int32) mark { return mark{statement, wholeStatement} }

// wholeStatement is the span of a mark that is all of a statement, however long it is.
var wholeStatement = source.Span{Start: 0, End: -1}

// lines works out the lines of a section.
func (f *founder) lines(n *syntax.Section) {
	f.statement = opening
	for _, l := range n.Beyond {
		ends, ok := maker{f}.line(l)
		if f.linesBroken = f.linesBroken || !ok; ok && ends.segment().Len() < geom.Hair {
			f.fail(l.Span, Problem{Kind: UnclearSection, Cause: OnePoint})
			f.linesBroken = true
		}
		f.Lines = append(f.Lines, ends.segment())
	}
	f.broken = f.broken || f.linesBroken
}

// opening is the statement that opens a section, in a mark.
const opening = -1

func (f *founder) outline(n *syntax.Outline) {
	if f.outlineAt >= 0 {
		f.record(whole(f.statement), Problem{Kind: DuplicateName, What: "outline", Name: "outline"}, whole(f.outlineAt))
		return
	}
	f.outlineAt = f.statement
	if f.Outline = (maker{f}).corners(n.Corners); f.Outline == nil {
		f.broken = true
	}
}

// shape reads what a patch says of itself; its corners come later.
func (m maker) shape(s *Shape, n *syntax.Patch) {
	m.fabric(n.Fabric)
	if n.Number != nil {
		s.Number = n.Number.Value
	}
	switch {
	case n.Beyond != nil:
		s.Given = ByBeyond
	case n.Around != nil:
		s.Given = ByAround
	}
	if n.Note != nil {
		s.Note = seen(*n.Note)
	}
	if n.Cut != nil {
		s.Cut = m.cut(n.Cut)
	}
}

func (m maker) cut(n *syntax.Cut) *Cut {
	cut := &Cut{Form: n.Form}
	along, ok := m.size(n.Along)
	cut.Along = along
	if n.Across != nil {
		across, okAcross := m.size(n.Across)
		cut.Across = across
		ok = ok && okAcross
	}
	if !ok {
		return nil
	}
	return cut
}

// node is the statement of a patch.
func (f *Foundation) node(s *Shape) *syntax.Patch {
	return f.statements[s.statement].node.(*syntax.Patch)
}

// number puts the patches into sewing order and reports numbers that are
// there twice or missing: at most one finding a section, at the first. Of two with one number the later is lost.
func (f *founder) number() {
	numberAt := func(s *Shape) mark { return mark{s.statement, f.node(s).Number.Span} }
	slices.SortStableFunc(f.Shapes, func(p, q *Shape) int { return cmp.Compare(p.Number, q.Number) })
	for i, s := range f.Shapes {
		s.Lost = i > 0 && f.Shapes[i-1].Number == s.Number
	}
	if f.broken { // the missing number may stand on a line that cannot be read
		return
	}
	for i, s := range f.Shapes {
		if s.Number == i+1 {
			continue
		}
		f.broken, f.patch = true, s.Number
		if i > 0 && f.Shapes[i-1].Number == s.Number {
			f.record(numberAt(s), Problem{Kind: PatchNumber, Cause: NumberTwice, Number: s.Number}, numberAt(f.Shapes[i-1]))
		} else {
			f.record(numberAt(s), Problem{Kind: PatchNumber, Cause: NumberMissing, Number: i + 1})
		}
		return
	}
}

// placed is what a copy at another place comes to. A cut size is of one size.
func (f *Foundation) placed(place geom.Transform) *Foundation {
	out := *f
	if f.Outline != nil {
		out.Outline = place.ApplyTo(f.Outline)
	}
	out.Shapes = make([]*Shape, len(f.Shapes))
	shapes := make([]Shape, len(f.Shapes))
	for i, s := range f.Shapes {
		shapes[i] = *s
		shapes[i].Corners = place.ApplyTo(s.Corners)
		shapes[i].Line = geom.Segment{A: place.Apply(s.Line.A), B: place.Apply(s.Line.B)}
		if place.Scale() != 1 {
			shapes[i].Cut = nil
		}
		out.Shapes[i] = &shapes[i]
	}
	out.notches = slices.Clone(f.notches)
	for i := range out.notches {
		out.notches[i].point = place.Apply(out.notches[i].point)
	}
	out.first = f.first.placed(place)
	out.measure()
	return &out
}

// within is what a section that hangs comes to in the outline that follows from the rest of the block.
func (f *Foundation) within(outline geom.Polygon) *Foundation {
	out := *f
	out.Outline = outline
	out.problems = slices.Clip(f.problems)
	out.Shapes = make([]*Shape, len(f.Shapes))
	shapes := make([]Shape, len(f.Shapes))
	bySeam := false
	for i, s := range f.Shapes {
		shapes[i] = *s
		out.Shapes[i] = &shapes[i]
		bySeam = bySeam || s.Given != ByCorners
	}
	if bySeam {
		(&founder{Foundation: &out}).cutBack()
	}
	out.measure()
	return &out
}
