package svgimport_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/svgimport"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lint"
	"sewable/lint/rules"
)

// How the drawings of traced.txtar are traced, where not as they are.
var asked = map[string]svgimport.Options{
	"lines":   {Size: 6 * geom.Inch, Weld: svgimport.Weld},
	"pennant": {Size: 6 * geom.Inch, Weld: svgimport.Weld},
	"moon":    {Size: 6 * geom.Inch, Weld: svgimport.Weld, Segments: 6},

	"apart":           {Size: 6 * geom.Inch, Weld: svgimport.Weld},
	"straight-curves": {Size: geom.Inch, Weld: svgimport.Weld},
	"shared-curve":    {Weld: svgimport.Weld, Segments: svgimport.Auto, Smallest: geom.Inch / 2},
	"small-curve":     {Weld: svgimport.Weld, Segments: svgimport.Auto, Smallest: geom.Inch / 2},
	"same-blue":       {Weld: svgimport.Weld, Merge: true},
}

// The drawings of traced.txtar and seen.txtar give the blocks beside them, which are formatted and have no finding but
// that they are still to be divided.
func TestImported(t *testing.T) {
	for _, path := range []string{"testdata/traced.txtar", "testdata/seen.txtar"} {
		archive, err := txtar.ParseFile(path)
		require.NoError(t, err)
		files := map[string]string{}
		var kept []txtar.File
		for _, f := range archive.Files {
			files[f.Name] = string(f.Data)
		}
		for _, f := range archive.Files {
			name, ok := strings.CutSuffix(f.Name, ".svg")
			if !ok {
				continue
			}
			kept = append(kept, f)
			t.Run(name, func(t *testing.T) {
				o, ok := asked[name]
				if !ok {
					o.Weld = svgimport.Weld
				}
				b, err := svgimport.Import(f.Name, string(f.Data), o)
				require.NoError(t, err)
				var notes strings.Builder
				for _, c := range b.Closed {
					fmt.Fprintf(&notes, "closed %s at %s, moved to %s\n", geom.FormatExact(c.Dist, geom.Millimetres), geom.FormatPlace(c.From, b.Unit), geom.FormatPlace(c.To, b.Unit))
				}
				for _, n := range b.Notes {
					fmt.Fprintln(&notes, n)
				}
				kept = append(kept, txtar.File{Name: name + ".block", Data: []byte(b.Text)})
				if notes.Len() > 0 {
					kept = append(kept, txtar.File{Name: name + ".notes", Data: []byte(notes.String())})
				}
				sound(t, b)
				if *update {
					return
				}
				assert.Equal(t, files[name+".block"], b.Text)
				assert.Equal(t, files[name+".notes"], notes.String())
			})
		}
		if *update {
			archive.Files = kept
			require.NoError(t, os.WriteFile(path, txtar.Format(archive), 0o600))
		}
	}
}

var update = flag.Bool("update", false, "write what comes of the drawings into their archives; look at it then")

// sound says that a block file is formatted and that the linter has nothing against it but that it is not divided
// yet, or what is a matter of the drawing: small, sharp, alike.
func sound(t require.TestingT, b *svgimport.Block) {
	require.Equal(t, b.Text, format.Format(syntax.Parse(source.New("", b.Text))))
	config := lint.NewConfig(rules.All)
	for _, f := range lint.Text("/traced.block", b.Text, lint.Options{Config: config}).Findings {
		require.NotEqual(t, lint.Error, f.Level, "%s: %s\n%s", f.Rule, f.Message, b.Text)
	}
}

var want = regexp.MustCompile(`^<!-- want (\S+) (.*) -->\n`)

// Each drawing of refused.txtar is refused, at the line and in the words in front of it.
func TestRefused(t *testing.T) {
	archive, err := txtar.ParseFile("testdata/refused.txtar")
	require.NoError(t, err)
	for _, f := range archive.Files {
		t.Run(f.Name, func(t *testing.T) {
			m := want.FindStringSubmatch(string(f.Data))
			require.NotNil(t, m)
			_, err := svgimport.Import(f.Name, string(f.Data), svgimport.Options{Weld: svgimport.Weld})
			var is *svgimport.Error
			require.True(t, errors.As(err, &is), "%v", err)
			assert.Contains(t, is.Message, m[2])
			if line, err := strconv.Atoi(m[1]); err == nil {
				assert.Equal(t, line, is.Line)
			}
			assert.NotContains(t, is.Message, "\n")
		})
	}
}

// Files that are no drawings at all, or made to do harm.
func TestRefusedWhole(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" width="2000in" height="2000in">`
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "x.svg: it has no svg element"},
		{"another language", "<html/>", "x.svg:1:1: this is not SVG: it begins with the element html"},
		{"not text", "<svg>\xff</svg>", "x.svg:1:6: this is not UTF-8 text. Save the drawing as plain SVG, not compressed"},
		{"zero byte", "<svg>\n\x00</svg>", "x.svg:2:1: this is not UTF-8 text. Save the drawing as plain SVG, not compressed"},
		{"another encoding", `<?xml version="1.0" encoding="latin1"?><svg/>`, `x.svg:1:1: this is not well-formed XML: encoding "latin1" declared but Decoder.CharsetReader is nil`},
		{"entities", `<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg><text>&b;</text></svg>`,
			"x.svg:1:1: the document type declares entities, which are not expanded. Save the drawing without them"},
		{"style sheet outside", `<?xml-stylesheet href="harbour.css"?><svg/>`,
			"x.svg:1:1: a style sheet outside the drawing is not fetched. Save the drawing with its styles in it"},
		{"too large", strings.Repeat(" ", svgimport.MaxBytes+1), "x.svg: the drawing is larger than 32 MB. Remove what is not part of the block"},
		{"too deep", "<svg>" + strings.Repeat("<g>", 1000), "x.svg:1:603: elements are nested more than 200 deep"},
		{"too many elements", "<svg>" + strings.Repeat("<g/>", 200_001), "there are more than 200000 elements"},
		{"too many uses", head + bomb(6, 10), "is one element too many: at most 200000 are drawn, each as often as it is used"},
		{"too many corners", head + `<path d="M0 0` + strings.Repeat(" 1 1", 200_001) + `"/></svg>`, "path has more than 200000 commands"},
		{"too many crossings", head + tangle(1700) + "</svg>", "x.svg: the lines cross each other too often"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := svgimport.Import("x.svg", c.text, svgimport.Options{})
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.Less(t, len(err.Error()), 300)
		})
	}
}

// bomb is a drawing in which each of some levels uses the one below ten times.
func bomb(levels, times int) string {
	var b strings.Builder
	b.WriteString(`<g id="l0"><g/></g>`)
	for i := 1; i <= levels; i++ {
		fmt.Fprintf(&b, `<g id="l%d">%s</g>`, i, strings.Repeat(fmt.Sprintf(`<use href="#l%d"/>`, i-1), times))
	}
	return b.String() + "</svg>"
}

// tangle is lines that all cross each other.
func tangle(n int) string {
	var b strings.Builder
	b.WriteString(`<g stroke="black" transform="scale(100)">`)
	for i := range n {
		fmt.Fprintf(&b, `<path d="M0 %dL%d 0" fill="none"/>`, i+1, n-i)
	}
	return b.String() + "</g>"
}

// Lengths and colours mean what SVG 1.1 says they do: the same square, said in other ways.
func TestTheSameSquare(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" `
	const square = "fabric red #ff0000\n\nblock \"x\" 2 by 2 {\n  allowance 1/4 in\n\n  patch red (0, 0) (2, 0) (2, 2) (0, 2)\n}\n"
	for _, text := range []string{
		head + `width="10in" height="10in"><rect width="192" height="192" fill="red"/></svg>`,
		head + `width="10in" height="10in"><rect width="192px" height="2in" fill="#F00"/></svg>`,
		head + `width="10in" height="10in"><rect width="5.08cm" height="144pt" fill="#ff0000"/></svg>`,
		head + `width="10in" height="10in"><rect width="12pc" height="203.2Q" fill="rgb(255,0,0)"/></svg>`,
		head + `width="10in" height="10in"><rect width="50.8mm" height="+1.92e2" fill="rgb(100%, 0%, 0%)"/></svg>`,
		head + `width="10in" height="10in"><rect transform="translate(99 98)" x="-96" y="-96" width="192" height="192" fill="hsl(0, 100%, 50%)"/></svg>`,
		head + `width="4in" height="8in"><rect width="50%" height="25%" fill="rgba(255 0 0 / 100%)"/></svg>`,
		head + `width="2in" height="2in" viewBox="0 0 7 7"><rect width="7" height="7" style="fill:red"/></svg>`,
		head + `width="4in" height="2in" viewBox="0 0 7 7"><rect width="100%" height="100%" style="fill:lime;fill:red"/></svg>`,
		head + `width="4in" height="2in" viewBox="0 0 7 7" preserveAspectRatio="xMaxYMin meet"><rect width="7" height="7" fill="#f00f"/></svg>`,
		head + `width="2in" height="3in" viewBox="0 0 7 7" preserveAspectRatio="xMidYMid slice"><rect x="1" width="5" height="4.666666667" fill="red"/></svg>`,
		head + `width="2in" height="4in" viewBox="0 0 1 1" preserveAspectRatio="none"><rect width="1" height="0.5" fill="red"/></svg>`,
		head + `width="2in" viewBox="0 0 7 7"><rect width="7" height="7" fill="red"/></svg>`,
		head + `width="10in" height="10in" color="red"><g fill="currentColor"><rect width="192" height="192"/></g></svg>`,
		head + `width="10in" height="10in"><style>* {fill: lime} rect {fill: blue} .a {fill: green} #b {fill: red}</style><rect id="b" class="a c" fill="blue" width="192" height="192"/></svg>`,
		head + `width="10in" height="10in"><style>rect.a {fill: red !important}</style><rect class="a" style="fill: blue" width="192" height="192"/></svg>`,
		head + `width="10in" height="10in"><svg x="1in" width="2in" height="2in" viewBox="10 10 2 2"><polygon fill="red" points="10 10 12,10 12,12,10,12"/></svg></svg>`,
		head + `width="10in" height="10in"><polyline fill="red" points="0 0 192 0 192 192 0 192"/></svg>`,
		head + `width="10in" height="10in"><path fill="red" d="m10 10 192 0 0 192-192 0z"/></svg>`,
		head + `width="10in" height="10in"><path fill="red" d="M10,10H202V202h-1.92e2"/></svg>`,
		head + `width="10in" height="10in"><path fill="red" d="m0 0 1.92e2.0.0 192-192.0.0z" transform="translate(1.5.5)"/></svg>`,
		head + `width="10in" height="10in"><path fill="red" transform="skewX(0) translate(9 9) scale(-96, 96) rotate(90) matrix(1 0 0 1 0.5 0.25)" d="M0,0 0,2 2,2 2,0Z"/></svg>`,
		head + `width="10in" height="10in"><rect fill="red" width="192" height="192"/><rect visibility="hidden" width="5" height="5"/><g display="none"><text/></g><rect opacity="0" width="900" height="9"/></svg>`,
	} {
		b, err := svgimport.Import("x.svg", text, svgimport.Options{Weld: svgimport.Weld, Units: "in"})
		if assert.NoError(t, err, text) {
			assert.Equal(t, square, b.Text, text)
		}
	}
}

func TestReadsNothingElse(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.WriteFile("gull.svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><rect id="wing" width="96" height="96"/></svg>`), 0o600))
	_, err := svgimport.Import("x.svg", `<svg xmlns="http://www.w3.org/2000/svg"><use href="gull.svg#wing"/></svg>`, svgimport.Options{})
	assert.ErrorContains(t, err, "outside the drawing")
}
