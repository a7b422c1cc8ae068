package rules

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
)

// A slip is one way in which somebody spoils a block that was right. It gives
// the spoilt text, or says that the block has nothing of the kind to spoil.
type slip struct {
	name  string
	spoil func(*rand.Rand, []string) (lines []string, ok bool)
	sure  bool // nothing that comes of it can be right
}

// tries is how often each slip is made in each block.
const tries = 4

var slips = []slip{
	{"a line left out", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*(patch|outline|point|seam|let|join|notch|section \w+ =)`), without)
	}, false},
	{"a middle patch left out", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*patch +[12] `), func(r *rand.Rand, lines []string, at int) ([]string, bool) {
			if at+1 == len(lines) || !strings.Contains(lines[at+1], "patch") {
				return nil, false
			}
			return without(r, lines, at)
		})
	}, true},
	{"x and y exchanged", inLine(`\(([^(),]+), ([^(),]+)\)`, "(${2}, ${1})"), false},
	{"a corner moved by half an inch", inLine(`\(([^(),]+), ([^(),]+)\)`, "(${1}, ${2} + 1/2 in)"), false},
	{"a corner moved by 0.3 mm", inLine(`\(([^(),]+), ([^(),]+)\)`, "(${1} - 0.3 mm, ${2})"), false},
	{"a fabric misspelt", inLine(`(patch +\d+ +)(\w+)`, "${1}x${2}"), true},
	{"a closing brace dropped", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*}`), without)
	}, true},
	{"an opening brace dropped", inLine(`^(\s*(?:section|block|colourway).*)( \{)`, "${1}"), true},
	{"a join dropped", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*join`), without)
	}, true},
	{"two joins exchanged", exchange(`^\s*join`), false},
	{"a join twice", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*join`), func(_ *rand.Rand, lines []string, at int) ([]string, bool) {
			return slices.Insert(slices.Clone(lines), at, lines[at]), true
		})
	}, true},
	{"a section renamed", inLine(`^(\s*section )([A-Z]\w*)( \{| "| =)`, "${1}Renamed${3}"), false},
	{"a notch moved", inLine(`^(\s*notch \w+ \([^,]+)(,)`, "${1} + 1/4 in${2}"), false},
	{"a notch renamed", inLine(`^(\s*notch )(\w+)`, "${1}x${2}"), false},
	{"two patches exchanged", func(r *rand.Rand, lines []string) ([]string, bool) {
		number := regexp.MustCompile(`^(\s*patch +)(\d+)`)
		return onLine(r, lines, number, func(_ *rand.Rand, lines []string, at int) ([]string, bool) {
			if at+1 == len(lines) || !number.MatchString(lines[at+1]) {
				return nil, false
			}
			one, two := number.FindStringSubmatch(lines[at]), number.FindStringSubmatch(lines[at+1])
			out := slices.Clone(lines)
			out[at] = number.ReplaceAllString(lines[at], one[1]+two[2])
			out[at+1] = number.ReplaceAllString(lines[at+1], two[1]+one[2])
			return out, true
		})
	}, false},
	{"a patch number wrong", inLine(`^(\s*patch +)(\d+)`, "${1}${2}0"), true},
	{"a cut made short", inLine(`(patch.*cut (?:strip |square )?)([\d /]+\d)`, "${1}1/2"), true},
	{"a cut made of seven inches", inLine(`^(\s*patch [^"]*?)(\s*(?:note|//|$))`, "${1} cut 7 by 1${2}"), false},
	{"no allowance", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*allowance \d`), without)
	}, false}, // a miniature accepts it
	{"a slip of the keyboard", func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(`^\s*\w`), func(r *rand.Rand, lines []string, at int) ([]string, bool) {
			out, line := slices.Clone(lines), lines[at]
			i := r.IntN(len(line))
			out[at] = line[:i] + string("([{x}9/,"[r.IntN(8)]) + line[i:]
			return out, true
		})
	}, false},
}

func without(_ *rand.Rand, lines []string, at int) ([]string, bool) {
	return slices.Delete(slices.Clone(lines), at, at+1), true
}

// onLine does something to one of the lines that look so.
func onLine(r *rand.Rand, lines []string, like *regexp.Regexp, do func(*rand.Rand, []string, int) ([]string, bool)) ([]string, bool) {
	var at []int
	for i, line := range lines {
		if like.MatchString(line) {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return nil, false
	}
	return do(r, lines, at[r.IntN(len(at))])
}

// inLine rewrites one place of the block's text that looks so.
func inLine(like, as string) func(*rand.Rand, []string) ([]string, bool) {
	pattern := regexp.MustCompile(like)
	return func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, pattern, func(r *rand.Rand, lines []string, at int) ([]string, bool) {
			code, comment, commented := strings.Cut(lines[at], "//")
			all := pattern.FindAllStringSubmatchIndex(code, -1)
			if len(all) == 0 {
				return nil, false
			}
			m := all[r.IntN(len(all))]
			out := slices.Clone(lines)
			out[at] = code[:m[0]] + string(pattern.ExpandString(nil, as, code, m)) + code[m[1]:]
			if commented {
				out[at] += "//" + comment
			}
			return out, true
		})
	}
}

// exchange exchanges two lines that look so.
func exchange(like string) func(*rand.Rand, []string) ([]string, bool) {
	pattern := regexp.MustCompile(like)
	return func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, pattern, func(r *rand.Rand, lines []string, at int) ([]string, bool) {
			return onLine(r, lines, pattern, func(_ *rand.Rand, lines []string, with int) ([]string, bool) {
				out := slices.Clone(lines)
				out[at], out[with] = lines[with], lines[at]
				return out, with != at && lines[with] != lines[at]
			})
		})
	}
}

// Finished blocks are spoilt in the ways that people spoil them. Whatever comes of
// it, a block that cannot be sewn is not passed over, a slip that is
// surely one is found, and a certain fix mends without touching the picture.
func TestSlips(t *testing.T) {
	paths, err := filepath.Glob(testdata + "/harbour/*.block")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	o := lint.Options{Rules: All, Config: lint.NewConfig(All), Loader: block.NewLoader(syntax.NewReader(), nil)}
	t.Logf("%-30s %6s %6s %6s %6s", "slips, and their errors", "all", "none", "one", "more")
	for _, s := range slips {
		var all, none, one, more, fixed int
		for _, path := range paths {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			h := fnv.New64()
			fmt.Fprint(h, s.name, filepath.Base(path))
			r := rand.New(rand.NewPCG(h.Sum64(), 1))
			for range tries {
				lines, ok := s.spoil(r, strings.Split(string(text), "\n"))
				if !ok {
					continue
				}
				spoilt := strings.Join(lines, "\n")
				findings := lint.Text(path, spoilt, o).Findings
				errors := 0
				for _, f := range findings {
					require.NoError(t, lint.ValidateFinding(f), spoilt)
					if f.Level == lint.Error {
						errors++
					}
				}
				all++
				switch errors {
				case 0:
					none++
				case 1:
					one++
				default:
					more++
					if testing.Verbose() {
						t.Logf("%s, %s: %s\n%s", filepath.Base(path), s.name, changed(string(text), spoilt), listed(findings))
					}
				}
				if s.sure {
					assert.NotEmpty(t, findings, "%s: %s\n%s", path, s.name, changed(string(text), spoilt))
				}
				f := o.Loader.OpenText(path, spoilt)
				if errors == 0 {
					assertSewable(t, f, spoilt)
				}
				fixed += assertFixes(t, o, path, spoilt, findings)
			}
		}
		t.Logf("%-30s %6d %6d %6d %6d   %d certain fixes", s.name, all, none, one, more, fixed)
	}
}

// assertSewable holds a file without an error to what that promises: everything was
// understood, fills its outline, and can be sewn and joined as it is written.
func assertSewable(t *testing.T, f *block.File, text string) {
	t.Helper()
	for _, b := range f.Blocks {
		assert.False(t, b.Broken, text)
		if unplanned(b) {
			continue
		}
		whole := sew.Analyse(b)
		assert.Len(t, whole.Sections, len(b.Sections), text)
		for _, s := range whole.Sections {
			assert.Empty(t, s.Flaws(), text)
			assert.True(t, s.InOrder(), text)
		}
		assert.Empty(t, whole.Flaws(), text)
		assert.Empty(t, whole.JoinFlaws(), text)
	}
}

// assertFixes does each certain fix alone, which leaves the picture and takes its finding
// away, and then all of them together, which brings no other finding.
func assertFixes(t *testing.T, o lint.Options, path, text string, findings []lint.Finding) (fixes int) {
	t.Helper()
	for _, f := range findings {
		for _, fix := range f.Fixes {
			if !fix.Certain {
				continue
			}
			fixes++
			mended := lint.Apply(text, fix.Edits)
			after := lint.Text(path, mended, o).Findings
			assert.Equal(t, picture(o, path, text), picture(o, path, mended), "%s changes the picture of\n%s", fix.Title, text)
			assert.Less(t, told(after, f), told(findings, f), "%s: %q leaves %q in\n%s", path, fix.Title, f.Message, mended)
		}
	}
	if fixes == 0 {
		return 0
	}
	mended := lint.Mend(path, text, o, lint.Mending{})
	assert.Empty(t, mended.Refused, "the fixes of\n%s", text)
	assert.GreaterOrEqual(t, len(mended.Fixes), 1)
	assert.Equal(t, picture(o, path, text), picture(o, path, mended.Text), "the fixes of\n%s\nmake\n%s", text, mended.Text)
	for _, f := range lint.Text(path, mended.Text, o).Findings {
		for _, fix := range f.Fixes {
			assert.False(t, fix.Certain, "%q is left in\n%s", fix.Title, mended.Text)
		}
	}
	return fixes
}

// told is how often a rule says the same of a block.
func told(findings []lint.Finding, of lint.Finding) (n int) {
	for _, f := range findings {
		if f.Rule == of.Rule && f.Block == of.Block && f.Message == of.Message {
			n++
		}
	}
	return n
}

// picture is what is seen of a file's blocks: the fabric and the shape of every patch.
func picture(o lint.Options, path, text string) []string {
	var seen []string
	for _, b := range o.Loader.OpenText(path, text).Blocks {
		for _, s := range b.Sections {
			for _, patch := range s.Patches {
				fabric := "?"
				if patch.Fabric != nil {
					fabric = patch.Fabric.Name
				}
				seen = append(seen, fmt.Sprintf("%s %s %s", b.Name, fabric, shape(patch.Corners)))
			}
		}
	}
	slices.Sort(seen)
	return seen
}

// shape writes a polygon so that it does not matter where and which way round it begins,
// nor which corners lie on straight edges.
func shape(corners geom.Polygon) string {
	var words []string
	for _, c := range corners.Weld().Straighten() {
		words = append(words, fmt.Sprintf("(%.1f %.1f)", c.X+0.04, c.Y+0.04))
	}
	slices.Sort(words)
	return strings.Join(words, " ")
}

// changed is the first line in which two texts differ.
func changed(before, after string) string {
	a, b := strings.Split(before, "\n"), strings.Split(after, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d: %s → %s", i+1, strings.TrimSpace(a[i]), strings.TrimSpace(b[i]))
		}
	}
	return "nothing"
}

func listed(findings []lint.Finding) string {
	var b strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&b, "  %s %s %s [%s]\n", f.Start, f.Level, f.Message, f.Rule)
	}
	return b.String()
}
