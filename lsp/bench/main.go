// Command bench measures a language server as an editor meets it: over its
// standard streams, on a document of 2,000 lines and a workspace of 2,000 files.
//
//	go run ./lsp/bench                          this project's server, built first
//	go run ./lsp/bench -as go gopls             another one, on an equal document
//	go run ./lsp/bench -against "go gopls" -against "proto buf lsp serve"
//
// The last form measures this project's server and others by turns, several times over,
// and gives medians and how often this one is faster.
//
// It prints a table of figures: p50 and p99 in milliseconds, sizes in MB. It is a
// bench, not a test: nothing here passes or fails but the versions of diagnostics, which
// must follow the edits.
package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// plan is what is measured.
type plan struct {
	rounds int // how often each thing is asked
	edits  int // for the measure of memory
	files  int // of the workspace
	turns  int // of a comparison
}

func main() {
	var p plan
	as := flag.String("as", "sewable", "the language of the document: sewable, go, proto, json or yaml")
	flag.IntVar(&p.rounds, "n", 300, "how often each thing is asked")
	flag.IntVar(&p.edits, "edits", 10_000, "edits for the measure of memory; 0 leaves it out")
	flag.IntVar(&p.files, "files", 2_000, "files of the workspace; 0 leaves it out")
	flag.IntVar(&p.turns, "turns", 3, "turns of a comparison")
	var peers []peer
	flag.Func("against", "a language and the command of a server to compare with; may be repeated", func(words string) error {
		fields := strings.Fields(words)
		if len(fields) < 2 || languages[fields[0]] == nil {
			return errors.New("wants a language of -as and a command")
		}
		peers = append(peers, peer{fields[0], fields[1:]})
		return nil
	})
	flag.Parse()
	if err := run(peer{*as, flag.Args()}, peers, p); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// peer is a server and the language of its document.
type peer struct {
	as      string
	command []string
}

func run(of peer, peers []peer, p plan) error {
	if languages[of.as] == nil {
		return fmt.Errorf("no document in %q", of.as)
	}
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if len(of.command) == 0 {
		if of.command, err = build(dir); err != nil {
			return err
		}
	}
	fmt.Printf("%d processors\n", runtime.NumCPU())
	if len(peers) > 0 {
		return compare(append([]peer{of}, peers...), dir, p)
	}
	fmt.Printf("%v on a document in %s\n\n", of.command, of.as)
	r, err := measure(of, filepath.Join(dir, "one"), p)
	r.print()
	return err
}

// measure measures all of one server, as far as it goes.
func measure(of peer, dir string, p plan) (*result, error) {
	r := newResult()
	lang := languages[of.as]
	if err := document(r, of.command, lang, filepath.Join(dir, "document"), p); err != nil {
		return r, err
	}
	if p.files > 0 && lang.workspace != nil {
		return r, workspace(r, of.command, lang, filepath.Join(dir, "workspace"), p.files)
	}
	return r, nil
}

// build builds this project's server.
func build(dir string) ([]string, error) {
	binary := filepath.Join(dir, "sewable")
	c := exec.Command("go", "build", "-o", binary, "sewable/cmd/sewable")
	c.Stderr = os.Stderr
	return []string{binary, "lsp"}, c.Run()
}

// times are durations of one thing.
type times []time.Duration

func (t times) at(share float64) float64 {
	s := slices.Sorted(slices.Values(t))
	return float64(s[min(len(s)-1, int(share*float64(len(s))))].Microseconds()) / 1000
}
