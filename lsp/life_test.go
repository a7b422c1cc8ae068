package lsp_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lsp"
	"sewable/lsp/lsptest"
)

type object = lsptest.Object

const calm = `fabric sky
block "Calm" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 4) (0, 4)
  }
}
`

// start gives a client that has greeted the server, and a folder.
func start(t *testing.T) (*lsptest.Client, string) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	c.Initialize(dir, lsptest.Capabilities())
	return c, dir
}

// repository is an empty folder that is a repository of its own.
func repository(t *testing.T) string {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	return dir
}

func write(t *testing.T, path, text string) string {
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func code(t *testing.T, err error) int {
	t.Helper()
	var e *lsptest.Error
	require.ErrorAs(t, err, &e)
	return e.Code
}

// The codes are those of JSON-RPC 2.0, section 5.1, and of the protocol's
// specification, "Response Message".
const (
	parseError     = -32700
	invalidRequest = -32600
	methodNotFound = -32601
	invalidParams  = -32602
	internalError  = -32603
	notInitialized = -32002
	requestFailed  = -32803
	contentChanged = -32801
	cancelled      = -32800
)

// The life of a server goes as the specification has it ("Server lifecycle"):
// nothing before initialize, nothing but exit after shutdown, and an exit code
// that says whether shutdown came first.
func TestLife(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	assert.Equal(t, notInitialized, code(t, c.Call("textDocument/hover", lsptest.At("x.block", lsptest.Position{}), nil)))
	c.Open("x.block", calm, 1) // dropped
	c.Initialize("", lsptest.Capabilities())
	assert.Equal(t, invalidRequest, code(t, c.Call("initialize", object{"capabilities": object{}, "processId": nil, "rootUri": nil}, nil)))
	assert.Equal(t, methodNotFound, code(t, c.Call("sewable/nosuch", nil, nil)))
	assert.Equal(t, methodNotFound, code(t, c.Call("$/nosuch", nil, nil)))
	c.Notify("$/nosuch", object{})
	c.Notify("sewable/nosuch", object{})
	c.Must("shutdown", nil, nil)
	assert.Equal(t, invalidRequest, code(t, c.Call("textDocument/hover", lsptest.At("x.block", lsptest.Position{}), nil)))
	c.Notify("exit", nil)
	assert.Zero(t, c.Left())
}

func TestExitWithoutShutdown(t *testing.T) {
	c, _ := start(t)
	c.Notify("exit", nil)
	assert.Equal(t, 1, c.Left())
}

func TestExitBeforeInitialize(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	c.Notify("exit", nil)
	assert.Equal(t, 1, c.Left())
}

// An editor that is gone, with its end of the pipe, ends the server.
func TestEditorLeaves(t *testing.T) {
	c, _ := start(t)
	c.Leave()
	assert.Equal(t, 1, c.Left())
}

// The server leaves when the process that started it is gone, although the pipe
// stays open.
func TestParentDies(t *testing.T) {
	parent := exec.Command("sleep", "60")
	require.NoError(t, parent.Start())
	c := lsptest.InMemory(t, lsp.Options{})
	c.Must("initialize", object{"processId": parent.Process.Pid, "rootUri": nil, "capabilities": object{}}, nil)
	require.NoError(t, parent.Process.Kill())
	_ = parent.Wait()
	assert.Equal(t, 1, c.Left())
}

// The encoding of positions is the editor's choice; UTF-8 is taken where it is offered.
func TestEncodings(t *testing.T) {
	for _, x := range []struct {
		offered any
		chosen  string
	}{
		{[]string{"utf-8", "utf-16"}, "utf-8"}, {[]string{"utf-16"}, "utf-16"}, {[]string{"utf-32", "utf-16"}, "utf-16"},
	} {
		c := lsptest.InMemory(t, lsp.Options{})
		c.Initialize("", lsptest.With(lsptest.Capabilities(), x.offered, "general", "positionEncodings"))
		assert.Equal(t, x.chosen, c.Encoding)
	}
}

// An editor that can nothing special gets plain answers: no versions, no links, no
// markdown, flat symbols.
func TestPlainEditor(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize("", object{})
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 7)
	c.Await("diagnostics", func(sent []lsptest.Message) bool { return len(sent) > 0 })
	assert.NotContains(t, string(c.Sent("textDocument/publishDiagnostics")[0]), "version")
	var hover struct {
		Contents struct{ Kind, Value string } `json:"contents"`
	}
	c.Must("textDocument/hover", lsptest.At(path, lsptest.Position{Line: 4, Character: 12}), &hover)
	assert.Equal(t, "plaintext", hover.Contents.Kind)
	assert.NotContains(t, hover.Contents.Value, "**")
	var symbols []struct {
		Location json.RawMessage `json:"location"`
	}
	c.Must("textDocument/documentSymbol", lsptest.Doc(path), &symbols)
	assert.NotEmpty(t, symbols[0].Location)
	assert.Zero(t, c.Shutdown())
}

// --trace writes every message, a line each.
func TestTrace(t *testing.T) {
	var trace strings.Builder
	c := lsptest.InMemory(t, lsp.Options{Trace: &trace})
	c.Initialize("", object{})
	assert.Zero(t, c.Shutdown())
	assert.Contains(t, trace.String(), `received {`)
	assert.Contains(t, trace.String(), `"initialize"`)
	assert.Contains(t, trace.String(), `sent {`)
}
