package block

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/syntax"
)

// Files from before the language had sizes and rows use their words as names, wherever a name may stand.
func TestWordsInTheirPlaceAreNamesElsewhere(t *testing.T) {
	const text = `fabric size
fabric row #d8c49a
fabric spacer "Spacer"
fabric mini
let scaled = 2
allowance 1/4
colorway dusk {
  size = mini
  row = spacer
}
block "T" 6 by 6 {
  point row = (0, 2)
  point size = (6, 2)
  seam spacer from row to size
  colorway spacer {
    row = size
    size = row
  }
  section row {
    outline row,
      size (6, 6) (0, 6)
    patch 1 size row,
      size (6, 6) (0, 6)
    notch size (3, 2)
  }
  section size {
    outline (0, 0) (6, 0) size row
    patch 1 row around (3, 1/2)
    patch 2 spacer beyond (0, scaled/2) (6, scaled/2)
    notch size (3, 2)
  }
  section spacer = size moved (0, 0) with size = row,
    row = size
  join size to row press toward row
}
setting "S" {
  rows 1
  columns 2
  fill "T" spacer, "T" dusk
  sashing 1 size
  border scaled spacer
}
`
	read := func(text string) *File {
		f := NewLoader(syntax.NewReader(), nil).Within("/").OpenText("/yard/a.block", text)
		require.Empty(t, f.Tree.Errors, text)
		return f
	}
	// With other names it is the same file.
	renamed := strings.NewReplacer("size", "other", "rows", "rows", "row", "third", "spacer", "fourth").Replace(text)
	for _, f := range []*File{read(text), read(renamed)} {
		b := f.Blocks[0]
		assert.Empty(t, f.Problems)
		assert.Empty(t, b.Sizes)
		assert.Empty(t, f.Settings[0].OwnRows)
		assert.False(t, b.Broken || f.Settings[0].Broken)
		assert.Len(t, b.Sections, 3)
		assert.Len(t, b.Sections[1].Patches, 2)
		assert.Len(t, f.Colourways[0].Swaps, 2)
		assert.Len(t, b.Colourways[0].Swaps, 2)
		assert.Len(t, f.Settings[0].Cells, 2)
	}
}
