package texts

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/draw/fonts"
)

func TestMeasure(t *testing.T) {
	for plain, want := range map[string]string{
		"2 1/4 in": "2¼\u00a0in", "1/2 in": "½\u00a0in", "3 in": "3\u00a0in", "2 3/16 in": "2\u00a03/16\u00a0in", "11/16 in": "11/16\u00a0in",
		"12 1/2": "12½", "57.2 mm": "57.2\u00a0mm", "7 1/4 × 4 1/8 in": "7¼\u00a0×\u00a04⅛\u00a0in", "11/4 in": "11/4\u00a0in",
	} {
		assert.Equal(t, want, Measure(plain))
	}
	for plain, want := range map[string]string{
		"5 by 2 3/4 in": "5 by 2¾\u00a0in", "7 in edge to the seam, 1 5/16 in past the upper end": "7\u00a0in edge to the seam, 1\u00a05/16\u00a0in past the upper end",
		"its edge at 26.6° to the level": "its edge at 26.6° to the level", "4 in wide, 1/2 in up the print": "4\u00a0in wide, ½\u00a0in up the print", "22.5 mm past": "22.5\u00a0mm past", "": "",
	} {
		assert.Equal(t, want, Measures(plain))
	}
	for _, sign := range signs {
		for _, r := range sign {
			assert.True(t, fonts.Regular.Has(r) && fonts.Bold.Has(r), sign)
		}
	}
}

func TestFill(t *testing.T) {
	assert.Equal(t, "A2 on A1, {where}", Fill("{patch} on {on}, {where}", "patch", "A2", "on", "A1"))
}
