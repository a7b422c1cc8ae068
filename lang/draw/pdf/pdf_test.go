package pdf_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/geom"
)

func page(texts ...string) *ink.Drawing {
	d := &ink.Drawing{Width: 8.5 * geom.Inch, Height: 11 * geom.Inch}
	for i, s := range texts {
		d.Layer("text").Add(&ink.Text{
			At: geom.Point{X: 100, Y: 100 + 40*float64(i)}, String: s, Size: 25, Align: ink.Start, Bold: i%2 == 1, Colour: ink.Dark, Turn: float64(i % 3),
		})
	}
	d.Layer("lines").Add(&ink.Path{Chains: ink.Line(geom.Point{X: 1, Y: 1}, geom.Point{X: 900, Y: 900}), Stroke: ink.Dark, Width: 2, Dash: []float64{5, 3}})
	return d
}

func write(t *testing.T, pages ...*ink.Drawing) []byte {
	var out bytes.Buffer
	require.NoError(t, pdf.Write(&out, pages, pdf.Options{Title: "Sloop ½ 海"}))
	return out.Bytes()
}

// tool runs a program of poppler-utils or qpdf on a PDF, or skips the test.
func tool(t *testing.T, content []byte, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		require.Empty(t, os.Getenv("CI"), "CI has every program")
		t.Skipf("%s is not installed (Debian: poppler-utils, qpdf)", name)
	}
	path := filepath.Join(t.TempDir(), "test.pdf")
	require.NoError(t, os.WriteFile(path, content, 0o600))
	for i, a := range args {
		if a == "FILE" {
			args[i] = path
		}
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, string(out))
	return string(out)
}

var names = []string{"Jib A1 3½ by 2¼ in, ⅜", "Море Θάλασσα", "縫う 바다", "✂ ⅓ Ծով ზღვა"}

func TestSamePagesGiveTheSameBytes(t *testing.T) {
	assert.Equal(t, write(t, page(names...)), write(t, page(names...)))
}

// ISO 32000-1, 12.2: PrintScaling None asks the viewer not to scale.
func TestPrintsUnscaled(t *testing.T) {
	content := write(t, page(names...), page())
	assert.Contains(t, string(content), "/PrintScaling /None")
	assert.Contains(t, tool(t, content, "qpdf", "--check", "FILE"), "No syntax or stream encoding errors found")
	info := tool(t, content, "pdfinfo", "FILE")
	assert.Regexp(t, `Pages:\s+2\n`, info)
	assert.Regexp(t, `Page size:\s+612 x 792 pts \(letter\)`, info)
	assert.Contains(t, info, "Sloop ½ 海")
	assert.Contains(t, tool(t, content, "qpdf", "--json", "--json-key=qpdf", "FILE"), `"/PrintScaling": "/None"`)
}

func TestFontsAreEmbedded(t *testing.T) {
	out := tool(t, write(t, page(names...)), "pdffonts", "FILE")
	lines := strings.Split(strings.TrimSpace(out), "\n")[2:]
	assert.Len(t, lines, 4, "regular, bold, wide and east Asian")
	for _, l := range lines {
		assert.Regexp(t, `yes\s+(no|yes)\s+yes`, l, "embedded, and with a way back to Unicode")
	}
}

func TestTextCanBeExtracted(t *testing.T) {
	out := tool(t, write(t, page(names...)), "pdftotext", "-layout", "FILE", "-")
	squeezed := strings.Join(strings.Fields(out), "")
	for _, s := range names {
		assert.Contains(t, squeezed, strings.Join(strings.Fields(s), ""))
	}
}

func TestOddText(t *testing.T) {
	tool(t, write(t, page("🧵 beyond the first plane", "\x00\x1b( ) \\ ", "\xff\xfe", "")), "qpdf", "--check", "FILE")
}

func TestNoPages(t *testing.T) {
	assert.Error(t, pdf.Write(&bytes.Buffer{}, nil, pdf.Options{}))
}
