package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"

	"sewable/lang/files"
	"sewable/lint/rules"
	"sewable/lsp"
)

type lspCmd struct {
	Stdio  bool   `help:"Use standard input and output (the default)."`
	Socket string `placeholder:"[HOST:]PORT" help:"Instead, listen on this loopback port, for one editor at a time. Port 0 picks a free port and prints it."`
	Trace  string `placeholder:"FILE" help:"Write every message to this file."`
	Log    string `enum:"error,warn,info,debug" default:"warn" help:"Lowest level logged: error, warn, info or debug."`
}

// errExit ends the server as the protocol asks when no shutdown came before the end.
type errExit int

func (e errExit) Error() string {
	return fmt.Sprintf("the editor left without a shutdown (exit code %d)", int(e))
}

// Run serves an editor.
func (c lspCmd) Run(ctx context.Context, s streams) error {
	o := lsp.Options{Rules: rules.All, Version: version, Alone: true}
	if err := o.Level.UnmarshalText([]byte(c.Log)); err != nil {
		return err
	}
	o.Log = slog.New(slog.NewTextHandler(s.err, &slog.HandlerOptions{Level: o.Level}))
	if c.Trace != "" {
		f, err := files.Log(c.Trace)
		if err != nil {
			return err
		}
		defer f.Close()
		o.Trace = f
	}
	if c.Socket != "" {
		return c.listen(ctx, s, o)
	}
	return serve(ctx, s.in, s.raw.out, o)
}

func serve(ctx context.Context, in io.Reader, out io.Writer, o lsp.Options) error {
	if code := lsp.Serve(ctx, in, out, o); code != 0 {
		return errExit(code)
	}
	return nil
}

// listen serves editors on the loopback, one after another.
func (c lspCmd) listen(ctx context.Context, s streams, o lsp.Options) error {
	host, port, err := net.SplitHostPort(c.Socket)
	if err != nil {
		host, port = "", c.Socket
	}
	if host == "" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fmt.Errorf("%s is not this computer: the server listens on the loopback address only", host)
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		return err
	}
	defer l.Close()
	stop := context.AfterFunc(ctx, func() { l.Close() })
	defer stop()
	fmt.Fprintln(s.err, "listening on", l.Addr())
	for {
		conn, err := l.Accept()
		if err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			return err
		}
		lsp.Serve(ctx, conn, conn, o)
		conn.Close()
	}
}
