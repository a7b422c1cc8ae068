package preview

import (
	"net"
	"net/http"
	"slices"
	"sync"
)

// limited is a listener that has only so many connections open. Where one more comes, the one that has been without a
// request for longest is closed, so that nobody can keep others out by saying nothing. Only when all have a
// request does the next have to wait.
type limited struct {
	net.Listener
	most int

	mu     sync.Mutex
	wait   sync.Cond
	closed bool
	open   []*counted // the longest without a request first
}

func limit(l net.Listener, most int) *limited {
	x := &limited{Listener: l, most: most}
	x.wait.L = &x.mu
	return x
}

func (l *limited) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	l.mu.Lock()
	for !l.closed && len(l.open) >= l.most {
		i := slices.IndexFunc(l.open, func(c *counted) bool { return !c.busy })
		if i < 0 {
			l.wait.Wait()
			continue
		}
		l.open[i].Conn.Close() // the server hears of it, and closes it too
		l.open = slices.Delete(l.open, i, i+1)
	}
	defer l.mu.Unlock()
	if l.closed {
		c.Close()
		return nil, net.ErrClosed
	}
	x := &counted{Conn: c, of: l}
	l.open = append(l.open, x)
	return x, nil
}

// state is told by the server what its connections do. One has a request from when it was read until it is
// answered; half a request is none.
func (l *limited) state(c net.Conn, s http.ConnState) {
	x, ok := c.(*counted)
	if !ok || s != http.StateActive && s != http.StateIdle {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	x.busy = s == http.StateActive
	if i := slices.Index(l.open, x); i >= 0 && !x.busy { // it waits from now on
		l.open = append(slices.Delete(l.open, i, i+1), x)
		l.wait.Signal()
	}
}

func (l *limited) Close() error {
	l.mu.Lock()
	l.closed = true
	l.wait.Broadcast()
	l.mu.Unlock()
	return l.Listener.Close()
}

// counted is one connection.
type counted struct {
	net.Conn
	of   *limited
	busy bool
}

func (c *counted) Close() error {
	c.of.mu.Lock()
	if i := slices.Index(c.of.open, c); i >= 0 {
		c.of.open = slices.Delete(c.of.open, i, i+1)
		c.of.wait.Signal()
	}
	c.of.mu.Unlock()
	return c.Conn.Close()
}
