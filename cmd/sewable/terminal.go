package main

import (
	"fmt"
	"io"
	"os"
	"sync/atomic"
	"time"

	"github.com/muesli/termenv"
	"golang.org/x/term"

	"sewable/lint"
	"sewable/lint/output"
)

// terminal is the file behind a stream that is a terminal.
func terminal(stream any) (*os.File, bool) {
	f, ok := stream.(*os.File)
	return f, ok && term.IsTerminal(int(f.Fd()))
}

// styleOf is how text is written to a stream: in colour on a terminal, unless
// NO_COLOR is set (https://no-color.org: to anything but nothing).
func styleOf(w io.Writer) output.Style {
	f, ok := terminal(w)
	if !ok {
		return output.Style{Profile: termenv.Ascii}
	}
	style := output.Style{Profile: termenv.NewOutput(f).EnvColorProfile()}
	if os.Getenv("NO_COLOR") != "" {
		style.Profile = termenv.Ascii
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		style.Width = width
	}
	return style
}

// maxErrors is how many errors are shown to say why something is not done, and maxNames how many blocks
// are named for it.
const (
	maxErrors = 20
	maxNames  = 5
)

// why writes the errors for which something is not done.
func (s streams) why(r *lint.Result) error {
	style := styleOf(s.raw.err)
	style.Most, style.Rest = maxErrors, "`sewable lint` lists them all"
	return output.Text(s.raw.err, r, style)
}

// A progress shows on a terminal how far a run is, once it has lasted a
// second. The line is gone when the run is done.
type progress struct {
	says    func(reached int64) string
	reached atomic.Int64
	quit    chan struct{}
	gone    chan struct{}
}

func startProgress(w io.Writer, says func(reached int64) string) *progress {
	p := &progress{says: says}
	if _, ok := terminal(w); !ok {
		return p
	}
	p.quit, p.gone = make(chan struct{}), make(chan struct{})
	go p.show(w)
	return p
}

func (p *progress) show(w io.Writer) {
	defer close(p.gone)
	const clear = "\r\x1b[K"
	wait := time.NewTimer(time.Second)
	defer wait.Stop()
	for shown := false; ; shown = true {
		select {
		case <-p.quit:
			if shown {
				fmt.Fprint(w, clear)
			}
			return
		case <-wait.C:
			fmt.Fprint(w, clear, p.says(p.reached.Load()))
			wait.Reset(200 * time.Millisecond)
		}
	}
}

// reach notes how far the run is.
func (p *progress) reach(done int) {
	for {
		was := p.reached.Load()
		if int64(done) <= was || p.reached.CompareAndSwap(was, int64(done)) {
			return
		}
	}
}

// stop takes the line away.
func (p *progress) stop() {
	if p.quit != nil {
		close(p.quit)
		<-p.gone
	}
}
