// Command sewable checks, formats and explains block files.
//
// Exit codes: 0 clean; 1 findings at error level, or files that are not
// formatted; 2 the run itself failed, said in one line on standard error; 130
// stopped by Ctrl-C.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/alecthomas/kong"

	"sewable/lang/files"
	"sewable/lang/visible"
	"sewable/lint/output"
)

// The exit codes.
const (
	exitClean   = 0
	exitFound   = 1
	exitFailed  = 2
	exitStopped = 130 // 128 and the number of the interrupt signal, as shells count
)

// errFound ends a command that did its work and found something. What it
// found has been said.
var errFound = errors.New("found something")

type commands struct {
	Lint       lintCmd       `cmd:"" help:"Check whether the blocks can be sewn."`
	Baseline   baselineCmd   `cmd:"" help:"Record current findings, to ignore them in later runs."`
	Fmt        fmtCmd        `cmd:"" help:"Format block files."`
	Config     configCmd     `cmd:"" help:"Show the settings in force for a file, and where each is set."`
	Rules      rulesCmd      `cmd:"" help:"Explain the rules."`
	Order      orderCmd      `cmd:"" help:"Show an order in which patches and joins can be sewn."`
	Plan       planCmd       `cmd:"" help:"Divide a drawing into sections that can be sewn."`
	Import     importCmd     `cmd:"" help:"Make a block from an SVG drawing."`
	Cuts       cutsCmd       `cmd:"" help:"List the pieces of fabric to cut, and what to buy."`
	Draw       drawCmd       `cmd:"" help:"Draw blocks and settings."`
	Print      printCmd      `cmd:"" help:"Print foundations to sew on, or a sewing guide."`
	Preview    previewCmd    `cmd:"" help:"Show a file in the browser, updated as it is saved."`
	Review     reviewCmd     `cmd:"" help:"Show what a change does to the sewn blocks: what to recut and reprint."`
	MergeCheck mergeCheckCmd `cmd:"" help:"Check the result of merging two branches."`
	Show       showCmd       `cmd:"" help:"Print a file in a normal form, for git diff."`
	Lsp        lspCmd        `cmd:"" help:"Serve an editor (Language Server Protocol)."`
	Debug      debugCmd      `cmd:"" help:"Show how a file is read, for developers."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
}

// streams are what a command reads from and writes to.
type streams struct {
	in       io.Reader
	out, err io.Writer // text, in which what would act on a terminal or the log of a CI system is shown
	raw      raw
}

// raw are the streams themselves, for pictures, colors, the text of files to a pipe and forms with
// rules of their own.
type raw struct{ out, err io.Writer }

// text is where the text of a file goes: byte for byte to a pipe, and shown on a terminal.
func (s streams) text() io.Writer {
	if _, ok := terminal(s.raw.out); ok {
		return s.out
	}
	return s.raw.out
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	shownOut, shownErr := visible.NewLines(out, output.PlainLine), visible.NewLines(errOut, output.PlainLine)
	code := runWith(ctx, args, streams{in, shownOut, shownErr, raw{out, errOut}})
	if err := errors.Join(shownOut.Flush(), shownErr.Flush()); err != nil {
		return exitFailed
	}
	return code
}

func runWith(ctx context.Context, args []string, s streams) int {
	var c commands
	parser := kong.Must(&c,
		kong.Name("sewable"),
		kong.Description("Checks whether a foundation-pieced block can be sewn, before anything is printed or cut."),
		kong.Writers(s.out, s.err),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.Bind(s),
		kong.Vars{"forms": strings.Join(output.FormNames(), ",")},
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
	command, err := parser.Parse(newNames(args, s))
	if err != nil {
		return fail(s, slip(err))
	}
	var left errExit
	switch err := command.Run(); {
	case err == nil:
		return exitClean
	case errors.As(err, &left):
		return int(left)
	case errors.Is(err, errFound):
		return exitFound
	case errors.Is(err, context.Canceled):
		return exitStopped
	default:
		return fail(s, err)
	}
}

// readStdin reads standard input, one byte past the language's limit at most,
// and gives up waiting when the context ends.
func readStdin(ctx context.Context, s streams) (string, error) {
	type answer struct {
		text string
		err  error
	}
	done := make(chan answer, 1)
	go func() {
		text, err := files.ReadAll(s.in, files.Block)
		done <- answer{text, err}
	}()
	select {
	case a := <-done:
		return a.text, a.err
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// fail says in one line why the run failed.
func fail(s streams, err error) int {
	fmt.Fprintf(s.err, "sewable: %s\n", output.Plain(strings.ReplaceAll(err.Error(), "\n", "; ")))
	return exitFailed
}
