package preview_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lint/linttest"
	"sewable/lsp/preview"
)

// From a save to the new drawing in a window. Aim: 100 ms.
func BenchmarkSaveToDrawing(b *testing.B) {
	for name, text := range map[string]string{
		"two patches": two,
		"40 patches":  linttest.GenerateBlock(3, 40),
		"180 patches": linttest.GenerateSections(7, 180, 20),
	} {
		b.Run(name, func(b *testing.B) {
			dir := repository(b, map[string]string{"a.block": text, "palette.block": palette + linttest.Palette})
			path := filepath.Join(dir, "a.block")
			w := open(b, follow(b, start(b, preview.Options{}), path), preview.Look{})
			at := w.picture(nil)
			require.NotEmpty(b, at.SVG)
			// The title is part of the drawing.
			i := strings.Index(text, `block "`) + len(`block "`)
			n := 0
			for b.Loop() {
				n++
				write(b, path, text[:i]+strings.Repeat("x", n%7+1)+text[i:])
				w.picture(func(p shown) bool { return strings.HasPrefix(p.Look.Title, strings.Repeat("x", n%7+1)) })
			}
		})
	}
}
