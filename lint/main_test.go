package lint_test

import (
	"os"
	"testing"

	"sewable/lint"
)

func TestMain(m *testing.M) {
	lint.PanicThrough = true
	os.Exit(m.Run())
}
