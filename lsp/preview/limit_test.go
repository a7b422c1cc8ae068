package preview

import (
	"net"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// So many connections and no more: where all have a request, the next waits until one is answered or closed.
func TestBusyConnectionsAreBounded(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	limited := limit(l, 2)
	defer limited.Close()
	dial := func() net.Conn {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		return c
	}
	accepted := make(chan net.Conn)
	go func() {
		for c, err := limited.Accept(); err == nil; c, err = limited.Accept() {
			accepted <- c
		}
	}()
	dial()
	first := <-accepted
	limited.state(first, http.StateActive)
	dial()
	second := <-accepted
	limited.state(second, http.StateActive)
	dial()
	select {
	case <-accepted:
		t.Fatal("a third beside two at work")
	case <-time.After(50 * time.Millisecond):
	}
	limited.state(first, http.StateIdle)
	third := <-accepted
	_, err = first.Read(make([]byte, 1))
	assert.ErrorIs(t, err, net.ErrClosed, "the one without a request made room")
	limited.state(third, http.StateActive)
	dial()
	second.Close()
	<-accepted
}
