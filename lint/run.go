package lint

import (
	"context"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Options are what a run needs besides its files.
type Options struct {
	Rules  []*Rule
	Config *Config       // nil: a new one for these rules
	Loader *block.Loader // nil: a new one that reads from disk, as the Config does

	Accepted   bool // keep what accepts hide, with the reason: see Finding.Accepted
	NoSettings bool // leave out what is wrong with the settings files

	Workers  int            // files at work at once; 0: one for each processor
	Progress func(done int) // called after each file, from several goroutines; may be nil
}

// Result is what a run found.
type Result struct {
	Findings []Finding // in the order of the files, then of place; those of settings files come first
	Failures []Failure
	Files    int // block files linted
	Blocks   int // blocks in them
	Known    int // findings left out because a baseline lists them
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

// Answer is what was found in one file.
type Answer struct {
	Findings []Finding // in order of place
	Failures []Failure
	Blocks   int // blocks in the file
}

// Run lints files from disk, several at a time. A file's text, tree and
// model are dropped when it is done. What Run answers depends on the files
// alone, not on which was ready first. It stops early, with the context's error, when
// the context ends.
func Run(ctx context.Context, paths []string, o Options) (*Result, error) {
	o = o.complete()
	answers := make([]Answer, len(paths))
	err := Each(ctx, len(paths), o, func(i int) { answers[i] = Model(Open(paths[i], o), o) })
	if err != nil {
		return nil, err
	}
	return Gather(answers, o), nil
}

// Each has the workers of the options do n things and tells of their progress. It
// stops early, with the context's error, when the context ends.
func Each(ctx context.Context, n int, o Options, do func(i int)) error {
	o = o.complete()
	var next, done atomic.Int64
	var workers sync.WaitGroup
	for range min(o.Workers, n) {
		workers.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
				if n := done.Add(1); o.Progress != nil {
					o.Progress(int(n))
				}
			}
		})
	}
	workers.Wait()
	return ctx.Err()
}

// Gather puts the answers of files together, and what is wrong with the settings files that were used.
func Gather(answers []Answer, o Options) *Result {
	r := &Result{Files: len(answers)}
	r.settings(o)
	n := len(r.Findings)
	for _, a := range answers {
		n += len(a.Findings)
	}
	r.Findings = slices.Grow(r.Findings, n)
	for _, a := range answers {
		r.Findings = append(r.Findings, a.Findings...)
		r.Failures = append(r.Failures, a.Failures...)
		r.Blocks += a.Blocks
	}
	return r
}

// Text lints one text that stands in for the file at path.
func Text(path, text string, o Options) *Result {
	o = o.complete()
	return Gather([]Answer{Model(o.Loader.OpenText(path, text), o)}, o)
}

// Model lints one file that has been read.
func Model(f *block.File, o Options) Answer {
	findings, failures := o.complete().lint(f)
	return Answer{findings, failures, len(f.Blocks)}
}

func (o Options) complete() Options {
	if o.Config == nil {
		o.Config = NewConfig(o.Rules)
	}
	if o.Loader == nil {
		o.Loader = block.NewLoader(syntax.NewReader(), o.Config.gate.Block)
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	return o
}

// NotRead is what is said of a file that cannot be read.
const NotRead = "this file cannot be read"

// Open reads a file. One that cannot be read is a file with that one error.
func Open(path string, o Options) *block.File {
	o = o.complete()
	f, err := o.Loader.Open(path)
	if err == nil {
		return f
	}
	what := NotRead
	if why := files.Unlisted(path); why != nil { // see Walk
		what, err = "this folder cannot be read, so no file in it was checked", why
	}
	return NoModel(path, o.Loader, what, err)
}

// NoModel is the model of a file that cannot be read: one with that one error.
func NoModel(path string, loader *block.Loader, what string, err error) *block.File {
	return loader.Build(&syntax.Tree{
		File: source.New(filepath.ToSlash(path), ""),
		Errors: []*syntax.Error{{
			Kind:    syntax.NotText,
			Message: what,
			Detail:  files.Bare(err).Error(),
		}},
	})
}

func (o Options) lint(f *block.File) ([]Finding, []Failure) {
	s := o.Config.For(f.Source.Path).For(f.Unit)
	found, failures, _ := fileWith(context.Background(), f, o.Rules, s, 1, o.Accepted)
	return found, failures
}

// settings adds what is wrong with the settings files that were used.
func (r *Result) settings(o Options) {
	if o.NoSettings {
		return
	}
	for _, f := range o.Config.Files() {
		findings, failures := CheckSettings(f, o.Rules)
		r.Findings = append(r.Findings, findings...)
		r.Failures = append(r.Failures, failures...)
	}
}
