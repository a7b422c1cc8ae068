package wire

import (
	"io"
	"sync"
	"time"
)

// mostWaiting is how many bytes may wait for a client that does not read. Past
// it whoever has something to say waits too; what the client says is still heard.
const mostWaiting = 8 << 20

// outbox writes frames in the order they were put in, from one goroutine, so
// that a slow client holds up nobody who need not wait.
type outbox struct {
	out io.Writer

	mu      sync.Mutex
	changed sync.Cond
	waiting []byte
	closed  bool
	done    chan struct{}
}

func newOutbox(w io.Writer) *outbox {
	o := &outbox{out: w, done: make(chan struct{})}
	o.changed.L = &o.mu
	go o.write()
	return o
}

// put adds a frame. It waits while too much is waiting already.
func (o *outbox) put(body []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for len(o.waiting) > mostWaiting && !o.closed {
		o.changed.Wait()
	}
	if !o.closed {
		o.waiting = AppendFrame(o.waiting, body)
		o.changed.Broadcast()
	}
}

func (o *outbox) write() {
	defer close(o.done)
	var batch []byte
	for {
		o.mu.Lock()
		for len(o.waiting) == 0 && !o.closed {
			o.changed.Wait()
		}
		if len(o.waiting) == 0 {
			o.mu.Unlock()
			return
		}
		batch, o.waiting = o.waiting, batch[:0]
		if cap(batch) > 1<<20 {
			o.waiting = nil // a large answer is rare
		}
		o.changed.Broadcast()
		o.mu.Unlock()
		if _, err := o.out.Write(batch); err != nil {
			o.mu.Lock()
			o.closed, o.waiting = true, nil
			o.changed.Broadcast()
			o.mu.Unlock()
			return
		}
	}
}

// close lets what waits go out, for a moment: a client that does not read
// keeps nobody.
func (o *outbox) close(patience time.Duration) {
	o.mu.Lock()
	o.closed = true
	o.changed.Broadcast()
	o.mu.Unlock()
	select {
	case <-o.done:
	case <-time.After(patience):
	}
}
