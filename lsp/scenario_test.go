package lsp_test

import (
	"testing"

	"sewable/lint"
	"sewable/lsp/lsptest"
)

// What the server answers, by examples: see testdata/scenarios.
func TestScenarios(t *testing.T) { lsptest.Scenarios(t, "testdata/scenarios") }

func TestMain(m *testing.M) {
	serveAsProcess()
	lint.PanicThrough = false // the server goes on when a rule breaks down; so do its tests
	m.Run()
}
