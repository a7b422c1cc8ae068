package rules

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lint"
)

// spots says, for the rules that know more than the patch or the section, where in its own
// example a finding lies: worked out by hand from the corners there.
var spots = map[string]string{
	"bent-join":         "point (2, 2); line (2, 0) (2, 2); line (2, 2) (0, 2)",
	"bias-edge":         "line (2, 4) (0, 4)",
	"block-not-filled":  "area (4, 5) (0, 5) (0, 4) (4, 4)",
	"bulky-point":       "point (2, 2)",
	"crossed-outline":   "point (2, 3)",
	"gap":               "area (4, 4) (0, 4) (4, 3 1/2)",
	"join-order":        "point (2, 2); line (4, 2) (2, 2); line (2, 2) (2, 0)",
	"mistakable-join":   "line (2, 0) (2, 2); line (0, 0) (2, 0)",
	"near-miss":         "point (0, 3.97); point (0, 4)",
	"outline-size":      "line (4, 4) (0, 4)",
	"outside-outline":   "area (0, 4) (4, 4) (4, 4 1/2)",
	"overlap":           "area (4, 2) (0, 2) (0, 1 1/2) (4, 1 1/2)",
	"same-fabric-seam":  "line (0, 3) (4, 3)",
	"sections-overlap":  "area (4, 2) (0, 2) (0, 1) (4, 1)",
	"sharp-corner":      "point (0, 0)",
	"short-cut":         "line (4, 4) (0, 4)",
	"short-seam":        "line (1 13/16, 2) (2 3/16, 2)",
	"small-patch":       "round (2, 2 1/16) 1/16 in",
	"small-step":        "line (3, 2) (3, 2 1/8)",
	"tight-cut":         "line (4, 4) (0, 4)",
	"unclear-seam":      "line (0, 5) (4, 5)",
	"unfinished-join":   "area (0, 0) (4, 0) (4, 2) (0, 2); area (0, 2) (4, 2) (4, 4) (0, 4)",
	"unjoined-section":  "area (0, 2) (4, 2) (4, 4) (0, 4)",
	"unmarked-join":     "line (8, 2) (0, 2)",
	"unmatched-notch":   "point (1, 2)",
	"unsewable-order":   "point (2, 2); line (4, 2) (2, 2); line (2, 2) (2, 0)",
	"unsewable-section": "line (2, 0) (2, 4)",
	"unused-point":      "point (0, 2)",
	"unused-seam":       "line (0, 2) (4, 2)",
}

func TestSpots(t *testing.T) {
	for _, r := range All {
		if r.Settings != nil {
			continue
		}
		config := lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, "[levels]\n"+r.Name+" = \"error\"\n"), All))
		found := lint.Text("example.block", strings.TrimPrefix(r.Bad, "\n"), lint.Options{Rules: All, Config: config}).Findings
		require.NotEmpty(t, found, r.Name)
		assert.Equal(t, spots[r.Name], spoken(found[0].Spots), r.Name)
	}
}

// spoken says spots in inches.
func spoken(list []lint.Spot) string {
	var words []string
	for _, s := range list {
		what := "line"
		switch {
		case s.Closed && len(s.Points) > 12:
			box := geom.Polygon(s.Points).Bounds()
			words = append(words, fmt.Sprintf("round %s %s", geom.FormatPoint(box.Centre(), geom.Inches), geom.FormatExact(box.Width()/2, geom.Inches)))
			continue
		case s.Closed:
			what = "area"
		case len(s.Points) == 1:
			what = "point"
		}
		for _, p := range s.Points {
			what += " " + geom.FormatPoint(p, geom.Inches)
		}
		words = append(words, what)
	}
	return strings.Join(words, "; ")
}
