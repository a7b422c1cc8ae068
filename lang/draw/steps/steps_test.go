package steps_test

import (
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

var options = cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3}}

func open(t *testing.T, name string) *block.File {
	f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/harbour/" + name + ".block")
	require.NoError(t, err)
	return f
}

func plan(t *testing.T, name, way string) *steps.Plan {
	f := open(t, name)
	b := f.Blocks[0]
	return steps.Of(sew.Analyse(b), steps.Options{Colourway: block.ColourwayOf(b, way), Cloth: options, Unit: f.Unit})
}

func TestThePatchesOfTheSloop(t *testing.T) {
	p := plan(t, "sloop", "")
	require.Len(t, p.Sections, 3)
	jib := p.Sections[0]
	assert.Equal(t, "Section A, Jib", jib.Head())
	assert.Equal(t, "Sew A1 and A2 in this order.", jib.Sequence())
	assert.Equal(t, "A1 Foam, 4¾\u00a0×\u00a03¾\u00a0in", jib.Steps[0].Short())
	assert.Contains(t, jib.Steps[0].Words, "Place Foam on the blank side of the paper, right side up, centered on A1.")
	assert.Equal(t, "7¼\u00a0×\u00a04¼\u00a0in", jib.Steps[1].Cut)
	assert.Equal(t, "Fold the paper back on the line that A2 shares with A1, and trim ¼\u00a0in past the fold. "+
		"Place Morning sky right sides together, its long edge (7¼\u00a0in) on the trimmed edge. Let it reach 1⅝\u00a0in past the upper end of the line. "+
		"Unfold the paper, pin, flip open to test, and flip it back. Turn over. Stitch on the line from the printed side, to the edge of the paper at both ends. Flip open and press.", jib.Steps[1].Words)
	assert.Contains(t, p.Sections[1].Steps[3].Words, "on the line that B4 shares with B1, B2 and B3")
	assert.Equal(t, "Sew C1 to C6 in this order.", p.Sections[2].Sequence())
}

func TestTheJoinsOfTheSloop(t *testing.T) {
	p := plan(t, "sloop", "")
	require.Len(t, p.Joins, 2)
	assert.Equal(t, "Sew A to B, right sides together: 5\u00a0in. Match the ends and the notch “mast”. Press the seam open.", p.Joins[0].Words)
	assert.Equal(t, "Sew C to the unit of A and B, right sides together: 8\u00a0in. Match the ends, the seam intersection and the notch “w”. Press the seam open.",
		p.Joins[1].Words)
	assert.True(t, p.Sewable)
}

// The last join of the compass sews its two halves, not only the wedges along it.
func TestUnitsAreWhole(t *testing.T) {
	joins := plan(t, "compass", "").Joins
	assert.Contains(t, joins[len(joins)-1].Words, "Sew the unit of A, B, C and D to the unit of E, F, G and H")
}

func TestColourwaysChangeTheWords(t *testing.T) {
	assert.Equal(t, "A2 Plum dusk, 7¼\u00a0×\u00a04¼\u00a0in", plan(t, "sloop", "dusk").Sections[0].Steps[1].Short())
}

func TestPartialAndInsetSeams(t *testing.T) {
	p := plan(t, "windlass", "")
	assert.Equal(t, "Sew E to A, right sides together, along part of their edge only: from the outer end to the notch “stop” (1¼\u00a0in); leave the rest open. Join 5 finishes it. Press the seam open.", p.Joins[0].Words)
	assert.Contains(t, p.Joins[4].Words, "Finish the seam between E and A that was left open.")
	inset := plan(t, "galley-window", "")
	for _, m := range [2]steps.Move{moveOf(t, p.Joins[0].Full, steps.Pin), moveOf(t, p.Joins[0].Brief, steps.Pin)} {
		assert.Contains(t, m.Words, " at the outer end and at the notch “stop”")
	}
	assert.Equal(t, "finish the seam: E to A", p.Joins[4].Pair())
	assert.Equal(t, "the unit of A, B and E", strings.SplitN(p.Joins[2].Pair(), " to ", 2)[0], p.Joins[2].Pair())
	assert.Contains(t, inset.Joins[2].Words, "Set-in seam (Y-seam): every seam that ends at the corner stops ¼\u00a0in from the edge. Clip the inner corner")
	assert.Contains(t, inset.Joins[1].Words, "Stop ¼\u00a0in from the edge at the corner where join 3 is set in.")
	assert.NotContains(t, inset.Joins[0].Words, "is set in")
}

// quay is a step in the edge of two sections, each side of it sewn by itself.
const quay = `allowance 1/4
fabric sky
fabric quay
block "Quay" 5 by 4 {
  section A {
    patch 1 quay (0, 0) (5, 0) (5, 2) (3, 2) (3, 2 1/2) (0, 2 1/2)
  }
  section B {
    patch 1 sky (0, 2 1/2) (3, 2 1/2) (3, 2) (5, 2) (5, 4) (0, 4)
  }
  join A to B inset
}
`

// A step is said once, though both edges have it; every side of a set-in join is pinned and sewn by itself.
func TestAStepIsSaidOnce(t *testing.T) {
	p := written(t, quay)
	require.Len(t, p.Joins, 1)
	j := p.Joins[0]
	assert.Equal(t, 1, strings.Count(j.Words, "step"), j.Words)
	assert.Contains(t, j.Words, "The edges of A and B have a step of ½\u00a0in here.")
	assert.Contains(t, j.Words, "Set-in seam (Y-seam) of 3 sides: every seam that ends at a corner stops ¼\u00a0in from the edge.")
	var sides []string
	for _, m := range j.Full[1:] {
		sides = append(sides, m.Title)
		assert.Equal(t, m.Title[len(m.Title)-1:], strconv.Itoa(m.Side+1))
	}
	assert.Equal(t, []string{"Pin side 1", "Stitch side 1", "Pin side 2", "Stitch side 2", "Pin side 3", "Stitch side 3"}, sides)
	assert.Contains(t, j.Full[1].Words, "at each end of side 1")
	assert.Equal(t, "Stitch this side on the line, from corner to corner.", j.Full[4].Words)
	assert.Contains(t, j.Full[6].Words, "from the corner outward. Then press the seam open.")
	require.Len(t, j.Brief, 4)
	assert.NotContains(t, j.Brief[1].Words, "press")
	assert.Contains(t, j.Brief[3].Words, "Turn the work at the corner until the next edges lie together")
	assert.Contains(t, j.Brief[3].Words, "Then press the seam open.")

	// A step in one edge alone is that section's.
	lone := written(t, strings.Replace(quay, "(3, 2 1/2) (3, 2) (5, 2) (5, 4)", "(3, 2 1/2) (5, 2 1/2) (5, 4)", 1))
	for _, j := range lone.Joins {
		assert.NotContains(t, j.Words, "edges of")
	}
}

// A partial join without a notch goes from the block's edge, or from the end that lies outside, to the middle of what both share.
func TestAPartialJoinWithoutANotch(t *testing.T) {
	const wheel = `allowance 1/4
fabric sky
block "Wheel" 6 by 6 {
  section M {
    patch 1 sky (2, 2) (4, 2) (4, 4) (2, 4)
  }
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (4, 0) (6, 0) (6, 4) (4, 4)
  }
  section C {
    patch 1 sky (2, 4) (6, 4) (6, 6) (2, 6)
  }
  section D {
    patch 1 sky (0, 2) (2, 2) (2, 6) (0, 6)
  }
  join A to M partial
  join B to A
  join C to B
  join D to C
  finish A to M
}
`
	p := written(t, wheel)
	require.Len(t, p.Joins, 5, p.NoJoins)
	require.NotNil(t, p.Joins[0].Part)
	assert.Contains(t, p.Joins[0].Words, "from the outer end to the middle (1\u00a0in); leave the rest open.")

	// The edge that both share begins at the block's edge.
	edge := written(t, `allowance 1/4
fabric sky
block "Shelf" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (2, 2) (2, 4) (0, 4)
  }
  section C {
    patch 1 sky (2, 2) (4, 2) (4, 4) (2, 4)
  }
  join A to B partial
  join C to B
  finish A to B
}
`)
	parts := 0
	for _, j := range edge.Joins {
		if j.Part != nil {
			parts++
			assert.Contains(t, j.Words, "from the block's edge to the middle")
		}
	}
	assert.Equal(t, 1, parts, "%v %s", len(edge.Joins), edge.NoJoins)
}

func written(t *testing.T, text string) *steps.Plan {
	t.Helper()
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/t.block", text)
	require.Empty(t, f.Tree.Errors)
	return steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options, Unit: f.Unit})
}

// Every patch of every demo block is sewn once, after all it lies on, and has
// a piece to cut.
func TestEveryDemoBlock(t *testing.T) {
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	for _, path := range paths {
		f := open(t, strings.TrimSuffix(filepath.Base(path), ".block"))
		for _, b := range f.Blocks {
			p := steps.Of(sew.Analyse(b), steps.Options{Cloth: options, Unit: f.Unit})
			assert.True(t, p.Sewable, b.Name)
			assert.Len(t, p.Joins, len(b.Joins), b.Name)
			done := map[*block.Patch]bool{}
			for _, s := range p.Sections {
				for i, step := range s.Steps {
					assert.NotEmpty(t, step.Cut)
					if i > 0 {
						require.NotNil(t, step.Seam, steps.Label(step.Patch))
						for _, on := range step.Seam.On {
							assert.True(t, done[on], "%s is sewn before %s", steps.Label(on), steps.Label(step.Patch))
						}
					}
					assert.False(t, done[step.Patch])
					done[step.Patch] = true
				}
			}
			patches := 0
			for _, s := range b.Sections {
				patches += len(s.Patches)
			}
			assert.Len(t, done, patches, b.Name)
		}
	}
}

func TestUnsewable(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a #ffffff
block "Four" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 a (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 a (2, 0) (4, 0) (4, 2) (2, 2)
    patch 3 a (2, 2) (4, 2) (4, 4) (2, 4)
    patch 4 a (0, 2) (2, 2) (2, 4) (0, 4)
  }
}
`)
	p := steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{})
	assert.False(t, p.Sewable)
	assert.Contains(t, p.Sections[0].Steps[3].Words, "cannot be sewn")
}

// The moves come in the order of the hands, each caution with the move it belongs to.
func TestTheMovesOfASeam(t *testing.T) {
	step := plan(t, "sloop", "").Sections[0].Steps[1]
	var kinds []string
	care := map[steps.Kind]string{}
	for _, m := range step.Full {
		kinds = append(kinds, m.Kind.String())
		care[m.Kind] = m.Care
	}
	assert.Equal(t, "fold trim lay test sew back open done", strings.Join(kinds, " "))
	assert.Equal(t, texts.CareKnife, care[steps.Trim])
	assert.Equal(t, texts.CarePins, care[steps.Test])
	assert.Equal(t, texts.CareIron, care[steps.Open])
	kinds = nil
	for _, m := range step.Brief {
		kinds = append(kinds, m.Kind.String())
	}
	assert.Equal(t, "folded lay test sew open", strings.Join(kinds, " "))
}

// Every place of every text is filled.
func TestNoPlaceIsLeftOpen(t *testing.T) {
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	for _, path := range paths {
		f := open(t, strings.TrimSuffix(filepath.Base(path), ".block"))
		for _, b := range f.Blocks {
			p := steps.Of(sew.Analyse(b), steps.Options{Cloth: options, Unit: f.Unit})
			moves := p.Last
			for _, s := range p.Sections {
				moves = append(append(moves, s.Finish...), s.Brief...)
				for _, step := range s.Steps {
					moves = append(append(append(moves, step.Full...), step.Brief...), steps.Move{Words: step.Words}, steps.Move{Words: step.Short()})
				}
			}
			for _, j := range p.Joins {
				moves = append(append(append(moves, j.Full...), j.Brief...), steps.Move{Words: j.Words})
			}
			for _, m := range moves {
				assert.NotContains(t, m.Words+m.Title+m.Care, "{", b.Name)
				assert.NotContains(t, m.Words, "  ", b.Name)
			}
		}
	}
}

// Stitches run 1/4 in past an inner end, and through the allowance where the seam ends on the outline.
func TestStitchesGoPastTheEnds(t *testing.T) {
	p := plan(t, "sloop", "")
	b := p.Sections[1]
	line, outer := b.Stitches(b.Steps[1].Seam.Segment, steps.Past)
	assert.Equal(t, 1, map[bool]int{true: 1}[outer[0] != outer[1]], "one end on the outline, one inside")
	for i, ends := range [2][2]geom.Point{{b.Steps[1].Seam.A, line.A}, {b.Steps[1].Seam.B, line.B}} {
		assert.InDelta(t, geom.Inch/4, ends[0].Dist(ends[1]), 1e-6, "end %d: the allowance is 1/4 in too", i)
	}
	assert.Contains(t, b.Steps[1].Words, "to the edge of the paper at the outer end, and ¼\u00a0in past the line at the other")
	c := p.Sections[2]
	assert.Contains(t, c.Steps[1].Words, "¼\u00a0in past both ends")
}

// A copy that is turned is sewn like its original; a mirrored one is not.
func TestSectionsSewnAlike(t *testing.T) {
	like := map[string]string{}
	for _, s := range plan(t, "compass", "").Sections {
		if s.Like != nil {
			like[s.Of.Of.Name] = s.Like.Of.Of.Name
		}
	}
	assert.NotEmpty(t, like)
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a #ffffff
fabric b #000000
block "Pair" 4 by 2 {
  allowance 1/4
  section A {
    outline (0, 0) (2, 0) (2, 2) (0, 2)
    patch 1 a around (1/4, 1/4)
    patch 2 b beyond (0, 1) (2, 1 1/2)
  }
  section B = A mirrored across (2, 0) (2, 2)
  join A to B
}
`)
	require.Empty(t, f.Problems)
	p := steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options})
	assert.Nil(t, p.Sections[1].Like)
}

// A block that has no allowance yet, as while it is typed, has its steps in words.
func TestNoAllowance(t *testing.T) {
	for _, line := range []string{"", "allowance"} {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a #ffffff
block "Bare" 4 by 2 {
  `+line+`
  section A {
    outline (0, 0) (4, 0) (4, 2) (0, 2)
    patch 1 a around (1/4, 1/4)
    patch 2 a beyond (2, 0) (2, 2)
  }
}
`)
		p := steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options})
		assert.Contains(t, p.Sections[0].Steps[1].Words, "Fold the paper back", line)
		assert.Empty(t, p.Sections[0].Finish, line)
	}
}

// A copy is not what its original's title says, least of all mirrored.
func TestACopyIsCalledACopy(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `fabric sky
block "Wings" 6 by 2 {
  allowance 1/4
  section A "Left wing" {
    patch 1 sky (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B = A mirrored across (3, 0) (3, 2)
  section C = A moved (2, 0)
  join A to C
  join C to B
}
`)
	require.Empty(t, f.Problems)
	var heads []string
	for _, s := range steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options}).Sections {
		heads = append(heads, s.Head())
	}
	assert.ElementsMatch(t, []string{"Section A, Left wing", "Section B, mirrored copy of A", "Section C, copy of A"}, heads)
}

// upright is a directional print on a slanted seam, which is laid upright, folded under and creased.
func upright(t *testing.T) *steps.Plan {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric plain
fabric ticking directional
block "Ramp" 6 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (6, 0) (6, 4) (0, 4)
    patch 1 plain around (1/4, 1/4)
    patch 2 ticking beyond (0, 1) (6, 2 2/3)
  }
}
`)
	require.Empty(t, f.Problems)
	return steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options, Unit: f.Unit})
}

// moveOf is the words of a move of a kind, and the caution there.
func moveOf(t *testing.T, moves []steps.Move, kind steps.Kind) steps.Move {
	for _, m := range moves {
		if m.Kind == kind {
			return m
		}
	}
	require.Fail(t, "no such move", kind.String())
	return steps.Move{}
}

// Before she stitches, the paper is unfolded, the work is tested, and the pin is out of the needle's way.
func TestNobodyStitchesOverAPin(t *testing.T) {
	sloop, ramp := plan(t, "sloop", "").Sections[0].Steps[1], upright(t).Sections[0].Steps[1]
	require.Equal(t, cloth.Folded, ramp.Laid.Way)
	for _, moves := range [][]steps.Move{sloop.Full, sloop.Brief, ramp.Full, ramp.Brief} {
		said := ""
		for _, m := range moves {
			if m.Kind == steps.Sew {
				assert.Contains(t, said, "Unfold the paper")
				assert.Regexp(t, "(move the pin at least ½\u00a0in away from|move the pin off) the line", said)
				assert.Regexp(t, "^Turn (the work )?over\\.", m.Words)
				assert.Contains(t, m.Words, "Take the pin out before the needle reaches it.")
			}
			said += m.Words + " "
		}
		assert.Contains(t, moveOf(t, moves, steps.Test).Words, "A2")
	}
	assert.Contains(t, ramp.Words, "Unfold the paper")
}

// A print on a slanted seam lies, before it is flipped, mirrored over its seam; its size says which side goes up; its
// seam is trimmed with the paper out of the way.
func TestAPrintThatIsCreased(t *testing.T) {
	step := upright(t).Sections[0].Steps[1]
	over, ok := geom.MirrorAcross(step.Seam.A, step.Seam.B)
	require.True(t, ok)
	back := over.ApplyTo(step.Laid.Flat)
	assert.InDelta(t, step.Laid.Open.Bounds().Width(), back.Bounds().Width(), 1e-6)
	assert.InDelta(t, step.Laid.Open.Bounds().Min.Y, back.Bounds().Min.Y, 1e-6)
	assert.Greater(t, step.Laid.Flat.Bounds().Width(), step.Laid.Open.Bounds().Width()+1, "it lies askew")
	assert.Regexp(t, "^[0-9¼½¾]+\u00a0in wide, [0-9¼½¾]+\u00a0in up the print$", step.Cut)
	for _, moves := range [][]steps.Move{step.Full, step.Brief} {
		assert.Equal(t, "Unfold the paper and turn the work over. Place ticking right side up over A2, the print's top toward the arrow, "+
			"centered against the light. Fold it under along the line and crease it.", moveOf(t, moves, steps.Crease).Words)
		open := moveOf(t, moves, steps.Open)
		assert.Contains(t, open.Words, "Fold the paper out of the way and trim the seam")
		assert.Contains(t, open.Care, texts.CareKnife)
	}
	assert.Contains(t, step.Words, "Fold the paper out of the way")
}

// Patches are called by their labels, and a copy is sewn exactly like its original.
func TestTheSequence(t *testing.T) {
	p := plan(t, "sloop", "")
	assert.Equal(t, "Sew A1 and A2 in this order.", p.Sections[0].Sequence())
	assert.Equal(t, "Sew C1 to C6 in this order.", p.Sections[2].Sequence())
}

// A corner that is not square is further out when it is trimmed: a hexagon's points are the allowance over cos 30°
// out, 0.289 in and not 1/4 in, so 8 in finished is 8.577 in unfinished. Every page says so.
func TestUnfinishedSize(t *testing.T) {
	for name, want := range map[string]string{"urchin": "8\u00a09/16\u00a0×\u00a07\u00a07/16\u00a0in", "sloop": "8½\u00a0in\u00a0square"} {
		b := open(t, name).Blocks[0]
		assert.Equal(t, want, steps.Unfinished(b))
		assert.Contains(t, plan(t, name, "").Last[0].Words, want+" unfinished")
	}
}

// Of a directional print the words say where its top goes while it lies face down: mirrored over the seam it is upright.
func TestThePrintIsUprightAfterTheFlip(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	said := map[string]int{}
	for range 400 {
		turn := float64(90 * random.IntN(4))
		if random.IntN(3) == 0 {
			turn = float64(random.IntN(360))
		}
		line := [...]string{"(0, 2) (6, 2)", "(3, 0) (3, 4)", "(0, 1) (6, 2 2/3)", "(2, 0) (3, 4)", "(0, 0) (6, 4)"}[random.IntN(5)]
		dot := [...]string{"(1/8, 3 7/8)", "(5 7/8, 1/8)"}[random.IntN(2)]
		cut := [...]string{"", " cut 6 by 9"}[random.IntN(2)]
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric plain
fabric ticking directional
block "Ramp" 6 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (6, 0) (6, 4) (0, 4)
    patch 1 plain around `+dot+`
    patch 2 ticking beyond `+line+cut+`
  }
}
`)
		if len(f.Problems) > 0 {
			continue
		}
		b := f.Blocks[0]
		at := cloth.Placed{Block: b, Up: turn, Mirrored: random.IntN(2) == 0, Count: 1}
		p := steps.Of(sew.Analyse(b), steps.Options{At: at, Cloth: options, Unit: f.Unit})
		step := p.Sections[0].Steps[1]
		if step.Seam == nil || step.Laid.Way != cloth.ByEdge || !step.Laid.Up {
			continue
		}
		m := regexp.MustCompile(`The print must be upright after you flip it open: place its top (away from A1|toward A1|toward the (upper|lower|left|right) end of the line)`).FindStringSubmatch(step.Words)
		require.NotNil(t, m, step.Words)
		assert.Contains(t, moveOf(t, step.Brief, steps.Lay).Words, m[0])
		assert.Contains(t, moveOf(t, step.Full, steps.Lay).Words, m[0])
		d := step.Seam.Dir()
		away := geom.Point{X: -d.Y, Y: d.X} // from A1: the patch is on the left
		if away.Dot(geom.Polygon(step.Patch.Corners).InteriorPoint().Sub(step.Seam.A)) < 0 {
			away = away.Scale(-1)
		}
		top := away
		switch {
		case m[1] == "toward A1":
			top = away.Scale(-1)
		case m[2] != "":
			want := map[string]geom.Point{"upper": {Y: 1}, "lower": {Y: -1}, "left": {X: -1}, "right": {X: 1}}[m[2]]
			if at.Mirrored {
				want.X = -want.X
			}
			if top = d; d.Dot(want) < 0 {
				top = d.Scale(-1)
			}
		}
		over, ok := geom.MirrorAcross(step.Seam.A, step.Seam.B)
		require.True(t, ok)
		after := over.Apply(top).Sub(over.Apply(geom.Point{}))
		assert.Greater(t, after.Dot(step.Laid.UpTo), 0.49, "%s %s turned %v: %s", line, dot, turn, m[1])
		if step.Piece.Pick.Slant == nil {
			assert.InDelta(t, 1, after.Dot(step.Laid.UpTo), 1e-6)
		}
		said[strings.Fields(m[1])[0]+m[2]]++
		if step.Piece.Pick.Slant != nil {
			said["slanted"]++
		}
	}
	for _, k := range []string{"away", "toward", "towardupper", "towardlower", "towardleft", "towardright", "slanted"} {
		assert.Positive(t, said[k], "%s: %v", k, said)
	}
}

// A figure that is not a mark of the ruler says that it is rounded; one that is does not.
func TestRoundedFiguresSayTheyAre(t *testing.T) {
	for at, want := range map[string]bool{"2": false, "2 2/3": true} {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a
fabric b
block "Thirds" 8 by 4 {
  allowance 1/4
  section A { patch 1 a (0, 0) (`+at+`, 0) (`+at+`, 4) (0, 4)
  }
  section B { patch 1 b (`+at+`, 0) (8, 0) (8, 4) (`+at+`, 4)
  }
  join A to B
}
`)
		require.Empty(t, f.Problems)
		p := steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options, Unit: f.Unit})
		words := p.Sections[0].Finish[1].Words
		assert.Equal(t, want, strings.Contains(words, "measures about "), words)
		assert.Equal(t, want, strings.HasSuffix(words, "; trim on the line, not to this figure."), words)
		assert.Equal(t, "Place A1.", p.Sections[0].Sequence())
		assert.NotContains(t, p.Joins[0].Words, "about", "4 in is a mark")
	}
}

// An edge is called long or short only where one sees which it is; of a square no edge is named by its size.
func TestEdgesThatLookAlike(t *testing.T) {
	for _, c := range []struct{ cut, edge string }{
		{"4 1/8 by 4", "4⅛\u00a0in edge"}, {"5 by 4", "long edge (5\u00a0in)"}, {"4 by 4 1/4", "short edge (4\u00a0in)"}, {"4 by 4", "edge"},
	} {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a
fabric b
block "Half" 3 by 4 {
  allowance 1/4
  section A {
    patch 1 a (0, 0) (3, 0) (3, 2) (0, 2)
    patch 2 b (0, 2) (3, 2) (3, 4) (0, 4) cut `+c.cut+`
  }
}
`)
		require.Empty(t, f.Problems)
		assert.Equal(t, c.edge, steps.Of(sew.Analyse(f.Blocks[0]), steps.Options{Cloth: options, Unit: f.Unit}).Sections[0].Steps[1].Laid.Edge, c.cut)
	}
	p := plan(t, "windlass", "")
	for _, s := range p.Sections {
		for _, step := range s.Steps {
			if strings.HasSuffix(step.Cut, "square") {
				assert.NotContains(t, step.Words, "Turn it so that its ")
			}
		}
	}
}
