package guide_test

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// What is printed is read back here as somebody reads it: the guide's page by its words, a sheet of
// foundations by its lines and marks.

// patternOf is a block in a place of a quilt, to be printed.
func patternOf(b *block.Block, at cloth.Placed, o cloth.Options) sheet.Pattern {
	return sheet.Pattern{Block: sew.Analyse(b), Colourway: at.Colourway, Cloth: o, Copies: 1, Mirrored: at.Mirrored, Turned: at.Turned, Up: at.Up}
}

// guidePage is the guide as a page.
func guidePage(t *testing.T, p sheet.Pattern, short bool) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, guide.HTML(&out, []sheet.Pattern{p}, guide.Options{Short: short}))
	return out.String()
}

var (
	stepItem = regexp.MustCompile(`(?s)<li data-patch="([^"]+)"(?: data-edge="([^"]*)")?>(.*?)</li>`)
	pictures = regexp.MustCompile(`(?s)<svg.*?</svg>`)
	pieceOf  = regexp.MustCompile(`<p class="piece">cut (.*?)</p>`)
	markup   = regexp.MustCompile(`<[^>]*>`)
	blanks   = regexp.MustCompile(`\s+`)
	number   = `([0-9./]+(?: [0-9]+/[0-9]+)?)`

	sizeUpright  = regexp.MustCompile(`^` + number + ` in wide, ` + number + ` in up the print`)
	sizeSquare   = regexp.MustCompile(`^` + number + ` in square`)
	sizePlain    = regexp.MustCompile(`^` + number + ` × ` + number + ` in`)
	sizeTriangle = regexp.MustCompile(`^(half|quarter)-square triangle, from a ` + number + ` in square cut `)
	sizeSlanted  = regexp.MustCompile(`, and from it (.*), its (?:` + number + ` in )?edge at ([0-9.]+)° to the level of the print, (rising|falling) to the right$`)

	edgeWords  = regexp.MustCompile(`^(?:(long|short) edge \(` + number + ` in\)|` + number + ` in edge)$`)
	reachWords = regexp.MustCompile(`Let it (reach|stop) ` + number + ` in (?:past|before) the (\S+) end of the line[.,]`)
	evenWords  = regexp.MustCompile(`Let it end with the (\S+) end of the line[.,]`)
	overWords  = regexp.MustCompile(`Its edge goes ` + number + ` in past the line, not ` + number + ` in:`)
	trimWords  = regexp.MustCompile(`[Tt]rim (?:the fabric )?` + number + ` in past the fold`)
	turnWords  = regexp.MustCompile(`Turn it so that (?:its ` + number + ` in|one|its long) edge runs along the longest edge of `)
)

var signs = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "\u00a0", " ")

var metric = regexp.MustCompile(`([0-9.]+)((?: × ([0-9.]+))?) (mm|cm)\b`)

// spoken is text as it is read: without pictures and marks, fractions typed out, metric sizes in inches.
func spoken(s string) string {
	s = signs.Replace(html.UnescapeString(markup.ReplaceAllString(pictures.ReplaceAllString(s, ""), " ")))
	s = strings.NewReplacer("( ", "(").Replace(strings.TrimSpace(blanks.ReplaceAllString(s, " ")))
	return metric.ReplaceAllStringFunc(s, func(size string) string {
		m := metric.FindStringSubmatch(size)
		in := func(s string) string {
			x, _ := strconv.ParseFloat(s, 64)
			return strconv.FormatFloat(x/map[string]float64{"mm": 25.4, "cm": 2.54}[m[4]], 'f', -1, 64)
		}
		if m[3] != "" {
			return in(m[1]) + " × " + in(m[3]) + " in"
		}
		return in(m[1]) + " in"
	})
}

// inches reads "7 1/4".
func inches(s string) float64 {
	sum := 0.0
	for _, part := range strings.Fields(s) {
		a, b, ok := strings.Cut(part, "/")
		x, err := strconv.ParseFloat(a, 64)
		if err != nil {
			return math.NaN()
		}
		if ok {
			y, _ := strconv.ParseFloat(b, 64)
			x /= y
		}
		sum += x
	}
	return sum
}

// readGuide is what the guide says of every patch, by its label. Of a patch whose words do not say it the
// reason is given.
func readGuide(page string) (out map[string]reading, why map[string]string) {
	out, why = map[string]reading{}, map[string]string{}
	for _, m := range stepItem.FindAllStringSubmatch(pictures.ReplaceAllString(page, ""), -1) {
		if !strings.Contains(m[3], `<div class="moves">`) {
			continue // it says of which patch the words are
		}
		r, reason := readStep(spoken(m[2]), m[3])
		out[m[1]], why[m[1]] = r, reason
	}
	return out, why
}

func readStep(edge, item string) (r reading, why string) {
	piece := pieceOf.FindStringSubmatch(item)
	if piece == nil {
		return r, "no piece is named"
	}
	if r, why = readSize(spoken(piece[1])); why != "" {
		return r, why
	}
	words := spoken(item)
	switch {
	case strings.Contains(words, "centered on") || strings.Contains(words, "center it on"):
		r.first = edge == ""
	}
	if edge == "" {
		if !r.first {
			return r, "it is neither centered nor laid by an edge"
		}
		switch m := turnWords.FindStringSubmatch(words); {
		case m != nil:
			if r.lie, r.edge = "along", r.along; m[1] != "" {
				r.edge = inches(m[1])
			}
		case strings.Contains(words, "Keep its edges square with the block"):
			r.lie = "square"
		}
		if r.upright != strings.Contains(words, "Keep the print upright") {
			return r, "whether the print is kept upright is not said"
		}
		return r, ""
	}
	if strings.Contains(words, "old it under along the line") { // fold
		return r, ""
	}
	r.byEdge = true
	if !strings.Contains(words, edge+" on the trimmed edge") {
		return r, "which edge goes on the trimmed edge is not said"
	}
	if r.form != "" && edge != "long edge" {
		return r, "which edge of a triangle goes to the seam is not said"
	}
	if m := edgeWords.FindStringSubmatch(edge); m != nil {
		r.edge = inches(m[2] + m[3])
		if long := r.edge == max(r.along, r.across); r.slant == nil && m[3] == "" && long != (m[1] == "long") {
			r.edge = r.along + r.across - r.edge // she goes by the word
		}
	}
	if m := trimWords.FindStringSubmatch(words); m != nil {
		r.past = inches(m[1])
	} else {
		return r, "how far past the fold it is trimmed is not said"
	}
	if m := overWords.FindStringSubmatch(words); m != nil {
		r.past = inches(m[1])
	}
	if m := reachWords.FindStringSubmatch(words); m != nil {
		if r.by = inches(m[2]); m[1] == "stop" {
			r.by = -r.by
		}
		r.end = m[3]
	} else if m := evenWords.FindStringSubmatch(words); m != nil {
		r.end = m[1]
	} else { // nobody said anything else
		r.centered = true
	}
	return r, ""
}

func readSize(size string) (r reading, why string) {
	if m := sizeSlanted.FindStringSubmatch(size); m != nil {
		inner, why := readSize(m[1])
		if why != "" {
			return r, why
		}
		r.slant = &[2]float64{inner.along, inner.across}
		if m[2] != "" && inches(m[2]) != inner.along {
			r.slant[0], r.slant[1] = r.slant[1], r.slant[0]
		}
		if r.angle = inches(m[3]); m[4] == "falling" {
			r.angle = -r.angle
		}
	}
	switch {
	case sizeUpright.MatchString(size):
		m := sizeUpright.FindStringSubmatch(size)
		r.along, r.across, r.upright = inches(m[1]), inches(m[2]), true
	case sizeSquare.MatchString(size):
		m := sizeSquare.FindStringSubmatch(size)
		r.along, r.across = inches(m[1]), inches(m[1])
	case sizePlain.MatchString(size):
		m := sizePlain.FindStringSubmatch(size)
		r.along, r.across = inches(m[1]), inches(m[2])
	case sizeTriangle.MatchString(size):
		m := sizeTriangle.FindStringSubmatch(size)
		r.form, r.along, r.across = m[1], inches(m[2]), inches(m[2])
	default:
		return r, fmt.Sprintf("no size: %q", size)
	}
	return r, ""
}

// foundationsPage are the foundations of a block with their marks, on one sheet of paper that is large enough.
func foundationsPage(t *testing.T, p sheet.Pattern) string {
	t.Helper()
	large := sheet.Paper{Name: "large", Width: 60 * geom.Inch, Height: 60 * geom.Inch}
	pages, err := sheet.Pages([]sheet.Pattern{p}, sheet.Options{Paper: large, Marks: true, Bare: true})
	require.NoError(t, err)
	require.Len(t, pages, 1)
	return string(svg.Append(nil, pages[0], svg.Options{}))
}

var (
	layers    = regexp.MustCompile(`(?s)<g class="(\w+)">\n(.*?)</g>`)
	paths     = regexp.MustCompile(`<path([^>]*) d="([^"]*)"(/>|><title>[^<]*<)`)
	markOf    = regexp.MustCompile(`data-patch="([^"]+)" data-mark="(end|middle)"`)
	decimals  = regexp.MustCompile(`-?[0-9.]+`)
	hairsInch = 127.0
)

// chains are the lines of a path, y upward, in inches.
func chains(d string) (out [][]xy) {
	for _, part := range strings.Split(d, "M")[1:] {
		n := decimals.FindAllString(part, -1)
		var line []xy
		for i := 0; i+1 < len(n); i += 2 {
			x, _ := strconv.ParseFloat(n[i], 64)
			y, _ := strconv.ParseFloat(n[i+1], 64)
			line = append(line, xy{x / hairsInch, -y / hairsInch})
		}
		out = append(out, line)
	}
	return out
}

// marked is where the marks of a patch come in the block.
type marked struct {
	ends   []xy
	middle *xy
}

// foundationRead is what is seen of a foundation, in the block.
type foundationRead struct {
	marks map[string]marked
	ups   []xy // which way the arrows go that say "up"
}

// readSheet finds the marks of every patch on a printed foundation of a block that is cut up as is known here.
// ok is false where the foundation looks the same in two ways, so that nobody knows how it lies.
func readSheet(page string, outline []xy, patches []cutPatch, mirrored bool) (out foundationRead, ok bool) {
	var ring []xy
	var seams [][]xy
	type tick struct {
		patch, what string
		line        []xy
	}
	var ticks []tick
	var arrows [][]xy
	for _, layer := range layers.FindAllStringSubmatch(page, -1) {
		for _, p := range paths.FindAllStringSubmatch(layer[2], -1) {
			switch layer[1] {
			case "outer":
				ring = corners(chains(p[2])[0])
			case "seams":
				seams = append(seams, chains(p[2])...)
			case "marks":
				if strings.HasPrefix(p[3], "><title>up<") {
					arrows = append(arrows, chains(p[2])[0])
				}
			case "reach":
				if m := markOf.FindStringSubmatch(p[1]); m != nil {
					ticks = append(ticks, tick{m[1], m[2], chains(p[2])[0]})
				}
			}
		}
	}
	known := corners(outline)
	if len(ring) != len(known) {
		return out, false
	}
	// The lines are printed as the mirror image of the block, unless that is to be one itself.
	flip := func(a xy) xy { return a.flat(!mirrored) }
	var fits []func(xy) xy // from the sheet to the block
	for i := range ring {
		for _, way := range [2]int{1, -1} {
			n := len(ring)
			u := ring[(i+way+n)%n].sub(ring[i])
			v := flip(known[1]).sub(flip(known[0]))
			if math.Abs(u.long()-v.long()) > 0.01 {
				continue
			}
			turn := math.Atan2(v[1], v[0]) - math.Atan2(u[1], u[0])
			back := func(a xy) xy { return flip(a.sub(ring[i]).turn(turn).add(flip(known[0]))) }
			if fitted(back, ring, known, i, way) && sameSeams(back, seams, patches) {
				fits = append(fits, back)
			}
		}
	}
	if len(fits) != 1 {
		return out, false
	}
	out.marks = map[string]marked{}
	for _, t := range ticks {
		m := out.marks[t.patch]
		a, b := fits[0](t.line[0]), fits[0](t.line[1])
		if t.what == "end" {
			m.ends = append(m.ends, a.add(b).by(0.5))
		} else {
			p := patchNamed(patches, t.patch)
			u := p.seam[1].sub(p.seam[0]).unit()
			_, ya := rel(a, p.seam[0], u)
			if _, yb := rel(b, p.seam[0], u); math.Abs(yb) < math.Abs(ya) {
				a = b
			}
			m.middle = &a
		}
		out.marks[t.patch] = m
	}
	for _, a := range arrows {
		out.ups = append(out.ups, fits[0](a[1]).sub(fits[0](a[0])))
	}
	return out, true
}

func patchNamed(patches []cutPatch, label string) cutPatch {
	n, _ := strconv.Atoi(strings.TrimPrefix(label, "A"))
	return patches[n-1]
}

// corners are those of a ring at which it turns.
func corners(ring []xy) (out []xy) {
	n := len(ring)
	for i, c := range ring {
		a, b := ring[(i+n-1)%n], ring[(i+1)%n]
		if c.sub(a).long() < 1e-6 {
			continue
		}
		u, v := c.sub(a).unit(), b.sub(c)
		if math.Abs(u.left().dot(v)) > 0.01 {
			out = append(out, c)
		}
	}
	return out
}

func fitted(back func(xy) xy, ring, known []xy, i, way int) bool {
	n := len(ring)
	for k := range known {
		if back(ring[((i+way*k)%n+n)%n]).sub(known[k]).long() > 0.01 {
			return false
		}
	}
	return true
}

func sameSeams(back func(xy) xy, seams [][]xy, patches []cutPatch) bool {
	for _, s := range seams {
		found := false
		for _, p := range patches[1:] {
			for _, q := range [2][2]xy{p.seam, {p.seam[1], p.seam[0]}} {
				found = found || back(s[0]).sub(q[0]).long() < 0.01 && back(s[len(s)-1]).sub(q[1]).long() < 0.01
			}
		}
		if !found {
			return false
		}
	}
	return true
}

// byMarks is a reading by which the piece goes where the marks say; where there are none it is centered on its line.
func (r reading) byMarks(m marked) reading {
	r.end, r.by, r.centered = "", 0, true
	switch {
	case m.middle != nil:
		r.middle = m.middle
	case len(m.ends) == 2:
		middle := m.ends[0].add(m.ends[1]).by(0.5)
		r.middle = &middle
	}
	return r
}
