package block

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// filesOf opens a.block among others.
func filesOf(files map[string]string) *File {
	read := func(path string) (string, error) {
		if text, ok := files[path[len("/yard/"):]]; ok {
			return text, nil
		}
		return "", fmt.Errorf("no file %s", path)
	}
	return NewLoader(syntax.NewReader(), read).Within("/yard").OpenText("/yard/a.block", files["a.block"])
}

const (
	paletteText = "fabric cap \"Cap red\"\nfabric rust\n"
	toadstool   = `use "palette.block"
units cm
let half = 5
block "Toadstool" 10 by 10 {
  fabric gill
  seam brim from (0, half) to (10, half)
  section A "Cap" {
    patch 1 cap around (5, 8)
    patch 2 gill beyond (0, 8) (2, 10) note "the edge"
    notch m (5, 10)
    note "a cap"
  }
  section B beyond brim {
    patch 1 gill around (5, 2) cut 12 by 7
  }
  join A to B
}
`
	meadow = `use "toadstool.block"
use "palette.block"
block "Meadow" 30 by 30 {
  section C, D "Stem" = A, B of "Toadstool" moved (1, 0)
  section E = A of "Toadstool" scaled 1/2 about (0, 0) with cap = rust, gill = cap
}
`
)

// Copies of copies across three files: names are those of the file that types them, lengths in moves those of this one.
func TestSectionsOfOtherBlocks(t *testing.T) {
	f := filesOf(map[string]string{"palette.block": paletteText, "toadstool.block": toadstool, "meadow.block": meadow, "a.block": `use "meadow.block"
fabric cap "Another cap"
fabric own
block "Garden" 12 by 12 {
  section P = C of "Meadow" moved (1, 0) with cap = own
  section Q "Stem" = D of "Meadow" moved (0, 1) moved (0, 1)
  section R = E of "Meadow" turned 0 about (0, 0) with rust = cap
  section S = P moved (0, 5)
}
`})
	require.Empty(t, f.Problems)
	require.Empty(t, f.Uses[0].File.Problems)
	p, q, r, s := section(t, f, "P"), section(t, f, "Q"), section(t, f, "R"), section(t, f, "S")
	names := func(s *Section) (out []string) {
		for _, p := range s.Patches {
			out = append(out, p.Fabric.Name+" of "+p.Fabric.At.File.Path)
		}
		return out
	}
	assert.Equal(t, []string{"own of /yard/a.block", "gill of /yard/toadstool.block"}, names(p))
	assert.Equal(t, []string{"gill of /yard/toadstool.block"}, names(q))
	assert.Equal(t, []string{"cap of /yard/a.block", "cap of /yard/palette.block"}, names(r))
	assert.Equal(t, names(p), names(s))
	// 1 in of Meadow's move, 1 in of this one's, on 10 cm by 5 cm.
	box := p.Outline.Bounds()
	assert.InDelta(t, 2*geom.Inch, box.Min.X, 1e-6)
	assert.InDelta(t, 5*geom.Centimetre, box.Min.Y, 1e-6)
	assert.InDelta(t, 10*geom.Centimetre, box.Width(), 1e-6)
	assert.InDelta(t, 2*geom.Inch, q.Outline.Bounds().Min.Y, 1e-6)
	assert.InDelta(t, 5*geom.Centimetre, r.Outline.Bounds().Width(), 1e-6)
	assert.NotNil(t, q.Patches[0].Cut)
	assert.Equal(t, "the edge", p.Patches[1].Note)
	assert.Equal(t, "a cap", p.Notes[0].Text)
	for _, one := range []*Section{p, q, r} {
		assert.True(t, one.Own(), one.Name)
		assert.True(t, one.FromElsewhere())
		for _, patch := range one.Patches {
			assert.Equal(t, one.At, patch.ShapeAt())
		}
	}
	assert.Same(t, p, s.Reported())
	assert.Equal(t, "copy of C of Meadow", p.Called())
	assert.Equal(t, "Stem", q.Called())
	assert.Equal(t, p.At, p.Notches[0].NameAt)
	used := map[string]bool{}
	for _, ref := range f.References() {
		used[f.Source.Text[ref.At.Start:ref.At.End]+" "+ref.To.At.File.Path] = true
	}
	for _, want := range []string{`C /yard/meadow.block`, `"Meadow" /yard/meadow.block`, `cap /yard/palette.block`, `rust /yard/palette.block`, "own /yard/a.block", "cap /yard/a.block"} {
		assert.True(t, used[want], want)
	}
}

// One declaration that is reached in two ways is one fabric.
func TestOneFabricInTwoWays(t *testing.T) {
	f := filesOf(map[string]string{"palette.block": paletteText, "toadstool.block": toadstool, "a.block": `use "toadstool.block"
use "palette.block"
block "B" 10 by 10 {
  section A = A of "Toadstool" moved (0, 0)
  section C {
    patch 1 cap (0, 0) (1, 0) (1, 1)
  }
}
`})
	require.Empty(t, f.Problems)
	assert.Same(t, section(t, f, "A").Patches[0].Fabric, section(t, f, "C").Patches[0].Fabric)
}

// Blocks of one file take sections from each other in any order; what has lines in its own block fits lines here.
func TestSectionsOfBlocksOfOneFile(t *testing.T) {
	f := open(t, `fabric sky
block "First" 4 by 4 {
  seam h from (0, 2) to (4, 2)
  section A {
    patch 1 sky around (1, 3)
  }
  section B beyond h = B of "Second" moved (0, 0)
}
block "Second" 4 by 4 {
  section A beyond (0, 2) (4, 2) {
    patch 1 sky around (1, 3)
  }
  section B {
    patch 1 sky around (1, 1)
  }
}
`)
	require.Empty(t, f.Problems)
	assert.Equal(t, "(0, 2) (4, 2) (4, 4) (0, 4)", cornersOf(section(t, f, "A").Outline))
	assert.Equal(t, "(0, 0) (4, 0) (4, 2) (0, 2)", cornersOf(section(t, f, "B").Outline))
}

// What a section of another block can lack is said where it is named.
func TestSectionsOfOtherBlocksThatAreNone(t *testing.T) {
	for copied, want := range map[string]Problem{
		`A of "Nowhere" moved (0, 0)`:                             {Kind: UnknownName, What: "block", Name: "Nowhere"},
		`Z of "Toadstool" moved (0, 0)`:                           {Kind: UnknownName, What: "section", Name: "Z"},
		`A of "Toadstool" moved (0, 0) with none = own`:           {Kind: UnknownName, What: "fabric", Name: "none"},
		`A of "Toadstool" moved (0, 0) with cap = none`:           {Kind: UnknownName, What: "fabric", Name: "none"},
		`A of "B" moved (0, 0)`:                                   {Kind: CopyCycle, Cause: BlocksInCircle, Name: "B"},
		`A of "Other" moved (0, 0)`:                               {Kind: CopyCycle, Cause: BlocksInCircle, Name: "B"},
		`A of "Toadstool" moved (0, 0) with cap = own, cap = own`: {Kind: DuplicateName, What: "fabric", Name: "cap"},
	} {
		f := filesOf(map[string]string{"palette.block": paletteText, "toadstool.block": toadstool, "a.block": `use "toadstool.block"
fabric own
block "B" 10 by 10 {
  section A = ` + copied + `
}
block "Other" 10 by 10 {
  section A = A of "B" moved (0, 0)
}
`})
		require.Len(t, f.Problems, 1, copied)
		p := f.Problems[0]
		assert.Equal(t, []any{want.Kind, want.Cause, want.What, want.Name}, []any{p.Kind, p.Cause, p.What, p.Name}, copied)
	}
}
