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
	for _, sign := range signs {
		for _, r := range sign {
			assert.True(t, fonts.Regular.Has(r) && fonts.Bold.Has(r), sign)
		}
	}
}

func TestFill(t *testing.T) {
	assert.Equal(t, "A2 on A1, {where}", Fill("{patch} on {on}, {where}", "patch", "A2", "on", "A1"))
}
