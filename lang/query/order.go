package query

import (
	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// numberSpan is a patch's number, or the word `patch` of one without.
func numberSpan(p *block.Patch) source.Span {
	if n, ok := p.Item.Node.(*syntax.Patch); ok && n.Number != nil {
		return p.Item.Abs(n.Number.Span)
	}
	return source.Span{Start: p.Item.Stmt.Start, End: p.Item.Stmt.Start + len("patch")}
}

// Step is a patch as a step of sewing.
type Step struct {
	Label  string
	Detail string // its fabric
	At     source.Span
	Name   source.Span
	Patch  *block.Patch
}

func stepOf(p *block.Patch) Step {
	s := Step{Label: p.Called(), At: p.At().Span, Name: numberSpan(p), Patch: p}
	if p.Fabric != nil {
		s.Detail = fabricTitle(p.Fabric)
	}
	return s
}

// StepAt is the patch under the cursor as a step of sewing.
func StepAt(f *File, offset int) (Step, bool) {
	c := At(f, offset)
	if c.Patch == nil || c.Section == nil {
		return Step{}, false
	}
	return stepOf(c.Patch), true
}

// WaitsFor are the steps that have to be sewn before the one under the cursor;
// WaitFor are those that wait for it.
func WaitsFor(f *File, offset int) []Step {
	c, waits := waitsAt(f, offset)
	if waits == nil {
		return nil
	}
	return steps(numbered(c.Section, waits[c.Patch.Number]))
}

// WaitFor are the steps that wait for the one under the cursor.
func WaitFor(f *File, offset int) []Step {
	c, waits := waitsAt(f, offset)
	var out []*block.Patch
	for _, p := range sectionPatches(c.Section) {
		for _, n := range waits[p.Number] {
			if n == c.Patch.Number {
				out = append(out, p)
			}
		}
	}
	return steps(out)
}

func sectionPatches(s *block.Section) []*block.Patch {
	if s == nil {
		return nil
	}
	return s.Patches
}

func waitsAt(f *File, offset int) (Cursor, map[int][]int) {
	c := At(f, offset)
	if c.Patch == nil || c.Section == nil {
		return c, nil
	}
	s := f.Sewing(c.Block).Known(c.Section)
	if s == nil {
		return c, nil
	}
	return c, s.Waits()
}

func steps(patches []*block.Patch) []Step {
	out := make([]Step, len(patches))
	for i, p := range patches {
		out[i] = stepOf(p)
	}
	return out
}
