package review_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/review"
)

const palette = `fabric sky "Morning sky" #c3dcea width 42
fabric sea "Harbor water" #2f7098 width 42
fabric lamp "Lamp glass" #f0b32f width 42
`

// banner is a block of two patches; at is where its seam lies.
func banner(title, at, more string) string {
	return fmt.Sprintf(`use "palette.block"
block %q 6 by 6 {
  allowance 1/4
  section A "Front" {
    patch 1 sky (0, 0) (%[2]s, 0) (%[2]s, 6) (0, 6)
    patch 2 sea (%[2]s, 0) (6, 0) (6, 6) (%[2]s, 6)%[3]s
  }
}
`, title, at, more)
}

// banners is a repository of many blocks that a change of the palette touches, all of them.
func banners(t *testing.T, n int) repo {
	r := newRepo(t)
	r.write("palette.block", palette)
	for i := range n {
		r.write(fmt.Sprintf("b%03d.block", i), banner(fmt.Sprintf("Banner %d", i), "2", ""))
	}
	r.commit()
	return r
}

// screen is what is seen before anybody scrolls.
func screen(s string, lines int) string {
	all := strings.SplitAfter(s, "\n")
	return strings.Join(all[:min(lines, len(all))], "")
}

// What was silenced, what broke and what to recut stand on the first screen, wherever they are in the alphabet, when a change
// touches every block besides.
func TestTheFirstScreen(t *testing.T) {
	t.Parallel()
	const n = 60
	for _, at := range []int{0, n / 2, n - 1} {
		r := banners(t, n)
		r.write("palette.block", strings.Replace(palette, `"Harbor water" #2f7098 width 42`, `"Harbor water" #2f7098 width 44`, 1))
		name := func(i int) string { return fmt.Sprintf("b%03d.block", i) }
		broken, recut, quiet := at, (at+1)%n, (at+2)%n
		r.write(name(broken), banner("Banner broken", "2", "\n    patch 3 lamp (5, 5) (7, 5) (6, 6)"))
		r.write(name(recut), banner("Banner recut", "4", ""))
		r.write(name(quiet), strings.Replace(banner("Banner quiet", "5 7/8", ""), "patch 2 sea", "// accept small-patch: it is meant\n    // accept tiny-patch: it is meant\n    patch 2 sea", 1))
		got := r.review("HEAD")
		said := screen(text(t, got), 30)
		assert.Contains(t, said, "Banner broken", said)
		assert.Contains(t, said, "Banner recut", said)
		assert.Contains(t, said, "“Banner quiet”", said)
		assert.Contains(t, said, fmt.Sprintf("usable width 42 in → 44 in: %d blocks: first page and cut list", n-3), said)
		var md bytes.Buffer
		require.NoError(t, review.Markdown(&md, got))
		said = screen(md.String(), 40)
		for _, what := range []string{"Banner broken", "Banner recut", "Banner quiet"} {
			assert.Contains(t, said, what)
		}
		html := page(t, got)
		assert.Equal(t, 5, strings.Count(html, "<article"), "blocks that only a width touches have no article; two are gone")
		assert.Less(t, strings.Index(html, ">Banner broken"), strings.Index(html, ">Banner recut"), "first things first")
	}
}
