package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// told is what `lint` says of a file.
type told struct {
	Findings []struct {
		Line, Column, EndColumn int
		Rule, Level, Message    string
		Fixes                   []struct {
			Edits []struct {
				Line, Column, EndColumn int
				Text                    string
			}
		}
	}
}

// unfilled are the rules that speak of what does not fill its outline.
var unfilled = []string{"gap", "overlap", "outside-outline", "crossed-outline", "sections-overlap", "block-not-filled"}

// One corner of one patch, moved by a little: where something is no longer filled, the error is the near
// miss, its move mends the file, and until then `order` claims nothing.
func TestANudgedCornerIsTheError(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1500))
	path := filepath.Join(t.TempDir(), "nudged.block")
	lint := func(text string) (out told) {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		var stdout, stderr bytes.Buffer
		run1(t, []string{"lint", "--no-cache", "--format", "json", path}, &stdout, &stderr)
		require.NoError(t, json.Unmarshal(stdout.Bytes(), &out), stderr.String())
		return out
	}
	spoilt, moves := 0, map[int]int{}
	for run := range boards() {
		var b *board
		for b == nil {
			b = newBoard(r, 2+r.IntN(2), 2+r.IntN(4))
			for k := range b.sections {
				if b != nil && b.border(1<<k) == nil {
					b = nil
				}
			}
		}
		text := b.text(b.randomJoins(r))
		if r.IntN(2) == 0 { // the same as patches of one section
			text = asOneSection(text, b.size, r.IntN(2) == 0)
		}
		lines := strings.Split(text, "\n")
		var at []int
		for i, l := range lines {
			if strings.Contains(l, "patch") {
				at = append(at, i)
			}
		}
		i := at[r.IntN(len(at))]
		pairs := strings.Split(lines[i], " (")
		k := 1 + r.IntN(len(pairs)-1)
		by := 0.3 + 1.2*r.Float64() // mm; a quarter of the allowance is 1.59
		nudge := [...]string{"%s + %.2f mm, %s", "%s - %.2f mm, %s"}[r.IntN(2)]
		x, y, _ := strings.Cut(strings.TrimSuffix(pairs[k], ")"), ", ")
		if r.IntN(2) == 0 {
			pairs[k] = fmt.Sprintf(nudge, x, by, y) + ")"
		} else {
			pairs[k] = fmt.Sprintf([...]string{"%s, %s + %.2f mm)", "%s, %s - %.2f mm)"}[r.IntN(2)], x, y, by)
		}
		lines[i] = strings.Join(pairs, " (")
		nudged := strings.Join(lines, "\n")
		wrong := func(out told) (fill, near int) {
			for _, f := range out.Findings {
				if slices.Contains(unfilled, f.Rule) {
					fill++
				}
				if f.Rule == "near-miss" && f.Level == "error" {
					near++
				}
			}
			return fill, near
		}
		if fill, _ := wrong(lint(text)); fill > 0 {
			t.Fatalf("run %d: not right to begin with\n%s", run, text)
		}
		out := lint(nudged)
		fill, near := wrong(out)
		if fill+near == 0 {
			continue // along a line, where nothing is left open
		}
		spoilt++
		require.Zero(t, fill, "run %d: the consequence is reported\n%s\n%v", run, nudged, out)
		require.Positive(t, near, "run %d\n%s\n%v", run, nudged, out)
		var stdout, stderr bytes.Buffer
		require.Equal(t, exitFound, run1(t, []string{"order", path}, &stdout, &stderr), "%s\n%s", nudged, stdout.String())

		n := 0
		for ; near > 0 && n < 4; n++ {
			lines := strings.Split(nudged, "\n")
			for _, f := range out.Findings {
				if f.Rule == "near-miss" && f.Level == "error" {
					require.NotEmpty(t, f.Fixes, "run %d: %s\n%s", run, f.Message, nudged)
					edits := f.Fixes[0].Edits
					slices.SortFunc(edits, func(a, b struct {
						Line, Column, EndColumn int
						Text                    string
					}) int {
						return b.Column - a.Column
					})
					for _, e := range edits {
						l := lines[e.Line-1]
						lines[e.Line-1] = l[:e.Column-1] + e.Text + l[e.EndColumn-1:]
					}
					break
				}
			}
			nudged = strings.Join(lines, "\n")
			out = lint(nudged)
			fill, near = wrong(out)
			require.Zero(t, fill, "run %d: after the move\n%s", run, nudged)
		}
		require.Zero(t, near, "run %d\n%s\n%v", run, nudged, out)
		moves[n]++
	}
	t.Logf("%d nudges, %d spoilt something; moves that mended them: %v", boards(), spoilt, moves)
	require.Positive(t, spoilt)
}

// asOneSection writes the sections of a board as patches of one, perhaps with its outline.
func asOneSection(text string, size int, outline bool) string {
	var s strings.Builder
	n := 0
	for _, l := range strings.Split(text, "\n") {
		switch {
		case strings.Contains(l, "patch"):
			n++
			fmt.Fprintln(&s, strings.Replace(l, "patch 1", fmt.Sprint("patch ", n), 1))
		case strings.Contains(l, "section A"):
			fmt.Fprintln(&s, l)
			if outline {
				fmt.Fprintf(&s, "    outline (0, 0) (%[1]d, 0) (%[1]d, %[1]d) (0, %[1]d)\n", 2*size)
			}
		case strings.Contains(l, "section"), strings.Contains(l, "join"), strings.Contains(l, "finish"), l == "  }", l == "}", l == "":
		default:
			fmt.Fprintln(&s, l)
		}
	}
	return s.String() + "  }\n}\n"
}
