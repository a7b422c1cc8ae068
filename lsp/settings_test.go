package lsp

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A setting that the editor takes out again is as it was at the start.
func TestSettingsTakenOut(t *testing.T) {
	var s settings
	no := false
	s.start(nil, []byte(`{"sewable": {"hints": {"seam": true}, "lenses": false}}`))
	s.read(nil, []byte(`{"hints": {"cut": false}, "lenses": true, "pictures": "none"}`))
	yes := true
	assert.Equal(t, Preferences{Hints: map[string]bool{"seam": true, "cut": false}, Lenses: &yes, Pictures: "none"}, s.now())
	s.read(nil, []byte(`null`)) // says nothing
	assert.Equal(t, "none", s.now().Pictures)
	s.read(nil, []byte(`{}`))
	assert.Equal(t, Preferences{Hints: map[string]bool{"seam": true}, Lenses: &no}, s.now())
}

// A request that began under other settings goes on reading them undisturbed.
func TestSettingsAreNotWrittenInto(t *testing.T) {
	var s settings
	s.start(nil, []byte(`{"hints": {"seam": true}, "lenses": true}`))
	before := s.now()
	hints := maps.Clone(before.Hints)
	s.read(nil, []byte(`{"hints": {"seam": false, "cut": false}, "lenses": false}`))
	assert.Equal(t, hints, before.Hints)
	assert.True(t, *before.Lenses)
}
