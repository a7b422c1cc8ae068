// Package lsptest is a client of the language server for tests: over pipes in
// memory, or over the standard streams of a process, as an editor talks to it.
// It checks every message, either way, against the meta model of the protocol
// where that is at hand (see MetaModel).
//
// Scenarios (scenario.go) are txtar files that read as examples.
package lsptest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/wire"
)

// Object is a JSON object in the making.
type Object = map[string]any

// Patience is how long a test waits for what has to come.
const Patience = 20 * time.Second

// Client talks to one server.
type Client struct {
	t     testing.TB
	in    io.WriteCloser // to the server
	write sync.Mutex
	model *MetaModel // nil: messages are not checked

	// Exit gives the server's exit code once it has left.
	Exit chan int
	// Encoding is how positions count, after Initialize.
	Encoding string

	mu      sync.Mutex
	lastID  int
	calls   map[int]chan Answer
	methods map[int]string // of calls that wait, for the check of their results
	news    chan struct{}  // closed and replaced when something arrives
	sent    []Message      // notifications and requests of the server, in order
	found   map[string]Diagnostics
	Handle  map[string]func(params json.RawMessage) any // answers to the server's requests
	gone    error
}

// Later is an answer to the server that takes its time, while other messages are heard.
type Later func() any

// Message is a notification or request of the server.
type Message struct {
	Method string
	Params json.RawMessage
}

// Answer is an answer of the server.
type Answer struct {
	Result json.RawMessage
	Error  *Error
}

// Error is an error answer.
type Error struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

func (e *Error) Error() string { return fmt.Sprintf("%d: %s", e.Code, e.Message) }

// Diagnostics are what the server sent last of a document.
type Diagnostics struct {
	URI         string            `json:"uri"`
	Version     *int              `json:"version"`
	Diagnostics []json.RawMessage `json:"diagnostics"`
}

// InMemory starts a server in this process, with all rules.
func InMemory(t testing.TB, o lsp.Options) *Client {
	if o.Rules == nil {
		o.Rules = rules.All
	}
	fromClient, toServer := io.Pipe()
	fromServer, toClient := io.Pipe()
	c := newClient(t, toServer)
	ctx, stop := context.WithCancel(context.Background())
	go func() {
		code := lsp.Serve(ctx, fromClient, toClient, o)
		toClient.Close()
		c.Exit <- code
	}()
	go c.listen(fromServer)
	t.Cleanup(func() { stop(); toServer.Close(); fromServer.Close() })
	return c
}

// Process starts a server as a process.
func Process(t testing.TB, command string, args ...string) *Client {
	p := exec.Command(command, args...)
	in, err := p.StdinPipe()
	require.NoError(t, err)
	out, err := p.StdoutPipe()
	require.NoError(t, err)
	p.Stderr = os.Stderr
	require.NoError(t, p.Start())
	c := newClient(t, in)
	go func() {
		c.listen(out)
		_ = p.Wait()
		c.Exit <- p.ProcessState.ExitCode()
	}()
	t.Cleanup(func() { in.Close(); _ = p.Process.Kill() })
	return c
}

func newClient(t testing.TB, in io.WriteCloser) *Client {
	model, _ := LoadMetaModel()
	return &Client{
		t: t, in: in, model: model, Exit: make(chan int, 1), Encoding: "utf-16",
		calls: map[int]chan Answer{}, methods: map[int]string{}, news: make(chan struct{}),
		found: map[string]Diagnostics{}, Handle: map[string]func(json.RawMessage) any{},
	}
}

// Unchecked stops holding messages against the meta model, for benchmarks.
func (c *Client) Unchecked() *Client {
	c.model = nil
	return c
}

// Raw sends bytes as they are, piece by piece, with nothing between them.
func (c *Client) Raw(pieces ...[]byte) error {
	c.write.Lock()
	defer c.write.Unlock()
	for _, p := range pieces {
		if _, err := c.in.Write(p); err != nil {
			return err
		}
	}
	return nil
}

func (c *Client) send(m Object) {
	m["jsonrpc"] = "2.0"
	body, err := json.Marshal(m)
	require.NoError(c.t, err)
	_ = c.Raw(wire.AppendFrame(nil, body))
}

// Leave closes the server's input, as an editor that dies.
func (c *Client) Leave() { c.in.Close() }

func (c *Client) listen(r io.Reader) {
	in := wire.NewReader(r)
	for {
		body, err := in.Read()
		c.mu.Lock()
		if err != nil {
			c.gone = err
			for id, answer := range c.calls {
				delete(c.calls, id)
				answer <- Answer{Error: &Error{0, "the server has left"}}
			}
			c.tell()
			c.mu.Unlock()
			return
		}
		c.mu.Unlock()
		c.take(body)
	}
}

func (c *Client) tell() {
	close(c.news)
	c.news = make(chan struct{})
}

type incoming struct {
	ID     *json.RawMessage `json:"id"`
	Method string           `json:"method"`
	Params json.RawMessage  `json:"params"`
	Result json.RawMessage  `json:"result"`
	Error  *Error           `json:"error"`
}

func (c *Client) take(body []byte) {
	var m incoming
	if err := json.Unmarshal(body, &m); err != nil {
		c.t.Errorf("the server sent no JSON: %v: %s", err, body)
		return
	}
	if m.Method != "" {
		c.check(c.model.Params(m.Method), m.Params, m.Method+" of the server")
		c.hear(m)
		return
	}
	var id int
	if m.ID != nil {
		_ = json.Unmarshal(*m.ID, &id)
	}
	c.mu.Lock()
	answer, method := c.calls[id], c.methods[id]
	delete(c.calls, id)
	delete(c.methods, id)
	if answer == nil { // an answer without an id: to something that was no message
		c.sent = append(c.sent, Message{Params: body})
		c.tell()
	}
	c.mu.Unlock()
	if answer != nil {
		if m.Error == nil {
			c.check(c.model.Result(method), m.Result, "the result of "+method)
		}
		answer <- Answer{m.Result, m.Error}
	}
}

func (c *Client) hear(m incoming) {
	c.mu.Lock()
	c.sent = append(c.sent, Message{m.Method, m.Params})
	if m.Method == "textDocument/publishDiagnostics" {
		var d Diagnostics
		if json.Unmarshal(m.Params, &d) == nil {
			c.found[d.URI] = d
		}
	}
	handle := c.Handle[m.Method]
	c.tell()
	c.mu.Unlock()
	if m.ID != nil {
		var result any
		if handle != nil {
			result = handle(m.Params)
		}
		if later, ok := result.(Later); ok {
			go func() { c.send(Object{"id": *m.ID, "result": later()}) }()
			return
		}
		c.send(Object{"id": *m.ID, "result": result})
	}
}

// check holds a message against the meta model.
func (c *Client) check(want *Type, value json.RawMessage, what string) {
	if c.model == nil || want == nil {
		return
	}
	if err := c.model.Check(want, value); err != nil {
		c.t.Errorf("%s is not what the meta model says: %v\n%s", what, err, value)
	}
}

// Notify tells the server something.
func (c *Client) Notify(method string, params any) {
	m := Object{"method": method}
	if params != nil {
		m["params"] = params
	}
	c.send(m)
}

// Ask sends a request and gives the channel of its answer.
func (c *Client) Ask(method string, params any) (id int, answer chan Answer) {
	c.mu.Lock()
	c.lastID++
	id, answer = c.lastID, make(chan Answer, 1)
	if c.gone != nil {
		answer <- Answer{Error: &Error{0, "the server has left"}}
	} else {
		c.calls[id], c.methods[id] = answer, method
	}
	c.mu.Unlock()
	m := Object{"id": id, "method": method}
	if params != nil {
		m["params"] = params
	}
	c.send(m)
	return id, answer
}

// Wait waits for an answer.
func (c *Client) Wait(answer chan Answer) Answer {
	select {
	case a := <-answer:
		return a
	case <-time.After(Patience):
		c.t.Fatal("no answer came")
		return Answer{}
	}
}

// Call sends a request and reads its result; a nil result is not read.
func (c *Client) Call(method string, params, result any) error {
	_, answer := c.Ask(method, params)
	a := c.Wait(answer)
	if a.Error != nil {
		return a.Error
	}
	if result == nil || len(a.Result) == 0 {
		return nil
	}
	return json.Unmarshal(a.Result, result)
}

// Must is Call for what must not fail.
func (c *Client) Must(method string, params, result any) {
	c.t.Helper()
	require.NoError(c.t, c.Call(method, params, result), method)
}

// Await waits until something holds of what the server sent.
func (c *Client) Await(what string, holds func(sent []Message) bool) {
	c.t.Helper()
	deadline := time.After(Patience)
	for {
		c.mu.Lock()
		ok, news, gone := holds(c.sent), c.news, c.gone
		c.mu.Unlock()
		if ok {
			return
		}
		if gone != nil {
			c.t.Fatalf("the server left before %s", what)
		}
		select {
		case <-news:
		case <-deadline:
			c.t.Fatalf("waited in vain for %s", what)
		}
	}
}

// Sent is what the server sent by a method, in order.
func (c *Client) Sent(method string) []json.RawMessage {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.SentLocked(method)
}

// Found waits for the diagnostics of a version of a document.
func (c *Client) Found(path string, version int) Diagnostics {
	c.t.Helper()
	var found Diagnostics
	c.Await(fmt.Sprintf("the diagnostics of version %d of %s", version, filepath.Base(path)), func([]Message) bool {
		d, ok := c.found[URI(path)]
		found = d
		return ok && d.Version != nil && *d.Version == version
	})
	return found
}

// FoundLocked is what was sent last of a document, from within Await.
func (c *Client) FoundLocked(path string) Diagnostics { return c.found[URI(path)] }

// Left waits for the server's exit code.
func (c *Client) Left() int {
	c.t.Helper()
	select {
	case code := <-c.Exit:
		return code
	case <-time.After(Patience):
		c.t.Fatal("the server did not leave")
		return -1
	}
}

// Shutdown leaves by the book.
func (c *Client) Shutdown() int {
	c.Must("shutdown", nil, nil)
	c.Notify("exit", nil)
	return c.Left()
}

var errNoModel = errors.New("the meta model is not at hand")

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// SentLocked is Sent, from within Await.
func (c *Client) SentLocked(method string) []json.RawMessage {
	var out []json.RawMessage
	for _, m := range c.sent {
		if m.Method == method {
			out = append(out, m.Params)
		}
	}
	return out
}
