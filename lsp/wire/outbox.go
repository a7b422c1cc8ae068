package wire

import (
	"io"
	"sync"
	"time"
)

// maxWaiting is how many bytes may wait for a client that does not read. Past
// it whoever works something out waits with it; what the client says is still heard.
const maxWaiting = 8 << 20

// outbox writes frames in the order they were put in, one goroutine at a time. Whoever may be
// held up by a slow client writes for himself, which is soonest; for all others a
// goroutine of its own does.
type outbox struct {
	out io.Writer

	mu      sync.Mutex
	changed sync.Cond
	waiting []byte
	spare   []byte // room for what waits next
	writing bool
	closed  bool
	done    chan struct{}
}

func newOutbox(w io.Writer) *outbox {
	o := &outbox{out: w, done: make(chan struct{})}
	o.changed.L = &o.mu
	go o.run()
	return o
}

// room waits while too much is waiting already.
func (o *outbox) room() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.waitForRoom()
}

func (o *outbox) waitForRoom() {
	for len(o.waiting) > maxWaiting && !o.closed {
		o.changed.Wait()
	}
}

// put adds a frame, which is written soon. It waits for nothing.
func (o *outbox) put(body []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.add(body)
	o.changed.Broadcast()
}

// send adds a frame, once there is room, and writes what waits, unless somebody is at it.
func (o *outbox) send(body []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.waitForRoom()
	o.add(body)
	if !o.writing {
		o.write()
	}
}

func (o *outbox) add(body []byte) {
	if !o.closed {
		o.waiting = AppendFrame(o.waiting, body)
	}
}

// write writes until nothing waits.
func (o *outbox) write() {
	o.writing = true
	for len(o.waiting) > 0 {
		batch := o.waiting
		o.waiting = o.spare[:0]
		o.changed.Broadcast() // there is room again
		o.mu.Unlock()
		_, err := o.out.Write(batch)
		o.mu.Lock()
		if o.spare = batch; cap(batch) > 1<<20 {
			o.spare = nil // a large answer is rare
		}
		if err != nil {
			o.closed, o.waiting = true, nil
		}
	}
	o.writing = false
	o.changed.Broadcast()
}

func (o *outbox) run() {
	defer close(o.done)
	o.mu.Lock()
	defer o.mu.Unlock()
	for {
		for o.writing || len(o.waiting) == 0 && !o.closed {
			o.changed.Wait()
		}
		if len(o.waiting) == 0 {
			return
		}
		o.write()
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
