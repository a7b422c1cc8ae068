package svgimport_test

import (
	"fmt"
	"strings"
	"testing"

	"sewable/lang/svgimport"
)

// A checked cloth of n by n squares, each a shape.
func BenchmarkImport(b *testing.B) {
	for _, n := range []int{10, 30, 100} {
		var s strings.Builder
		s.WriteString(`<svg xmlns="http://www.w3.org/2000/svg">`)
		for i := range n * n {
			fmt.Fprintf(&s, `<path class="cloth" fill="%s" d="M%d %dh19.99v20h-20z"/>`, []string{"teal", "ivory"}[(i+i/n)%2], i%n*20, i/n*20)
		}
		s.WriteString("</svg>")
		text := s.String()
		b.Run(fmt.Sprintf("%d shapes", n*n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if _, err := svgimport.Import("x.svg", text, svgimport.Options{Weld: svgimport.Weld}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
