package draw_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/sew"
)

// Every drawing of the demo opens in a browser (Chromium, from Debian), at its own proportions. A file that
// is cut short stands among them, so that the test would see one that does not open.
func TestOpensInABrowser(t *testing.T) {
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	dir := t.TempDir()
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><meta charset=utf-8><body>")
	want := map[string]float64{} // width over height; 0 when it does not open
	add := func(text []byte, ratio float64) {
		name := fmt.Sprintf("%d.svg", len(want))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
		fmt.Fprintf(&page, "<img width=100 src=%s>", name)
		want[name] = ratio
	}
	everyPicture(t, func(t *testing.T, _ *sew.Block, d *ink.Drawing, _ draw.Options) {
		add(svg.Append(nil, d, svg.Options{}), d.Width/d.Height)
	})
	add([]byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0`), 0)
	page.WriteString(`<script>onload = () => document.body.innerHTML = [...document.images].map(i =>
  i.getAttribute("src") + "=" + (i.naturalWidth ? i.width / i.height : 0)).join(" ")</script>`)
	path := filepath.Join(dir, "page.html")
	require.NoError(t, os.WriteFile(path, []byte(page.String()), 0o600))
	out, err := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files",
		"--user-data-dir="+filepath.Join(dir, "profile"), "--dump-dom", "file://"+path).Output()
	require.NoError(t, err)
	seen := 0
	for _, m := range regexp.MustCompile(`(\d+\.svg)=([\d.]+)`).FindAllStringSubmatch(string(out), -1) {
		var ratio float64
		_, err := fmt.Sscan(m[2], &ratio)
		require.NoError(t, err)
		assert.InDelta(t, want[m[1]], ratio, 0.02, m[1])
		seen++
	}
	assert.Equal(t, len(want), seen)
}
