package block

import (
	"sewable/lang/near"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// A scope is the names that can be said at one place: those of a block, and
// behind them those of its file. Names may be used before they are declared.
type scope struct {
	outer      *scope
	fabrics    map[string]*Fabric
	lets       map[string]*letDef
	points     map[string]*pointDef
	seams      map[string]*seamDef
	sections   map[string]*Section
	colourways map[string]*Colourway
	blocks     map[string]*Block

	// lost holds names that a statement which cannot be read would have
	// declared, and lostAll is set when a used file could not be followed: a
	// name that may be one of theirs is not reported a second time.
	lost    map[string]bool
	lostAll bool
}

func (s *scope) isLost(name string) bool {
	for ; s != nil; s = s.outer {
		if s.lost[name] {
			return true
		}
	}
	return false
}

// anyLost reports whether a name from another file may be missing.
func (s *scope) anyLost() bool {
	for ; s != nil; s = s.outer {
		if s.lostAll {
			return true
		}
	}
	return false
}

// find looks a name up in the scope and those behind it.
func find[T any](s *scope, name string, in func(*scope) map[string]T) (T, bool) {
	for ; s != nil; s = s.outer {
		if v, ok := in(s)[name]; ok {
			return v, true
		}
	}
	var none T
	return none, false
}

func fabricsOf(s *scope) map[string]*Fabric       { return s.fabrics }
func letsOf(s *scope) map[string]*letDef          { return s.lets }
func pointsOf(s *scope) map[string]*pointDef      { return s.points }
func seamsOf(s *scope) map[string]*seamDef        { return s.seams }
func sectionsOf(s *scope) map[string]*Section     { return s.sections }
func colourwaysOf(s *scope) map[string]*Colourway { return s.colourways }
func blocksOf(s *scope) map[string]*Block         { return s.blocks }

// names lists what can be said here, for the nearest-name hint.
func names[T any](s *scope, in func(*scope) map[string]T) []string {
	var all []string
	for ; s != nil; s = s.outer {
		for name := range in(s) {
			all = append(all, name)
		}
	}
	return all
}

// silent reports whether a name of some sort that means nothing is not to be reported: it may be
// one that was lost.
func (s *scope) silent(what, name string) bool {
	return s.isLost(name) || s.anyLost() && (what == "fabric" || what == "let" || what == "block" || what == "colourway")
}

// nearest is the name that was probably meant, worked out once.
func nearest[T any](b *builder, s *scope, what, name string, in func(*scope) map[string]T) string {
	key := unknownKey{s, what, name}
	n, ok := b.nearest[key]
	if !ok {
		n = near.Nearest(name, names(s, in))
		b.nearest[key] = n
	}
	return n
}

// unknown records that a name means nothing, once for each name and sort:
// further uses become related places of the first.
func (b *builder) unknown(s *scope, p Problem, w where) {
	key := unknownKey{s, p.What, p.Name}
	if i, ok := b.unknowns[key]; ok {
		first := &b.file.Problems[i]
		first.Related = append(first.Related, b.place(p.At))
		return
	}
	b.unknowns[key] = len(b.file.Problems)
	b.problem(p, w)
}

type unknownKey struct {
	scope *scope
	what  string
	name  string
}

// use records a reference.
func (b *builder) use(at source.Span, to *Named) {
	b.file.references = append(b.file.references, Reference{At: at, To: to})
}

// fabric resolves the name of a fabric; nil when there is none.
func (b *builder) fabric(s *scope, it *syntax.Item, n syntax.Name, w where) *Fabric {
	if !b.at(s, it, w).fabric(n) {
		return nil
	}
	f, _ := find(s, n.Text, fabricsOf)
	return f
}

// section resolves the name of a section of the block; nil when there is none.
func (b *builder) section(s *scope, it *syntax.Item, n syntax.Name, w where) *Section {
	sec, ok := find(s, n.Text, sectionsOf)
	if !ok {
		b.missing(s, it.Abs(n.Span), "section", n.Text, nearest(b, s, "section", n.Text, sectionsOf), w)
		return nil
	}
	b.use(it.Abs(n.Span), &sec.Named)
	return sec
}

// missing reports a name that means nothing, unless it may be one that was lost.
func (b *builder) missing(s *scope, at source.Span, what, name, near string, w where) {
	if !s.silent(what, name) {
		b.unknown(s, Problem{Kind: UnknownName, At: at, What: what, Name: name, Near: near}, w)
	}
}

// declare puts a name into a table unless the place already has one, or its
// file does: a name that means two things reads wrong at one of them.
func declare[T any](b *builder, s *scope, in func(*scope) map[string]T, named func(T) *Named, v T, w where) bool {
	n := named(v)
	if first, ok := find(s, n.Name, in); ok {
		b.duplicate(n.At.Span, n.Kind, n.Name, named(first).At, w)
		return false
	}
	in(s)[n.Name] = v
	return true
}

func (b *builder) duplicate(at source.Span, kind Kind, name string, first Place, w where) {
	b.problem(Problem{Kind: DuplicateName, At: at, What: kind.String(), Name: name, Related: []Place{first}}, w)
}
