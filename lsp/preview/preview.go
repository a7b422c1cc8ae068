// Package preview is a page on the loopback interface that shows the blocks of a
// file, and shows them anew whenever the file changes.
//
//	Server, Page   who listens; one page for each file         preview.go
//	guard          who is let in                               guard.go, limit.go
//	serve          what is answered                            serve.go
//	stream         what is sent, the newest alone              stream.go
//	drawer         draws what the open windows look at         drawer.go
//	scene          one moment of a file, in words and pictures scene.go, words.go, picture.go
//	Lit            which patches the cursor means              lit.go
//	Follow         shows a file as it is saved                 follow.go
//	assets         the page itself                             assets
//
// Whoever knows the file shows a Page one Moment after the other. The page draws
// in a goroutine of its own, and only the newest moment; nobody waits for it. The
// language server shows what is typed, the command what is saved.
package preview

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"sync"
	"time"

	"sewable/lang/block"
	"sewable/lang/query"
	"sewable/lint"
)

// Options are what a Server needs to know.
type Options struct {
	// Goto brings an editor to a place of a file, lines and columns from 1, and
	// says in a sentence what came of it. It may take a moment. Nil: nobody is told.
	Goto func(path string, line, column int) string
	Log  *slog.Logger // nil: to nobody
}

// Moment is a file at one moment.
type Moment struct {
	File     *query.File // nil when it cannot be read
	Findings []lint.Finding
	Why      string // it cannot be read
}

// The limits of a server.
const (
	maxPages       = 64
	maxStreams     = 5 // of all pages together: a browser opens no more than six connections to one server
	maxConnections = 32
	maxBody        = 4 << 10
	maxHeader      = 16 << 10
	patience       = 10 * time.Second // to send a request, to take an answer
)

// Server listens on the loopback and serves pages.
type Server struct {
	options Options
	http    *http.Server
	host    string // the address and the port
	ctx     context.Context
	stop    context.CancelFunc

	mu      sync.Mutex
	pages   []*Page
	streams []*stream // the oldest first
}

// Start listens on a free port of the loopback.
func Start(o Options) (*Server, error) {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		var six error
		if l, six = net.Listen("tcp6", "[::1]:0"); six != nil {
			return nil, fmt.Errorf("the preview cannot listen on this machine: %w", err)
		}
	}
	s := &Server{options: o, host: l.Addr().String()}
	s.ctx, s.stop = context.WithCancel(context.Background())
	s.http = &http.Server{
		Handler:                      s,
		DisableGeneralOptionsHandler: true,
		ReadHeaderTimeout:            patience,
		ReadTimeout:                  patience,
		WriteTimeout:                 patience,
		IdleTimeout:                  time.Minute,
		MaxHeaderBytes:               maxHeader,
		ErrorLog:                     slog.NewLogLogger(o.Log.Handler(), slog.LevelDebug),
		BaseContext:                  func(net.Listener) context.Context { return s.ctx },
	}
	limited := limit(l, maxConnections)
	s.http.ConnState = limited.state
	go func() {
		if err := s.http.Serve(limited); !errors.Is(err, http.ErrServerClosed) {
			o.Log.Error("the preview has ended", "why", err)
		}
	}()
	return s, nil
}

// Close ends the pages; their windows are told.
func (s *Server) Close() error {
	s.stop()
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	if s.http.Shutdown(ctx) != nil {
		return s.http.Close()
	}
	return nil
}

// Page is the page of a file, a new one when there is none yet.
func (s *Server) Page(path string) (*Page, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range s.pages {
		if p.Path == path {
			return p, nil
		}
	}
	if len(s.pages) >= maxPages {
		return nil, fmt.Errorf("there are %d previews already, and that is the most", maxPages)
	}
	p := &Page{Path: path, server: s, token: rand.Text(), bell: make(chan struct{}, 1)}
	s.pages = append(s.pages, p)
	go p.run(s.ctx)
	return p, nil
}

// Page shows one file.
type Page struct {
	Path   string
	server *Server
	token  string // 130 bits
	bell   chan struct{}

	mu     sync.Mutex
	moment Moment
	number int // of the moment
	lit    Lit
	litNo  int

	// The drawer's alone.
	pictureTook, wordsTook time.Duration
}

// URL is where the page is.
func (p *Page) URL() string { return "http://" + p.server.host + "/" + p.token + "/" }

// Show shows another moment of the file. It does not wait.
func (p *Page) Show(m Moment) {
	if m.File != nil {
		m.File.Errors = func(b *block.Block) int { return lint.ErrorsOf(m.Findings, m.File.File, b) }
	}
	p.mu.Lock()
	p.moment = m
	p.number++
	p.mu.Unlock()
	p.ring()
}

// Light lights what the cursor means. It does not wait.
func (p *Page) Light(l Lit) {
	p.mu.Lock()
	same := l.equal(p.lit)
	if !same {
		p.lit = l
		p.litNo++
	}
	p.mu.Unlock()
	if !same {
		p.ring()
	}
}

func (p *Page) ring() {
	select {
	case p.bell <- struct{}{}:
	default:
	}
}

// windows are the streams of a page.
func (p *Page) windows() []*stream {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	var out []*stream
	for _, s := range p.server.streams {
		if s.page == p {
			out = append(out, s)
		}
	}
	return out
}

// enter takes in a stream; the oldest has to leave when there are too many.
func (s *Server) enter(x *stream) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.streams = append(s.streams, x)
	if len(s.streams) > maxStreams {
		s.streams[0].leave()
		s.streams = slices.Delete(s.streams, 0, 1)
	}
}

func (s *Server) exit(x *stream) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.streams = slices.DeleteFunc(s.streams, func(y *stream) bool { return x == y })
}

var _ io.Closer = (*Server)(nil)
