package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/protocol"
)

// anyOf is a value as the protocol's "any".
func anyOf(v any) protocol.LSPAny {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil
	}
	return raw
}

// structOf is a protocol structure as the protocol's "any".
func structOf(v any) protocol.LSPAny {
	raw, err := protocol.Marshal(v)
	if err != nil {
		return nil
	}
	return raw
}

// partial sends results piece by piece to an editor that gave a token for it.
// The function it gives sends what there is and empties it; without a token it does nothing.
// Only what is gathered file by file is sent so: the answers about one document are there at
// once, and in pieces they would come later, not sooner.
func (s *Server) partial(token protocol.ProgressToken, value func() any, empty func()) (flush func()) {
	if token == nil {
		return func() {}
	}
	return func() {
		s.conn.Notify(protocol.MethodProgress, &protocol.ProgressParams{Token: token, Value: structOf(value())})
		empty()
	}
}

// progress shows in the editor how far a long work is.
type progress struct {
	s      *Server
	token  protocol.ProgressToken // nil: the editor shows none
	total  int
	mu     sync.Mutex
	last   time.Time
	cancel context.CancelFunc
}

var tokens atomic.Int64

// startProgress asks the editor for a place to show it.
func (s *Server) startProgress(ctx context.Context, title string, total int, cancel context.CancelFunc) *progress {
	p := &progress{s: s, total: total, cancel: cancel}
	if !s.client.progress {
		return p
	}
	token := protocol.String(fmt.Sprintf("sewable-%d", tokens.Add(1)))
	short, stop := context.WithTimeout(ctx, 5*time.Second)
	defer stop()
	if err := s.conn.Call(short, protocol.MethodWindowWorkDoneProgressCreate, &protocol.WorkDoneProgressCreateParams{Token: token}, nil); err != nil {
		return p
	}
	p.token = token
	s.running.Store(string(token), p)
	zero, yes := uint32(0), true
	p.send(&protocol.WorkDoneProgressBegin{Kind: "begin", Title: title, Percentage: &zero, Cancellable: &yes})
	return p
}

func (p *progress) send(v any) {
	p.s.conn.Notify(protocol.MethodProgress, &protocol.ProgressParams{Token: p.token, Value: structOf(v)})
}

// reach says how many are done, ten times a second at most.
func (p *progress) reach(done int) {
	if p.token == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if time.Since(p.last) < 100*time.Millisecond {
		return
	}
	p.last = time.Now()
	percent := uint32(100 * done / max(1, p.total))
	message := fmt.Sprintf("%d of %d files", done, p.total)
	p.send(&protocol.WorkDoneProgressReport{Kind: "report", Percentage: &percent, Message: &message})
}

func (p *progress) end(message string) {
	if p.token == nil {
		return
	}
	p.s.running.Delete(string(p.token.(protocol.String)))
	p.send(&protocol.WorkDoneProgressEnd{Kind: "end", Message: &message})
}

// cancelProgress ends a work that the user does not want to wait for.
func (s *Server) cancelProgress(p *protocol.WorkDoneProgressCancelParams) {
	if token, ok := p.Token.(protocol.String); ok {
		if found, ok := s.running.Load(string(token)); ok {
			found.(*progress).cancel()
		}
	}
}
