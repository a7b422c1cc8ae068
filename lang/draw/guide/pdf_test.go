package guide_test

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/labels"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/sheet"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// pdfText is what pdftotext reads of pages, in the order in which they were written.
func pdfText(t *testing.T, pages []*ink.Drawing) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, pdf.Write(&out, pages, pdf.Options{}))
	path := filepath.Join(t.TempDir(), "p.pdf")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o600))
	said, err := exec.Command("pdftotext", "-raw", path, "-").Output()
	require.NoError(t, err)
	return string(said)
}

var (
	patchLabel = regexp.MustCompile(`^[A-Z]+[0-9]+$`)
	nextLabel  = regexp.MustCompile(`^(?:block [0-9]|[0-9]+ of [0-9]+$)`)
	stepTitle  = regexp.MustCompile(`(?m)^([A-Z]+[0-9]+)  ?\S.*?(?: · |\n)cut (.*)$`)
)

// The PDF files of the demo's settings and of some random ones, read back as a reader of screens hears them: labels say what
// the list says, guides what the labels say, and foundations whose print is kept upright and how the copy lies.
func TestThePrintedPDFAgrees(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed")
	}
	var settings []*block.Setting
	for _, f := range filesOf(t, "../../../testdata/harbour/*.block") {
		settings = append(settings, f.Settings...)
	}
	r := rand.New(rand.NewPCG(8, 5))
	for tries := 0; len(settings) < 14 && tries < 200; tries++ {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("/quilt.block", settingOf(r))
		if s := sew.Analyse(f.Blocks[0]).Section(f.Blocks[0].Sections[0]); len(f.Problems) == 0 && s != nil && !s.Flawed() && s.InOrder() {
			settings = append(settings, f.Settings[0])
		}
	}
	require.Len(t, settings, 14)
	read, guided, upright := 0, 0, 0
	for _, s := range settings {
		_, o := handOf(s.Cells[0].Block.File)
		q, err := cloth.QuiltOf(s)
		require.NoError(t, err)
		l, err := cloth.NewList(cloth.Order{Quilts: []*cloth.Quilt{q}, Kits: 1}, cloth.OrderOptions{
			Options: func(*block.File) cloth.Options { return o }, Unit: geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch / 2,
		})
		require.NoError(t, err)

		// The labels: block, patch, fabric, then how it is cut and laid.
		pages, err := labels.Pages(l, labels.Options{Title: "t", Paper: sheet.Letter, Margin: geom.Inch / 4, Width: 7 * geom.Inch, Height: 2 * geom.Inch})
		require.NoError(t, err)
		lines := strings.Split(pdfText(t, pages), "\n")
		printed := map[string]int{}
		sizes := map[string]string{} // of a patch where it lies, as its label says it
		for i, line := range lines {
			if i == 0 || i+2 >= len(lines) || !patchLabel.MatchString(line) {
				continue
			}
			var rest []string
			for _, more := range lines[i+2:] {
				if more == "" || nextLabel.MatchString(more) || strings.HasPrefix(more, "\f") || strings.HasPrefix(more, s.Name) {
					break
				}
				rest = append(rest, more)
			}
			words := strings.ReplaceAll(spoken(strings.Join(rest, ", ")), " × ", " by ")
			printed[lines[i-1]+" "+line+": "+words]++
			sizes[lines[i-1]+" "+line] = words
		}
		var out bytes.Buffer
		require.NoError(t, cutlist.LabelsCSV(&out, l))
		rows, err := csv.NewReader(&out).ReadAll()
		require.NoError(t, err)
		at := map[string]int{}
		for i, name := range rows[0] {
			at[name] = i
		}
		listed := map[string]int{}
		for _, row := range rows[1:] {
			col := func(name string) string { return row[at[name]] }
			if col("block") == s.Name || !patchLabel.MatchString(col("label")) {
				continue
			}
			name := col("block")
			for _, how := range []string{"colorway", "mirrored", "turned"} {
				switch {
				case col(how) == "":
				case how == "mirrored":
					name += ", mirrored"
				default:
					name += ", " + col(how)
				}
			}
			size := col("along") + " by " + col("across") + " in"
			if side, ok := strings.CutSuffix(size, " by "+col("across")+" in"); ok && side == col("across") && col("up the print") == "" {
				size = side + " in square"
			}
			if up := col("up the print"); up != "" {
				wide := col("along")
				if up == wide {
					wide = col("across")
				}
				size = wide + " in wide, " + up + " in up the print"
			}
			if strings.HasSuffix(col("form"), "triangle") {
				size = col("form")
			}
			for _, more := range []string{col("then"), col("laid")} {
				if more != "" {
					size += ", " + more
				}
			}
			listed[name+" "+col("label")+": "+size]++
		}
		assert.Equal(t, listed, printed, s.Name)
		for _, n := range printed {
			read += n
		}

		for _, at := range q.Blocks {
			p := patternOf(at.Block, at, o)
			var kept []string
			for _, pr := range readBlock(t, at, o) {
				if pr.Cut.KeepsDirection {
					kept = append(kept, pr.Label)
				}
			}
			upright += len(kept)

			// The foundations.
			large := sheet.Paper{Name: "large", Width: 60 * geom.Inch, Height: 60 * geom.Inch}
			foundations, err := sheet.Pages([]sheet.Pattern{p}, sheet.Options{Paper: large, Bare: true})
			require.NoError(t, err)
			words := spoken(strings.ReplaceAll(pdfText(t, foundations), "\n", " "))
			assert.Equal(t, at.Mirrored, strings.Contains(words, "MIRRORED"), words)
			assert.Equal(t, p.Turned != 0, strings.Contains(words, "TURNED"), words)
			var said []string
			for _, m := range regexp.MustCompile(`Keep the print of (.*?) upright`).FindAllStringSubmatch(words, -1) {
				said = append(said, regexp.MustCompile(`[A-Z]+[0-9]+`).FindAllString(m[1], -1)...)
			}
			assert.ElementsMatch(t, kept, said, words)

			// The guide.
			steps, err := guide.Pages(p, sheet.Options{}, guide.Options{Short: guided > 100})
			require.NoError(t, err)
			found := 0
			for _, m := range stepTitle.FindAllStringSubmatch(pdfText(t, steps), -1) {
				name := at.Block.Name
				if way := wayOf(at); way != "" {
					name += ", " + way
				}
				if at.Mirrored {
					name += ", mirrored"
				}
				label, ok := sizes[name+", "+cutlist.Turned(p.Turned)+" "+m[1]] // of a print that is kept upright
				if !ok {
					label, ok = sizes[name+" "+m[1]]
				}
				if !ok {
					continue
				}
				found++
				size := strings.ReplaceAll(spoken(m[2]), " × ", " by ")
				size, _, _ = strings.Cut(size, " · like ")
				size, _, _ = strings.Cut(size, ", and from it") // the rest runs on over lines
				assert.True(t, strings.HasPrefix(label, size) || strings.HasPrefix(label, swappedSides(size)), "%s %s: the guide says %s, the label %s", name, m[1], size, label)
			}
			guided += found
		}
	}
	t.Logf("%d labels, %d steps, %d prints kept upright", read, guided, upright)
	assert.Greater(t, read, 200)
	assert.Greater(t, guided, 100)
	assert.Greater(t, upright, 20)
}

// swappedSides is a size the other way round: labels give the side along the seam first.
func swappedSides(size string) string {
	a, b, ok := strings.Cut(strings.TrimSuffix(size, " in"), " by ")
	if !ok {
		return size
	}
	return b + " by " + a + " in"
}
