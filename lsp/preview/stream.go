package preview

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"net/http"
	"sync"
	"time"
)

// Look is what a window looks at. The zero Look is the first block of the file,
// finished and in its own fabrics.
type Look struct {
	Title     string `json:"title"` // of a block or a setting
	At        int    `json:"at"`    // its place in the file, for when its title has changed
	Section   string `json:"section"`
	Colourway string `json:"colourway"`
	Printed   bool   `json:"printed"`
	Grey      bool   `json:"grey"`
	Step      int    `json:"step"` // of the sewing, from 1; 0 is the finished block
}

// event is what a window is sent; those that wait together go in this order.
type event uint8

const (
	hello event = iota
	words
	picture
	light
	bye
	events
)

func (e event) String() string {
	return [...]string{"hello", "words", "picture", "light", "bye"}[e]
}

// stream is an open window. What waits to be sent is replaced by what is newer:
// a slow window is never sent what nobody wants to see any more.
type stream struct {
	id   string
	page *Page

	mu      sync.Mutex
	look    Look
	waiting [events][]byte
	bell    chan struct{}
	left    chan struct{}
	once    sync.Once

	// The drawer's alone: what it was sent last.
	sentWords   string
	sentPicture string
	sentLight   int
}

func newStream(p *Page) *stream {
	s := &stream{id: rand.Text(), page: p, bell: make(chan struct{}, 1), left: make(chan struct{}), sentLight: -1}
	s.put(hello, fmt.Appendf(nil, `{"stream":%q}`, s.id))
	return s
}

func (s *stream) leave() { s.once.Do(func() { close(s.left) }) }

func (s *stream) turn(l Look) {
	s.mu.Lock()
	s.look = l
	s.mu.Unlock()
}

func (s *stream) looksAt() Look {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.look
}

// put has something sent; data holds no line break.
func (s *stream) put(e event, data []byte) {
	s.mu.Lock()
	s.waiting[e] = data
	s.mu.Unlock()
	select {
	case s.bell <- struct{}{}:
	default:
	}
}

// take gives what waits as server-sent events (HTML standard, "Server-sent events").
func (s *stream) take() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	var b bytes.Buffer
	for e := range events {
		if s.waiting[e] != nil {
			fmt.Fprintf(&b, "event: %s\ndata: %s\n\n", e, s.waiting[e])
			s.waiting[e] = nil
		}
	}
	return b.Bytes()
}

// beat is how often a stream that has nothing to say shows that it lives.
const beat = 15 * time.Second

// write sends until the window is closed, or the server ends.
func (s *stream) write(ctx context.Context, w io.Writer, out *http.ResponseController) {
	send := func(text []byte) bool {
		_ = out.SetWriteDeadline(time.Now().Add(patience))
		_, err := w.Write(text)
		return err == nil && out.Flush() == nil
	}
	tick := time.NewTicker(beat)
	defer tick.Stop()
	for ok := send([]byte("retry: 500\n\n")); ok; {
		select {
		case <-s.bell:
			ok = send(s.take())
		case <-tick.C:
			ok = send([]byte(":\n\n"))
		case <-s.left:
			send([]byte("event: bye\ndata: \"elsewhere\"\n\n"))
			return
		case <-ctx.Done():
			send([]byte("event: bye\ndata: \"ended\"\n\n"))
			return
		}
	}
}
