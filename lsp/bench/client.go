package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"time"

	"go.lsp.dev/uri"

	"sewable/lsp/wire"
)

type object = map[string]any

// patience is how long the bench waits for what a server may never send.
const patience = 30 * time.Second

// client is a plain editor: it asks, and notes when what comes.
type client struct {
	process *exec.Cmd
	in      io.WriteCloser
	lastID  int
	whole   bool // the server wants every text as a whole

	mu       sync.Mutex
	changed  *sync.Cond
	answers  map[int]answer
	failures map[int]string
	found    map[string]found // diagnostics, by document
	stale    int              // diagnostics older than some sent before
	progress int              // works that have ended
	running  int
	gone     bool
}

// answer is a result and when it had come: taking it apart is the editor's time.
type answer struct {
	result json.RawMessage
	at     time.Time
}

type found struct {
	at      time.Time
	version int
	count   int // how often diagnostics came
	items   int
}

func start(command []string, dir string) (*client, error) {
	p := exec.Command(command[0], command[1:]...)
	p.Dir = dir
	in, err := p.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := p.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if os.Getenv("BENCH_STDERR") != "" {
		p.Stderr = os.Stderr
	}
	if err := p.Start(); err != nil {
		return nil, err
	}
	c := &client{process: p, in: in, answers: map[int]answer{}, failures: map[int]string{}, found: map[string]found{}}
	c.changed = sync.NewCond(&c.mu)
	go c.listen(wire.NewReader(out))
	return c, nil
}

func (c *client) send(m object) {
	m["jsonrpc"] = "2.0"
	body, _ := json.Marshal(m)
	_, _ = c.in.Write(wire.AppendFrame(nil, body))
}

func (c *client) notify(method string, params any) {
	c.send(object{"method": method, "params": params})
}

func (c *client) listen(in *wire.Reader) {
	for {
		body, err := in.Read()
		at := time.Now()
		c.mu.Lock()
		if err != nil {
			c.gone = true
			c.changed.Broadcast()
			c.mu.Unlock()
			return
		}
		var m struct {
			ID     *json.RawMessage
			Method string
			Params struct {
				URI         string
				Version     *int
				Diagnostics []json.RawMessage
				Items       []json.RawMessage
				Value       struct{ Kind string }
			}
			Result json.RawMessage
			Error  *struct{ Message string }
		}
		_ = json.Unmarshal(body, &m)
		switch {
		case m.Method == "textDocument/publishDiagnostics":
			f := c.found[m.Params.URI]
			f.count++
			f.at = at
			f.items = len(m.Params.Diagnostics)
			if m.Params.Version != nil {
				if *m.Params.Version < f.version {
					c.stale++
				}
				f.version = *m.Params.Version
			}
			c.found[m.Params.URI] = f
		case m.Method == "$/progress" && m.Params.Value.Kind == "begin":
			c.running++
		case m.Method == "$/progress" && m.Params.Value.Kind == "end":
			c.progress++
		case m.Method == "workspace/configuration":
			go c.send(object{"id": *m.ID, "result": make([]any, len(m.Params.Items))})
		case m.Method != "" && m.ID != nil:
			go c.send(object{"id": *m.ID, "result": nil})
		case m.ID != nil:
			id, _ := strconv.Atoi(string(*m.ID))
			c.answers[id] = answer{m.Result, at}
			if m.Error != nil {
				c.failures[id] = m.Error.Message
			}
		}
		c.changed.Broadcast()
		c.mu.Unlock()
	}
}

// until waits until something holds.
func (c *client) until(holds func() bool) error {
	timer := time.AfterFunc(patience, c.changed.Broadcast)
	defer timer.Stop()
	deadline := time.Now().Add(patience)
	c.mu.Lock()
	defer c.mu.Unlock()
	for !holds() {
		switch {
		case c.gone:
			return errors.New("the server has left")
		case time.Now().After(deadline):
			return errors.New("waited in vain")
		}
		c.changed.Wait()
	}
	return nil
}

// call asks, waits for the answer and says how long it took.
func (c *client) call(method string, params any) (json.RawMessage, time.Duration, error) {
	t := time.Now()
	c.lastID++
	id := c.lastID
	c.send(object{"id": id, "method": method, "params": params})
	if err := c.until(func() bool { _, ok := c.answers[id]; return ok }); err != nil {
		return nil, 0, fmt.Errorf("%s: %w", method, err)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	answered, why := c.answers[id], c.failures[id]
	delete(c.answers, id)
	if why != "" {
		return nil, 0, fmt.Errorf("%s: %s", method, why)
	}
	return answered.result, answered.at.Sub(t), nil
}

func (c *client) initialize(dir string, options any, asks bool) error {
	yes := true
	document := object{
		"publishDiagnostics": object{"versionSupport": yes, "relatedInformation": yes},
		"hover":              object{"contentFormat": []string{"markdown"}},
		"completion":         object{"completionItem": object{"snippetSupport": yes}},
		"semanticTokens": object{
			"requests": object{"full": object{"delta": yes}}, "formats": []string{"relative"},
			"tokenTypes":     []string{"keyword", "number", "string", "comment", "operator", "variable", "type", "function", "property", "class", "enumMember", "namespace"},
			"tokenModifiers": []string{"declaration", "definition"},
		},
		"documentSymbol": object{"hierarchicalDocumentSymbolSupport": yes},
		"codeAction":     object{"codeActionLiteralSupport": object{"codeActionKind": object{"valueSet": []string{"quickfix", "refactor"}}}},
		"formatting":     object{},
	}
	if asks {
		delete(document, "publishDiagnostics")
		document["diagnostic"] = object{}
	}
	answer, _, err := c.call("initialize", object{
		"processId": os.Getpid(), "rootUri": string(uri.File(dir)),
		"workspaceFolders":      []object{{"uri": string(uri.File(dir)), "name": "bench"}},
		"initializationOptions": options,
		"capabilities": object{
			"general":      object{"positionEncodings": []string{"utf-16"}},
			"window":       object{"workDoneProgress": yes},
			"workspace":    object{"configuration": yes, "workspaceFolders": yes, "didChangeWatchedFiles": object{"dynamicRegistration": yes}},
			"textDocument": document,
		},
	})
	if err == nil {
		c.whole = wholeTexts(answer)
		c.notify("initialized", object{})
	}
	return err
}

// wholeTexts says whether a server's answer to initialize asks for whole texts (sync kind 1).
func wholeTexts(answer json.RawMessage) bool {
	var said struct {
		Capabilities struct{ TextDocumentSync json.RawMessage }
	}
	_ = json.Unmarshal(answer, &said)
	var kind int
	var options struct{ Change int }
	if json.Unmarshal(said.Capabilities.TextDocumentSync, &kind) != nil {
		_ = json.Unmarshal(said.Capabilities.TextDocumentSync, &options)
		kind = options.Change
	}
	return kind == 1
}

func (c *client) leave() {
	_, _, _ = c.call("shutdown", nil)
	c.notify("exit", nil)
	done := make(chan struct{})
	go func() { _ = c.process.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(3 * time.Second):
		_ = c.process.Process.Kill()
	}
}

// memory is what the server holds of the machine's memory, in MB; 0 where the
// system does not say (Linux does, in /proc).
func (c *client) memory() float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", c.process.Process.Pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(text)) {
		if fields := strings.Fields(line); len(fields) > 1 && fields[0] == "VmRSS:" {
			kb, _ := strconv.ParseFloat(fields[1], 64)
			return kb / 1024
		}
	}
	return 0
}
