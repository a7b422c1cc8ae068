package sew_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint/linttest"
)

// A scaled copy is sewn as the same section is whose coordinates are typed at that size.
func TestScaledCopiesAgainstScaledCoordinates(t *testing.T) {
	for seed := range uint64(12) {
		for _, ratio := range []string{"1/2", "3/4", "2", "1/40"} {
			text := linttest.GenerateBlock(seed, 12)
			end := strings.LastIndex(text, "}")
			copied := block.NewLoader(syntax.NewReader(), nil).OpenText("a.block", text[:end]+"  section ZZ = A scaled "+ratio+" about (0, 0)\n}\n")
			require.Empty(t, copied.Tree.Errors)
			b := copied.Blocks[0]
			s := b.Sections[len(b.Sections)-1]
			require.Equal(t, "ZZ", s.Name)
			typed := "fabric x\nblock \"T\" 100 by 100 {\n  section ZZ {\n"
			words := func(p geom.Polygon) (out string) {
				for _, c := range p {
					out += " " + geom.FormatPoint(c, geom.Inches)
				}
				return out
			}
			if s.Outline != nil {
				typed += "    outline" + words(s.Outline) + "\n"
			}
			for _, p := range s.Patches {
				typed += fmt.Sprintf("    patch %d x%s\n", p.Number, words(p.Corners))
			}
			f := block.NewLoader(syntax.NewReader(), nil).OpenText("b.block", typed+"  }\n}\n")
			require.Empty(t, f.Problems, typed)
			is, should := sew.Analyse(b).Section(s), sew.Analyse(f.Blocks[0]).Sections[0]
			assert.False(t, is.IsCopy())
			assert.Equal(t, should.Flawed(), is.Flawed(), "%d %s", seed, ratio)
			if !is.Flawed() {
				assert.Equal(t, should.Sewable(), is.Sewable())
				assert.Equal(t, should.InOrder(), is.InOrder())
				assert.Equal(t, should.Order(), is.Order())
			}
		}
	}
}
