package lsp_test

import (
	"context"
	"encoding/json"
	"io"
	"path/filepath"
	"testing"
	"time"

	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
	"sewable/lsp/wire"
)

// silent is an editor that talks and never reads.
type silent struct {
	in   *io.PipeWriter
	out  *io.PipeReader
	exit chan int
	uri  string
}

func newSilent(t *testing.T) *silent {
	fromClient, toServer := io.Pipe()
	fromServer, toClient := io.Pipe()
	s := &silent{in: toServer, out: fromServer, exit: make(chan int, 1), uri: lsptest.URI(filepath.Join(t.TempDir(), "a.block"))}
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	go func() { s.exit <- lsp.Serve(ctx, fromClient, toClient, lsp.Options{Rules: rules.All}) }()
	s.send(object{"id": 1 << 20, "method": "initialize", "params": object{"processId": nil, "rootUri": nil, "capabilities": object{}}})
	s.send(object{"method": "textDocument/didOpen", "params": object{"textDocument": object{
		"uri": s.uri, "languageId": "sewable", "version": 1, "text": linttest.GenerateBlock(1, 200),
	}}})
	return s
}

// send reports whether the server took the message in good time.
func (s *silent) send(m object) bool {
	m["jsonrpc"] = "2.0"
	body, _ := json.Marshal(m)
	done := make(chan bool, 1)
	go func() {
		_, err := s.in.Write(wire.AppendFrame(nil, body))
		done <- err == nil
	}()
	select {
	case ok := <-done:
		return ok
	case <-time.After(2 * time.Second): // it waits for its answers to be read
		return false
	}
}

func (s *silent) call(id int, method string) bool {
	return s.send(object{"id": id, "method": method, "params": object{"textDocument": object{"uri": s.uri}}})
}

// leave closes both ends, as a process that dies does.
func (s *silent) leave() {
	s.out.Close()
	s.in.Close()
}
