package lsp

import (
	"context"
	"io"
	"log/slog"
	"sync"
	"sync/atomic"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	"sewable/lsp/convert"
	"sewable/lsp/session"
	"sewable/lsp/wire"

	"sewable/lint"
)

// Options are what a server needs to know besides what the editor tells it.
type Options struct {
	Rules   []*lint.Rule
	Version string
	Log     *slog.Logger // to standard error; nil: to nobody
	Level   slog.Level   // of what the editor is told by window/logMessage
	Trace   io.Writer    // every message is written to it; may be nil
	// Alone says that the process is the server's alone: it then looks after its memory.
	Alone bool
	// OnRequest is told the method of every request before it is looked at. A test
	// sets it to break down.
	OnRequest func(method string)
}

// Serve talks to one editor until it leaves and gives the exit code that the
// protocol asks for: 0 after `shutdown` and `exit`, else 1.
func Serve(ctx context.Context, in io.Reader, out io.Writer, o Options) int {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s := newServer(ctx, in, out, o)
	s.stop = stop
	if o.Alone {
		s.rest = newRest()
		defer s.rest.end()
	}
	ended := make(chan error, 1)
	go func() { ended <- s.conn.Run(ctx) }()
	select {
	case err := <-ended:
		if err != nil {
			s.log.Error("the connection broke", "why", err)
		}
	case <-ctx.Done():
	}
	s.previews.close()
	s.conn.Close()
	s.lifeLock.Lock()
	defer s.lifeLock.Unlock()
	if s.phase == leaving {
		return 0
	}
	return 1
}

// Server is one editor's server.
type Server struct {
	options Options
	conn    *wire.Conn
	log     *slog.Logger
	session *session.Session
	ctx     context.Context // ends with the connection
	stop    func()

	// Written once, by initialize, before anything reads them.
	client   client
	encoding convert.Encoding

	running sync.Map // progress by token

	lifeLock sync.Mutex
	phase    phase

	fresh       freshness
	diagnostics *diagnostics
	workspace   *workspace
	previews    *previews
	settings    settings
	tokensSent  atomic.Int64
	rest        *rest // nil when memory is not the server's matter
}

// phase is how far the life of a server has come.
type phase uint8

const (
	waiting phase = iota // for initialize
	serving
	leaving // after shutdown
)

func newServer(ctx context.Context, in io.Reader, out io.Writer, o Options) *Server {
	s := &Server{options: o, ctx: ctx, session: session.New(o.Rules)}
	s.log = slog.New(newLogHandler(s, o))
	s.conn = wire.NewConn(in, out, s, s.log)
	if o.Trace != nil {
		s.conn.Trace = tracer(o.Trace)
	}
	s.diagnostics = newDiagnostics(s)
	s.workspace = newWorkspace(s)
	s.previews = newPreviews(s)
	return s
}

// Request prepares the answer to a request.
func (s *Server) Request(ctx context.Context, end context.CancelCauseFunc, method string, params []byte) wire.Work {
	s.rest.wake()
	if s.options.OnRequest != nil {
		s.options.OnRequest(method)
	}
	s.lifeLock.Lock()
	phase := s.phase
	s.lifeLock.Unlock()
	switch {
	case method == protocol.MethodInitialize && phase == waiting:
		return s.initialize(params)
	case method == protocol.MethodInitialize:
		return refuse(jsonrpc2.InvalidRequest, "initialize was asked before")
	case phase == waiting:
		return refuse(jsonrpc2.ServerNotInitialized, "initialize comes first")
	case phase == leaving:
		return refuse(jsonrpc2.InvalidRequest, "the server was asked to shut down")
	}
	handle, ok := requests[method]
	if !ok {
		return refuse(jsonrpc2.MethodNotFound, "the server knows no request "+method)
	}
	s.previews.heard(method, params)
	return handle(s, life{ctx, end}, params)
}

// Notification does what a notification says. Before initialize only exit counts.
func (s *Server) Notification(method string, params []byte) {
	s.rest.wake()
	if method == protocol.MethodExit {
		s.stop()
		return
	}
	s.lifeLock.Lock()
	phase := s.phase
	s.lifeLock.Unlock()
	if phase != serving {
		return
	}
	handle, ok := notifications[method]
	if !ok {
		if len(method) < 2 || method[:2] != "$/" {
			s.log.Warn("the server knows no notification", "method", method)
		}
		return
	}
	if err := handle(s, params); err != nil {
		s.log.Warn("a notification cannot be read", "method", method, "why", err)
	}
}

func refuse(code jsonrpc2.Code, why string) wire.Work {
	return func(context.Context) (any, error) { return nil, jsonrpc2.NewError(code, why) }
}
