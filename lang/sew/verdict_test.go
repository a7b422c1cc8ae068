package sew_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// Each verdict, with the first reason in the order of Verdict; of two reasons the first is said.
func TestVerdicts(t *testing.T) {
	const left, right = "section A {\npatch 1 sky (0, 0) (2, 0) (2, 4) (0, 4)\n}\n", "section B {\npatch 1 sea (2, 0) (4, 0) (4, 4) (2, 4)\n}\n"
	const spiral = `section A {
patch 1 sky (0, 0) (4, 0) (4, 4) (0, 4)
}
`
	for _, c := range []struct {
		name, head, body string
		want             sew.Verdict
		section          string
	}{
		{"sewn", "allowance 1/4", left + right + "join A to B\n", sew.SewnAsWritten, ""},
		{"a size that is not known", "allowance 1/4\nlet w = v", "section A {\noutline (0, 0) (w, 0) (4, 4) (0, 4)\npatch 1 sky (0, 0) (2, 0) (2, 4)\n}\n", sew.Unclear, ""},
		{"a drawing in lines", "allowance 1/4", "seam s from (0, 0) to (4, 4)\n", sew.Undivided, ""},
		{"a drawing in patches", "allowance 1/4", "patch sky (0, 0) (4, 0) (4, 4) (0, 4)\n", sew.Undivided, ""},
		{"a patch that is in no section yet", "allowance 1/4", left + "patch sea (2, 0) (4, 0) (4, 4) (2, 4)\n", sew.Undivided, ""},
		{"nothing", "allowance 1/4", "", sew.NoPatches, ""},
		{"empty sections alone", "allowance 1/4", "section A {\n}\n", sew.NoPatches, ""},
		{"one empty section", "allowance 1/4", left + "section B {\n}\n", sew.EmptySection, "B"},
		{"a hole in a section", "allowance 1/4", "section A {\noutline (0, 0) (4, 0) (4, 4) (0, 4)\npatch 1 sky (0, 0) (2, 0) (2, 4) (0, 4)\n}\n", sew.NotFilled, "A"},
		{"a bent seam", "allowance 1/4", "section A {\npatch 1 sky (0, 0) (4, 0) (4, 4) (2, 2) (0, 4)\npatch 2 sea (0, 4) (2, 2) (4, 4)\n}\n", sew.NoOrder, "A"},
		{"a bent seam either way", "allowance 1/4", "section A {\npatch 1 sky (0, 0) (2, 0) (1, 2) (2, 4) (0, 4)\npatch 2 sea (2, 0) (4, 0) (4, 4) (2, 4) (3, 2)\npatch 3 sky (2, 0) (3, 2) (2, 4) (1, 2)\n}\n", sew.NoOrder, "A"},
		{"the wrong order", "allowance 1/4", "section A {\npatch 1 sky (0, 0) (2, 0) (2, 4) (0, 4)\npatch 2 sea (2, 2) (4, 2) (4, 4) (2, 4)\npatch 3 sky (2, 0) (4, 0) (4, 2) (2, 2)\n}\n", sew.OutOfOrder, "A"},
		{"sections that leave a gap", "allowance 1/4", left + "section B {\npatch 1 sea (3, 0) (4, 0) (4, 4) (3, 4)\n}\njoin A to B\n", sew.NotCovered, ""},
		{"sections that are not joined", "allowance 1/4", left + right, sew.NotJoined, ""},
		{"no allowance", "", left + right + "join A to B\n", sew.NoAllowance, ""},
		{"an allowance of nothing", "allowance 0", left + right + "join A to B\n", sew.NoAllowance, ""},
		{"a line outside of blocks", "allowance 1/4\nfabrik foam", spiral, sew.Unread, ""},
	} {
		text := c.head + "\nfabric sky\nfabric sea\nblock \"Test\" 4 by 4 {\n" + c.body + "}\n"
		b := sew.Analyse(block.NewLoader(syntax.NewReader(), nil).OpenText("x.block", text).Blocks[0])
		got, s := b.Verdict()
		assert.Equal(t, c.want, got, c.name)
		name := ""
		if s != nil {
			name = s.Of.Name
		}
		assert.Equal(t, c.section, name, c.name)
	}
}
