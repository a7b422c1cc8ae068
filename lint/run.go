package lint

import (
	"context"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Options are what a run needs besides its files.
type Options struct {
	Rules  []*Rule
	Config *Config       // nil: a new one for these rules
	Loader *block.Loader // nil: a new one that reads from disk

	Workers  int            // files at work at once; 0: one for each processor
	Progress func(done int) // called after each file, from several goroutines; may be nil
}

// Result is what a run found.
type Result struct {
	Findings []Finding // in the order of the files, then of place; those of settings files come first
	Failures []Failure
	Files    int // block files linted
	Blocks   int // blocks in them
}

// Count is how many findings have the level.
func (r *Result) Count(l Level) int {
	n := 0
	for _, f := range r.Findings {
		if f.Level == l {
			n++
		}
	}
	return n
}

// Run lints files from disk, several at a time. A file's text, tree and
// model are dropped when it is done. What Run answers depends on the files
// alone, not on which was ready first. It stops early, with the context's error, when
// the context ends.
func Run(ctx context.Context, paths []string, o Options) (*Result, error) {
	o = o.complete()
	type answer struct {
		findings []Finding
		failures []Failure
		blocks   int
	}
	answers := make([]answer, len(paths))
	var next, done atomic.Int64
	var workers sync.WaitGroup
	for range min(o.Workers, len(paths)) {
		workers.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(paths) {
					return
				}
				f := o.open(paths[i])
				a := &answers[i]
				a.findings, a.failures = o.lint(f)
				a.blocks = len(f.Blocks)
				if n := done.Add(1); o.Progress != nil {
					o.Progress(int(n))
				}
			}
		})
	}
	workers.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	r := &Result{Files: len(paths)}
	r.settings(o)
	for _, a := range answers {
		r.Findings = append(r.Findings, a.findings...)
		r.Failures = append(r.Failures, a.failures...)
		r.Blocks += a.blocks
	}
	return r, nil
}

// Text lints one text that stands in for the file at path.
func Text(path, text string, o Options) *Result {
	o = o.complete()
	f := o.Loader.OpenText(path, text)
	r := &Result{Files: 1, Blocks: len(f.Blocks)}
	findings, failures := o.lint(f)
	r.settings(o)
	r.Findings = append(r.Findings, findings...)
	r.Failures = append(r.Failures, failures...)
	return r
}

func (o Options) complete() Options {
	if o.Config == nil {
		o.Config = NewConfig(o.Rules)
	}
	if o.Loader == nil {
		o.Loader = block.NewLoader(syntax.NewReader(), nil)
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	return o
}

// open reads a file. One that cannot be read is a file with that one error.
func (o Options) open(path string) *block.File {
	f, err := o.Loader.Open(path)
	if err == nil {
		return f
	}
	return o.Loader.Build(&syntax.Tree{
		File: source.New(filepath.ToSlash(path), ""),
		Errors: []*syntax.Error{{
			Kind:    syntax.NotText,
			Message: "this file cannot be read",
			Detail:  bare(err).Error(),
		}},
	})
}

func (o Options) lint(f *block.File) ([]Finding, []Failure) {
	s := o.Config.For(f.Source.Path).For(f.Unit)
	return File(f, o.Rules, s)
}

// settings adds what is wrong with the settings files that were used.
func (r *Result) settings(o Options) {
	for _, f := range o.Config.Files() {
		findings, failures := CheckSettings(f, o.Rules)
		r.Findings = append(r.Findings, findings...)
		r.Failures = append(r.Failures, failures...)
	}
}
