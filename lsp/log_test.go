package lsp

import (
	"log/slog"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What the editor asks to be told counts before what the command was given;
// what cannot be understood does not.
func TestWhatTheEditorIsTold(t *testing.T) {
	for log, want := range map[string]slog.Level{
		"": slog.LevelInfo, "error": slog.LevelError, "debug": slog.LevelDebug, "loud": slog.LevelInfo,
	} {
		assert.Equal(t, want, Preferences{Log: log}.told(slog.LevelInfo), log)
	}
}
