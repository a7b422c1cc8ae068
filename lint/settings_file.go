package lint

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2/unstable"

	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/source"
)

// SettingsFile is a sewable.toml as read. What could not be used is left
// out and recorded as a Problem. The zero value is a file that sets nothing.
type SettingsFile struct {
	Source   *source.File
	Problems []SettingProblem

	settled
	base      *SettingsFile // that it extends
	overrides []override

	mu       sync.Mutex
	variants map[string]*SettingsFile // with what holds for some files alone, by the overrides that do

	once           sync.Once
	inches, metric *Settings
}

// settled is what is set.
type settled struct {
	values map[string]value // by Key.Path
	levels map[string]Level // by rule
	places map[string]spot  // by path
}

// spot is where something is set: its key.
type spot struct {
	file *source.File
	at   source.Span
}

func newSettled() settled {
	return settled{values: map[string]value{}, levels: map[string]Level{}, places: map[string]spot{}}
}

// take takes over what another sets.
func (s *settled) take(o settled) {
	maps.Copy(s.values, o.values)
	maps.Copy(s.levels, o.levels)
	maps.Copy(s.places, o.places)
}

// override is what holds for some files alone.
type override struct {
	globs []string
	settled
}

// OverridesTable is the list of tables whose keys hold for some files alone; its FilesKey says for which.
const (
	OverridesTable = "overrides"
	FilesKey       = "files"
	ExtendsKey     = "extends"
)

// chain is the file and what it extends, near or far, the farthest first.
func (f *SettingsFile) chain() []*SettingsFile {
	var out []*SettingsFile
	for at := f; at != nil; at = at.base {
		out = append(out, at)
	}
	slices.Reverse(out)
	return out
}

// Sources are the settings files that this one is made of; none for one that sets nothing.
func (f *SettingsFile) Sources() (out []*source.File) {
	for _, is := range f.chain() {
		if is.Source != nil {
			out = append(out, is.Source)
		}
	}
	return out
}

// SetBy is the settings file that sets a path, one that it extends or itself; empty when none does.
func (f *SettingsFile) SetBy(path string) string {
	if at, ok := f.places[path]; ok {
		return at.file.Path
	}
	return ""
}

// under is what holds for one file: what is extended, then the file's own, then the overrides that name it.
func (f *SettingsFile) under(path string) *SettingsFile {
	chain := f.chain()
	if len(chain) == 1 && len(f.overrides) == 0 {
		return f
	}
	abs, err := filepath.Abs(filepath.FromSlash(path))
	if err != nil {
		return f
	}
	var which strings.Builder
	var parts []settled
	for _, is := range chain {
		parts = append(parts, is.settled)
		rel := relativeTo(is.Source, abs)
		for _, o := range is.overrides {
			if rel != "" && matchesAny(o.globs, rel) {
				which.WriteByte('1')
				parts = append(parts, o.settled)
			} else {
				which.WriteByte('0')
			}
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if is := f.variants[which.String()]; is != nil {
		return is
	}
	is := &SettingsFile{Source: f.Source, Problems: f.Problems, settled: newSettled(), base: f.base}
	for _, p := range parts {
		is.take(p)
	}
	if f.variants == nil {
		f.variants = map[string]*SettingsFile{}
	}
	f.variants[which.String()] = is
	return is
}

// SettingProblem is one thing in a settings file that could not be used.
type SettingProblem struct {
	At   source.Span
	Kind SettingProblemKind
	Name string // what was typed: a key, a table, a rule
	Near string // the nearest good name; may be empty
	Want string // for BadValue, NotTOML, Unread, FixedLevel and tables: what is wanted, as a sentence without full stop
}

// SettingProblemKind tells problems of settings apart.
type SettingProblemKind uint8

// The kinds of SettingProblem.
const (
	UnknownKey  SettingProblemKind = iota // no such key or table
	UnknownRule                           // no such rule in [levels]
	Renamed                               // the old name of a key; Near is the new one
	BadValue                              // not what the key takes
	SetTwice                              // the key is there already
	NotTOML                               // the file cannot be read from here on
	FixedLevel                            // the level of a mandatory rule, lowered; Want says why that does not count
	Unread                                // the file cannot be read at all
)

// For gives the settings of a block file that counts in the unit.
func (f *SettingsFile) For(unit geom.Unit) *Settings {
	f.once.Do(func() { f.inches, f.metric = f.settings(geom.Inches), f.settings(geom.Millimetres) })
	if unit == geom.Inches {
		return f.inches
	}
	return f.metric
}

func (f *SettingsFile) settings(unit geom.Unit) *Settings {
	s := &Settings{Levels: f.levels}
	values := make(map[string]value, len(Keys))
	for _, k := range Keys {
		v, ok := f.values[k.Path()]
		if !ok && k.Like != "" {
			v = values[k.Like]
		} else if text := k.defaultOf(unit); !ok && text != "" {
			var err error
			if v, err = k.parse(text); err != nil {
				panic(fmt.Sprintf("the default of %s: %v", k.Path(), err)) // a slip in the table; every test sees it
			}
		}
		k.set(s, v)
		values[k.Path()] = v
	}
	return s
}

// ReadSettings reads a settings file; rules are the names that [levels] may
// set. Reading never fails: see SettingsFile.
func ReadSettings(file *source.File, rules []*Rule) *SettingsFile {
	r := settingsReader{
		out:  &SettingsFile{Source: file, settled: newSettled()},
		seen: map[string]bool{}, at: file, fixed: map[string]string{},
		keys: map[string]Key{}, renamed: map[string]string{},
	}
	tables := map[string]bool{LevelsTable: true}
	for _, k := range Keys {
		r.keys[k.Path()] = k
		r.names = append(r.names, k.Path())
		if k.Was != "" {
			r.renamed[joinPath(k.Table, k.Was)] = k.Path()
		}
		if k.Table != "" {
			tables[k.Table] = true
		}
	}
	for t := range tables {
		r.tables = append(r.tables, t)
	}
	slices.Sort(r.tables)
	for _, rule := range rules {
		r.rules = append(r.rules, rule.Name)
		if rule.AlwaysMandatory() {
			r.fixed[rule.Name] = rule.Mandatory
		}
	}
	r.read(file.Text)
	return r.out
}

type settingsReader struct {
	out     *SettingsFile
	parser  unstable.Parser
	keys    map[string]Key
	names   []string          // of keys
	renamed map[string]string // old paths of keys to new ones
	tables  []string
	rules   []string
	fixed   map[string]string // rules whose level cannot be lowered, and why
	seen    map[string]bool   // what was set, by path, in the file or in one override
	at      *source.File
	over    *override // that is read; nil in the file itself
	overAt  source.Span
	own     map[string]bool // seen in the file itself
}

// into is where what is read goes.
func (r *settingsReader) into() *settled {
	if r.over != nil {
		return &r.over.settled
	}
	return &r.out.settled
}

// nextOverride begins an override; what it says after its head is in its own tables.
func (r *settingsReader) nextOverride(at source.Span) {
	r.endOverride()
	r.over, r.overAt, r.seen = &override{settled: newSettled()}, at, map[string]bool{}
}

// endOverride keeps the override that was read; one that names no files holds for none, and is said so.
func (r *settingsReader) endOverride() {
	if r.over == nil {
		return
	}
	if len(r.over.globs) == 0 {
		r.problem(SettingProblem{At: r.overAt, Kind: BadValue, Name: OverridesTable, Want: `each [[overrides]] needs files, a list of patterns, such as files = ["minis/**"]`})
	} else {
		r.out.overrides = append(r.out.overrides, *r.over)
	}
	r.over = nil
}

// read goes through the expressions of the file: tables and assignments.
func (r *settingsReader) read(text string) {
	r.parser.Reset([]byte(text))
	table, skip := "", false
	for r.parser.NextExpression() {
		switch e := r.parser.Expression(); e.Kind {
		case unstable.Table:
			var at source.Span
			table, at = joined("", e.Key())
			if inner, ok := cutPath(table, OverridesTable); ok && r.over != nil {
				table = inner
			} else if r.over != nil { // back to the file itself
				r.endOverride()
				r.seen = r.own
			}
			skip = !r.table(table, at)
		case unstable.ArrayTable:
			name, at := joined("", e.Key())
			if skip = name != OverridesTable; skip {
				r.noTable(name, at)
				break
			}
			if r.over == nil {
				r.own = r.seen
			}
			table = ""
			r.nextOverride(at)
		case unstable.KeyValue:
			if !skip {
				r.assign(table, e)
			}
		}
	}
	r.endOverride()
	if err := r.parser.Error(); err != nil {
		p := SettingProblem{At: source.Span{Start: len(text), End: len(text)}, Kind: NotTOML, Want: err.Error()}
		var e *unstable.ParserError
		if errors.As(err, &e) {
			p.Want = e.Message
			if len(e.Highlight) > 0 {
				p.At = span(r.parser.Range(e.Highlight))
			}
		}
		r.problem(p)
	}
}

func (r *settingsReader) problem(p SettingProblem) { r.out.Problems = append(r.out.Problems, p) }

// table opens a table, and reports whether there is such a one.
func (r *settingsReader) table(name string, at source.Span) bool {
	for _, t := range r.tables {
		if t == name {
			return true
		}
	}
	r.noTable(name, at)
	return false
}

// noTable tells of a table that is not one: with the one that was probably meant, or with all.
func (r *settingsReader) noTable(name string, at source.Span) {
	p := SettingProblem{At: at, Kind: UnknownKey, Name: name, Near: near.Nearest(name, r.tables)}
	switch {
	case slices.Contains(r.tables, name): // [[name]]
		p.Want = "write its name once, in single brackets: [" + name + "]"
	case p.Near == "":
		p.Want = "the tables are " + english.List(r.tables)
	}
	r.problem(p)
}

// assign reads `key = value` in a table.
func (r *settingsReader) assign(table string, e *unstable.Node) {
	path, at := joined(table, e.Key())
	v := e.Value()
	if v.Kind == unstable.InlineTable {
		if r.table(path, at) {
			for it := v.Children(); it.Next(); {
				r.assign(path, it.Node())
			}
		}
		return
	}
	if is, ok := r.renamed[path]; ok {
		r.problem(SettingProblem{At: at, Kind: Renamed, Name: path, Near: is})
		path = is
	}
	if r.seen[path] {
		r.problem(SettingProblem{At: at, Kind: SetTwice, Name: path})
		return
	}
	r.seen[path] = true
	if path == FilesKey && r.over != nil {
		k := Key{Table: OverridesTable, Name: FilesKey, Kind: Globs}
		got, err := readValue(k, v)
		if err != nil {
			r.problem(SettingProblem{At: valueSpan(at, v), Kind: BadValue, Name: path, Want: err.Error()})
		}
		r.over.globs = got.words
		if err != nil {
			r.over = &override{settled: newSettled(), globs: []string{""}} // matches nothing; said already
		}
		return
	}
	if r.over != nil && (path == "exclude" || path == ExtendsKey) {
		r.problem(SettingProblem{At: at, Kind: BadValue, Name: path, Want: path + " holds for the whole file; write it above the overrides"})
		return
	}
	if rule, ok := cutPath(path, LevelsTable); ok {
		r.level(rule, at, v)
		return
	}
	k, ok := r.keys[path]
	if !ok {
		r.problem(SettingProblem{At: at, Kind: UnknownKey, Name: path, Near: r.nearKey(path)})
		return
	}
	got, err := readValue(k, v)
	if err != nil {
		r.problem(SettingProblem{At: valueSpan(at, v), Kind: BadValue, Name: path, Want: err.Error()})
		return
	}
	r.into().values[path] = got
	r.into().places[path] = spot{r.at, at}
}

// nearKey is the key that was probably meant: one of the same name in another
// table, or a name like it; a rule's, in a table with a name like that of the levels.
func (r *settingsReader) nearKey(path string) string {
	dot := strings.LastIndexByte(path, '.')
	last := path[dot+1:]
	if dot > 0 && slices.Contains(r.rules, last) {
		return LevelsTable + "." + last
	}
	for _, k := range Keys {
		if k.Name == last {
			return k.Path()
		}
	}
	return near.Nearest(path, r.names)
}

// level reads `rule = "level"`.
func (r *settingsReader) level(rule string, at source.Span, v *unstable.Node) {
	for _, name := range r.rules {
		if name != rule {
			continue
		}
		l, ok := ParseLevel(string(v.Data))
		if !ok || v.Kind != unstable.String {
			r.problem(SettingProblem{At: valueSpan(at, v), Kind: BadValue, Name: rule, Want: "a level is " + orList(LevelNames)})
			return
		}
		if why := r.fixed[rule]; why != "" && l != Error {
			r.problem(SettingProblem{At: valueSpan(at, v), Kind: FixedLevel, Name: rule, Want: why})
			return
		}
		r.into().levels[rule] = l
		r.into().places[joinPath(LevelsTable, rule)] = spot{r.at, at}
		return
	}
	r.problem(SettingProblem{At: at, Kind: UnknownRule, Name: rule, Near: near.Nearest(rule, r.rules)})
}

// readValue reads what a key was set to. The error says what the key takes.
func readValue(k Key, v *unstable.Node) (value, error) {
	switch k.Kind {
	case Globs:
		if v.Kind != unstable.Array {
			return value{}, errors.New(k.wants())
		}
		var words []string
		for it := v.Children(); it.Next(); {
			glob := string(it.Node().Data)
			if it.Node().Kind != unstable.String || !validGlob(glob) {
				return value{}, fmt.Errorf("%s is a list of patterns, and %q is not a pattern", k.Path(), glob)
			}
			words = append(words, glob)
		}
		return value{words: words, text: strings.Join(words, ", ")}, nil
	case Angle, Whole, Weight:
		return k.parseNumber(v)
	case Switch:
		if v.Kind != unstable.Bool {
			return value{}, errors.New(k.wants())
		}
		return k.parse(string(v.Data))
	}
	if v.Kind != unstable.String {
		return value{}, fmt.Errorf("%s, in quotes", k.wants())
	}
	return k.parse(string(v.Data))
}

// parseNumber reads an angle or a count, which stand without quotes.
func (k Key) parseNumber(v *unstable.Node) (value, error) {
	if v.Kind == unstable.Integer || v.Kind == unstable.Float {
		if got, err := k.parse(string(v.Data)); err == nil {
			return got, nil
		}
	}
	return value{}, errors.New(k.wants())
}

// parseDecimal reads a number as TOML has it.
func parseDecimal(text string) (geom.Num, bool) {
	if n, err := strconv.ParseInt(text, 10, 32); err == nil {
		return geom.Int(n), true
	}
	f, err := strconv.ParseFloat(text, 64)
	n := geom.Float(f)
	return n, err == nil && n.IsFinite()
}

// joined is a dotted key below a table, and where it stands.
func joined(table string, key unstable.Iterator) (string, source.Span) {
	var at source.Span
	for first := true; key.Next(); first = false {
		if table != "" {
			table += "."
		}
		table += string(key.Node().Data)
		if first {
			at = span(key.Node().Raw)
		}
		at = at.Cover(span(key.Node().Raw))
	}
	return table, at
}

func cutPath(path, table string) (string, bool) {
	if len(path) > len(table)+1 && path[:len(table)+1] == table+"." {
		return path[len(table)+1:], true
	}
	return "", false
}

func span(r unstable.Range) source.Span {
	return source.Span{Start: int(r.Offset), End: int(r.Offset + r.Length)}
}

// valueSpan is where the value stands; the library gives no place for lists,
// so their key stands in for them.
func valueSpan(key source.Span, v *unstable.Node) source.Span {
	if v.Raw.Length == 0 || v.Kind == unstable.InlineTable {
		return key
	}
	return span(v.Raw)
}
