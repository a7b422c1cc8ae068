package svgimport_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/block"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/svgimport"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
)

// Whatever a drawing holds, it is refused with a place, or gives a block file that is read without an
// error, formatted as it stands.
func FuzzImport(f *testing.F) {
	for _, name := range []string{"testdata/traced.txtar", "testdata/seen.txtar", "testdata/refused.txtar"} {
		archive, err := txtar.ParseFile(name)
		require.NoError(f, err)
		for _, file := range archive.Files {
			f.Add(string(file.Data), uint8(0))
			f.Add(string(file.Data), uint8(3))
			f.Add(string(file.Data), uint8(0xff))
		}
	}
	f.Fuzz(func(t *testing.T, text string, how uint8) {
		o := svgimport.Options{Weld: svgimport.Weld, Segments: int(how%8) - 1, Page: how&8 > 0, Sections: how&16 > 0, Merge: how&32 > 0}
		if how&64 > 0 {
			o.Size = 6 * geom.Inch
		}
		if how&128 > 0 {
			o.Smallest = geom.Inch / 2
		}
		b, err := svgimport.Import("x.svg", text, o)
		if err != nil {
			var is *svgimport.Error
			require.True(t, errors.As(err, &is))
			require.NotEmpty(t, is.Message)
			return
		}
		again, err := svgimport.Import("x.svg", text, o)
		require.NoError(t, err)
		require.Equal(t, b.Text, again.Text)
		readable(t, b)
	})
}

// FuzzPath is the data of a path alone.
func FuzzPath(f *testing.F) {
	for _, d := range []string{"M0 0H300V300H0z", "m0,0 1.92e2.0.0 192-192.0.0z", "M0 0A9 9 0 0150 0Q60 70 200 200T9 300S8 7 6 5z", "M0 0L5", "M1."} {
		f.Add(d, "rotate(30 5 5) skewX(10)")
	}
	f.Fuzz(func(t *testing.T, d, transform string) {
		b, err := svgimport.Import("x.svg", `<svg xmlns="http://www.w3.org/2000/svg"><path d="`+clean(d)+`" transform="`+clean(transform)+`"/></svg>`,
			svgimport.Options{Weld: svgimport.Weld, Segments: 4, Size: 6 * geom.Inch})
		if err == nil {
			readable(t, b)
		}
	})
}

func readable(t require.TestingT, b *svgimport.Block) {
	tree := syntax.Parse(source.New("", b.Text))
	require.Empty(t, tree.Errors, b.Text)
	require.Equal(t, b.Text, format.Format(tree))
	model := block.NewLoader(syntax.NewReader(), nil).OpenText("/x.block", b.Text)
	require.Empty(t, model.Problems, b.Text)
	require.Len(t, model.Blocks, 1)
}

// clean is a text as it can stand in an attribute.
func clean(s string) string { return string(svg.AppendText(nil, s)) }
