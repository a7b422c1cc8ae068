// Package cache remembers what a lint run found, so that the next one has only to look at what
// changed since.
//
// What a file is found to be follows from its text, from the files its `use` statements lead to, whether they are
// there or not, from the settings that hold for it, and from the program. An entry is
// taken when all of these are the same as when it was made; so a run with a cache finds what one
// without finds, byte for byte. Contents are compared by SHA-256; a file is read for that only
// when the file system says that it may have changed (see stamp).
//
//	cache.go  a run with a cache
//	state.go  what a file is, and was
//	pack.go   the entries of one working tree, in one file
//	code.go   how findings are written in it
//	trim.go   which packs are kept
//
// A pack that is cut short, changed or of another form is none, and is made anew. It is put in the
// place of the one before as a whole. Of two runs at once the second to end
// takes over what the first has found.
package cache

import (
	"context"
	"encoding/hex"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/syntax"
	"sewable/lint"
)

// Cache is a folder of packs.
type Cache struct {
	dir string
	now func() time.Time
}

// Folder is where the user's caches are kept, with the name of this one; false where there is no such place:
// no home, or one that is not there.
func Folder() (string, bool) {
	base, err := os.UserCacheDir()
	if err != nil {
		return "", false
	}
	for _, dir := range []string{base, filepath.Dir(base)} { // a new user has no folder for caches yet
		if info, err := os.Stat(dir); err == nil && info.IsDir() {
			return filepath.Join(base, "sewable"), true
		}
	}
	return "", false
}

// Open takes a folder for the cache and makes it when it is not there. The error is of one
// that cannot be written to.
func Open(dir string) (*Cache, error) {
	if err := files.Folder(dir); err != nil {
		return nil, fmt.Errorf("the cache cannot be written: %w", err)
	}
	return &Cache{dir, time.Now}, nil
}

// Run is lint.Run with a cache. The findings have no Spots.
func (c *Cache) Run(ctx context.Context, paths []string, o lint.Options) (*lint.Result, error) {
	r, err := c.start(paths, o)
	if err != nil {
		return nil, err
	}
	if err := lint.Each(ctx, len(paths), r.options, r.look); err != nil {
		return nil, err
	}
	result := lint.Gather(r.answers, o)
	return result, c.keep(r)
}

// run is one run at work.
type run struct {
	options lint.Options
	paths   []string
	now     time.Time
	pack    *pack  // what was known; emptied when the program is another
	name    string // of its file
	was     stamp  // of its file
	tool    sum
	program stamp
	changed bool // the pack has to be written
	day     int

	links   []lookedUp // beside those of the pack
	follow  *block.Loader
	answers []lint.Answer
	made    []made // by path

	settings map[string]sum // that hold in a folder, as it is named; only read while the workers are at work

	mu   sync.Mutex
	used map[string]state // files that were read because of a use, as they were then
}

// lookedUp is whether a link of the pack still holds, and how its file is now.
type lookedUp struct {
	once  sync.Once
	holds bool
	file  state
}

// made is how an answer came about.
type made struct {
	entry *entry // not the pack's own; nil for what is not kept
	links []link
	fresh bool // not as in the pack
}

func (c *Cache) start(paths []string, o lint.Options) (*run, error) {
	wd, err := os.Getwd() // findings name files from it
	if err != nil {
		return nil, err
	}
	id := sumOf(wd)
	r := &run{
		options: o, paths: paths, now: c.now(), name: filepath.Join(c.dir, hex.EncodeToString(id[:])+packed),
		answers: make([]lint.Answer, len(paths)), made: make([]made, len(paths)),
		used: map[string]state{}, settings: settingsOf(paths, o.Config),
		follow: block.NewLoader(syntax.NewReader(), o.Config.Gate().Block),
	}
	r.day = int(r.now.Unix() / (24 * 60 * 60))
	r.pack, r.was = load(r.name)
	if err := r.programs(); err != nil {
		return nil, err
	}
	r.links = make([]lookedUp, len(r.pack.links))
	r.options.Loader = block.NewLoader(syntax.NewReader(), r.readUsed)
	return r, nil
}

// load reads a pack from disk; one that cannot be used is an empty one.
func load(name string) (*pack, stamp) {
	info, err := os.Lstat(name)
	if err != nil {
		return emptyPack(), stamp{}
	}
	data, err := new(files.Gate).Read(name, files.Pack)
	if err != nil {
		return emptyPack(), stamp{}
	}
	p, ok := decode([]byte(data))
	if !ok {
		return emptyPack(), stamp{}
	}
	return p, stampOf(info, info.ModTime().Add(2*settled))
}

// programs forgets what another program has found. The file of this one is read only when its stamp is
// not the known one.
func (r *run) programs() error {
	name, err := os.Executable()
	if err != nil {
		return err
	}
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	if r.program = stampOf(info, r.now); r.program != (stamp{}) && r.program == r.pack.program {
		r.tool = r.pack.tool
		return nil
	}
	data, err := files.Read(name, files.Program)
	if err != nil {
		return err
	}
	r.tool = sumOf(data)
	if r.tool != r.pack.tool {
		r.pack = emptyPack()
	}
	r.changed = r.program != (stamp{})
	return nil
}

// readUsed reads a file for a use.
func (r *run) readUsed(path string) (string, error) {
	text, s, err := r.readState(path)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.used[path] = s
	return text, err
}

// look answers for one file.
func (r *run) look(i int) {
	path := r.paths[i]
	settings := r.settings[folder(path)]
	old := r.pack.entries[path]
	if old == nil || old.settings != settings || !r.holds(old) {
		r.lint(i, settings)
		return
	}
	file := r.stateNow(path, old.file)
	if !file.same(old.file) || file.kind != readable {
		r.lint(i, settings)
		return
	}
	answer, ok := old.answer()
	if !ok {
		r.lint(i, settings)
		return
	}
	kept := *old
	kept.file, kept.day = file, r.day
	r.answers[i] = answer
	m := made{entry: &kept, links: r.linksOf(old), fresh: newer(file, old.file)}
	for j, n := range old.links {
		m.links[j].file = r.links[n].file
		m.fresh = m.fresh || newer(m.links[j].file, r.pack.links[n].file)
	}
	r.made[i] = m
}

// newer reports whether a stamp has come that is worth keeping.
func newer(now, was state) bool { return now.stamp != was.stamp && now.stamp != (stamp{}) }

// lint looks at one file anew.
func (r *run) lint(i int, settings sum) {
	path := r.paths[i]
	text, file, err := r.readState(path)
	if err != nil {
		r.answers[i] = lint.Model(lint.Open(path, r.options), r.options)
		return
	}
	f := r.options.Loader.OpenText(path, text)
	answer := lint.Model(f, r.options)
	r.answers[i] = answer
	if len(answer.Failures) > 0 {
		return
	}
	m := made{entry: &entry{path: path, file: file, settings: settings, day: r.day, blocks: answer.Blocks}, fresh: true}
	for _, l := range r.options.Loader.Links(f) {
		r.mu.Lock()
		m.links = append(m.links, link{l, r.used[l.To]})
		r.mu.Unlock()
	}
	r.made[i] = m
}

// holds reports whether everything is the same that an entry depends on through uses.
func (r *run) holds(e *entry) bool {
	for _, n := range e.links {
		l := &r.links[n]
		l.once.Do(func() {
			was := r.pack.links[n]
			l.file = was.file
			if was.Cause == 0 {
				l.file = r.stateNow(was.To, was.file)
			}
			l.holds = r.follow.Follow(was.Dir, was.Path) == was.Link && l.file.same(was.file)
		})
		if !l.holds {
			return false
		}
	}
	return true
}

func (r *run) linksOf(e *entry) []link {
	var out []link
	for _, n := range e.links {
		out = append(out, r.pack.links[n])
	}
	return out
}

// settingsOf gives, for the folders of files, the content of the settings file that holds there.
func settingsOf(paths []string, config *lint.Config) map[string]sum {
	out := map[string]sum{}
	for _, path := range paths {
		dir := folder(path)
		if _, ok := out[dir]; ok {
			continue
		}
		var s sum
		text := ""
		for _, f := range config.For(path).Sources() {
			text += "settings\n" + f.Text
		}
		if text != "" {
			s = sumOf(text)
		}
		out[dir] = s
	}
	return out
}

// folder is the part of a path in front of the file's name.
func folder(path string) string { return path[:strings.LastIndexByte(path, '/')+1] }

// keep writes the pack when it has something new.
func (c *Cache) keep(r *run) error {
	if !r.changed && !slices.ContainsFunc(r.made, func(m made) bool { return m.fresh }) {
		return c.touch(r)
	}
	if p, now := load(r.name); now != r.was && p.tool == r.tool { // another run was quicker
		r.pack = p
	}
	w := newEncoder()
	looked := map[string]bool{}
	for i, m := range r.made {
		looked[r.paths[i]] = true
		if m.entry != nil {
			w.add(m.entry, m.links, r.answers[i].Findings)
		}
	}
	for _, path := range slices.Sorted(maps.Keys(r.pack.entries)) {
		e := r.pack.entries[path]
		if looked[path] || r.day-e.day > maxDays {
			continue
		}
		if answer, ok := e.answer(); ok {
			w.add(e, r.linksOf(e), answer.Findings)
		}
	}
	return c.write(r.name, w.encode(r.tool, r.program))
}
