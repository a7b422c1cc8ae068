package faces_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// outside is where npm has put what the faces are checked against; see package.json there for what
// and which versions, and .ci/run for how.
const outside = "testdata/outside"

// need skips a test on a machine where npm has not put a package.
func need(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(outside, "node_modules", name)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("%s is not here: npm ci --prefix lang/faces/%s", name, outside)
	}
	return path
}

// The faces of random drawings are those that the JTS Topology Suite finds (jsts 2.12.1, EDL-1.0 or
// EPL-1.0: UnaryUnionOp, Polygonizer), to a hair along their edges.
func TestFacesAgreeWithJTS(t *testing.T) {
	need(t, "jsts")
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not here")
	}
	const side = 2e5 // so large that hardly anything lies within a hair by chance
	var drawings [][]geom.Segment
	var said [][][4]float64
	for seed := range uint64(80) {
		r := rand.New(rand.NewPCG(seed, 7))
		lines := random(r, 2+r.IntN(70), side, side)
		if seed%3 == 0 { // on a grid: many meet in corners, lie on each other and are upright
			for i, s := range lines {
				lines[i] = geom.Segment{A: onGrid(s.A), B: onGrid(s.B)}
			}
		}
		var as [][4]float64
		for _, s := range lines {
			as = append(as, [4]float64{s.A.X, s.A.Y, s.B.X, s.B.Y})
		}
		drawings, said = append(drawings, lines), append(said, as)
	}
	in, err := json.Marshal(said)
	require.NoError(t, err)
	cmd := exec.Command(node, "polygonize.mjs")
	cmd.Dir, cmd.Stdin, cmd.Stderr = outside, bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	var want [][]float64 // null where that library gives up
	require.NoError(t, json.Unmarshal(out, &want))

	total, compared := 0, 0
	for i, lines := range drawings {
		if want[i] == nil {
			continue
		}
		compared++
		s := subdivide(t, lines, faces.Options{})
		var got []float64
		for _, f := range s.Faces {
			got = append(got, f.Area)
		}
		slices.Sort(got)
		// Three lines through one place leave that library faces of no area.
		theirs := slices.DeleteFunc(want[i], func(area float64) bool { return area < geom.Hair*geom.Hair })
		require.Len(t, got, len(theirs), "drawing %d", i)
		for k := range got {
			require.InDelta(t, theirs[k], got[k], 4*side, "drawing %d, face %d by area", i, k)
		}
		total += len(got)
	}
	assert.Greater(t, compared, 50)
	assert.Greater(t, total, 2500)
}

func onGrid(p geom.Point) geom.Point {
	return geom.Point{X: geom.RoundTo(p.X, 2e4), Y: geom.RoundTo(p.Y, 2e4)}
}

// A topology is a map in which neighbours share the lines between them (TopoJSON; M. Bostock, C. Metcalf,
// "The TopoJSON Format Specification", 2013).
type topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Arcs      [][][2]float64
	Objects   map[string]struct {
		Geometries []struct {
			Type string
			Arcs json.RawMessage
		}
	}
}

// A land is one polygon of a map: its outline and the holes in it.
type land struct {
	outline geom.Polygon
	holes   []geom.Polygon
	arcs    []int // by number, those run backwards by their complement
	muddled bool  // the map has lost its outline
}

func (l land) area() float64 {
	sum := math.Abs(l.outline.Area())
	for _, h := range l.holes {
		sum -= math.Abs(h.Area())
	}
	return sum
}

// readMap reads a map, each step of its grid so many hairs: bare lines, each border once, and the
// polygons.
func readMap(t testing.TB, path, object string, step float64) (lines []geom.Segment, lands []land) {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var topo topology
	require.NoError(t, json.Unmarshal(data, &topo))
	arcs := make([]geom.Polygon, len(topo.Arcs))
	for i, arc := range topo.Arcs {
		var at geom.Point
		for _, d := range arc {
			at = at.Add(geom.Point{X: d[0], Y: d[1]})
			arcs[i] = append(arcs[i], at.Scale(step))
		}
	}
	used := map[int]bool{}
	ring := func(numbers []int) (out geom.Polygon) {
		for _, n := range numbers {
			arc := arcs[max(n, ^n)]
			used[max(n, ^n)] = true
			if n < 0 {
				arc = slices.Clone(arc)
				slices.Reverse(arc)
			}
			out = append(out, arc[:len(arc)-1]...)
		}
		return out
	}
	add := func(rings [][]int) {
		l := land{outline: ring(rings[0]), arcs: slices.Concat(rings...)}
		for _, r := range rings[1:] {
			l.holes = append(l.holes, ring(r))
		}
		lands = append(lands, l)
	}
	for _, g := range topo.Objects[object].Geometries {
		switch g.Type {
		case "Polygon":
			var rings [][]int
			require.NoError(t, json.Unmarshal(g.Arcs, &rings))
			add(rings)
		case "MultiPolygon":
			var polygons [][][]int
			require.NoError(t, json.Unmarshal(g.Arcs, &polygons))
			for _, rings := range polygons {
				add(rings)
			}
		}
	}
	var of []int // the arc of a line
	for i := range arcs {
		if used[i] {
			for k := range arcs[i][1:] {
				lines = append(lines, geom.Segment{A: arcs[i][k], B: arcs[i][k+1]})
				of = append(of, i)
			}
		}
	}
	bad := muddled(lines, of)
	for i := range lands {
		lands[i].muddled = lands[i].area() == 0 || passesTwice(lands[i].outline) || slices.ContainsFunc(lands[i].arcs, func(n int) bool { return bad[max(n, ^n)] })
	}
	return lines, lands
}

// passesTwice says whether an outline comes through a corner a second time: two faces share
// the corner then.
func passesTwice(poly geom.Polygon) bool {
	seen := map[geom.Point]bool{}
	for _, p := range poly {
		if seen[p] {
			return true
		}
		seen[p] = true
	}
	return false
}

// muddled are the arcs that meet others elsewhere than at common ends: rounding a map to its grid
// makes borders cross, and islands vanish.
func muddled(lines []geom.Segment, of []int) map[int]bool {
	bad := map[int]bool{}
	grid := geom.NewSegmentGrid(lines)
	var near []int
	for i, s := range lines {
		near = grid.AppendNear(near[:0], s, 0)
		for _, j := range near {
			u := lines[j]
			_, crosses := geom.CrossSegments(s, u)
			inside := func(p geom.Point, s geom.Segment) bool { return p != s.A && p != s.B && s.Dist(p) < 1e-6 }
			if i != j && (crosses || inside(u.A, s) || inside(u.B, s) || inside(s.A, u) || inside(s.B, u) || s == u || s == u.Reverse()) {
				bad[of[i]], bad[of[j]] = true, true
			}
		}
	}
	return bad
}

// Maps of countries and counties: the data are of Natural Earth and the United States Census Bureau, in the public
// domain, packed as world-atlas 2.0.2 and us-atlas 3.0.1 (ISC).
var maps = []struct{ name, pack, file, object string }{
	{"countries, coarse", "world-atlas", "countries-110m.json", "countries"},
	{"countries", "world-atlas", "countries-50m.json", "countries"},
	{"counties", "us-atlas", "counties-10m.json", "counties"},
}

// Every polygon of a map comes back as a face from its bare lines, also when each end of each line
// has been moved by up to half the distance that is closed.
func TestMapsComeBack(t *testing.T) {
	for _, m := range maps {
		t.Run(m.name, func(t *testing.T) {
			path := filepath.Join(need(t, m.pack), m.file)
			lines, lands := readMap(t, path, m.object, 200)
			for _, jitter := range []float64{0, 1.2} {
				r := rand.New(rand.NewPCG(5, 5))
				moved := slices.Clone(lines)
				for i := range moved {
					moved[i].A = moved[i].A.Add(about(r, jitter))
					moved[i].B = moved[i].B.Add(about(r, jitter))
				}
				o := faces.Options{}
				if jitter > 0 {
					o.Close = 2.5
				}
				s := subdivide(t, moved, o)
				hold(t, s)
				comeBack(t, s, lands, jitter)
				t.Logf("%d lines, jitter %.1f: %d polygons, %d faces, %d closed, %d strays", len(lines), jitter, len(lands), len(s.Faces), len(s.Closed), len(s.Strays))
			}
		})
	}
}

func about(r *rand.Rand, reach float64) geom.Point {
	sin, cos := math.Sincos(2 * math.Pi * r.Float64())
	return geom.Point{X: cos, Y: sin}.Scale(reach * math.Sqrt(r.Float64()))
}

// comeBack matches every polygon of a map with a face of its own: the same box and area, to what the
// jitter and a hair make of its edges.
func comeBack(t *testing.T, s *faces.Subdivision, lands []land, jitter float64) {
	t.Helper()
	slack := 2*jitter + geom.Hair
	taken := make([]bool, len(s.Faces))
	boxes := make([]geom.Box, len(s.Faces))
	for i, f := range s.Faces {
		boxes[i] = s.Polygon(f.Ring).Bounds()
	}
	byArea := make([]int, len(s.Faces))
	for i := range byArea {
		byArea[i] = i
	}
	slices.SortFunc(byArea, func(i, j int) int { return cmp.Compare(s.Faces[i].Area, s.Faces[j].Area) })
	missing, sound := 0, 0
	for _, l := range lands {
		if l.muddled {
			continue
		}
		sound++
		box, around := l.outline.Bounds(), l.outline.Perimeter()
		for _, h := range l.holes {
			around += h.Perimeter()
		}
		near := func(p, q geom.Point) bool { return p.Dist(q) <= 2*slack }
		from, _ := slices.BinarySearchFunc(byArea, l.area()-slack*around, func(i int, a float64) int { return cmp.Compare(s.Faces[i].Area, a) })
		best := -1
		for _, i := range byArea[from:] {
			if s.Faces[i].Area > l.area()+slack*around {
				break
			}
			if !taken[i] && near(boxes[i].Min, box.Min) && near(boxes[i].Max, box.Max) {
				best = i
				break
			}
		}
		if best < 0 {
			missing++
			t.Logf("no face for the polygon at %v, area %.0f", box, l.area())
			continue
		}
		taken[best] = true
	}
	assert.Zero(t, missing, "of %d polygons", sound)
	assert.Greater(t, sound, len(lands)*85/100, "few are muddled")
	assert.GreaterOrEqual(t, len(s.Faces), sound)
}
