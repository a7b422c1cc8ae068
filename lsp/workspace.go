package lsp

import (
	"context"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/protocol"

	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lint"
	"sewable/lsp/convert"
	"sewable/lsp/session"
)

// The limits of a workspace: past them the server says so and leaves the rest
// alone. Open files are always answered.
const (
	maxFiles   = 20_000
	maxFolders = 50_000
)

// workspace lints the files that are not open, in the background, and remembers
// of each what it found and what it holds. It keeps no text and no model.
type workspace struct {
	s    *Server
	bell chan struct{}

	mu      sync.Mutex
	folders []string
	results map[string]*result // by path
	dirty   map[string]bool    // files to lint
	search  bool               // the folders have to be searched again
	later   map[string]bool    // open documents edited since their users were linted
	idle    *time.Timer
	done    chan struct{} // closed while there is nothing to do
}

// result is what is remembered of a file.
type result struct {
	diagnostics []protocol.Diagnostic
	id          string
	uses        []string
	symbols     []protocol.WorkspaceSymbol
}

// pause is how long typing has to rest before the files that use a document are
// linted again; the document itself waits for nothing.
const pause = 300 * time.Millisecond

func newWorkspace(s *Server) *workspace {
	w := &workspace{
		s: s, bell: make(chan struct{}, 1), results: map[string]*result{},
		dirty: map[string]bool{}, later: map[string]bool{}, done: make(chan struct{}),
	}
	close(w.done)
	return w
}

// first is the folder in which documents that are no files are thought to lie.
func (w *workspace) first() string {
	if folder, ok := w.firstFolder(); ok {
		return folder
	}
	return os.TempDir()
}

func (w *workspace) firstFolder() (string, bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.folders) == 0 {
		return "", false
	}
	return w.folders[0], true
}

func (w *workspace) setFolders(added, removed []protocol.WorkspaceFolder) {
	w.mu.Lock()
	for _, f := range removed {
		path := convert.Path(f.URI, "")
		w.folders = slices.DeleteFunc(w.folders, func(p string) bool { return p == path })
	}
	for _, f := range added {
		if path := convert.Path(f.URI, ""); f.URI.IsFile() && !slices.Contains(w.folders, path) {
			w.folders = append(w.folders, path)
		}
	}
	w.mu.Unlock()
	w.again()
}

// again searches the folders and lints everything.
func (w *workspace) again() {
	w.mu.Lock()
	w.search = true
	w.ring()
	w.mu.Unlock()
}

// touched lints files, and those that use them, again. Files may have come or gone.
func (w *workspace) touched(paths ...string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, p := range paths {
		if filepath.Ext(p) == lint.Extension && (w.inside(p) || w.results[p] != nil) {
			w.dirty[p] = true
		}
		w.users(p)
	}
	w.ring()
}

// closed lints the file of a document that was closed, and its users: what the editor was
// told of the file before counts no longer.
func (w *workspace) closed(path string) {
	w.mu.Lock()
	if r := w.results[path]; r != nil {
		w.results[path] = &result{uses: r.uses, symbols: r.symbols}
	}
	w.mu.Unlock()
	w.touched(path)
}

// edited notes that an open document has another text.
func (w *workspace) edited(path string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.used(path) {
		return
	}
	w.later[path] = true
	if w.idle != nil {
		w.idle.Stop()
	}
	w.idle = time.AfterFunc(pause, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		for p := range w.later {
			w.users(p)
		}
		clear(w.later)
		w.ring()
	})
}

func (w *workspace) used(path string) bool {
	for _, r := range w.results {
		if slices.Contains(r.uses, path) {
			return true
		}
	}
	return false
}

func (w *workspace) users(path string) {
	for p, r := range w.results {
		if slices.Contains(r.uses, path) {
			w.dirty[p] = true
		}
	}
}

func (w *workspace) inside(path string) bool {
	return slices.ContainsFunc(w.folders, func(folder string) bool { return files.Inside(path, folder) })
}

func (w *workspace) ring() {
	select {
	case <-w.done:
		w.done = make(chan struct{})
	default:
	}
	select {
	case w.bell <- struct{}{}:
	default:
	}
}

// finished waits until nothing is left to lint and gives what is remembered.
func (w *workspace) finished(ctx context.Context) (map[string]*result, error) {
	w.mu.Lock()
	done := w.done
	w.mu.Unlock()
	select {
	case <-done:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	return w.remembered(), nil
}

// settled waits until every file is known, for what changes all that use one; but not so long
// that somebody thinks nothing comes.
func (w *workspace) settled(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	if _, err := w.finished(ctx); errors.Is(err, context.DeadlineExceeded) {
		w.s.log.Warn("the workspace is not checked yet; files that were not looked at stay as they are")
	}
}

// remembered is what is known so far.
func (w *workspace) remembered() map[string]*result {
	w.mu.Lock()
	defer w.mu.Unlock()
	return maps.Clone(w.results)
}

// settling is how long the first round waits for a document to be opened: an editor opens
// what it shows as soon as it has a server, and that is answered first.
const settling = 50 * time.Millisecond

func (w *workspace) run(ctx context.Context) {
	select {
	case <-w.s.diagnostics.opened:
	case <-time.After(settling):
	}
	for {
		select {
		case <-ctx.Done():
			return
		case <-w.bell:
		}
		w.round(ctx)
		w.mu.Lock()
		if len(w.dirty) == 0 && !w.search {
			select {
			case <-w.done:
			default:
				close(w.done)
			}
		}
		w.mu.Unlock()
	}
}

// round searches, if it has to, and lints what is to be linted.
func (w *workspace) round(ctx context.Context) {
	at := w.s.session.Snapshot()
	w.mu.Lock()
	search, folders := w.search, slices.Clone(w.folders)
	w.search = false
	w.mu.Unlock()
	if search {
		files := w.find(ctx, at, folders)
		w.s.conn.Wait()
		w.mu.Lock()
		for p := range w.results {
			if !files[p] {
				w.forget(at, p)
			}
		}
		maps.Copy(w.dirty, files)
		w.mu.Unlock()
		w.s.diagnostics.checkSettings()
	}
	w.mu.Lock()
	paths := slices.Sorted(maps.Keys(w.dirty))
	clear(w.dirty)
	w.mu.Unlock()
	if len(paths) > 0 {
		w.lint(ctx, at, paths)
		w.s.diagnostics.checkSettings() // those of folders that held no block file before
	}
}

var errEnough = errors.New("enough")

// find lists the files of the folders, as the command would.
func (w *workspace) find(ctx context.Context, at *session.Snapshot, roots []string) map[string]bool {
	files, folders := map[string]bool{}, 0
	for _, root := range roots {
		if isHome(root) {
			w.s.log.Warn("the folder is not a pattern repository but a whole home; only open files are checked", "folder", root)
			continue
		}
		at.Config().For(filepath.Join(root, lint.SettingsName)) // told of before there is a block
		at.Config().Gate().Give(root)
		err := lint.Walk(root, at.Config(), func(path string, file bool) error {
			if file {
				files[filepath.FromSlash(path)] = true
			} else {
				folders++
			}
			if len(files) >= maxFiles || folders >= maxFolders {
				return errEnough
			}
			return context.Cause(ctx)
		})
		switch {
		case errors.Is(err, errEnough):
			w.s.log.Warn("the workspace is too large; some files are only checked when they are open", "folder", root)
		case err != nil && ctx.Err() == nil:
			w.s.log.Warn("the workspace cannot be searched", "why", err)
		}
	}
	return files
}

// forget drops a file that is gone.
func (w *workspace) forget(at *session.Snapshot, path string) {
	r := w.results[path]
	delete(w.results, path)
	if r != nil && len(r.diagnostics) > 0 {
		w.send(at, path, []protocol.Diagnostic{})
	}
}

// send sends what was found in a file on disk, unless it has been opened meanwhile.
func (w *workspace) send(at *session.Snapshot, path string, items []protocol.Diagnostic) {
	if w.s.client.pull {
		return
	}
	w.s.diagnostics.unlessOpen(path, func() {
		w.s.conn.Post(protocol.MethodTextDocumentPublishDiagnostics,
			&protocol.PublishDiagnosticsParams{URI: uriOf(at, path), Diagnostics: items})
	})
}

func (w *workspace) lint(ctx context.Context, at *session.Snapshot, paths []string) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	show := &progress{}
	if len(paths) > 100 {
		show = w.s.startProgress(ctx, "Checking blocks", len(paths), cancel)
	}
	start := time.Now()
	var next, done atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(paths)) {
		workers.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(paths) {
					return
				}
				w.giveWay(ctx)
				w.one(ctx, at, paths[i])
				show.reach(int(done.Add(1)))
			}
		})
	}
	workers.Wait()
	show.end(english.Count(int(done.Load()), "file", "files") + " checked")
	w.s.log.Info("checked the workspace", "files", done.Load(), "took", time.Since(start).Round(time.Millisecond))
	if len(paths) > 100 {
		w.s.session.Forget()
		w.s.rest.wake()
		debug.FreeOSMemory() // trees and models of all those files
	}
	if w.s.client.pull && w.s.client.diagnosticsAgain {
		go func() { // an editor may answer late, and a rename waits for the workspace
			ctx, cancel := context.WithTimeout(w.s.ctx, 10*time.Second)
			defer cancel()
			_ = w.s.conn.Call(ctx, protocol.MethodWorkspaceDiagnosticRefresh, nil, nil)
		}()
	}
}

// giveWay waits while open documents want an answer.
func (w *workspace) giveWay(ctx context.Context) {
	for w.s.diagnostics.busy.Load() > 0 && ctx.Err() == nil {
		time.Sleep(500 * time.Microsecond)
	}
}

// one lints one file. That of an open document is looked at for its symbols and
// uses alone.
func (w *workspace) one(ctx context.Context, at *session.Snapshot, path string) {
	f, err := at.File(path)
	if err != nil {
		w.mu.Lock()
		w.forget(at, path)
		w.mu.Unlock()
		return
	}
	r := &result{uses: session.Uses(f.Model())}
	r.symbols = w.s.indexSymbols(at, f)
	if f.Doc == nil {
		if r.diagnostics, err = w.s.diagnosticsOf(ctx, at, f); err != nil {
			return
		}
		r.id = resultID(r.diagnostics)
		w.s.conn.Wait()
	}
	w.mu.Lock()
	before := w.results[path]
	w.results[path] = r
	w.mu.Unlock()
	if f.Doc == nil && (before != nil && before.id != r.id || before == nil && len(r.diagnostics) > 0) {
		w.send(at, path, r.diagnostics)
	}
}
