package lsp

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"sewable/lang/files"
	"sewable/lsp/session"
)

// around are the files of the repository in which a file lies, when the workspace does
// not have them: an editor may open a file and no folder.
func (w *workspace) around(ctx context.Context, at *session.Snapshot, path string) []string {
	w.mu.Lock()
	searched := slices.ContainsFunc(w.folders, func(folder string) bool { return !isHome(folder) && files.Inside(path, folder) })
	w.mu.Unlock()
	if searched {
		return nil
	}
	return slices.Sorted(maps.Keys(w.find(ctx, at, []string{repositoryOf(path)})))
}

// repositoryOf is the folder that no `use` of a file may leave, but never a whole home.
func repositoryOf(path string) string {
	own := filepath.Dir(path)
	if root := files.Root(own); !isHome(root) {
		return root
	}
	return own
}

// isHome reports whether a folder is a whole home or disk, which is not searched.
func isHome(folder string) bool {
	home, _ := os.UserHomeDir()
	return folder == home || folder == filepath.Dir(folder)
}

// usersOf are the files that use one, near or far, open or not.
func (w *workspace) usersOf(ctx context.Context, at *session.Snapshot, path string) []string {
	found := map[string]bool{}
	for p, r := range w.remembered() {
		if at.Document(p) == nil && slices.Contains(r.uses, path) {
			found[p] = true
		}
	}
	for _, d := range at.Documents() {
		if slices.Contains(session.Uses(at.Open(d.Path).Model()), path) {
			found[d.Path] = true
		}
	}
	for _, p := range w.using(ctx, at, w.around(ctx, at, path), path) {
		found[p] = true
	}
	delete(found, path)
	return slices.Sorted(maps.Keys(found))
}

// using are those of some files that are not open and use one.
func (w *workspace) using(ctx context.Context, at *session.Snapshot, files []string, path string) []string {
	var mu sync.Mutex
	var found []string
	var workers sync.WaitGroup
	work := make(chan string)
	for range min(runtime.GOMAXPROCS(0), len(files)) {
		workers.Go(func() {
			for p := range work {
				f, err := at.File(p)
				if err != nil || f.Doc != nil || !strings.Contains(f.Text().Text, "use") {
					continue
				}
				if slices.Contains(session.Uses(f.Model()), path) {
					mu.Lock()
					found = append(found, p)
					mu.Unlock()
				}
			}
		})
	}
	for _, p := range files {
		if ctx.Err() != nil {
			break
		}
		work <- p
	}
	close(work)
	workers.Wait()
	if len(files) > 100 {
		w.s.session.Forget()
	}
	return found
}
