package sew_test

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// analyse looks at the first block of a text, which must be readable.
func analyse(t *testing.T, text string) *sew.Block {
	t.Helper()
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("x.block", text)
	require.Empty(t, f.Tree.Errors)
	require.Empty(t, f.Problems)
	return sew.Analyse(f.Blocks[0])
}

// in4 is a block of 4 by 4 in around the given statements.
func in4(t *testing.T, statements string) *sew.Block {
	t.Helper()
	return analyse(t, "allowance 1/4\nfabric sky\nfabric sea\nblock \"Test\" 4 by 4 {\n"+statements+"\n}\n")
}

func TestKindsAgree(t *testing.T) {
	require.EqualValues(t, block.Straight, sew.Straight)
	require.EqualValues(t, block.Inset, sew.Inset)
	require.EqualValues(t, block.Partial, sew.Partial)
	require.EqualValues(t, block.Finish, sew.Finish)
}

const sloop = `
allowance 1/4
fabric canvas
fabric sky
fabric cedar
fabric water
block "Little Sloop" 6 by 6 {
  point foot = (3, 2)
  point head = (3, 5 1/2)
  section A {
    outline (0, 2) foot (3, 6) (0, 6)
    patch 1 canvas (1, 2) foot head
    patch 2 sky beyond (1, 2) head
    notch m head
  }
  section B {
    outline foot (6, 2) (6, 6) (3, 6)
    patch 1 canvas foot (5 1/2, 2) head
    patch 2 sky beyond (5 1/2, 2) head
    notch m head
  }
  section C {
    outline (0, 0) (6, 0) (6, 2) (0, 2)
    patch 1 cedar around (3, 1 1/2)
    patch 2 sky beyond (1/2, 2) (1 1/2, 1)
    patch 3 sky beyond (5 1/2, 2) (4 1/2, 1)
    patch 4 water beyond (1 1/2, 1) (4 1/2, 1)
  }
  join A to B
  join C to A
}
`

// A block that can be sewn: everything said of it.
func TestBlock(t *testing.T) {
	b := analyse(t, sloop)
	require.Len(t, b.Sections, 3)
	for _, s := range b.Sections {
		require.Empty(t, s.Flaws())
		require.Nil(t, s.FirstUnsewable())
		require.True(t, s.InOrder())
		require.True(t, s.Sewable())
		require.Empty(t, s.Core())
		require.Empty(t, s.NearMisses(geom.Inch/16))
	}
	require.Empty(t, b.Flaws())
	require.Empty(t, b.JoinFlaws())
	require.Len(t, b.ReorderedJoins(), 2)
	require.Empty(t, b.NearMisses(geom.Inch/16))

	c := b.Sections[2]
	require.Equal(t, []int{1, 2, 3, 4}, c.Order())
	require.Equal(t, map[int][]int{2: {1}, 3: {1}, 4: {2, 3}}, c.Waits())
	seams := c.Seams()
	require.Len(t, seams, 3)
	require.Equal(t, 4, seams[2].Patch.Number)
	require.Equal(t, []int{3, 1, 2}, numbersOf(seams[2].On), "with the water on the left")
	require.False(t, seams[2].CouldBeOne())
	require.True(t, seams[0].CouldBeOne())
	require.Equal(t, []int{2, 1, 3, 4}, c.OrderFrom(c.Of.Patches[1]))

	joins := b.JoinLines()
	require.Len(t, joins, 2)
	mast := joins[0]
	require.Equal(t, 4*geom.Inch, mast.Length)
	require.Len(t, mast.Ends, 2, "the sky's seam ends at the masthead on either side")
	require.True(t, mast.Ends[0].Matched)
	kinds := []sew.MarkKind{}
	for _, m := range mast.Marks {
		kinds = append(kinds, m.Kind)
	}
	require.ElementsMatch(t, []sew.MarkKind{sew.JoinEnd, sew.SeamMark, sew.NotchMark, sew.JoinEnd}, kinds)
	require.Equal(t, 3.5*geom.Inch, mast.LongestUnmarked().Len())

	notches := b.Notches()
	require.Len(t, notches, 2)
	require.Equal(t, sew.OnJoin, notches[0].Where)
	require.Equal(t, []*sew.NotchPlace{notches[1]}, notches[0].Partners)
	require.Zero(t, notches[0].Apart(notches[1]))

	// Above the waterline: the mast, the two sails' feet, and the hull.
	require.Empty(t, b.BulkyPoints(8))
	points := b.BulkyPoints(3)
	require.NotEmpty(t, points)
}

func numbersOf(ps []*block.Patch) []int {
	var out []int
	for _, p := range ps {
		out = append(out, p.Number)
	}
	return out
}

// A section in the wrong order, and its mirrored copy: what is said of the copy
// is in its own patches and at its own place.
func TestWrongOrder(t *testing.T) {
	b := in4(t, `
  section A {
    outline (0, 0) (2, 0) (2, 4) (0, 4)
    patch 1 sky (0, 0) (1, 0) (1, 1) (0, 1)
    patch 2 sea (0, 1) (2, 1) (2, 2) (0, 2)
    patch 3 sky (1, 0) (2, 0) (2, 1) (1, 1)
    patch 4 sea (0, 2) (2, 2) (2, 4) (0, 4)
  }
  section B = A mirrored across (2, 0) (2, 4)
  join A to B`)
	a, copied := b.Sections[0], b.Sections[1]
	require.Equal(t, []*sew.Section{a}, b.Originals())
	require.Equal(t, 1, a.Copies)
	require.True(t, copied.IsCopy())
	require.Same(t, a, copied.Original())
	require.Same(t, a.Division(), copied.Division())

	bad := a.FirstUnsewable()
	require.Equal(t, 3, bad.Patch.Number)
	require.Equal(t, sew.Bent, bad.Contact.Kind)
	require.Equal(t, 90.0, bad.Contact.Angle)
	require.Equal(t, [][]*block.Patch{a.Of.Patches[1:2], a.Of.Patches[0:1]}, bad.On)
	require.False(t, a.InOrder())
	require.True(t, a.Sewable())
	require.Equal(t, []int{1, 3, 2, 4}, a.Order())

	there := copied.FirstUnsewable()
	require.Same(t, copied.Of.Patches[2], there.Patch)
	require.Equal(t, bad.Contact.Angle, there.Contact.Angle)
	require.InDelta(t, 4*geom.Inch, bad.Contact.At.X+there.Contact.At.X, 1e-9)
	for i, leg := range there.Contact.Legs {
		mid := leg.Mid()
		require.InDelta(t, 4*geom.Inch, mid.X+bad.Contact.Legs[i].Mid().X, 1e-9)
	}
}

// A section that cannot be sewn, its core, and a line that divides it.
func TestUnsewableSection(t *testing.T) {
	b := in4(t, `
  section A {
    patch 1 sky (0, 0) (2, 0) (2, 1) (0, 1)
    patch 2 sea (2, 0) (4, 0) (4, 1) (2, 1)
    patch 3 sea (0, 1) (2, 1) (2, 3) (0, 3)
    patch 4 sky (2, 1) (4, 1) (4, 3) (2, 3)
    patch 5 sky (0, 3) (4, 3) (4, 4) (0, 4)
  }`)
	s := b.Sections[0]
	require.False(t, s.Sewable())
	require.Equal(t, []int{1, 2, 3, 4}, numbersOf(s.Core()))
	require.Nil(t, s.Order())
	require.Nil(t, s.Waits())
	cut := s.DividingLine()
	require.NotNil(t, cut)
	require.True(t, cut.Whole)
	require.True(t, cut.Sewable)
	require.Equal(t, in(0, 1)[0].Y, cut.A.Y, "between the two rows, from edge to edge of the section")
	require.Equal(t, in(0, 1)[0].Y, cut.B.Y)
	require.Empty(t, b.Flaws(), "without an outline the section is its patches")
	require.Empty(t, b.JoinFlaws())
}

// A broken section is left out, and the block's joins with it.
func TestBroken(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("x.block", `
fabric sky
block "Test" 4 by 4 {
  section A {
    patch 1 sky (0, 0) nowhere (4, 4)
  }
  section B {
    patch 1 sky (0, 0) (4, 0) (4, 4)
  }
  join A to B
}`)
	require.NotEmpty(t, f.Problems)
	b := sew.Analyse(f.Blocks[0])
	require.Len(t, b.Sections, 1)
	require.Nil(t, b.Section(f.Blocks[0].Sections[0]))
	require.Same(t, b.Sections[0], b.Section(f.Blocks[0].Sections[1]))
	require.Nil(t, b.Division())
	require.Empty(t, b.JoinFlaws())
	require.Empty(t, b.JoinLines())
	require.Empty(t, b.Notches())
	require.Nil(t, b.ReorderedJoins())
	require.Empty(t, b.Mistakables())
}

// Sections that overlap, leave a place open, or do not go together.
func TestAssembly(t *testing.T) {
	quarter := func(name, corner string) string {
		return "section " + name + " {\n outline " + corner + "\n patch 1 sky " + corner + "\n}\n"
	}
	four := quarter("A", "(0, 0) (2, 0) (2, 2) (0, 2)") + quarter("B", "(2, 0) (4, 0) (4, 2) (2, 2)") +
		quarter("C", "(0, 2) (2, 2) (2, 4) (0, 4)")
	b := in4(t, four+"join A to B\njoin C to A")
	require.Len(t, b.Flaws(), 1)
	require.Equal(t, sew.Gap, b.Flaws()[0].Kind)
	require.Empty(t, b.JoinFlaws(), "silent while the block is not filled")

	b = in4(t, four+quarter("D", "(1, 2) (4, 2) (4, 4) (1, 4)")+"join A to B\njoin C to D\njoin A to C")
	require.Len(t, b.Flaws(), 1)
	require.Equal(t, sew.Overlap, b.Flaws()[0].Kind)
	require.Equal(t, []*sew.Section{b.Sections[2], b.Sections[3]}, b.Flaws()[0].Sections)

	four += quarter("D", "(2, 2) (4, 2) (4, 4) (2, 4)")
	b = in4(t, four+"join A to B\njoin A to C\njoin C to D")
	flaws := b.JoinFlaws()
	require.Len(t, flaws, 1)
	require.Equal(t, sew.NotStraight, flaws[0].Kind)
	require.Same(t, b.Of.Joins[2], flaws[0].Join)
	require.Equal(t, [][]*sew.Section{{b.Sections[3]}, {b.Sections[3]}}, flaws[0].On)
	require.Equal(t, []*block.Join{b.Of.Joins[0], b.Of.Joins[2], b.Of.Joins[1]}, b.ReorderedJoins())
	pairs, ok := b.StraightJoins()
	require.True(t, ok)
	require.Len(t, pairs, 3)

	b = in4(t, four+"join A to B\njoin C to D")
	flaws = b.JoinFlaws()
	require.Len(t, flaws, 1)
	require.Equal(t, sew.LeftOver, flaws[0].Kind)
	require.Equal(t, []*sew.Section{b.Sections[2], b.Sections[3]}, flaws[0].Sections)
	require.Nil(t, flaws[0].Join)
}

// Where notches may be, and what is across the join.
func TestNotches(t *testing.T) {
	b := in4(t, `
  section A {
    patch 1 sky (0, 0) (2, 0) (2, 4) (0, 4)
    notch good (2, 1)
    notch far (2, 2)
    notch alone (2, 2 1/2)
    notch end (2, 4)
    notch edge (0, 1)
    notch off (1, 1)
    notch twice (2, 3)
  }
  section B {
    patch 1 sea (2, 0) (4, 0) (4, 3 1/8) (2, 3 1/8)
    notch good (2, 1)
    notch far (2, 2 1/4)
    notch twice (2, 3)
  }
  section C {
    patch 1 sea (2, 3 1/8) (4, 3 1/8) (4, 4) (2, 4)
    notch twice (2, 3 1/4)
  }
  join B to C
  join A to B
  notch both (2, 3 1/2)
  notch side (4, 1)`)
	ns := b.Notches()
	byName := map[string]*sew.NotchPlace{}
	for _, n := range ns {
		if byName[n.Notch.Name] == nil {
			byName[n.Notch.Name] = n
		}
	}
	where := map[string]sew.NotchWhere{}
	partners := map[string]int{}
	for name, n := range byName {
		where[name], partners[name] = n.Where, len(n.Partners)
	}
	require.Equal(t, map[string]sew.NotchWhere{
		"good": sew.OnJoin, "far": sew.OnJoin, "alone": sew.OnJoin, "end": sew.AtJoinEnd, "edge": sew.OnOuter,
		"off": sew.OffEdge, "twice": sew.OnJoin, "both": sew.OnJoin, "side": sew.OnOuter,
	}, where)
	require.Equal(t, map[string]int{
		"good": 1, "far": 1, "alone": 0, "end": 0, "edge": 0, "off": 0, "twice": 2, "both": 0, "side": 0,
	}, partners)
	require.Equal(t, geom.Inch/4, byName["far"].Apart(byName["far"].Partners[0]))
	require.Equal(t, geom.Inch, byName["off"].Off)
	require.True(t, byName["both"].Both)
}

// Seam ends that meet across a join, and two that only almost do.
func TestSeamEnds(t *testing.T) {
	b := in4(t, `
  section A {
    patch 1 sky (0, 0) (2, 0) (2, 1) (0, 1)
    patch 2 sea (0, 1) (2, 1) (2, 3) (0, 3)
    patch 3 sky (0, 3) (2, 3) (2, 4) (0, 4)
  }
  section B {
    patch 1 sea (2, 0) (4, 0) (4, 1) (2, 1)
    patch 2 sky (2, 1) (4, 1) (4, 3 1/16) (2, 3 1/16)
    patch 3 sea (2, 3 1/16) (4, 3 1/16) (4, 4) (2, 4)
  }
  join A to B`)
	j := b.JoinLines()[0]
	require.Len(t, j.Ends, 4)
	require.Len(t, j.Marks, 3)
	require.Equal(t, sew.SeamMark, j.Marks[1].Kind)
	almost := j.AlmostMatched(geom.Inch / 8)
	require.Len(t, almost, 1)
	require.Equal(t, geom.Inch/16, almost[0].Dist())
	require.Equal(t, 0, almost[0].A.Part)
	require.Equal(t, 1, almost[0].B.Part)
	require.Empty(t, j.AlmostMatched(geom.Inch/16))
	require.Len(t, b.NearMisses(geom.Inch/8), 0, "outlines have no corner there")
}

// Where sections of one side meet at a join, their own join is a seam end too.
func TestJoinsMeetAtAJoin(t *testing.T) {
	b := in4(t, `
  section A { 
    patch 1 sky (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B = A moved (2, 0)
  section C, D = A, B moved (0, 2)
  join A to B
  join A to C`)
	require.Empty(t, b.JoinFlaws())
	j := b.JoinLines()[len(b.JoinLines())-1]
	require.Equal(t, 4*geom.Inch, j.Length)
	require.Len(t, j.Ends, 2)
	require.Equal(t, -1, j.Ends[0].Part)
	require.True(t, j.Ends[0].Matched)
	require.Len(t, j.Marks, 3)
	points := b.BulkyPoints(4)
	require.Len(t, points, 1)
	require.Equal(t, 4, points[0].Lines)
	require.Equal(t, in(2, 2)[0], points[0].At)
	require.Len(t, points[0].Sections, 4)
}

// An inset join bends; places along it are measured round the corner.
func TestInsetJoin(t *testing.T) {
	b := in4(t, `
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (2, 3) (0, 2)
    notch m (3, 2 1/2)
  }
  section B {
    patch 1 sea (0, 2) (2, 3) (2, 4) (0, 4)
    patch 2 sky (2, 3) (4, 2) (4, 4) (2, 4)
    notch m (3, 2 1/2)
  }
  join A to B inset`)
	require.Empty(t, b.JoinFlaws())
	j := b.JoinLines()[0]
	require.True(t, j.Bent)
	require.Equal(t, in(4, 2, 2, 3, 0, 2), geom.Polygon(j.Line), "A on the left")
	require.Equal(t, [2]bool{true, true}, j.Alone)
	leg := in(4, 2)[0].Dist(in(2, 3)[0])
	require.InDelta(t, 2*leg, j.Length, 1e-9)
	require.Len(t, j.Ends, 1, "of the seam between B1 and B2")
	require.InDelta(t, leg, j.Ends[0].At, 1e-9)
	for _, n := range b.Notches() {
		require.Equal(t, sew.OnJoin, n.Where)
		require.InDelta(t, leg/2, n.At, 1e-9)
		require.Len(t, n.Partners, 1)
	}
}

// The pinwheel's partial seam is one join line, laid out when it is finished.
func TestPartialJoinLine(t *testing.T) {
	section := func(name, outline string) string {
		return "section " + name + " {\npatch 1 sky " + outline + "\n}\n"
	}
	b := analyse(t, "allowance 1/4\nfabric sky\nblock \"Pinwheel\" 3 by 3 {\n"+
		section("M", "(1, 1) (2, 1) (2, 2) (1, 2)")+section("S", "(0, 0) (2, 0) (2, 1) (0, 1)")+
		section("E", "(2, 0) (3, 0) (3, 2) (2, 2)")+section("N", "(1, 2) (3, 2) (3, 3) (1, 3)")+
		section("W", "(0, 1) (1, 1) (1, 3) (0, 3)")+
		"join S to M partial\njoin E to M\njoin N to M\njoin W to M\nfinish S to M\n}\n")
	require.Empty(t, b.JoinFlaws())
	lines := b.JoinLines()
	require.Len(t, lines, 4)
	last := lines[3]
	require.Same(t, b.Of.Joins[4], last.Join)
	require.Equal(t, 2*geom.Inch, last.Length)
	require.Len(t, last.B, 2, "M and W")
	require.Len(t, last.Ends, 1, "where M and W meet")
}

// A join that could be sewn on another edge of a section.
func TestMistakable(t *testing.T) {
	with := func(patches, notches, across string) []sew.Mistakable {
		return in4(t, "section A {\n"+patches+"\n"+notches+"\n}\nsection B {\npatch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)\n"+across+"\n}\njoin A to B").Mistakables()
	}
	const (
		halves = "patch 1 sky (0, 0) (4, 0) (4, 2)\npatch 2 sea (0, 0) (4, 2) (0, 2)"
		waves  = "patch 1 sea (0, 0) (4, 0) (4, 2) (0, 2)"
	)
	ms := with(halves, "", "")
	require.Len(t, ms, 1, "turned half round, the two fabrics swap")
	require.Equal(t, "A", ms[0].Section.Of.Name)
	require.Equal(t, in(0, 2)[0], ms[0].Edge.B)
	require.Equal(t, 0.0, ms[0].Other.A.Y)
	require.Empty(t, with(waves, "", ""), "the same picture either way")
	require.Empty(t, with(halves, "notch m (1, 2)", "notch m (1, 2)"), "a notch tells them apart")
	require.Len(t, with(halves, "notch m (1, 2)\nnotch m (3, 0)", "notch m (1, 2)"), 1, "unless the other edge has it too")
}

// One block may be read from many goroutines (run with -race).
func TestConcurrentReads(t *testing.T) {
	b := analyse(t, sloop)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for _, s := range b.Sections {
				s.FirstUnsewable()
				s.Waits()
				s.Seams()
				s.DividingLine()
			}
			b.JoinFlaws()
			b.Notches()
			b.Mistakables()
			b.BulkyPoints(3)
		})
	}
	wg.Wait()
}
