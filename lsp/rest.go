package lsp

import (
	"math"
	"os"
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"
	"time"
)

// rest looks after the memory of a process that is the server's alone. While the editor
// types, garbage may pile up to a measure, so that few edits meet a collection; when
// nothing has come for a while, it is collected and given back.
type rest struct {
	timer *time.Timer
	busy  atomic.Bool // something came since
}

const (
	// restAfter is how long nothing comes before the server rests.
	restAfter = 2 * time.Second
	// roomy is how many bytes of garbage may pile up, however little is in use, and
	// mostShare how much of what is in use that may be, in percent.
	roomy     = 20 << 20
	mostShare = 300
)

// newRest returns a rest that has begun.
func newRest() *rest {
	r := &rest{}
	makeRoom()
	r.timer = time.AfterFunc(math.MaxInt64, r.collect)
	r.timer.Reset(restAfter)
	return r
}

// wake says that something has come.
func (r *rest) wake() {
	if r != nil && !r.busy.Swap(true) {
		r.timer.Reset(restAfter)
	}
}

func (r *rest) collect() {
	if r.busy.Swap(false) {
		makeRoom() // what is in use may be more by now
		r.timer.Reset(restAfter)
		return
	}
	debug.FreeOSMemory()
	makeRoom()
}

func (r *rest) end() {
	if r != nil {
		r.timer.Stop()
	}
}

// makeRoom sets how much garbage may pile up, as a share of what is in use. Whoever runs the
// server may say it instead.
func makeRoom() {
	if os.Getenv("GOGC") != "" {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	inUse := max(1, live[0].Value.Uint64())
	debug.SetGCPercent(int(max(100, min(100*roomy/inUse, mostShare))))
}
