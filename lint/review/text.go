package review

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/muesli/termenv"
	"github.com/rivo/uniseg"

	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lint"
	"sewable/lint/output"
)

// Text writes a report for a terminal.
func Text(w io.Writer, r *Report, profile termenv.Profile) error {
	b := bufio.NewWriter(w)
	bold := func(s string) string { return profile.String(s).Bold().String() }
	fmt.Fprintf(b, "%s\n\n%s\n", bold(r.title()), output.Plain(r.Headline()))
	items := r.items()
	for _, g := range r.Groups() {
		fmt.Fprintf(b, "\n%s\n", bold(g.Title))
		for _, line := range first(g.Lines, maxLines) {
			fmt.Fprintf(b, "  %s\n", output.Plain(line))
		}
	}
	items = slices.DeleteFunc(items, func(it item) bool { return !it.alone() })
	for _, item := range items {
		fmt.Fprintf(b, "\n%s\n", bold(item.name))
		if item.where != "" {
			fmt.Fprintf(b, "  %s\n", output.Plain(item.where))
		}
		for _, p := range item.parts() {
			fmt.Fprintf(b, "  %s\n", bold(p.Title))
			for _, line := range lines(p) {
				fmt.Fprintf(b, "    %s\n", line)
			}
		}
	}
	return b.Flush()
}

// maxLines is how many lines of a group are shown: all groups fit on a screen or two.
const maxLines = 8

// title says what is compared with what.
func (r *Report) title() string {
	in := ""
	if len(r.Paths) > 0 {
		in = ", in " + english.List(r.Paths)
	}
	return output.Plain(fmt.Sprintf("Review: %s → %s%s", r.Base, r.Head, in))
}

// item is a block, a quilt or a file of a report, in words.
type item struct {
	name, where, todo string
	parts             func() []Part // worked out where they are shown
	found             Findings
	block             *Block
	quilt             *Quilt

	file         string
	recut, state string
	through      string   // the files through which it changed
	causes       []string // see Block.causes
	paper        Paper
	pieces       int // to be cut again
	fabrics      []recutFabric
	area         float64 // of the pieces
	strips       bool    // of a quilt: sashing, borders or the like are to be cut again
	unread       bool
	unit         geom.Unit
}

// brief is what the item asks for, and what is found new in it.
func (it item) brief() string {
	s := it.todo
	if n := len(it.found.New); n > 0 {
		if s = strings.TrimSuffix(s, "."); s != "" {
			s += "; "
		}
		worst := lint.Hint
		for _, f := range it.found.New {
			worst = max(worst, f.Level)
		}
		s += english.Count(n, "new finding", "new findings")
		if worst == lint.Error {
			s += ", it cannot be sewn as it is written"
		}
		s += "."
	}
	if s == "" {
		return "nothing new is found."
	}
	return s
}

// items are the blocks, the quilts and the other files of a report, in the order in which they matter.
func (r *Report) items() []item {
	var out []item
	for i := range r.Blocks {
		b := &r.Blocks[i]
		it := item{name: output.Plain(b.Name()), where: b.Where(), todo: b.Todo(), parts: b.Parts, found: b.Findings, block: b,
			file: fileName(b.path()), recut: b.recut(), state: b.State(), through: english.List(b.Through), causes: b.causes(), paper: b.Paper, unread: b.Unread.After, unit: b.Unit}
		it.pieces, it.fabrics, it.area = b.recutOf()
		out = append(out, it)
	}
	for i := range r.Quilts {
		q := &r.Quilts[i]
		cuts := q.recut()
		out = append(out, item{name: output.Plain(q.Name()), where: q.Where(), todo: q.Todo(), parts: q.Parts, found: q.Findings, quilt: q,
			file: fileName(q.path()), recut: cuts, strips: cuts != "", state: q.State(), paper: q.Paper, unread: q.Faulty.After != nil, unit: q.Unit})
	}
	for _, f := range r.Files {
		out = append(out, item{name: output.Plain(f.Path), parts: func() []Part { return parts(f.part()) }, found: f.Findings})
	}
	return ranked(out)
}

// lines are the rows of a part, the cells of a table in columns.
func lines(p Part) []string {
	rows := p.Rows
	if p.Head != nil {
		rows = append([][]string{p.Head}, rows...)
	}
	var wide []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(wide) {
				wide = append(wide, 0)
			}
			wide[i] = max(wide[i], uniseg.StringWidth(output.Plain(cell)))
		}
	}
	var out []string
	for _, row := range rows {
		var s strings.Builder
		for i, cell := range row {
			cell = output.Plain(cell)
			s.WriteString(cell)
			if i < len(row)-1 {
				s.WriteString(strings.Repeat(" ", wide[i]-uniseg.StringWidth(cell)+2))
			}
		}
		out = append(out, s.String())
	}
	return out
}
