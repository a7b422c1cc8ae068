package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"sewable": main})
}

// The scripts under testdata/script read as examples of the command. In
// addition to the usual ones they have the command `exits CODE program …`.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) < 2 {
					ts.Fatalf("usage: exits code program [args...]")
				}
				want, err := strconv.Atoi(args[0])
				ts.Check(err)
				got := 0
				if err := ts.Exec(args[1], args[2:]...); err != nil {
					exit := new(exec.ExitError)
					if !errors.As(err, &exit) {
						ts.Fatalf("%v", err)
					}
					got = exit.ExitCode()
				}
				if got != want {
					ts.Fatalf("exit code %d, not %d", got, want)
				}
			},
		},
	})
}

// waiting is a standard input at which nobody types.
type waiting struct{}

func (waiting) Read([]byte) (int, error) { select {} }

func TestCtrlCStops(t *testing.T) {
	for _, args := range [][]string{{"lint", "-"}, {"fmt", "-"}, {"debug", "tokens", "-"}, {"lint", "testdata"}, {"lint", "--fix", "."}} {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			ctx, stop := context.WithCancel(t.Context())
			stop()
			var out, err bytes.Buffer
			assert.Equal(t, exitStopped, run(ctx, args, waiting{}, &out, &err))
			assert.Empty(t, err.String())
		})
	}
}

func TestProgressShowsAfterASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := &progress{says: func(n int64) string { return fmt.Sprintf("%d of 9 files", n) }, quit: make(chan struct{}), gone: make(chan struct{})}
		go p.show(&out)
		time.Sleep(990 * time.Millisecond)
		synctest.Wait()
		assert.Empty(t, out.String())
		p.reach(5)
		p.reach(4) // came late
		time.Sleep(20 * time.Millisecond)
		synctest.Wait()
		assert.Contains(t, out.String(), "5 of 9 files")
		p.stop()
		assert.True(t, strings.HasSuffix(out.String(), "\r\x1b[K"), "the line is taken away")
	})
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := &progress{says: func(n int64) string { return fmt.Sprintf("%d of 9 files", n) }, quit: make(chan struct{}), gone: make(chan struct{})}
		go p.show(&out)
		time.Sleep(500 * time.Millisecond)
		p.stop()
		assert.Empty(t, out.String(), "a short run shows nothing")
	})
}

func TestNoProgressWhereNobodyLooks(t *testing.T) {
	p := startProgress(io.Discard, func(n int64) string { return fmt.Sprintf("%d of 3 files", n) })
	p.reach(1)
	p.stop()
}
