package lsp

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"sync"
	"time"

	"go.lsp.dev/protocol"
)

// logHandler writes to the log of the process and tells the editor.
type logHandler struct {
	s    *Server
	own  slog.Handler // nil: no log of its own
	tell slog.Level
}

func newLogHandler(s *Server, o Options) slog.Handler {
	h := &logHandler{s: s, tell: o.Level}
	if o.Log != nil {
		h.own = o.Log.Handler()
	}
	return h
}

// Enabled, Handle, WithAttrs and WithGroup are slog's.
func (h *logHandler) Enabled(ctx context.Context, l slog.Level) bool {
	return l >= h.least() || h.own != nil && h.own.Enabled(ctx, l)
}

func (h *logHandler) Handle(ctx context.Context, r slog.Record) error {
	if h.own != nil && h.own.Enabled(ctx, r.Level) {
		_ = h.own.Handle(ctx, r)
	}
	if r.Level >= h.least() && h.s.serving() {
		message := r.Message
		r.Attrs(func(a slog.Attr) bool {
			if a.Key != "stack" {
				message += fmt.Sprintf(" %s=%v", a.Key, a.Value)
			}
			return true
		})
		go h.s.conn.Notify(protocol.MethodWindowLogMessage, &protocol.LogMessageParams{Type: messageType(r.Level), Message: message})
	}
	return nil
}

// least is the level from which on the editor is told.
func (h *logHandler) least() slog.Level { return h.s.settings.now().told(h.tell) }

func (h *logHandler) WithAttrs([]slog.Attr) slog.Handler { return h }
func (h *logHandler) WithGroup(string) slog.Handler      { return h }

func (s *Server) serving() bool {
	s.lifeLock.Lock()
	defer s.lifeLock.Unlock()
	return s.phase == serving
}

func messageType(l slog.Level) protocol.MessageType {
	switch {
	case l >= slog.LevelError:
		return protocol.MessageTypeError
	case l >= slog.LevelWarn:
		return protocol.MessageTypeWarning
	case l >= slog.LevelInfo:
		return protocol.MessageTypeInfo
	}
	return protocol.MessageTypeLog
}

// tracer writes every message to a file, a line each: when, which way, what.
func tracer(w io.Writer) func(sent bool, body []byte) {
	var mu sync.Mutex
	return func(sent bool, body []byte) {
		way := "received"
		if sent {
			way = "sent"
		}
		mu.Lock()
		defer mu.Unlock()
		fmt.Fprintf(w, "%s %s %s\n", time.Now().Format("15:04:05.000000"), way, strings.ReplaceAll(string(body), "\n", " "))
	}
}

// setTrace is heard and not heeded: --trace FILE holds more than an editor shows.
func (s *Server) setTrace(*protocol.SetTraceParams) {}
