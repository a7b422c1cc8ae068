package lint

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strconv"
	"strings"

	"sewable/lang/syntax"
)

// A Fingerprint says which finding it is, from one state of the files to the next.
// It is made of the file, the rule, the block, section and patch, and the tokens of the
// statement. So it outlives lines that are moved, put in or taken out, another lay-out, and
// other comments; it does not outlive a change of the statement itself. What the finding says is
// no part of it. Equal findings are counted in the order of their places: ":2" is the second.
type Fingerprint string

// Fingerprints gives the findings their fingerprints. Files are named from the folder
// root; with an empty root, as they stand in the findings.
func Fingerprints(findings []Finding, root string) []Fingerprint {
	return fingerprints(findings, root, inFile)
}

// traits are what identifies a finding beside its rule, section, patch and statement.
type traits struct{ file, block bool }

var (
	inFile   = traits{file: true, block: true}
	moved    = traits{block: true} // to another file
	retitled = traits{file: true}  // the block has another title
)

func fingerprints(findings []Finding, root string, by traits) []Fingerprint {
	out := make([]Fingerprint, len(findings))
	count := make(map[string]int, len(findings))
	tokens := map[string]string{} // of a statement: one may have many findings
	names := map[string]string{}  // of files
	for i, f := range findings {
		statement := cmp.Or(f.Statement, f.Line)
		words, ok := tokens[statement]
		if !ok {
			words = f.Normal()
			tokens[statement] = words
		}
		parts := []string{f.Rule, f.Section, strconv.Itoa(f.Patch), words}
		if by.block {
			parts = append(parts, f.Block)
		}
		if by.file {
			name, ok := names[f.File]
			if !ok {
				name = FromRoot(f.File, root)
				names[f.File] = name
			}
			parts = append(parts, name)
		}
		sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
		key := hex.EncodeToString(sum[:12])
		count[key]++
		out[i] = Fingerprint(key + ":" + strconv.Itoa(count[key]))
	}
	return out
}

// Normal is the statement of a finding as its fingerprint takes it: without comments,
// the tokens one space apart; of a comment by itself, the words. A long one is the sum of its bytes,
// in hex.
func (f Finding) Normal() string {
	statement := cmp.Or(f.Statement, f.Line)
	if words, ok := strings.CutPrefix(statement, normalMark); ok {
		return words
	}
	words := normal(statement, filepath.Ext(f.File) == filepath.Ext(SettingsName))
	if len(words) > maxNormal {
		sum := sha256.Sum256([]byte(words))
		return "sha256:" + hex.EncodeToString(sum[:12])
	}
	return words
}

// Listed is a finding with this statement, of which only Normal is known.
func (f Finding) Listed(normal string) Finding {
	f.Statement = normalMark + normal
	return f
}

const (
	maxNormal  = 160    // bytes; a longer statement is not worth reading in a list
	normalMark = "\x00" // in front of a statement that is normal: no text has it
)

func normal(statement string, settings bool) string {
	if len(statement) > syntax.MaxStatement { // it is not read, and its tokens would fill the memory
		return statement
	}
	if settings {
		return strings.Join(strings.Fields(beforeHash(statement)), " ")
	}
	var b strings.Builder
	last := "("
	for _, t := range syntax.Tokens(statement) {
		words := t.Text
		switch t.Kind {
		case syntax.KindComment:
			continue
		case syntax.KindString:
		default: // 2 1/2 is one token
			words = strings.Join(strings.Fields(words), " ")
		}
		if last != "(" && words != ")" && words != "," { // as people write them
			b.WriteByte(' ')
		}
		b.WriteString(words)
		last = words
	}
	if b.Len() == 0 {
		return strings.Join(strings.Fields(statement), " ")
	}
	return b.String()
}

// beforeHash is a line of TOML without its comment.
func beforeHash(line string) string {
	quote := byte(0)
	for i := range len(line) {
		switch c := line[i]; {
		case quote == 0 && c == '#':
			return line[:i]
		case quote == 0 && (c == '"' || c == '\''):
			quote = c
		case c == quote:
			quote = 0
		}
	}
	return line
}

// FromRoot names a file from a folder, slashes forward. A file that does not
// lie below it keeps its name, and so does every file when root is empty.
func FromRoot(path, root string) string {
	if root == "" {
		return path
	}
	base, err1 := filepath.Abs(filepath.FromSlash(root))
	abs, err2 := filepath.Abs(filepath.FromSlash(path))
	if err1 != nil || err2 != nil {
		return path
	}
	rel, err := filepath.Rel(base, abs)
	if err != nil || rel == ".." || strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return path
	}
	return filepath.ToSlash(rel)
}

// Change is what became of the findings between two states of the files.
type Change struct {
	New  []Finding // in the order of after
	Gone []Finding // in the order of before
	Kept []Finding // in the order of after, as they stand there
}

// Compare matches the findings of two states, as Match does.
func Compare(before, after []Finding, gone func(file string) bool) Change {
	var c Change
	kept := make([]bool, len(before))
	for i, j := range Match(before, after, gone) {
		if j < 0 {
			c.New = append(c.New, after[i])
		} else {
			kept[j] = true
			c.Kept = append(c.Kept, after[i])
		}
	}
	for i, f := range before {
		if !kept[i] {
			c.Gone = append(c.Gone, f)
		}
	}
	return c
}

// Match gives for every finding of after the place in before of the one it was, or -1. Each
// is matched at most once: by its fingerprint; then a block's findings that are in another file now;
// then those of a block that has another title. A finding in no block counts as moved only out
// of a file that is gone, which gone reports by the name in before; a block out of such a file may have another title, too. Names of files are
// taken as they stand in both.
func Match(before, after []Finding, gone func(file string) bool) []int {
	out := make([]int, len(after))
	for i := range out {
		out[i] = -1
	}
	kept := make([]bool, len(before))
	for _, by := range []traits{inFile, moved, retitled, {}} {
		narrow := func(f Finding) bool { return by.block || f.Block != "" }
		old, left := rest(before, func(i int) bool {
			f := before[i]
			return !kept[i] && narrow(f) && (by.file || by.block && f.Block != "" || gone != nil && gone(f.File))
		})
		now, open := rest(after, func(i int) bool { return out[i] < 0 && narrow(after[i]) })
		at := make(map[Fingerprint]int, len(old))
		for i, p := range fingerprints(old, "", by) {
			at[p] = left[i]
		}
		for i, p := range fingerprints(now, "", by) {
			if j, ok := at[p]; ok {
				kept[j], out[open[i]] = true, j
			}
		}
	}
	return out
}

// rest are the findings that are wanted, and their places in the list.
func rest(findings []Finding, wanted func(int) bool) (left []Finding, at []int) {
	for i, f := range findings {
		if wanted(i) {
			left, at = append(left, f), append(at, i)
		}
	}
	return left, at
}
