package preview

import (
	"net"
	"sync"
)

// limited is a listener that has only so many connections open; the next has to
// wait until one is closed.
type limited struct {
	net.Listener
	slots  chan struct{}
	once   sync.Once
	closed chan struct{}
}

func limit(l net.Listener, most int) net.Listener {
	return &limited{Listener: l, slots: make(chan struct{}, most), closed: make(chan struct{})}
}

func (l *limited) Accept() (net.Conn, error) {
	select {
	case l.slots <- struct{}{}:
	case <-l.closed:
		return nil, net.ErrClosed
	}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.slots
		return nil, err
	}
	return &counted{Conn: c, release: sync.OnceFunc(func() { <-l.slots })}, nil
}

func (l *limited) Close() error {
	l.once.Do(func() { close(l.closed) })
	return l.Listener.Close()
}

type counted struct {
	net.Conn
	release func()
}

func (c *counted) Close() error {
	defer c.release()
	return c.Conn.Close()
}
