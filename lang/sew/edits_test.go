package sew_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

const pier = `fabric sky
fabric sea
block "Pier" 6 by 6 {
  section A {
    patch 1 sky (0, 0) (3, 0) (3, 6) (0, 6)
  }
  section B {
    patch 1 sea (3, 0) (6, 0) (6, 1) (3, 1)
    patch 2 sky (3, 1) (6, 1) (6, 3) (3, 3)
    notch n (4, 3)
  }
  section C {
    patch 1 sea (3, 3) (6, 3) (6, 5) (3, 5)
    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)
    notch n (4, 3)
  }
  join B to C
  join A to B
}
`

// All that joins and marks are made of, one thing at a time: an edit of it is not missed,
// neither there nor back.
func TestWhatJoinsAreMadeOf(t *testing.T) {
	for _, e := range []struct{ what, old, new string }{
		{"a corner that two sections share", "(3, 1)", "(3, 2)"},
		{"a seam inside a section", "(3, 5)", "(3, 4)"},
		{"a notch of a section", "(6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n    notch n (4, 3)", "(6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n    notch n (4 1/4, 3)"},
		{"the section of a notch", "    notch n (4, 3)\n  }\n  section C {\n    patch 1 sea (3, 3) (6, 3) (6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n    notch n (4, 3)\n  }", "    notch n (4, 3)\n    notch n (4, 3)\n  }\n  section C {\n    patch 1 sea (3, 3) (6, 3) (6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n  }"},
		{"a notch's name", "(6, 6) (3, 6)\n    notch n", "(6, 6) (3, 6)\n    notch m"},
		{"a notch of the block", "  join B to C", "  notch b (3, 2)\n  join B to C"},
		{"a notch of the block on another edge", "  join B to C", "  notch b (5, 3)\n  join B to C"},
		{"the order of the joins", "  join B to C\n  join A to B", "  join A to B\n  join B to C"},
		{"the kind of a join", "join B to C", "join B to C partial"},
		{"the sides of a join", "join B to C", "join C to B"},
		{"a join that is missing", "  join B to C\n", ""},
		{"the block's outline", "block \"Pier\" 6 by 6 {", "block \"Pier\" 6 by 6 {\n  outline (0, 0) (6, 0) (6, 6) (1, 6) (0, 5)"},
		{"the block's size", "6 by 6", "6 by 7"},
		{"a section's outline", "section C {", "section C {\n    outline (3, 3) (6, 3) (6, 5) (6, 6) (3, 6)"},
		{"a wrong outline", "section C {", "section C {\n    outline (3, 3) (6, 3) (6, 5) (3, 6)"},
		{"the sections change places", "section A {\n    patch 1 sky (0, 0) (3, 0) (3, 6) (0, 6)\n  }\n  section B {", "section B {\n    patch 1 sky (0, 0) (3, 0) (3, 6) (0, 6)\n  }\n  section A {"},
		{"a copy", "section C {\n    patch 1 sea (3, 3) (6, 3) (6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n    notch n (4, 3)\n  }", "section C = B mirrored across (3, 3) (6, 3)"},
		{"a copy elsewhere", "section C {\n    patch 1 sea (3, 3) (6, 3) (6, 5) (3, 5)\n    patch 2 sky (3, 5) (6, 5) (6, 6) (3, 6)\n    notch n (4, 3)\n  }", "section C = B moved (0, 3)"},
	} {
		t.Run(e.what, func(t *testing.T) {
			require.Contains(t, pier, e.old)
			other := strings.ReplaceAll(pier, e.old, e.new)
			reader, m := syntax.NewEditorReader(), memo.New()
			l := block.NewLoader(reader, nil)
			seen := map[string]bool{}
			for _, text := range []string{pier, other, "\n" + pier, other, pier} {
				f := source.New("/a.block", text)
				got := told(sew.Analyse(l.BuildIn(m, reader.ParseIn(m, f)).Blocks[0]))
				require.Equal(t, told(sew.Analyse(l.Build(syntax.Parse(f)).Blocks[0])), got)
				seen[got] = true
			}
			require.Len(t, seen, 2, "the edit changes nothing")
		})
	}
}

// told is all that sewing says of a block.
func told(b *sew.Block) string {
	var s strings.Builder
	for _, x := range b.Sections {
		fmt.Fprintln(&s, x.Of.Name, x.Order(), x.Waits(), x.Outline(), x.Bounds(), x.Around(), len(x.Flaws()))
	}
	for _, f := range b.Flaws() {
		fmt.Fprintln(&s, "flaw", f.Kind, f.At, len(f.Sections))
	}
	for _, f := range b.JoinFlaws() {
		fmt.Fprintln(&s, "join flaw", f.Kind, f.Step)
	}
	for _, j := range b.JoinLines() {
		fmt.Fprintln(&s, "join", j.Join.A.Name, j.Join.B.Name, j.Alone, j.Line, j.Length, j.Bent, j.Ends, j.Marks)
	}
	for _, n := range b.Notches() {
		fmt.Fprintln(&s, "notch", n.Notch.Name, n.Where, n.At, n.Side, n.Both, len(n.Partners))
	}
	for _, m := range b.Mistakables() {
		fmt.Fprintln(&s, "mistakable", m.Section.Of.Name, m.Edge, m.Other)
	}
	for _, l := range b.BulkyPoints(2) {
		fmt.Fprintln(&s, "bulky", l.At, l.Lines, len(l.Sections))
	}
	return s.String()
}
