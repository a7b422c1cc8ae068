package sheet

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
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
	require.NoError(t, pdf.Write(&out, pages, pdf.Options{Title: "Sheets"}))
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
			pages, err := Pages([]Pattern{named(t, "First Pennant")}, Options{Paper: paper})
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

const leaning = `
fabric sky "Sky" #c3dcea
fabric sea "Sea" #2f7098
allowance 1/4
block "Leaning" 6 by 3 {
  section A {
    outline (0, 0) (6, 0) (6, 3) (0, 3)
    patch 1 sky (3/4, 0) (2 1/4, 0) (3 3/4, 1 1/2) (3/4, 1 1/2)
    patch 2 sea (3/4, 1 1/2) (3 3/4, 1 1/2) (5 1/4, 3) (3/4, 3)
    patch 3 sky (2 1/4, 0) (6, 0) (6, 3) (5 1/4, 3)
    patch 4 sky (0, 0) (3/4, 0) (3/4, 3) (0, 3)
  }
}`

// inches reads "4¼" as it is printed.
func inches(t *testing.T, s string) float64 {
	t.Helper()
	sum := 0.0
	for sign, part := range map[string]float64{"¼": 0.25, "½": 0.5, "¾": 0.75} {
		if whole, ok := strings.CutSuffix(s, sign); ok {
			s, sum = whole, part
		}
	}
	if s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		sum += float64(n)
	}
	return sum
}

// Whichever way a foundation is mirrored and turned, its marks are where the printed words say that the piece goes, to
// within 0.2 mm on the raster: the two ends across the line, the middle on one side of it. Nothing
// here is asked of the code that lays the piece or draws the marks.
func TestMarksOnPaper(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		p := written(t, leaning)
		p.Mirrored = mirrored
		p.Cloth.Mark, p.Cloth.Extra = geom.Inch/4, geom.Inch/4
		plan := p.Plan()
		step := plan.Sections[0].Steps[1]
		words := regexp.MustCompile(`^([0-9¼½¾]+)\x{a0}× *`).FindStringSubmatch(step.Cut)
		require.NotNil(t, words, step.Cut)
		reach := regexp.MustCompile(`^Let it reach ([0-9¼½¾]+)` + "\u00a0" + `in past the narrow end`).FindStringSubmatch(step.Laid.Where)
		require.NotNil(t, reach, step.Laid.Where)
		last := 3.75 + inches(t, reach[1])
		first := last - inches(t, words[1])

		f, err := foundationOf(p, plan, plan.Sections[0], Options{}.Filled().Room())
		require.NoError(t, err)
		f.reach = true
		for turn, degrees := range f.turns {
			how := Options{}.Filled()
			page := blank(how)
			page.Put(f.drawing(turn), geom.Point{X: geom.Inch, Y: geom.Inch}, "")
			named := 0
			for _, text := range page.Texts() {
				if text.String == "A2" && !text.Bold {
					named++
				}
			}
			assert.Equal(t, 3, named, "each mark with its patch, turned by %g°", degrees)
			r := render(t, []*ink.Drawing{page}, 1, 300)
			// The trimming line is a box: its upper left corner is at (1, 1) in.
			onSheet := func(x, y float64) geom.Point {
				q := onPaper(geom.Point{X: x, Y: y}, mirrored, degrees)
				q.Y = -q.Y
				return q
			}
			corner := onSheet(-0.25, -0.25)
			for _, c := range [][2]float64{{6.25, -0.25}, {6.25, 3.25}, {-0.25, 3.25}} {
				q := onSheet(c[0], c[1])
				corner = geom.Point{X: min(corner.X, q.X), Y: min(corner.Y, q.Y)}
			}
			at := func(x float64) geom.Point {
				return onSheet(x, 1.5).Sub(corner).Add(geom.Point{X: 1, Y: 1}).Scale(25.4) // mm
			}
			level := math.Abs(at(1).Y-at(0).Y) < 1
			// ticks are the marks near a place, on one side of the line.
			ticks := func(x, side float64) []float64 {
				p := at(x)
				if level {
					return r.lines(false, p.Y+min(0.5*side, 1.2*side), p.Y+max(0.5*side, 1.2*side), p.X-1.2, p.X+1.2)
				}
				return r.lines(true, p.X+min(0.5*side, 1.2*side), p.X+max(0.5*side, 1.2*side), p.Y-1.2, p.Y+1.2)
			}
			along := func(x float64) float64 {
				if level {
					return at(x).X
				}
				return at(x).Y
			}
			for _, x := range []float64{first, last} {
				for _, side := range []float64{-1, 1} {
					got := ticks(x, side)
					require.Len(t, got, 1, "an end at %g in, turned by %g°", x, degrees)
					assert.InDelta(t, along(x), got[0], 0.2, "mm; turned by %g°, mirrored %v", degrees, mirrored)
				}
			}
			middle := (first + last) / 2
			both := append(ticks(middle, -1), ticks(middle, 1)...)
			require.Len(t, both, 1, "the middle, turned by %g°", degrees)
			assert.InDelta(t, along(middle), both[0], 0.2, "mm; turned by %g°, mirrored %v", degrees, mirrored)
		}
	}
}
