package session

import (
	"context"
	"iter"
	"runtime"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lint"
)

// File is one file of a snapshot. What it is asked is worked out once.
type File struct {
	Path string
	Doc  *Document // nil when the file is not open

	// Facts are what was worked out of this text.
	Facts memo.Facts

	world
	text *source.File // when it is not open

	reading sync.Once
	model   atomic.Pointer[block.File] // nil until somebody asks
	lint    struct {
		sync.Mutex
		done     bool
		findings []lint.Finding
		failures []lint.Failure
	}
}

// Text is the text of the file.
func (f *File) Text() *source.File {
	if f.Doc != nil {
		return f.Doc.Text
	}
	return f.text
}

// Memory is what is remembered of the document, whatever its text; nil when it is not open.
func (f *File) Memory() *memo.Store {
	if f.Doc == nil {
		return nil
	}
	return f.Doc.memory
}

// Model is the file's model.
func (f *File) Model() *block.File {
	f.reading.Do(func() {
		f.Memory().Turn()
		f.model.Store(f.read(f.Text()))
	})
	return f.model.Load()
}

func (f *File) read(text *source.File) *block.File {
	if f.Doc == nil {
		return f.loader.Build(f.of.scan.Load().Parse(text))
	}
	return f.loader.BuildIn(f.Memory(), f.of.reader.ParseIn(f.Memory(), text))
}

// holds reports whether the file stays as it is when some files change.
func (f *File) holds(changed func(path string) bool) bool {
	model := f.model.Load()
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

// Sewing is how a block of the file is sewn.
func (f *File) Sewing(b *block.Block) *sew.Block { return sew.Analyse(b) }

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
	if f.Doc != nil && f.Doc.edited {
		workers = 1 // little is to be done, and what the editor asks next is to be done beside it
	}
	findings, failures, err := lint.FileWith(ctx, model, f.of.rules, f.Settings(), workers)
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
	return f.read(source.New(f.Text().Path, text))
}
