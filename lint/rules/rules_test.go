package rules

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lint"
	"sewable/lint/linttest"
)

const testdata = "../../testdata"

// The documentation of every rule is complete and true: Bad gives its
// finding, Good none, and the fixes mend it.
func TestExamples(t *testing.T) { linttest.Rules(t, All) }

// Every file under testdata/broken gives the one finding it is named after.
func TestBroken(t *testing.T) { linttest.Broken(t, testdata+"/broken", All) }

// Every rule has scenarios that show where it speaks and where it is silent.
func TestScenarios(t *testing.T) { linttest.Scenarios(t, testdata+"/rules", All) }

// The demo repository has no findings.
func TestHarbourIsClean(t *testing.T) { linttest.Clean(t, testdata+"/harbour", All) }

func TestListIsInOrder(t *testing.T) {
	assert.True(t, slices.IsSortedFunc(All, func(a, b *lint.Rule) int { return strings.Compare(a.Name, b.Name) }))
}
