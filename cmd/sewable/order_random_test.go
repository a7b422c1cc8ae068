package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// This file holds `order` against a second reading of what joins are, that shares nothing with the
// program: a block is a small board of squares, each cut along a diagonal; a section is a set of the triangles,
// and a seam is a set of their edges. All is whole numbers, and every order is tried.

// boards is how many random blocks are tried: a few thousand with SEWABLE_LONG.
func boards() int {
	if os.Getenv("SEWABLE_LONG") != "" {
		return 2400
	}
	return 150
}

// spot is a corner of the board, edge an edge from one to another.
type (
	spot struct{ x, y int }
	edge struct{ a, b spot }
)

func (e edge) back() edge { return edge{e.b, e.a} }

// board is a division of a square: which section each triangle belongs to.
type board struct {
	size      int
	triangles [][3]spot // anticlockwise
	section   []int
	sections  int
}

// newBoard grows sections at random until they fill a board of size by size squares.
func newBoard(r *rand.Rand, size, sections int) *board {
	b := &board{size: size, sections: sections}
	for x := range size {
		for y := range size {
			p, q, s, t := spot{x, y}, spot{x + 1, y}, spot{x + 1, y + 1}, spot{x, y + 1}
			if r.IntN(2) == 0 {
				b.triangles = append(b.triangles, [3]spot{p, q, s}, [3]spot{p, s, t})
			} else {
				b.triangles = append(b.triangles, [3]spot{p, q, t}, [3]spot{q, s, t})
			}
		}
	}
	b.section = make([]int, len(b.triangles))
	for i := range b.section {
		b.section[i] = -1
	}
	for s := range sections {
		for {
			if i := r.IntN(len(b.section)); b.section[i] < 0 {
				b.section[i] = s
				break
			}
		}
	}
	for {
		var open [][2]int // a free triangle beside one that is not
		for i, t := range b.triangles {
			for j := range b.triangles {
				if b.section[i] < 0 && b.section[j] >= 0 && beside(t, b.triangles[j]) {
					open = append(open, [2]int{i, j})
				}
			}
		}
		if len(open) == 0 {
			return b
		}
		grow := open[r.IntN(len(open))]
		b.section[grow[0]] = b.section[grow[1]]
	}
}

func sides(t [3]spot) [3]edge { return [3]edge{{t[0], t[1]}, {t[1], t[2]}, {t[2], t[0]}} }

func beside(t, u [3]spot) bool {
	for _, e := range sides(t) {
		for _, f := range sides(u) {
			if e == f.back() {
				return true
			}
		}
	}
	return false
}

// border is the outline of a set of sections as one ring, or nil when it is not one that touches itself nowhere.
func (b *board) border(set uint) []spot {
	next := map[spot]spot{}
	in := map[edge]bool{}
	for i, t := range b.triangles {
		if set>>b.section[i]&1 == 1 {
			for _, e := range sides(t) {
				in[e] = true
			}
		}
	}
	var first spot
	n := 0
	for e := range in {
		if in[e.back()] {
			continue
		}
		if _, twice := next[e.a]; twice {
			return nil
		}
		next[e.a], first = e.b, e.a
		n++
	}
	for e := range in { // always the same start
		if _, on := next[e.a]; on && (e.a.x < first.x || e.a.x == first.x && e.a.y < first.y) {
			first = e.a
		}
	}
	ring := []spot{first}
	for at := next[first]; at != first; at = next[at] {
		ring = append(ring, at)
	}
	if len(ring) != n {
		return nil
	}
	return ring
}

// straight is a ring without the corners at which it goes straight on.
func straight(ring []spot) (out []spot) {
	for i, p := range ring {
		a, c := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
		if (p.x-a.x)*(c.y-p.y) != (p.y-a.y)*(c.x-p.x) {
			out = append(out, p)
		}
	}
	return out
}

// seam are the edges that sections of u have in common with sections of v, as u runs.
func (b *board) seam(u, v uint) (out []edge) {
	for i, t := range b.triangles {
		if u>>b.section[i]&1 == 0 {
			continue
		}
		for _, e := range sides(t) {
			for j, o := range b.triangles {
				if v>>b.section[j]&1 == 1 {
					for _, f := range sides(o) {
						if f == e.back() {
							out = append(out, e)
						}
					}
				}
			}
		}
	}
	return out
}

// whole says whether edges are one unbroken chain, which may close, and whether it is straight; every place inside the chain must be
// an inner point of the work.
func (b *board) whole(edges []edge, work uint) (chain, line bool) {
	if len(edges) == 0 {
		return false, false
	}
	from, to := map[spot]edge{}, map[spot]bool{}
	for _, e := range edges {
		from[e.a], to[e.b] = e, true
	}
	at, starts := spot{}, 0
	for _, e := range edges {
		if !to[e.a] {
			at, starts = e.a, starts+1
		}
	}
	if starts > 1 {
		return false, false
	}
	closed := starts == 0 // all round a hole: one seam, and bent
	if closed {
		at = edges[0].a
	}
	line = !closed
	n := 0
	var last edge
	for e, ok := from[at]; ok && n < len(edges); e, ok = from[e.b] {
		if n > 0 {
			if (last.b.x-last.a.x)*(e.b.y-e.a.y) != (last.b.y-last.a.y)*(e.b.x-e.a.x) {
				line = false
			}
			if !b.inner(e.a, work) {
				line = false
			}
		}
		last = e
		n++
	}
	return n == len(edges) && (!closed || last.b == at), line && n == len(edges)
}

// inner says whether all triangles around a spot are in the work, and it is not on the board's edge.
func (b *board) inner(p spot, work uint) bool {
	if p.x == 0 || p.y == 0 || p.x == b.size || p.y == b.size {
		return false
	}
	for i, t := range b.triangles {
		if (t[0] == p || t[1] == p || t[2] == p) && work>>b.section[i]&1 == 0 {
			return false
		}
	}
	return true
}

// typedJoin is a join as it is written.
type typedJoin struct {
	a, b int
	kind string // "", "inset", "partial" or "finish"
}

func (j typedJoin) String() string {
	a, b := string(rune('A'+j.a)), string(rune('A'+j.b))
	switch j.kind {
	case "finish":
		return "finish " + a + " to " + b
	case "":
		return "join " + a + " to " + b
	}
	return "join " + a + " to " + b + " " + j.kind
}

// works says whether joins put the whole board together in this order, in which every one sews something. The definition
// is that of the reference: a partial seam leaves what lies on its line, of either unit, open until it is finished.
type table struct {
	unit [8]uint
	open []opened
}

type opened struct {
	a, b   int
	ua, ub uint
	line   edge
}

func (b *board) start() table {
	var t table
	for s := range b.sections {
		t.unit[s] = 1 << s
	}
	return t
}

// left says whether an edge, with its two sections, is left open by a partial seam.
func (o opened) left(b *board, e edge) bool {
	on := func(p spot) bool {
		l := o.line
		return (l.b.x-l.a.x)*(p.y-l.a.y) == (l.b.y-l.a.y)*(p.x-l.a.x)
	}
	if !on(e.a) || !on(e.b) {
		return false
	}
	if (o.line.b.x-o.line.a.x)*(e.b.x-e.a.x)+(o.line.b.y-o.line.a.y)*(e.b.y-e.a.y) < 0 {
		e = e.back()
	}
	for i, t := range b.triangles {
		for _, f := range sides(t) {
			if f == e && o.ua>>b.section[i]&1 == 1 || f == e.back() && o.ub>>b.section[i]&1 == 1 {
				return true
			}
		}
	}
	return false
}

func (b *board) sew(t table, j typedJoin) (table, bool) {
	if j.kind == "finish" {
		for i, o := range t.open {
			if o.a == j.a && o.b == j.b || o.a == j.b && o.b == j.a {
				u := t.unit[j.a]
				var edges []edge
				for _, e := range b.seam(u, u) {
					along := (o.line.b.x-o.line.a.x)*(e.b.x-e.a.x)+(o.line.b.y-o.line.a.y)*(e.b.y-e.a.y) > 0
					// Edges inside a section are no seam.
					if along && b.between(e) && o.left(b, e) {
						edges = append(edges, e)
					}
				}
				_, line := b.whole(edges, u)
				t.open = append(append([]opened{}, t.open[:i]...), t.open[i+1:]...)
				return t, line
			}
		}
		return t, false
	}
	u, v := t.unit[j.a], t.unit[j.b]
	if u == v {
		return t, false
	}
	var edges []edge
	for _, e := range b.seam(u, v) {
		free := true
		for _, o := range t.open {
			free = free && !o.left(b, e)
		}
		if free {
			edges = append(edges, e)
		}
	}
	chain, line := b.whole(edges, u|v)
	ok := line
	if j.kind == "inset" && chain && !line {
		ok = !b.oneLine(edges) // it may bend; a straight one that hangs by a point stays wrong
	}
	if !ok {
		return t, false
	}
	if j.kind == "partial" {
		t.open = append(append([]opened{}, t.open...), opened{j.a, j.b, u, v, edges[0]})
	}
	for s := range b.sections {
		if (u|v)>>s&1 == 1 {
			t.unit[s] = u | v
		}
	}
	return t, true
}

func (b *board) oneLine(edges []edge) bool {
	f := edges[0]
	for _, e := range edges {
		if (f.b.x-f.a.x)*(e.b.y-e.a.y) != (f.b.y-f.a.y)*(e.b.x-e.a.x) {
			return false
		}
	}
	return true
}

// between says whether an edge lies between two sections.
func (b *board) between(e edge) bool {
	one, other := -1, -1
	for i, t := range b.triangles {
		for _, f := range sides(t) {
			if f == e {
				one = b.section[i]
			}
			if f == e.back() {
				other = b.section[i]
			}
		}
	}
	return one != other && one >= 0 && other >= 0
}

// sewn says whether the joins of an order, by number from 1, put the board together.
func (b *board) sewn(joins []typedJoin, order []int) bool {
	t := b.start()
	for _, n := range order {
		var ok bool
		if t, ok = b.sew(t, joins[n-1]); !ok {
			return false
		}
	}
	return t.unit[0] == 1<<b.sections-1 && len(t.open) == 0
}

// any says whether some of the joins do in some order.
func (b *board) any(joins []typedJoin) bool {
	var search func(t table, left []typedJoin) bool
	search = func(t table, left []typedJoin) bool {
		if t.unit[0] == 1<<b.sections-1 && len(t.open) == 0 {
			return true
		}
		for i, j := range left {
			if next, ok := b.sew(t, j); ok && search(next, append(append([]typedJoin{}, left[:i]...), left[i+1:]...)) {
				return true
			}
		}
		return false
	}
	return search(b.start(), joins)
}

// text is the board as a block.
func (b *board) text(joins []typedJoin) string {
	var s strings.Builder
	fmt.Fprintf(&s, "fabric sea\nallowance 1/4\nblock \"Board\" %d by %d {\n", 2*b.size, 2*b.size)
	for k := range b.sections {
		fmt.Fprintf(&s, "  section %c {\n    patch 1 sea", 'A'+k)
		for _, p := range straight(b.border(1 << k)) {
			fmt.Fprintf(&s, " (%d, %d)", 2*p.x, 2*p.y)
		}
		s.WriteString("\n  }\n")
	}
	for _, j := range joins {
		fmt.Fprintf(&s, "  %s\n", j)
	}
	return s.String() + "}\n"
}

// randomJoins join neighbours at random until all are one; some are set in, some partial, one may be too many.
func (b *board) randomJoins(r *rand.Rand) []typedJoin {
	var joins []typedJoin
	unit := make([]int, b.sections)
	for i := range unit {
		unit[i] = i
	}
	kinds := []string{"", "", "", "", "inset", "partial"}
	plain := r.IntN(2) == 0
	for n := b.sections; n > 1; {
		x, y := r.IntN(b.sections), r.IntN(b.sections)
		if unit[x] == unit[y] || len(b.seam(1<<x, 1<<y)) == 0 {
			continue
		}
		j := typedJoin{a: x, b: y}
		if !plain {
			j.kind = kinds[r.IntN(len(kinds))]
		}
		joins = append(joins, j)
		if j.kind == "partial" && r.IntN(4) > 0 {
			joins = append(joins, typedJoin{x, y, "finish"})
		}
		from := unit[x]
		for i := range unit {
			if unit[i] == from {
				unit[i] = unit[y]
			}
		}
		n--
	}
	if r.IntN(6) == 0 {
		if x, y := r.IntN(b.sections), r.IntN(b.sections); x != y {
			joins = append(joins, typedJoin{a: x, b: y})
		}
	}
	if r.IntN(3) > 0 {
		r.Shuffle(len(joins), func(i, j int) { joins[i], joins[j] = joins[j], joins[i] })
	}
	return joins
}

// What `order` says of written joins, against every order of them: as JSON and by its exit code.
func TestOrderAgainstEveryOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 2400))
	dir := t.TempDir()
	sewable, stuck, asWritten, special := 0, 0, 0, 0
	for run := range boards() {
		var b *board
		for b == nil {
			b = newBoard(r, 2+r.IntN(2), 2+r.IntN(4))
			for k := range b.sections {
				if b != nil && b.border(1<<k) == nil {
					b = nil // a ring, or held by a point: no outline
				}
			}
		}
		joins := b.randomJoins(r)
		text := b.text(joins)
		path := filepath.Join(dir, fmt.Sprintf("b%d.block", run))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		var out, errs bytes.Buffer
		code := run1(t, []string{"order", "--format", "json", path}, &out, &errs)
		require.Empty(t, errs.String(), text)
		var orders []struct {
			Section string
			Joins   []string
			Sewable bool
			Order   []int
			Unclear string
		}
		require.NoError(t, json.Unmarshal(out.Bytes(), &orders))
		got := orders[len(orders)-1]
		require.Len(t, got.Joins, len(joins), text)
		want := b.any(joins)
		require.Equal(t, want, got.Sewable, "run %d: %s\n%s", run, out.String(), text)
		if want {
			require.True(t, b.sewn(joins, got.Order), "run %d: %v\n%s", run, got.Order, text)
			sewable++
		} else {
			require.Empty(t, got.Order)
			stuck++
		}
		for _, o := range orders[:len(orders)-1] {
			require.True(t, o.Sewable, text)
		}
		require.Equal(t, map[bool]int{true: 0, false: exitFound}[want], code, text)

		as := make([]int, len(joins))
		for i := range as {
			as[i] = i + 1
		}
		if want && b.sewn(joins, as) {
			require.Equal(t, as, got.Order, "the written order works\n%s", text)
			asWritten++
		}
		if strings.Contains(text, " inset\n") || strings.Contains(text, " partial\n") {
			special++
		}
		require.NoError(t, os.Remove(path))
	}
	t.Logf("%d blocks: %d with an order, %d as written; %d without; %d with set-in or partial joins", boards(), sewable, asWritten, stuck, special)
	require.Positive(t, asWritten)
	require.Greater(t, sewable, asWritten)
	require.Positive(t, stuck)
}

func run1(t *testing.T, args []string, out, errs *bytes.Buffer) int {
	return run(t.Context(), args, strings.NewReader(""), out, errs)
}

// A search that was given up does not say that there is no order.
func TestOrderThatWasNotFound(t *testing.T) {
	const strips = 17
	var b strings.Builder
	fmt.Fprintf(&b, "allowance 1/4\nfabric sky\nblock \"Pier\" %d by 4 {\n", strips+4)
	section := func(name, corners string) {
		fmt.Fprintf(&b, "  section %s {\n    patch 1 sky %s\n  }\n", name, corners)
	}
	section("A", "(0, 0) (2, 0) (2, 2) (0, 3)")
	section("B", "(2, 0) (4, 0) (4, 3) (2, 2)")
	section("C", "(0, 3) (2, 2) (4, 3) (4, 4) (0, 4)")
	for i := range strips {
		section(fmt.Sprintf("S%d", i+1), fmt.Sprintf("(%[1]d, 0) (%[2]d, 0) (%[2]d, 4) (%[1]d, 4)", i+4, i+5))
	}
	b.WriteString("  join A to B\n  join B to C\n  join C to A\n  join C to S1\n")
	for i := range strips - 1 {
		fmt.Fprintf(&b, "  join S%d to S%d\n", i+1, i+2)
	}
	b.WriteString("}\n")
	path := filepath.Join(t.TempDir(), "pier.block")
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
	printed := func(args ...string) string {
		var out, problems bytes.Buffer
		assert.Equal(t, exitFound, run(t.Context(), append(args, path), strings.NewReader(""), &out, &problems))
		return out.String() + problems.String()
	}
	assert.Contains(t, printed("order"), "joins: no order was found in 20,000 tries\n")
	assert.Contains(t, printed("lint", "--no-cache"), "No order of joins was found in 20,000 tries")
	guide := filepath.Join(t.TempDir(), "guide.html")
	var out bytes.Buffer
	run(t.Context(), []string{"print", "--force", "--guide", "-o", guide, path}, strings.NewReader(""), &out, &out)
	text, err := os.ReadFile(guide)
	require.NoError(t, err, out.String())
	assert.Contains(t, string(text), "no order of the joins was found in 20,000 tries")
}
