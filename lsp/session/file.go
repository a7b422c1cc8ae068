package session

import (
	"context"
	"iter"
	"runtime"
	"sync"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lint"
)

// File is one file of a snapshot. What it is asked is worked out once.
type File struct {
	Path string
	Doc  *Document // nil when the file is not open

	world
	text   *source.File // when it is not open
	before *File        // of the snapshot before: most of its sewing still holds

	model struct {
		sync.Once
		of *block.File
	}
	lex    lexed
	sewing struct {
		sync.Mutex
		of map[*block.Block]*sew.Block
	}
	lint struct {
		sync.Mutex
		done     bool
		findings []lint.Finding
		failures []lint.Failure
	}
	recalled struct {
		sync.Mutex
		of map[any]any
	}
	// state is the model once there is one, for whoever may not wait for it.
	mu    sync.Mutex
	state *block.File
}

// Text is the text of the file.
func (f *File) Text() *source.File {
	if f.Doc != nil {
		return f.Doc.Text
	}
	return f.text
}

// Model is the file's model.
func (f *File) Model() *block.File {
	f.model.Do(func() {
		f.model.of = f.read(f.previous().known())
		f.mu.Lock()
		f.state = f.model.of
		f.mu.Unlock()
	})
	return f.model.of
}

// read makes the model; before is that of the text before the edit, or nil.
func (f *File) read(before *block.File) *block.File {
	switch {
	case f.Doc == nil:
		return f.loader.Build(f.of.scan.Load().Parse(f.Text()))
	case before == nil:
		return f.loader.Build(f.of.reader.ParseAfter(f.Text(), nil))
	}
	return f.loader.BuildAfter(f.of.reader.ParseAfter(f.Text(), before.Tree), before)
}

// known is the model, if there is one already.
func (f *File) known() *block.File {
	if f == nil {
		return nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.state
}

// previous is the file of the text before the edit, if it had a model.
func (f *File) previous() *File {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.before
}

// settled is f when it has a model, else what f itself would have built on.
func (f *File) settled() *File {
	model := f.known()
	if model == nil {
		return f.previous()
	}
	for _, b := range model.Blocks {
		f.Sewing(b) // takes over what the text before had, asked for or not
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.before = nil // one step back is enough
	f.recalled.Lock()
	f.recalled.of = nil // nobody asks for this text any more
	f.recalled.Unlock()
	return f
}

// Recall gives what work makes of the file. It is done once under a key, as long as it
// succeeds.
func (f *File) Recall(key any, work func() (any, error)) (any, error) {
	f.recalled.Lock()
	known, ok := f.recalled.of[key]
	f.recalled.Unlock()
	if ok {
		return known, nil
	}
	made, err := work()
	if err != nil {
		return nil, err
	}
	f.recalled.Lock()
	defer f.recalled.Unlock()
	if f.recalled.of == nil {
		f.recalled.of = map[any]any{}
	}
	f.recalled.of[key] = made
	return made, nil
}

// holds reports whether the file stays as it is when some files change.
func (f *File) holds(changed func(path string) bool) bool {
	model := f.known()
	return model != nil && !changed(f.Path) && !draws(model, changed, map[*block.File]bool{})
}

// draws reports whether a model depends on a file that changed, or could
// depend on it: a use that could not be followed might be followed now.
func draws(m *block.File, changed func(string) bool, seen map[*block.File]bool) bool {
	if seen[m] {
		return false
	}
	seen[m] = true
	for _, u := range m.Uses {
		if u.File == nil || changed(files.Absolute(u.File.Source.Path)) || draws(u.File, changed, seen) {
			return true
		}
	}
	return false
}

// Uses are the absolute paths of the files that a model draws from, near and far.
func Uses(m *block.File) []string {
	var paths []string
	for u := range used(m) {
		paths = append(paths, files.Absolute(u.Source.Path))
	}
	return paths
}

// ModelOf is the model of the file itself or of one that it draws from, by absolute path; nil for any other.
func (f *File) ModelOf(path string) *block.File {
	if path == f.Path {
		return f.Model()
	}
	for u := range used(f.Model()) {
		if files.Absolute(u.Source.Path) == path {
			return u
		}
	}
	return nil
}

// used are the files that a model draws from, near and far, once each.
func used(m *block.File) iter.Seq[*block.File] {
	return func(yield func(*block.File) bool) {
		seen := map[*block.File]bool{m: true}
		var visit func(*block.File) bool
		visit = func(m *block.File) bool {
			for _, u := range m.Uses {
				if u.File == nil || seen[u.File] {
					continue
				}
				seen[u.File] = true
				if !yield(u.File) || !visit(u.File) {
					return false
				}
			}
			return true
		}
		visit(m)
	}
}

// Settings are those that hold for the file.
func (f *File) Settings() *lint.Settings {
	return f.config.For(f.Text().Path).For(f.Model().Unit)
}

// Sewing is how a block of the file is sewn. What the text before an edit had
// worked out of a section that is still the same is taken over.
func (f *File) Sewing(b *block.Block) *sew.Block {
	f.sewing.Lock()
	defer f.sewing.Unlock()
	s := f.sewing.of[b]
	if s == nil {
		if f.sewing.of == nil {
			f.sewing.of = map[*block.Block]*sew.Block{}
		}
		s = sew.AnalyseAfter(b, f.sewnBefore(b))
		f.sewing.of[b] = s
	}
	return s
}

// sewnBefore is the sewing of the same block in the text before the edit.
func (f *File) sewnBefore(b *block.Block) *sew.Block {
	before := f.previous()
	if before == nil {
		return nil
	}
	before.sewing.Lock()
	defer before.sewing.Unlock()
	for old, s := range before.sewing.of {
		if old.Name == b.Name {
			return s
		}
	}
	return nil
}

// Findings are what the rules say, as the command says it. A context that ends
// ends the work between two rules.
func (f *File) Findings(ctx context.Context) ([]lint.Finding, []lint.Failure, error) {
	f.lint.Lock()
	defer f.lint.Unlock()
	if f.lint.done {
		return f.lint.findings, f.lint.failures, nil
	}
	model := f.Model()
	if err := ctx.Err(); err != nil {
		return nil, nil, context.Cause(ctx)
	}
	workers := runtime.GOMAXPROCS(0)
	if f.previous() != nil {
		workers = 1 // little is to be done, and what the editor asks next is to be done beside it
	}
	findings, failures, err := lint.FileWith(ctx, model, f.of.rules, f.Settings(), f.Sewing, workers)
	if err != nil {
		return nil, nil, err
	}
	f.lint.findings, f.lint.failures, f.lint.done = findings, failures, true
	return findings, failures, nil
}

// LintOptions are what mending the file needs: the rules, settings and used files
// of its moment.
func (f *File) LintOptions() lint.Options {
	return lint.Options{Rules: f.of.rules, Config: f.config, Loader: f.loader}
}

// Read gives the model that another text of the file would have.
func (f *File) Read(text string) *block.File {
	now := f.Model()
	return f.loader.BuildAfter(f.of.reader.ParseAfter(source.New(f.Text().Path, text), now.Tree), now)
}
