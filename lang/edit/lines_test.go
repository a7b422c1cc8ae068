package edit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/edit"
	"sewable/lang/geom"
)

// A block in lines: a mast that ends a hair or two short of the yard is closed, a line in the open
// is told of, and the patches fill the block.
func TestLines(t *testing.T) {
	f := read(`fabric sky
fabric sea
block "Pier" 6 by 6 {
  seam horizon from (0, 2) to (6, 2)
  seam mast from (3, 2) to (3, 5.99)
  seam plank from (1, 1) to (2, 1)
}
`)
	b := f.Blocks[0]
	l, err := edit.Lines(b, 2.5)
	require.NoError(t, err)
	require.Len(t, l.Patches, 3)
	sum := 0.0
	for _, p := range l.Patches {
		sum += p.Corners.Area()
		assert.Equal(t, "plain", p.Fabric.Name)
	}
	assert.InDelta(t, 36*geom.Inch*geom.Inch, sum, 1)
	assert.True(t, l.New)
	require.Len(t, l.Closed, 1)
	assert.InDelta(t, 1.27, l.Closed[0].Dist, 1e-6)
	assert.InDelta(t, 6*geom.Inch, l.Closed[0].To.Y, 1e-6)
	require.Len(t, l.Strays, 1)
	assert.Equal(t, 1*geom.Inch, l.Strays[0].Length)
	assert.Empty(t, b.Loose, "the block is as it was")
}

func TestLinesFabric(t *testing.T) {
	for _, c := range []struct {
		fabrics, want string
		isNew         bool
	}{
		{"", "plain", true},
		{"fabric sky\n", "sky", false},
		{"fabric sky\nfabric sea\n", "plain", true},
		{"fabric sky\nfabric plain\n", "plain", false},
	} {
		l, err := edit.Lines(read(c.fabrics+"block \"Pier\" 6 by 6 {\n  seam s from (0, 2) to (6, 2)\n}\n").Blocks[0], 0)
		require.NoError(t, err)
		assert.Equal(t, c.want, l.Fabric.Name, c.fabrics)
		assert.Equal(t, c.isNew, l.New, c.fabrics)
	}
	_, err := edit.Lines(read("fabric sky\nblock \"Pier\" 6 by 6 {\n  patch sky (0, 0) (6, 0) (6, 6) (0, 6)\n}\n").Blocks[0], 0)
	assert.EqualError(t, err, `block "Pier" has patches already`)
}
