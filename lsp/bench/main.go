// Command bench measures a language server as an editor meets it: over its
// standard streams, on a document of 2,000 lines and a workspace of 2,000 files.
//
//	go run ./lsp/bench                          this project's server, built first
//	go run ./lsp/bench -as go gopls             another one, on an equal document
//	go run ./lsp/bench -as proto buf lsp serve
//
// It prints a table of figures: p50 and p99 in milliseconds, sizes in MB. It is a
// bench, not a test: nothing here passes or fails but the versions of diagnostics, which
// must follow the edits.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"text/tabwriter"
	"time"
)

func main() {
	as := flag.String("as", "sewable", "the language of the document: sewable, go, proto, json or yaml")
	rounds := flag.Int("n", 300, "how often each thing is asked")
	many := flag.Int("edits", 10_000, "edits for the measure of memory; 0 leaves it out")
	files := flag.Int("files", 2_000, "files of the workspace; 0 leaves it out")
	flag.Parse()
	if err := run(*as, flag.Args(), *rounds, *many, *files); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(as string, command []string, rounds, many, files int) error {
	lang, ok := languages[as]
	if !ok {
		return fmt.Errorf("no document in %q", as)
	}
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if len(command) == 0 {
		if command, err = build(dir); err != nil {
			return err
		}
	}
	fmt.Printf("%v on a document in %s, %d processors\n\n", command, as, runtime.NumCPU())
	table := tabwriter.NewWriter(os.Stdout, 2, 0, 3, ' ', 0)
	fmt.Fprintln(table, "what\tp50\tp99\tn")
	defer table.Flush()
	if err := document(table, command, lang, filepath.Join(dir, "document"), rounds, many); err != nil {
		return err
	}
	if files > 0 && lang.workspace != nil {
		return workspace(table, command, lang, filepath.Join(dir, "workspace"), files)
	}
	return nil
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

func (t times) row(table *tabwriter.Writer, what string) {
	if len(t) > 0 {
		fmt.Fprintf(table, "%s\t%.2f\t%.2f\t%d\n", what, t.at(0.5), t.at(0.99), len(t))
	}
}
