package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

const twoBlocks = `lost x

block "One" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 a (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 b (0, 2) (4, 2) (4, 4) (0, 4)
  }
  section C = A moved (0, 2)
  join A to B
}

stray y

block "Two" 4 by 4 {
  section D {
    patch 1 c (0, 0) (4, 0) (4, 4) (0, 4)
  }
}

setting "Quilt" {
  fill "Three"
}
`

// findingAt is a mandatory finding of a rule at a piece of the text.
func findingAt(f *block.File, rule, text string) lint.Finding {
	i := strings.Index(f.Source.Text, text)
	return lint.Finding{Rule: rule, Mandatory: true, Message: text + ".", Place: lint.Place{Span: source.Span{Start: i, End: i + len(text)}}}
}

func TestFindingsThatCount(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/nowhere/two.block", twoBlocks)
	require.Len(t, f.Blocks, 2)
	one, two := f.Blocks[0], f.Blocks[1]
	rulesOf := func(found []lint.Finding) (out []string) {
		for _, x := range found {
			out = append(out, x.Rule+" "+x.Message)
		}
		return out
	}
	count := func(found ...lint.Finding) [2][]string {
		counts := counting(found, f)
		return [2][]string{rulesOf(counts[one]), rulesOf(counts[two])}
	}
	gap := findingAt(f, "gap", "patch 1 b")
	assert.Equal(t, [2][]string{{"gap patch 1 b."}, nil}, count(gap), "in one block")
	may := gap
	may.Mandatory = false
	assert.Equal(t, [2][]string{}, count(may), "what can be accepted allows an order")
	for _, rule := range otherOrder {
		assert.Equal(t, [2][]string{}, count(findingAt(f, rule, "patch 1 b")), "%s: order gives another", rule)
	}
	first := findingAt(f, "unreadable-line", "lost")
	stray := findingAt(f, "unreadable-line", "stray")
	last := findingAt(f, "gap", "patch 1 c")
	assert.Equal(t, [2][]string{{"unreadable-line lost."}, {"unreadable-line lost."}}, count(first, stray), "outside, for each, the first")
	assert.Equal(t, [2][]string{{"unreadable-line stray.", "gap patch 1 b."}, {"unreadable-line stray.", "gap patch 1 c."}}, count(gap, stray, last), "between blocks, beside their own")
	assert.Equal(t, [2][]string{}, count(findingAt(f, "unknown-name", `"Three"`)), "in a setting")
	assert.Equal(t, [2][]string{{"gap block \"One\"."}, {"gap block \"Two\"."}}, count(findingAt(f, "gap", `block "One"`), findingAt(f, "gap", `block "Two"`)), "at the first byte of a block")
}

func TestOrdersThatFindingsTakeBack(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/nowhere/two.block", twoBlocks)
	b := f.Blocks[0]
	sections := func(orders []order) (out string) {
		for _, o := range orders {
			if o.Sewable {
				require.Empty(t, o.Unclear)
				out += o.Section + "+"
			} else {
				require.Empty(t, o.Order)
				require.False(t, o.AsWritten)
				out += o.Section + "-"
			}
			out += " "
		}
		return out
	}
	fresh := func() (out []order) {
		for _, name := range []string{"A", "B", "C", ""} { // "" is the block
			out = append(out, order{Section: name, Sewable: true, AsWritten: true, Order: []int{1}})
		}
		return out
	}
	for _, x := range []struct{ rule, at, want string }{
		{"gap", "patch 1 b", "A+ B- C+ - "}, // and the joins
		{"gap", "patch 1 a", "A- B+ C- - "}, // and its copy
		{"unreadable-line", "allowance", "A- B- C- - "},
		{"unreadable-line", "lost", "A- B- C- - "},
		{"bent-join", "patch 1 b", "A+ B+ C+ - "}, // a join, wherever it is told
		{"unjoined-section", "section B", "A+ B+ C+ - "},
		{"block-not-filled", "block", "A+ B+ C+ - "},
	} {
		orders := fresh()
		held(orders, []lint.Finding{findingAt(f, x.rule, x.at)}, b)
		assert.Equal(t, x.want, sections(orders), "%s at %s", x.rule, x.at)
	}
	orders := fresh()[:3]
	held(orders, []lint.Finding{findingAt(f, "bent-join", "join A")}, b)
	assert.Equal(t, "A- B- C- ", sections(orders), "with nothing about joins, it counts for all")

	orders = fresh()
	orders[1].Sewable, orders[1].AsWritten, orders[1].Order, orders[1].Unclear = false, false, []int{}, "its own"
	held(orders, []lint.Finding{findingAt(f, "gap", "patch 1 b"), findingAt(f, "gap", "patch 1 a"), findingAt(f, "unknown-name", "patch 1 a")}, b)
	assert.Equal(t, "its own", orders[1].Unclear)
	assert.Equal(t, "lint finds an error here: patch 1 a", orders[0].Unclear, "the first stays, without its full stop")
}
