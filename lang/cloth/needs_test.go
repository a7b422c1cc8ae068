package cloth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/syntax"
)

// The outer allowance holds on the block's outline, whether it is wider or narrower than the other.
func TestNeeds(t *testing.T) {
	for _, outer := range []string{"1/2", "1/4", "1/8"} {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText(t.TempDir()+"/a.block", "fabric sky\nblock \"T\" 4 by 4 {\n  allowance 1/4\n  allowance outer "+outer+
			"\n  section A {\n    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)\n  }\n  section B {\n    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)\n  }\n  join A to B\n}\n")
		b := f.Blocks[0]
		require.False(t, b.Broken)
		in, out := b.Allowance.Size.Float64(), b.OuterAllowance.Size.Float64()
		assert.Equal(t, []float64{out, out, in, out}, cloth.Needs(b.Sections[0].Patches[0]))
	}
}
