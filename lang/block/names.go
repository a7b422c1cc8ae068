package block

import (
	"unique"

	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// A question is what a statement may look up of what stands outside of it: what a name
// means, or the unit of bare numbers. The scope answers, and nothing else does: so
// whoever records the answers has recorded all that a result depends on.
type question struct {
	sort sort
	name string
}

// asked is a question as it is kept: cheap to compare and to look up.
type asked = unique.Handle[question]

// sort is what sort of thing is looked up.
type sort uint8

const (
	aUnit sort = iota
	aFabric
	aLet
	aPoint
	aSeam
)

// String is the word for it in a Problem.
func (s sort) String() string { return [...]string{"unit", "fabric", "let", "point", "seam"}[s] }

// An answer is what a name means, as a value: two that are equal lead to the same.
type answer struct {
	found outcome
	near  string // for missing: the nearest name there is
	value any    // for present: a geom.Unit, a Value, a geom.Exact or a line; nil of a fabric
}

// An outcome is what came of a look-up.
type outcome uint8

const (
	missing   outcome = iota
	lost              // missing, and the cause has been told
	present           // it has a value
	broken            // it is declared, and has no value
	unsettled         // its value is being worked out: it needs itself
	other             // a seam where a point belongs, or a point where a seam does
)

// A context answers look-ups and takes what is wrong. Places are relative to the statement.
type context interface {
	look(at source.Span, q question) answer
	unit() geom.Unit // of bare numbers
	fail(at source.Span, p Problem)
}

// answer looks a name up, and works its value out where that has not been done. The
// Named is what was found.
func (b *builder) answer(s *scope, q question) (answer, *Named) {
	switch q.sort {
	case aUnit:
		return answer{found: present, value: b.file.Unit}, nil
	case aFabric:
		if f, ok := find(s, q.name, fabricsOf); ok {
			return answer{found: present}, &f.Named
		}
		return missed(b, s, q, fabricsOf), nil
	case aLet:
		d, ok := find(s, q.name, letsOf)
		if !ok {
			return missed(b, s, q, letsOf), nil
		}
		if d.state != busy {
			b.settleLet(d)
		}
		return d.state.answer(d.let.Value), &d.let.Named
	}
	p, isPoint := find(s, q.name, pointsOf)
	m, isSeam := find(s, q.name, seamsOf)
	switch {
	case isPoint && q.sort == aSeam:
		return answer{found: other}, &p.point.Named
	case isSeam && q.sort == aPoint:
		return answer{found: other}, &m.seam.Named
	case isPoint:
		if p.state != busy {
			b.settlePoint(s, p)
		}
		return p.state.answer(p.point.Exact), &p.point.Named
	case isSeam:
		if m.state != busy {
			b.settleSeam(s, m)
		}
		return m.state.answer(m.ends), &m.seam.Named
	case q.sort == aPoint:
		return missed(b, s, q, pointsOf), nil
	}
	return missed(b, s, q, seamsOf), nil
}

func (s state) answer(value any) answer {
	switch s {
	case busy:
		return answer{found: unsettled}
	case failed:
		return answer{found: broken}
	}
	return answer{found: present, value: value}
}

func missed[T any](b *builder, s *scope, q question, in func(*scope) map[string]T) answer {
	if s.silent(q.sort.String(), q.name) {
		return answer{found: lost}
	}
	return answer{found: missing, near: nearest(b, s, q.sort.String(), q.name, in)}
}

// known is an answer that is kept with a block, with what was found.
type known struct {
	answer
	named  *Named
	fabric *Fabric
}

// known answers from the names of the block, which are all settled by now, once each.
func (c *blockBuild) known(of asked) *known {
	k, ok := c.blk.known[of]
	if !ok {
		q := of.Value()
		if len(c.room.known) == 0 {
			c.room.known = make([]known, 8)
		}
		k = &take(&c.room.known, 1)[0]
		k.answer, k.named = c.answer(c.scope, q)
		if q.sort == aFabric {
			k.fabric, _ = find(c.scope, q.name, fabricsOf)
		}
		c.blk.known[of] = k
	}
	return k
}

func (c *blockBuild) knownAnswer(q asked) answer { return c.known(q).answer }

// inPlace is the context of a statement that is worked out where it stands.
type inPlace struct {
	*builder
	scope *scope
	item  *syntax.Item
	where where
}

// at works out parts of a statement where it stands.
func (b *builder) at(s *scope, it *syntax.Item, w where) maker {
	return maker{&inPlace{b, s, it, w}}
}

func (c *inPlace) look(at source.Span, q question) answer {
	a, n := c.answer(c.scope, q)
	if n != nil {
		c.use(c.item.Abs(at), n)
	}
	return a
}

func (c *inPlace) unit() geom.Unit { return c.file.Unit }

func (c *inPlace) fail(at source.Span, p Problem) {
	p.At = c.item.Abs(at)
	if p.Kind == UnknownName {
		c.unknown(c.scope, p, c.where)
		return
	}
	c.problem(p, c.where)
}

// A maker works out what stands in a statement: numbers, points, lines. All that it knows of
// other statements it looks up in its context.
type maker struct{ context }

// fabric reports whether there is a fabric of that name.
func (m maker) fabric(n syntax.Name) bool {
	a := m.look(n.Span, question{aFabric, n.Text})
	return a.found == present || m.missing(n, aFabric, a)
}

// missing records that a name means nothing; it is always false.
func (m maker) missing(n syntax.Name, s sort, a answer) bool {
	if a.found == missing {
		m.fail(n.Span, Problem{Kind: UnknownName, What: s.String(), Name: n.Text, Near: a.near})
	}
	return false
}

// named gives the value of a name. When it has none, the problem has been recorded (or
// what it hangs on is a problem already).
func (m maker) named(n syntax.Name, s sort) (any, bool) {
	switch a := m.look(n.Span, question{s, n.Text}); a.found {
	case present:
		return a.value, true
	case unsettled:
		return nil, m.noValue(n.Span, RefersToItself, n.Text)
	case other:
		cause := SeamNotPoint
		if s == aSeam {
			cause = PointNotSeam
		}
		return nil, m.noValue(n.Span, cause, n.Text)
	default:
		return nil, m.missing(n, s, a)
	}
}

// noValue records that something cannot be worked out; it is always false.
func (m maker) noValue(at source.Span, cause Cause, name string) bool {
	m.fail(at, Problem{Kind: NoValue, Cause: cause, Name: name})
	return false
}
