// Package wire carries messages between an editor and the server: framing,
// order, cancellation and calls both ways. It knows no method of the protocol
// but $/cancelRequest.
//
//   - Messages are taken in the order of their arrival, one after another: a
//     notification is done before the next message is looked at, and a request is
//     prepared (it takes hold of the state as it is now) in its turn.
//   - The work of requests then runs concurrently.
//   - Every request gets exactly one answer, also one that breaks down, is
//     cancelled, or is nonsense.
package wire

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
)

// Work is the concurrent part of a request. Its context ends, with the cause
// that the client is told, when the request is cancelled or the connection ends.
type Work func(ctx context.Context) (result any, err error)

// Handler is what a connection hands messages to, in order of arrival.
type Handler interface {
	// Notification does what a notification says.
	Notification(method string, params []byte)
	// Request prepares the answer to a request. The context lives as long as the
	// request; end ends it early, and the client is told the cause.
	Request(ctx context.Context, end context.CancelCauseFunc, method string, params []byte) Work
}

// The errors that end a request early.
var (
	ErrCancelled       = jsonrpc2.NewError(protocol.CodeRequestCancelled, "the request was cancelled")
	ErrContentModified = jsonrpc2.NewError(protocol.CodeContentModified, "the text has changed meanwhile")
)

// maxAtWork is how many requests may be at work at once; the next message
// then waits.
const maxAtWork = 256

// Conn is one connection.
type Conn struct {
	Log *slog.Logger
	// Trace, when set, is told every message; sent says which way it went.
	Trace func(sent bool, body []byte)

	handler Handler
	in      *Reader
	out     *outbox
	slots   chan struct{}

	mu      sync.Mutex
	atWork  map[jsonrpc2.ID]context.CancelCauseFunc
	calls   map[jsonrpc2.ID]chan *jsonrpc2.Response
	lastID  int64
	stopped bool
}

// NewConn returns a connection over two streams; Run makes it go.
func NewConn(r io.Reader, w io.Writer, h Handler, log *slog.Logger) *Conn {
	return &Conn{
		Log: log, handler: h, in: NewReader(r), out: newOutbox(w),
		slots:  make(chan struct{}, maxAtWork),
		atWork: map[jsonrpc2.ID]context.CancelCauseFunc{},
		calls:  map[jsonrpc2.ID]chan *jsonrpc2.Response{},
	}
}

// Run takes messages until the stream ends; nil is a clean end. It returns at
// once, without waiting for work.
func (c *Conn) Run(ctx context.Context) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(ErrCancelled)
	ended := make(chan error, 1)
	go c.read(ctx, ended)
	return <-ended
}

// read takes messages in their turn. Whoever has taken a request does its work too, and
// another goes on reading: so no answer waits for somebody to wake up.
func (c *Conn) read(ctx context.Context, ended chan<- error) {
	for {
		body, err := c.in.Read()
		switch {
		case err == nil:
			if work := c.take(ctx, body); work != nil {
				c.slots <- struct{}{}
				go c.read(ctx, ended)
				work()
				<-c.slots
				return
			}
		case errors.Is(err, ErrFraming):
			c.Log.Warn("skipped bytes that are no message", "why", err)
			go c.complain(jsonrpc2.ParseError, err.Error())
		case errors.Is(err, io.EOF):
			ended <- nil
			return
		default:
			ended <- err
			return
		}
	}
}

// Close sends what waits to be sent and cancels what is at work.
func (c *Conn) Close() {
	c.mu.Lock()
	c.stopped = true
	for id, answer := range c.calls {
		delete(c.calls, id)
		close(answer)
	}
	c.mu.Unlock()
	c.out.close(time.Second)
}

// take looks at a message; what is left to be done of it, which may take its time, is
// given back.
func (c *Conn) take(ctx context.Context, body []byte) (work func()) {
	if c.Trace != nil {
		c.Trace(false, body)
	}
	message, err := jsonrpc2.DecodeMessage(body)
	if err != nil {
		c.Log.Warn("received something that is no message", "why", err)
		code := jsonrpc2.InvalidRequest
		if errors.Is(err, jsonrpc2.ErrParse) {
			code = jsonrpc2.ParseError
		}
		go c.complain(code, "this is not a JSON-RPC 2.0 message")
		return nil
	}
	switch m := message.(type) {
	case *jsonrpc2.Notification:
		if m.Method() == protocol.MethodCancelRequest {
			c.cancel(m.Params())
			return nil
		}
		c.guard(m.Method(), func() { c.handler.Notification(m.Method(), m.Params()) })
	case *jsonrpc2.Call:
		return c.serve(ctx, m)
	case *jsonrpc2.Response:
		c.mu.Lock()
		answer := c.calls[m.ID()]
		delete(c.calls, m.ID())
		c.mu.Unlock()
		if answer != nil {
			answer <- m
		}
	}
	return nil
}

// guard lets a breakdown end only what broke down.
func (c *Conn) guard(method string, do func()) (broke bool) {
	defer func() {
		if cause := recover(); cause != nil {
			broke = true
			c.Log.Error("internal error", "method", method, "cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
		}
	}()
	do()
	return false
}

// serve prepares a request; what it gives works out the answer and sends it.
func (c *Conn) serve(ctx context.Context, m *jsonrpc2.Call) (work func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	c.mu.Lock()
	if _, twice := c.atWork[m.ID()]; twice {
		c.mu.Unlock()
		cancel(nil)
		go c.answer(m.ID(), nil, jsonrpc2.Errorf(jsonrpc2.InvalidRequest, "a request with this id is at work already"))
		return nil
	}
	c.atWork[m.ID()] = cancel
	c.mu.Unlock()

	var once sync.Once
	answer := func(result any, err error) {
		once.Do(func() {
			c.mu.Lock()
			delete(c.atWork, m.ID())
			c.mu.Unlock()
			c.answer(m.ID(), result, err)
		})
	}
	var prepared Work
	if c.guard(m.Method(), func() { prepared = c.handler.Request(ctx, cancel, m.Method(), m.Params()) }) {
		cancel(nil)
		go answer(nil, brokeDown(m.Method()))
		return nil
	}
	stop := context.AfterFunc(ctx, func() { answer(nil, context.Cause(ctx)) })
	return func() {
		defer func() { stop(); cancel(nil) }()
		var result any
		var err error
		if c.guard(m.Method(), func() { result, err = prepared(ctx) }) {
			err = brokeDown(m.Method())
		}
		if err != nil && ctx.Err() != nil {
			err = context.Cause(ctx)
		}
		answer(result, err)
	}
}

func brokeDown(method string) error {
	return jsonrpc2.Errorf(jsonrpc2.InternalError, "internal error in %s; see the server's log", method)
}

func (c *Conn) cancel(params []byte) {
	var p struct {
		ID any `json:"id"`
	}
	numbers := json.NewDecoder(bytes.NewReader(params))
	numbers.UseNumber() // an id may be larger than protocol.CancelParams holds
	if numbers.Decode(&p) != nil {
		return
	}
	var id jsonrpc2.ID
	switch n := p.ID.(type) {
	case json.Number:
		whole, _ := n.Int64()
		id = jsonrpc2.NewNumberID(whole)
	case string:
		id = jsonrpc2.NewStringID(n)
	}
	c.mu.Lock()
	cancel := c.atWork[id]
	c.mu.Unlock()
	if cancel != nil {
		cancel(ErrCancelled)
	}
}

func (c *Conn) answer(id jsonrpc2.ID, result any, err error) {
	room := rooms.Get().(*room)
	defer room.back()
	var raw []byte
	if err == nil {
		if raw, err = room.marshal(result); err != nil {
			c.Log.Error("an answer cannot be written", "why", err)
			err = jsonrpc2.NewError(jsonrpc2.InternalError, err.Error())
		}
	}
	if err != nil {
		var wire *jsonrpc2.Error
		if !errors.As(err, &wire) {
			err = jsonrpc2.NewError(jsonrpc2.Code(protocol.LSPErrorCodesRequestFailed), err.Error())
		}
		raw = nil
	}
	room.body = jsonrpc2.AppendResponse(room.body[:0], id, raw, err)
	c.trace(room.body)
	c.out.send(room.body)
}

// complain answers what has no id.
func (c *Conn) complain(code jsonrpc2.Code, why string) {
	c.send(jsonrpc2.AppendResponse(nil, jsonrpc2.ID{}, nil, jsonrpc2.NewError(code, why)))
}

// send sends a message, once there is room; the body is the caller's again afterwards.
func (c *Conn) send(body []byte) {
	c.Wait()
	c.trace(body)
	c.out.put(body)
}

// Wait waits while the client reads less than it is told.
func (c *Conn) Wait() { c.out.room() }

func (c *Conn) trace(sent []byte) {
	if c.Trace != nil {
		c.Trace(true, sent)
	}
}

// Notify tells the client something. It may have to Wait.
func (c *Conn) Notify(method string, params any) {
	c.Wait()
	c.Post(method, params)
}

// Post is Notify for where messages are taken, and for who holds a lock that is needed there: it
// never waits. Whoever has much to say waits before.
func (c *Conn) Post(method string, params any) {
	room := rooms.Get().(*room)
	defer room.back()
	raw, err := room.marshal(params)
	if err != nil {
		c.Log.Error("a notification cannot be written", "method", method, "why", err)
		return
	}
	room.body = jsonrpc2.AppendNotification(room.body[:0], method, raw)
	c.trace(room.body)
	c.out.put(room.body)
}

// Call asks the client something. It must not be called from where messages
// are taken: the answer would never be.
func (c *Conn) Call(ctx context.Context, method string, params, result any) error {
	raw, err := new(room).marshal(params)
	if err != nil {
		return err
	}
	answer := make(chan *jsonrpc2.Response, 1)
	c.mu.Lock()
	if c.stopped {
		c.mu.Unlock()
		return io.ErrClosedPipe
	}
	c.lastID++
	id := jsonrpc2.NewNumberID(c.lastID)
	c.calls[id] = answer
	c.mu.Unlock()
	c.send(jsonrpc2.AppendCall(nil, id, method, raw))
	select {
	case r, ok := <-answer:
		switch {
		case !ok:
			return io.ErrClosedPipe
		case r.Err() != nil:
			return r.Err()
		case result == nil:
			return nil
		}
		return protocol.Unmarshal(r.Result(), result)
	case <-ctx.Done():
		c.mu.Lock()
		delete(c.calls, id)
		c.mu.Unlock()
		return context.Cause(ctx)
	}
}

// Written is a result that is JSON already.
type Written []byte

// Append is a result that writes itself: it adds its JSON to dst.
type Append func(dst []byte) []byte

// Write writes a result once for many answers.
func Write(result any) (Written, error) {
	room := rooms.Get().(*room)
	defer room.back()
	raw, err := room.marshal(result)
	return slices.Clone(raw), err
}

// room is what a message is written in, and the next can use again.
type room struct{ raw, body []byte }

var rooms = sync.Pool{New: func() any { return new(room) }}

// maxRoom is what is kept; a message that needs more is rare.
const maxRoom = 1 << 20

func (r *room) back() {
	if cap(r.raw)+cap(r.body) <= 2*maxRoom {
		rooms.Put(r)
	}
}

var null = []byte("null")

// marshal writes a value; what it gives lasts as long as the room is not used again.
func (r *room) marshal(v any) ([]byte, error) {
	switch v := v.(type) {
	case nil:
		return null, nil
	case Written:
		return v, nil
	case Append:
		r.raw = v(r.raw[:0])
		return r.raw, nil
	}
	raw, err := protocol.AppendMarshal(r.raw[:0], v)
	if err != nil {
		return nil, err
	}
	if r.raw = raw; len(bytes.TrimSpace(raw)) == 0 {
		return null, nil
	}
	return raw, nil
}
