package syntax

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reserved word refused where it is declared is not refused again at every use;
// one that is nowhere declared is.
func TestAReservedNameIsToldOnce(t *testing.T) {
	tree := parse(`block "A" 6 by 6 {
  let mid = 3
  section A {
    patch 1 sky around (1, 2)
    patch 2 sky beyond (mid, 0) (4 + mid, 6)
    notch lamp (mid, 6)
  }
}
`)
	require.Len(t, tree.Errors, 1)
	assert.Equal(t, ReservedWord, tree.Errors[0].Kind)
	assert.Equal(t, Unreadable, tree.Items[0].Body[1].Body[2].Kind, "the notch is lost, silently")

	assert.Len(t, parse("block \"A\" 6 by 6 {\n  point p = (mid, 3)\n  point q = (4 + mid, 3)\n}\n").Errors, 2)
}
