package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/syntax"
)

// BenchmarkLarge is what a stranger can have worked out by one small file: patches and outlines of many
// corners, sharp and near each other, crossing themselves or around a circle.
func BenchmarkLarge(b *testing.B) {
	for _, corners := range []int{2_500, 10_000} {
		for name, text := range large(corners) {
			path := filepath.Join(b.TempDir(), "large.block")
			require.NoError(b, os.WriteFile(path, []byte(text), 0o644))
			for _, args := range [][]string{{"lint", "--no-cache"}, {"order"}, {"draw", "-o", filepath.Join(b.TempDir(), "out.svg")}} {
				b.Run(fmt.Sprintf("%s/%d/%s", name, corners, args[0]), func(b *testing.B) {
					b.ReportAllocs()
					for b.Loop() {
						run(b.Context(), append(args, path), strings.NewReader(""), io.Discard, io.Discard)
					}
				})
			}
		}
	}
}

// BenchmarkCrowded is a file of nothing but what cannot be read: one line, or as many as there may be.
func BenchmarkCrowded(b *testing.B) {
	for name, text := range map[string]string{
		"line":       strings.Repeat("((({\"", syntax.MaxBytes/5),
		"braces":     strings.Repeat("{", syntax.MaxLines-1),
		"unclosed":   strings.Repeat("block \"B\" 4 by 4 {\n", syntax.MaxLines-1),
		"statements": strings.Repeat("patch a (0, 0) (1, 1\n", syntax.MaxLines-1),
	} {
		path := filepath.Join(b.TempDir(), "crowded.block")
		require.NoError(b, os.WriteFile(path, []byte(text), 0o644))
		for _, args := range [][]string{{"lint", "--no-cache"}, {"cuts"}, {"fmt", "--check"}, {"plan"}, {"print", "-o", filepath.Join(b.TempDir(), "out.pdf")}, {"draw", "-o", filepath.Join(b.TempDir(), "out.svg")}} {
			b.Run(name+"/"+args[0], func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					run(b.Context(), append(args, path), strings.NewReader(""), io.Discard, io.Discard)
				}
			})
		}
	}
}

// large are blocks with this many corners in a patch or an outline.
func large(corners int) map[string]string {
	head := "units mm\nallowance 6\nfabric a #cc4444\nfabric b #44cc44\nblock \"Large\" 1000 by 1000 {\n"
	type point struct{ x, y float64 }
	list := func(n int, at func(i int) point) string {
		var b strings.Builder
		for i := range n {
			p := at(i)
			fmt.Fprintf(&b, " (%.3f, %.3f)", p.x, p.y)
		}
		return b.String()
	}
	saw := func(i int) point {
		return point{1000 - 1000*float64(i)/float64(corners-3), 800 + 100*float64(i%2)}
	}
	below := " (0, 0) (1000, 0)" + list(corners-2, saw)
	above := " (0, 1000)" + list(corners-2, func(i int) point { return saw(corners - 3 - i) }) + " (1000, 1000)"
	circle := list(corners, func(i int) point {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		return point{500 + 500*cos, 500 + 500*sin}
	})
	random := list(corners, func(i int) point { // a linear congruence, the same every time
		return point{float64(i * 7919 % 9973), float64(i * 104729 % 9967)}
	})
	return map[string]string{
		"saw":       head + "  section A {\n    patch 1 a" + below + "\n  }\n}\n",
		"circle":    head + "  section A {\n    patch 1 a" + circle + "\n  }\n}\n",
		"outline":   head + "  section A {\n    outline" + below + "\n    patch 1 a (0, 0) (1000, 0) (1000, 500) (0, 500)\n    patch 2 b beyond (0, 500) (1000, 500)\n  }\n}\n",
		"neighbors": head + "  section A {\n    patch 1 a" + below + "\n  }\n  section B {\n    patch 1 b" + above + "\n  }\n  join A to B\n}\n",
		"crossed":   head + "  section A {\n    patch 1 a" + random + "\n  }\n}\n",
	}
}
