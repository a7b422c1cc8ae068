package english_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/english"
)

func TestEnglish(t *testing.T) {
	assert.Equal(t, "0 patches", english.Count(0, "patch", "patches"))
	assert.Equal(t, "1 patch", english.Count(1, "patch", "patches"))
	assert.Equal(t, "12 patches", english.Count(12, "patch", "patches"))

	assert.Equal(t, "300", english.Thousands(300))
	assert.Equal(t, "20,000", english.Thousands(20_000))
	assert.Equal(t, "1,234,567", english.Thousands(1_234_567))

	assert.Equal(t, "", english.List(nil))
	assert.Equal(t, "C1", english.List([]string{"C1"}))
	assert.Equal(t, "C1 and C2", english.List([]string{"C1", "C2"}))
	assert.Equal(t, "C1, C2 and C3", english.List([]string{"C1", "C2", "C3"}))
	assert.Equal(t, "letter, a4 or legal", english.Choice([]string{"letter", "a4", "legal"}))

	assert.Equal(t, "1–3, 5, 6, 9", english.Runs([]int{9, 1, 2, 3, 5, 6, 2}))
	assert.Equal(t, "", english.Runs(nil))
}
