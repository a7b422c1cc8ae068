package svgimport_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/svgimport"
	"sewable/lang/syntax"
)

const harbour = "../../testdata/harbour"

func open(t *testing.T, path string) *block.File {
	t.Helper()
	f, err := block.NewLoader(syntax.NewReader(), nil).Open(path)
	require.NoError(t, err)
	return f
}

// readText is the model of a block file's text.
func readText(t *testing.T, text string) *block.Block {
	t.Helper()
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/imported.block", text)
	require.Empty(t, f.Tree.Errors, text)
	require.Empty(t, f.Problems, text)
	require.Len(t, f.Blocks, 1)
	return f.Blocks[0]
}

// Every block of the harbour is drawn and read back: the same size, sections, numbers, fabrics
// and, within a hair, patches; from both sides, with and without labels and key.
func TestOwnDrawingsReadBack(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(harbour, "*.block"))
	require.NoError(t, err)
	blocks := 0
	for _, path := range paths {
		for _, b := range open(t, path).Blocks {
			blocks++
			for _, o := range []draw.Options{{}, {View: draw.Printed, Key: true}, {Labels: draw.SectionLabels, Size: 300}} {
				var out bytes.Buffer
				require.NoError(t, svg.Write(&out, draw.Block(sew.Analyse(b), o), svg.Options{}))
				got, err := svgimport.Import("x.svg", out.String(), svgimport.Options{})
				require.NoError(t, err, b.Name)
				same(t, b, readText(t, got.Text))
			}
		}
	}
	assert.Equal(t, 23, blocks)
}

// Names as long as the language has them come back too.
func TestLongNamesReadBack(t *testing.T) {
	long := strings.Repeat("dämmerung_", 19) + "am_Kai"
	b := readText(t, "fabric "+long+" #112233\nblock \"Quay\" 1 by 1 {\n  allowance 1/4\n  section "+long+" {\n    patch 1 "+long+" (0, 0) (1, 0) (1, 1) (0, 1)\n  }\n}\n")
	var out bytes.Buffer
	require.NoError(t, svg.Write(&out, draw.Block(sew.Analyse(b), draw.Options{}), svg.Options{}))
	got, err := svgimport.Import("x.svg", out.String(), svgimport.Options{})
	require.NoError(t, err)
	same(t, b, readText(t, got.Text))
}

func same(t *testing.T, want, got *block.Block) {
	t.Helper()
	name := want.Name
	require.Equal(t, name, got.Name)
	require.InDelta(t, want.Width.Float64(), got.Width.Float64(), 1e-6, name)
	require.InDelta(t, want.Height.Float64(), got.Height.Float64(), 1e-6, name)
	require.Equal(t, want.File.Unit, got.File.Unit, name)
	require.Len(t, got.Sections, len(want.Sections), name)
	require.Len(t, got.Loose, len(want.Loose), name)
	require.Len(t, got.Joins, len(want.Joins), name)
	for i, j := range want.Joins {
		k := got.Joins[i]
		require.Equal(t, [3]any{j.A.Name, j.B.Name, j.Kind}, [3]any{k.A.Name, k.B.Name, k.Kind}, name)
		require.Equal(t, j.PressToward == nil, k.PressToward == nil, name)
	}
	for _, s := range want.Sections {
		var is *block.Section
		for _, g := range got.Sections {
			if g.Name == s.Name {
				is = g
			}
		}
		require.NotNil(t, is, "%s: section %s", name, s.Name)
		require.Len(t, is.Patches, len(s.Patches), "%s: section %s", name, s.Name)
		for i, p := range s.Patches {
			q := is.Patches[i]
			require.Equal(t, p.Number, q.Number)
			require.Equal(t, p.Fabric.Name, q.Fabric.Name, name)
			if p.Fabric.Colour != "" {
				require.Equal(t, p.Fabric.Colour, q.Fabric.Colour, name)
			}
			require.Equal(t, p.Fabric.Title, q.Fabric.Title, name)
			within(t, p.Corners, q.Corners, "%s: %s%d", name, s.Name, p.Number)
		}
	}
}

// within says that two polygons are the same within a hair: each corner of one lies on the
// outline of the other.
func within(t *testing.T, a, b geom.Polygon, words ...any) {
	t.Helper()
	for _, pair := range [][2]geom.Polygon{{a, b}, {b, a}} {
		for _, p := range pair[0] {
			least := 1e9
			for i := range pair[1] {
				least = min(least, pair[1].Edge(i).Dist(p))
			}
			require.LessOrEqual(t, least, geom.Hair, words...)
		}
	}
	require.InDelta(t, a.CCW().Area(), b.CCW().Area(), geom.Hair*a.Perimeter(), words...)
}
