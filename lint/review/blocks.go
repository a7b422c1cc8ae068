package review

import (
	"path"
	"slices"

	"sewable/lang/block"
	"sewable/lang/compare"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/history"
)

// filePair is a file on both sides, opened, and what is in it.
type filePair struct {
	pairOf
	old, new *opened // nil: there is none
	blocks   []blockPair
	quilts   []quiltPair
	files    Findings
	quiet    silenced
}

// blockPair is a block on both sides, compared unless it was not paired in its file.
type blockPair struct {
	before, after *sew.Block
	diff          *compare.Block
	paper         Paper
	Findings
}

type quiltPair struct {
	before, after *block.Setting
	diff          *compare.Quilt
	paper         Paper
	Findings
}

// work opens a file on both sides and compares what has the same title.
func (p pairOf) work(x, y *side) (*filePair, error) {
	f := &filePair{pairOf: p}
	var err error
	if p.excluded != "" {
		is, err := y.open(p.after)
		if err == nil {
			f.quiet.excluded = is.findings
		}
		return f, err
	}
	if f.old, err = x.open(p.before); err != nil {
		return nil, err
	}
	if f.new, err = y.open(p.after); err != nil {
		return nil, err
	}
	f.pair()
	for i := range f.blocks {
		if b := &f.blocks[i]; b.before != nil && b.after != nil {
			b.compare(f.old, f.new, x, y)
		}
	}
	for i := range f.quilts {
		if q := &f.quilts[i]; q.before != nil && q.after != nil {
			q.compare(f.old, f.new, x, y)
		}
	}
	f.files = match(inNoBlock(f.old), inNoBlock(f.new), nil)
	f.silence(x, y)
	return f, nil
}

// pair pairs the blocks and the settings of a file by their titles; then, of those that
// are left, the ones that stand in the same turn.
func (f *filePair) pair() {
	var oldBlocks, newBlocks []*sew.Block
	var oldSets, newSets []*block.Setting
	if f.old != nil {
		oldBlocks, oldSets = f.old.blocks, f.old.model.Settings
	}
	if f.new != nil {
		newBlocks, newSets = f.new.blocks, f.new.model.Settings
	}
	for _, p := range byTitle(oldBlocks, newBlocks, func(b *sew.Block) string { return b.Of.Name }, alikeBlocks) {
		f.blocks = append(f.blocks, blockPair{before: p.Before, after: p.After})
	}
	for _, p := range byTitle(oldSets, newSets, func(s *block.Setting) string { return s.Name }, func(a, b *block.Setting) bool { return true }) {
		f.quilts = append(f.quilts, quiltPair{before: p.Before, after: p.After})
	}
}

// byTitle pairs things by their titles; then, of those that are left, by likeness.
func byTitle[T comparable](old, new []T, title func(T) string, alike func(a, b T) bool) []compare.Pair[T] {
	var out []compare.Pair[T]
	var zero T
	left := slices.Clone(new)
	take := func(a T, like func(b T) bool) bool {
		i := slices.IndexFunc(left, like)
		if i < 0 {
			return false
		}
		out = append(out, compare.Pair[T]{Before: a, After: left[i]})
		left = slices.Delete(left, i, i+1)
		return true
	}
	old = slices.DeleteFunc(slices.Clone(old), func(a T) bool {
		return take(a, func(b T) bool { return title(a) == title(b) })
	})
	old = slices.DeleteFunc(old, func(a T) bool { return take(a, func(b T) bool { return alike(a, b) }) })
	for _, a := range old {
		out = append(out, compare.Pair[T]{Before: a, After: zero})
	}
	for _, b := range left {
		out = append(out, compare.Pair[T]{Before: zero, After: b})
	}
	return out
}

// alikeBlocks reports whether most of a block is found again in another.
func alikeBlocks(a, b *sew.Block) bool {
	if sizeName(a) != sizeName(b) {
		return false
	}
	c := compare.Blocks(a, b, compare.Options{})
	kept := 0
	for _, p := range c.Patches {
		if p.Before != nil && p.After != nil && !p.Shape {
			kept++
		}
	}
	return len(c.Patches) > 0 && 2*kept > len(c.Patches)
}

// sizeName is that of the size of a block; empty as drawn.
func sizeName(b *sew.Block) string {
	if s := b.Of.Size; s != nil {
		return s.Name
	}
	return ""
}

func (b *blockPair) compare(old, new *opened, x, y *side) {
	unit := unitOf(old, new)
	b.diff = compare.Blocks(b.before, b.after, compare.Options{Before: x.cutting(unit), After: y.cutting(unit)})
	b.Findings = match(inBlock(old, b.before), inBlock(new, b.after), b.diff)
	b.paper = b.printed(old, new, x, y)
}

func (q *quiltPair) compare(old, new *opened, x, y *side) {
	unit := unitOf(old, new)
	q.diff = compare.Quilts(q.before, q.after, compare.Options{Before: x.cutting(unit), After: y.cutting(unit)})
	q.Findings = match(inSetting(old, q.before), inSetting(new, q.after), nil)
	q.paper = q.printed(old, new, x, y)
}

func unitOf(old, new *opened) geom.Unit {
	if new != nil {
		return new.model.Unit
	}
	return old.model.Unit
}

// inBlock are the findings in a block of a file, in its size: those that name it, and those of lines that
// cannot be read in it.
func inBlock(o *opened, b *sew.Block) []lint.Finding {
	if o == nil || b == nil {
		return nil
	}
	return only(o.findings, func(f lint.Finding) bool {
		return f.Size == sizeName(b) && (f.Block == b.Of.Drawn().Name || o.within(f, b.Of.Item))
	})
}

// inSetting are the findings between the beginning and the end of a setting.
func inSetting(o *opened, s *block.Setting) []lint.Finding {
	if o == nil || s == nil {
		return nil
	}
	return only(o.findings, func(f lint.Finding) bool { return o.within(f, s.Item) })
}

// within reports whether a finding that names no block stands in a statement.
func (o *opened) within(f lint.Finding, it *syntax.Item) bool {
	at := it.Extent()
	return f.Block == "" && f.File == o.path && at.Start <= f.Span.Start && f.Span.Start < at.End
}

// inNoBlock are the findings that are neither in a block nor in a setting.
func inNoBlock(o *opened) []lint.Finding {
	if o == nil {
		return nil
	}
	return only(o.findings, func(f lint.Finding) bool {
		return !slices.ContainsFunc(o.blocks, func(b *sew.Block) bool { return b.Of.Drawn().Name == f.Block || o.within(f, b.Of.Item) }) &&
			!slices.ContainsFunc(o.model.Settings, func(s *block.Setting) bool { return o.within(f, s.Item) })
	})
}

func only(findings []lint.Finding, want func(lint.Finding) bool) []lint.Finding {
	var out []lint.Finding
	for _, f := range findings {
		if want(f) {
			out = append(out, f)
		}
	}
	return out
}

// gather puts together what the files have. A block that is gone from one file and one
// of its title that came into another are one block, moved.
func (r *Report) gather(files []*filePair, x, y *side) {
	type lone[T any] struct {
		file *filePair
		it   T
	}
	goneBlocks, goneSets := map[string][]lone[*blockPair]{}, map[string][]lone[*quiltPair]{}
	for _, f := range files {
		for i := range f.blocks {
			if b := &f.blocks[i]; b.after == nil {
				goneBlocks[b.before.Of.Name] = append(goneBlocks[b.before.Of.Name], lone[*blockPair]{f, b})
			}
		}
		for i := range f.quilts {
			if q := &f.quilts[i]; q.after == nil {
				goneSets[q.before.Name] = append(goneSets[q.before.Name], lone[*quiltPair]{f, q})
			}
		}
	}
	moved := map[any]bool{}
	for _, f := range files {
		for i := range f.blocks {
			b := &f.blocks[i]
			was := f
			if b.before == nil {
				if from := goneBlocks[b.after.Of.Name]; len(from) > 0 {
					goneBlocks[b.after.Of.Name] = from[1:]
					was, b.before = from[0].file, from[0].it.before
					moved[from[0].it] = true
					b.compare(was.old, f.new, x, y)
				}
			}
			if b.before != nil && b.after != nil {
				r.block(b, was, f)
			}
		}
		for i := range f.quilts {
			q := &f.quilts[i]
			was := f
			if q.before == nil {
				if from := goneSets[q.after.Name]; len(from) > 0 {
					goneSets[q.after.Name] = from[1:]
					was, q.before = from[0].file, from[0].it.before
					moved[from[0].it] = true
					q.compare(was.old, f.new, x, y)
				}
			}
			if q.before != nil && q.after != nil {
				r.quilt(q, was, f)
			}
		}
	}
	for _, f := range files {
		for i := range f.blocks {
			if b := &f.blocks[i]; (b.before == nil || b.after == nil) && !moved[b] {
				b.compare(f.old, f.new, x, y)
				r.block(b, f, f)
			}
		}
		for i := range f.quilts {
			if q := &f.quilts[i]; (q.before == nil || q.after == nil) && !moved[q] {
				q.compare(f.old, f.new, x, y)
				r.quilt(q, f, f)
			}
		}
		if len(f.files.New)+len(f.files.Gone) > 0 {
			r.Files = append(r.Files, File{f.path(), f.files})
		}
		if f.new != nil && f.new.unread != "" {
			r.Unjudged = append(r.Unjudged, Unjudged{f.after, f.new.unread})
		}
		for _, o := range []*opened{f.old, f.new} {
			if o != nil {
				r.Failures = append(r.Failures, o.failures...)
			}
		}
	}
}

func (p pairOf) path() string {
	if p.after != "" {
		return p.after
	}
	return p.before
}

// block takes a block into the report when anything about it changed.
func (r *Report) block(b *blockPair, was, is *filePair) {
	if b.after == nil || b.after.Of.Size == nil {
		r.Checked++
	}
	if b.diff.Same() && len(b.New)+len(b.Gone) == 0 && !b.paper.Any() {
		if is.own && b.after.Of.Size == nil && spelling(b, was, is) {
			r.Respelt = append(r.Respelt, quoted(b.after.Of.Name)+" in "+is.after)
		}
		return
	}
	out := Block{Block: b.diff, Findings: b.Findings, Through: is.through, Spelling: is.own, Unit: unitOf(was.old, is.new), Paper: b.paper, Altered: is.quiet.altered}
	if b.before != nil {
		out.Was = was.before
	}
	if b.after != nil {
		out.File = is.after
	}
	r.Blocks = append(r.Blocks, out)
}

// spelling reports whether the text of a block is not the same on both sides.
func spelling(b *blockPair, was, is *filePair) bool {
	text := func(o *opened, b *sew.Block) string {
		at := b.Of.Item.Extent()
		return o.model.Source.Text[at.Start:at.End]
	}
	return text(was.old, b.before) != text(is.new, b.after)
}

func (r *Report) quilt(q *quiltPair, was, is *filePair) {
	if q.diff.Same() && len(q.New)+len(q.Gone) == 0 && !q.paper.Any() {
		return
	}
	out := Quilt{Quilt: q.diff, Findings: q.Findings, Through: is.through, Spelling: is.own, Unit: unitOf(was.old, is.new), Paper: q.paper}
	if q.before != nil {
		out.Was = was.before
	}
	if q.after != nil {
		out.File = is.after
	}
	r.Quilts = append(r.Quilts, out)
}

// settings adds what is found in the settings files.
func (r *Report) settings(x, y *side) {
	found := func(s *side) map[string][]lint.Finding {
		out := map[string][]lint.Finding{}
		for _, f := range s.config.Files() {
			if !r.governs(path.Dir(lint.FromRoot(f.Source.Path, s.tree.Root()))) {
				continue
			}
			findings, failures := lint.CheckSettings(f, s.rules)
			s.fromRoot(findings)
			r.Failures = append(r.Failures, failures...)
			out[lint.FromRoot(f.Source.Path, s.tree.Root())] = findings
		}
		return out
	}
	old, new := found(x), found(y)
	for file := range new {
		if f := match(old[file], new[file], nil); len(f.New)+len(f.Gone) > 0 {
			r.Files = append(r.Files, File{file, f})
		}
	}
}

// governs reports whether a folder holds, or is in, what is looked at.
func (r *Report) governs(folder string) bool {
	return concerned(r.Paths, folder) || slices.ContainsFunc(r.Paths, func(p string) bool { return history.Under(p, folder) })
}
