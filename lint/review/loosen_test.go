package review_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/review"
)

// sliver has a patch that is fiddly: a warning or hint of its own, which can be silenced in many ways.
const sliver = `use "palette.block"
block "Sliver" 6 by 6 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (5 5/8, 0) (5 5/8, 6) (0, 6)
    patch 2 sea (5 5/8, 0) (6, 0) (6, 6) (5 5/8, 6)
  }
}
`

// Each way of silencing is said, with where it was said and what it hides.
func TestWhatIsSilenced(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		files map[string]string
		want  []string
	}{
		"accept": {map[string]string{"sliver.block": strings.Replace(sliver, "(5 5/8, 6)\n  }", "(5 5/8, 6) // accept small-patch: meant\n  }", 1)},
			[]string{"sliver.block:6: small-patch is accepted (meant); hides 1 finding in “Sliver”"}},
		"level": {map[string]string{"sewable.toml": "\n[levels]\nsmall-patch = \"off\"\n"},
			[]string{"sewable.toml:3: levels.small-patch error → off; hides 1 finding in “Sliver”"}},
		"limit": {map[string]string{"sewable.toml": "[limits]\nsmall-patch = \"1/4 in\"\n"},
			[]string{"sewable.toml:2: limits.small-patch 1/2 in → 1/4 in; hides 1 finding in “Sliver”"}},
		"limit that hides nothing": {map[string]string{"sewable.toml": "[limits]\nseam = \"3/8 in\"\n"},
			[]string{"sewable.toml:2: limits.seam 1/2 in → 3/8 in, which hides nothing now"}},
		"stricter": {map[string]string{"sewable.toml": "[limits]\nseam = \"3/4 in\"\n"}, nil},
		"exclude": {map[string]string{"sewable.toml": "exclude = [\"sliver.block\"]\n"},
			[]string{"sewable.toml: sliver.block is excluded now and not checked any more; hides 1 finding in “Sliver”"}},
		"baseline": {map[string]string{"known.txt": "sewable baseline 1\n\"sliver.block\" small-patch \"Sliver\" \"A\" 2 \"patch 2 sea (5 5/8, 0) (6, 0) (6, 6) (5 5/8, 6)\"\n"},
			[]string{"known.txt: 1 finding added to this baseline; hides 1 finding in “Sliver”"}},
		"override": {map[string]string{"sewable.toml": "[[overrides]]\nfiles = [\"s*\"]\nlevels = { small-patch = \"off\" }\n"},
			[]string{"sewable.toml:3: levels.small-patch error → off; hides 1 finding in “Sliver”"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRepo(t)
			r.write("palette.block", palette)
			r.write("sliver.block", sliver)
			r.write("plain.block", banner("Plain", "3", ""))
			r.commit()
			for file, text := range c.files {
				r.write(file, text)
			}
			got := r.review("HEAD")
			var said []string
			for _, l := range got.Loosened {
				said = append(said, l.Words())
			}
			assert.Equal(t, c.want, said)
			assert.Equal(t, len(c.want) > 0, got.Has(review.GroupSilenced))
			assert.NotContains(t, text(t, got), "gone:", "what is excluded is not gone")
			if c.want != nil {
				require.NotContains(t, got.Headline(), "No change", "headline and body agree")
			}
		})
	}
}

// A section title, a press direction, a note and the paper are printed: they are no change of the sewn block, and the paper is
// out of date.
func TestPaperAlone(t *testing.T) {
	t.Parallel()
	r := newRepo(t)
	r.write("palette.block", palette)
	r.write("plain.block", banner("Plain", "3", ""))
	r.commit()
	r.write("plain.block", strings.Replace(banner("Plain", "3", ""), `"Front"`, `"Face"`, 1))
	assert.Contains(t, text(t, r.review("HEAD")), "Plain: foundation A, first page and guide")
	r.write("plain.block", strings.Replace(banner("Plain", "3", ""), "{\n  allowance", "{\n  note \"Short stitches.\"\n  allowance", 1))
	assert.Contains(t, text(t, r.review("HEAD")), "Plain: first page\n")
	r.write("plain.block", banner("Plain", "3", ""))
	r.write("sewable.toml", "[paper]\nsize = \"a4\"\n")
	assert.Contains(t, text(t, r.review("HEAD")), "paper.size letter → a4: Plain (plain.block): foundations, first page, guide and labels")
}
