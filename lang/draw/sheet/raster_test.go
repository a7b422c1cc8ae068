package sheet

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/geom"
)

// The raster of a page, as poppler renders it, in darkness from 0 to 1.
type raster struct {
	width, height int
	dots          []byte
	perMM         float64
}

// render renders a page at so many dots an inch, or skips the test.
func render(t *testing.T, pages []*ink.Drawing, page, dpi int) *raster {
	t.Helper()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		require.Empty(t, os.Getenv("CI"), "CI has every program")
		t.Skip("pdftoppm is not installed (Debian: poppler-utils)")
	}
	dir := t.TempDir()
	var out bytes.Buffer
	require.NoError(t, pdf.Write(&out, pages, pdf.How{Title: "Sheets"}))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "s.pdf"), out.Bytes(), 0o600))
	n := strconv.Itoa(page)
	said, err := exec.Command("pdftoppm", "-gray", "-singlefile", "-r", strconv.Itoa(dpi), "-f", n, "-l", n, filepath.Join(dir, "s.pdf"), filepath.Join(dir, "p")).CombinedOutput()
	require.NoError(t, err, string(said))
	pgm, err := os.ReadFile(filepath.Join(dir, "p.pgm"))
	require.NoError(t, err)
	r := &raster{perMM: float64(dpi) / 25.4}
	var most int
	_, err = fmt.Sscanf(string(pgm[:40]), "P5\n%d %d\n%d\n", &r.width, &r.height, &most)
	require.NoError(t, err)
	r.dots = pgm[len(pgm)-r.width*r.height:]
	return r
}

// lines are the places, in mm, of upright lines in a band of a page (or of level ones,
// in a band from left to right): the middles of where it is dark.
func (r *raster) lines(level bool, from, to, start, end float64) []float64 {
	dark := func(along, across int) float64 {
		x, y := along, across
		if level {
			x, y = across, along
		}
		if x < 0 || y < 0 || x >= r.width || y >= r.height {
			return 0
		}
		return 1 - float64(r.dots[y*r.width+x])/255
	}
	var out []float64
	sum, weight := 0.0, 0.0
	for a := int(start * r.perMM); a <= int(end*r.perMM); a++ {
		most := 0.0
		for c := int(from * r.perMM); c < int(to*r.perMM); c++ {
			most += dark(a, c)
		}
		if most > 0.15*(to-from)*r.perMM {
			sum += (float64(a) + 0.5) * most
			weight += most
		} else if weight > 0 {
			out = append(out, sum/weight/r.perMM)
			sum, weight = 0, 0
		}
	}
	return out
}

// On both papers a 1 in square is 25.4 mm, a 25 mm square 25 mm, the first
// pennant's outer stitching line 6 in and its allowance 1/4 in, all to within 0.2 mm.
func TestTrueScaleOnPaper(t *testing.T) {
	for _, paper := range []Paper{Letter, A4} {
		t.Run(paper.Name, func(t *testing.T) {
			pages, err := Pages([]Pattern{named(t, "First Pennant")}, How{Paper: paper})
			require.NoError(t, err)
			n := len(pages)
			r := render(t, pages, n, 300)
			assert.InDelta(t, paper.Width/geom.Millimetre, float64(r.width)/r.perMM, 0.2)
			assert.InDelta(t, paper.Height/geom.Millimetre, float64(r.height)/r.perMM, 0.2)

			mm := func(hairs float64) float64 { return hairs / geom.Millimetre }
			for name, want := range map[string]float64{"1 in": 25.4, "25 mm": 25} {
				var box geom.Box
				for _, it := range pages[n-1].Layer("squares").Items {
					if path, ok := it.(*ink.Path); ok && path.Name == name {
						box = geom.Polygon(path.Chains[0].Points).Bounds()
					}
				}
				require.Positive(t, box.Width())
				across := r.lines(false, mm(box.Min.Y)+2, mm(box.Min.Y)+6, mm(box.Min.X)-0.8, mm(box.Max.X)+0.8)
				down := r.lines(true, mm(box.Min.X)+2, mm(box.Min.X)+6, mm(box.Min.Y)-0.8, mm(box.Max.Y)+0.8)
				require.Len(t, across, 2)
				require.Len(t, down, 2)
				assert.InDelta(t, want, across[1]-across[0], 0.2, "%s wide", name)
				assert.InDelta(t, want, down[1]-down[0], 0.2, "%s high", name)
			}

			var outer geom.Box
			for _, it := range pages[n-1].Layer("outer").Items {
				outer = geom.Polygon(it.(*ink.Path).Chains[0].Points).Bounds()
			}
			// The first two upright lines and the last two; seams lie between.
			xs := r.lines(false, mm(outer.Min.Y)+1, mm(outer.Max.Y)-1, mm(outer.Min.X)-8, mm(outer.Max.X)+8)
			require.GreaterOrEqual(t, len(xs), 4)
			cut1, line1 := xs[0], xs[1]
			line2, cut2 := xs[len(xs)-2], xs[len(xs)-1]
			assert.InDelta(t, 6*25.4, line2-line1, 0.2)
			assert.InDelta(t, 25.4/4, line1-cut1, 0.2)
			assert.InDelta(t, 25.4/4, cut2-line2, 0.2)
			assert.Less(t, math.Abs(line1-mm(outer.Min.X)), 0.2)
		})
	}
}
