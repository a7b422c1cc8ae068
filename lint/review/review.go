// Package review says what a change of the files does to the sewn blocks: which
// patches to cut anew, which foundations to print anew, what cloth is needed, and which
// findings are new, gone and still there.
//
//	Run        two trees of a history → Report             review.go
//	scope      the files that a change concerns            scope.go
//	blocks     the same block on both sides                blocks.go
//	findings   the same finding on both sides              findings.go
//	Parts      what is said of a block, in words           words.go, pieces.go, todo.go
//	pictures   before, after, and what moved               picture.go
//	Text, Markdown, HTML, JSON                             a file each
//	Merge      what is wrong with a merge alone            merge.go
//
// What changed in a block is worked out by package lang/compare; the files of
// both sides come from package lint/history.
package review

import (
	"context"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/compare"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/history"
)

// Report is what a change does.
type Report struct {
	Base, Head string   // what the two sides are called
	Paths      []string // what was looked at; none: everything
	Kits       int      // how many kits of every block are packed; 0: nobody asked

	Blocks   []Block // those that changed, by file and place
	Quilts   []Quilt
	Files    []File   // findings that are in no block
	Respelt  []string // blocks whose text changed and nothing else, as people name them
	Renamed  []history.Change
	Loosened []Loosened // what is hidden now, or can be: what hides most first
	Unjudged []Unjudged // files of which nothing can be said
	Checked  int        // blocks that were looked at
	Skipped  []string
	Failures []lint.Failure
}

// Findings are the findings of something that was reviewed.
type Findings struct{ New, Gone, Still []lint.Finding }

// Block is a block that changed, or whose findings did.
type Block struct {
	*compare.Block
	File, Was string   // its file, and the one it was in; empty when it was in none
	Through   []string // the files it uses, and settings, that changed
	Spelling  bool     // the text of its file changed
	Unit      geom.Unit
	Paper     Paper    // what is to be printed again
	Altered   []string // the settings that changed for it, in words
	Findings
}

// Unjudged is a file of which nothing can be said, and why.
type Unjudged struct{ Path, Why string }

// Quilt is a setting that changed.
type Quilt struct {
	*compare.Quilt
	File, Was string
	Through   []string
	Spelling  bool
	Unit      geom.Unit
	Paper     Paper
	Findings
}

// File is a file with findings that are in no block.
type File struct {
	Path string
	Findings
}

// NewErrors is how many findings at error level the change brings.
func (r *Report) NewErrors() int { return r.count(lint.Error) }

// side is one of the two states of the files.
type side struct {
	tree   *history.Tree
	config *lint.Config
	loader *block.Loader
	rules  []*lint.Rule
	prints bool // what is printed is compared with the side before
}

func newSide(t *history.Tree, reader *syntax.Reader, rules []*lint.Rule) *side {
	return &side{tree: t, config: t.Config(rules), loader: t.Loader(reader), rules: rules}
}

// cutting is how the pieces of this side are cut.
func (s *side) cutting(unit geom.Unit) cloth.OrderOptions {
	return cloth.OrderOptions{
		Options: func(f *block.File) cloth.Options {
			return s.config.For(f.Source.Path).For(f.Unit).Cutting()
		},
		Unit: unit, Ruler: cloth.DefaultRuler, Squaring: cloth.DefaultSquaring(unit),
	}
}

// opened is a file of one side, with what is found in it.
type opened struct {
	path     string
	model    *block.File
	blocks   []*sew.Block
	findings []lint.Finding
	accepted []lint.Finding // that an accept hides
	failures []lint.Failure
	unread   string // why the file cannot be read
}

// open reads and lints a file; nil when there is none.
func (s *side) open(path string) (*opened, error) {
	if path == "" {
		return nil, nil
	}
	f, err := s.loader.Open(s.tree.Abs(path))
	switch {
	case history.Refused(err):
		f = lint.NoModel(s.tree.Abs(path), s.loader, lint.NotRead, err)
	case err != nil:
		return nil, err
	}
	o := &opened{path: path, model: f}
	if err != nil {
		o.unread = files.Bare(err).Error()
	}
	for _, b := range f.Blocks {
		for _, in := range b.InSizes() { // each is cut by itself
			o.blocks = append(o.blocks, sew.Analyse(in))
		}
	}
	answer := lint.Model(f, lint.Options{Rules: s.rules, Config: s.config, Loader: s.loader, Accepted: true})
	s.fromRoot(answer.Findings)
	for _, found := range answer.Findings {
		if found.Accepted != "" {
			o.accepted = append(o.accepted, found)
		} else {
			o.findings = append(o.findings, found)
		}
	}
	o.failures = answer.Failures
	return o, nil
}

// fromRoot names the files of findings from the root.
func (s *side) fromRoot(findings []lint.Finding) {
	name := func(p *lint.Place) { p.File = lint.FromRoot(p.File, s.tree.Root()) }
	for i := range findings {
		f := &findings[i]
		name(&f.Place)
		for k := range f.Related {
			name(&f.Related[k].Place)
		}
	}
}

// Run compares two states of the files: of those under the paths, from the root, or of all when
// there are none.
func Run(ctx context.Context, before, after *history.Tree, rules []*lint.Rule, paths []string) (*Report, error) {
	return run(ctx, before, after, rules, paths, true)
}

// Found is Run without what is to be printed again: for those who want the findings.
func Found(ctx context.Context, before, after *history.Tree, rules []*lint.Rule) (*Report, error) {
	return run(ctx, before, after, rules, nil, false)
}

func run(ctx context.Context, before, after *history.Tree, rules []*lint.Rule, paths []string, paper bool) (*Report, error) {
	reader := syntax.NewReader()
	x, y := newSide(before, reader, rules), newSide(after, reader, rules)
	y.prints = paper
	scope, err := scopeOf(x, y, paths)
	if err != nil {
		return nil, err
	}
	r := &Report{Paths: paths, Renamed: scope.renamed}
	r.Skipped = slices.Compact(slices.Sorted(slices.Values(slices.Concat(before.Submodules, after.Submodules))))
	r.Skipped = slices.DeleteFunc(r.Skipped, func(folder string) bool {
		if !r.governs(folder) {
			return true
		}
		if before.Pinned[folder] == after.Pinned[folder] {
			return false
		}
		r.Unjudged = append(r.Unjudged, Unjudged{folder, "it is a repository of its own (a submodule), which is at another commit now"})
		return true
	})
	done := make([]*filePair, len(scope.pairs))
	errs := make([]error, len(scope.pairs))
	each(ctx, len(scope.pairs), func(i int) { done[i], errs[i] = scope.pairs[i].work(x, y) })
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	r.gather(done, x, y)
	r.settings(x, y)
	if err := r.loosen(done, x, y); err != nil {
		return nil, err
	}
	r.sort()
	return r, nil
}

// each does a number of things, several at a time, until the context ends.
func each(ctx context.Context, n int, do func(i int)) {
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	workers.Wait()
}

func (r *Report) sort() {
	place := func(b Block) int {
		if b.After != nil {
			return b.After.Of.At.Start
		}
		return b.Before.Of.At.Start
	}
	slices.SortStableFunc(r.Blocks, func(a, b Block) int {
		if c := strings.Compare(a.path(), b.path()); c != 0 {
			return c
		}
		return place(a) - place(b)
	})
	slices.SortStableFunc(r.Quilts, func(a, b Quilt) int { return strings.Compare(a.path(), b.path()) })
	slices.SortStableFunc(r.Files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	slices.Sort(r.Respelt)
}

func (b Block) path() string {
	if b.File != "" {
		return b.File
	}
	return b.Was
}

func (q Quilt) path() string {
	if q.File != "" {
		return q.File
	}
	return q.Was
}
