package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"text/tabwriter"
	"time"

	"go.lsp.dev/uri"
)

// editor is a client with one document open.
type editor struct {
	*client
	path, uri string
	lang      *language
	version   int
}

// document measures everything about one large document.
func document(table *tabwriter.Writer, command []string, lang *language, dir string, rounds, many int) error {
	text := lang.document()
	if err := lang.prepare(dir); err != nil {
		return err
	}
	path := filepath.Join(dir, lang.file)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		return err
	}
	var begin times
	var e *editor
	for range 5 {
		if e != nil {
			e.leave()
		}
		t := time.Now()
		c, err := start(command, dir)
		if err != nil {
			return err
		}
		e = &editor{client: c, path: path, uri: string(uri.File(path)), lang: lang, version: 1}
		if err := c.initialize(dir); err != nil {
			return err
		}
		e.notify("textDocument/didOpen", object{"textDocument": object{
			"uri": e.uri, "languageId": lang.id, "version": 1, "text": text,
		}})
		if err := e.until(func() bool { return e.found[e.uri].count > 0 }); err != nil {
			return fmt.Errorf("no diagnostics of the document: %w", err)
		}
		begin = append(begin, time.Since(t))
	}
	defer e.leave()
	begin.row(table, "start to first diagnostics")
	table.Flush()
	time.Sleep(2 * time.Second) // whatever is done in the background
	rest := e.memory()

	var edits times
	for range rounds {
		d, err := e.editAndWait()
		if err != nil {
			return err
		}
		edits = append(edits, d)
	}
	edits.row(table, "one-line edit to diagnostics")
	if err := e.burst(table, max(1, rounds/10)); err != nil {
		return err
	}
	for _, ask := range []struct {
		what, method string
		params       func() object
		wants        bool
	}{
		{"hover", "textDocument/hover", func() object { return e.at(lang.hover) }, true},
		{"completion", "textDocument/completion", func() object { return e.at(lang.complete) }, true},
		{"document symbols", "textDocument/documentSymbol", e.doc, true},
	} {
		var took times
		for range rounds {
			t := time.Now()
			answer, err := e.call(ask.method, ask.params())
			if err != nil {
				fmt.Fprintf(table, "%s\t%v\n", ask.what, err)
				break
			}
			took = append(took, time.Since(t))
			if len(took) == 1 && string(answer) == "null" {
				fmt.Fprintf(table, "%s\tnothing there\n", ask.what)
				break
			}
		}
		took.row(table, ask.what)
	}
	e.tokens(table, rounds)
	table.Flush()
	fmt.Fprintf(table, "memory at rest, MB\t%.0f\n", rest)
	if many > 0 {
		return e.manyEdits(table, many)
	}
	return nil
}

func (e *editor) doc() object { return object{"textDocument": object{"uri": e.uri}} }

func (e *editor) at(p place) object {
	return object{"textDocument": object{"uri": e.uri}, "position": object{"line": p.line, "character": p.column}}
}

// edit changes one line, there and back by turns.
func (e *editor) edit() {
	e.version++
	old, new := e.lang.old, e.lang.new
	if e.version%2 == 1 {
		old, new = new, old
	}
	p := e.lang.edit
	e.notify("textDocument/didChange", object{
		"textDocument": object{"uri": e.uri, "version": e.version},
		"contentChanges": []object{{"range": object{
			"start": object{"line": p.line, "character": p.column},
			"end":   object{"line": p.line, "character": p.column + len(old)},
		}, "text": new}},
	})
}

func (e *editor) editAndWait() (time.Duration, error) {
	e.mu.Lock()
	before := e.found[e.uri].count
	e.mu.Unlock()
	t := time.Now()
	e.edit()
	err := e.until(func() bool {
		f := e.found[e.uri]
		return f.count > before && (f.version == 0 || f.version >= e.version)
	})
	return time.Since(t), err
}

// burst edits 30 times without waiting and measures from the last edit.
func (e *editor) burst(table *tabwriter.Writer, rounds int) error {
	var took times
	for range rounds {
		for range 29 {
			e.edit()
		}
		d, err := e.editAndWait()
		if err != nil {
			return err
		}
		took = append(took, d)
		time.Sleep(50 * time.Millisecond) // what still comes of the burst
	}
	took.row(table, "the last of 30 edits to diagnostics")
	fmt.Fprintf(table, "diagnostics older than some before\t%d\n", e.stale)
	return nil
}

func (e *editor) tokens(table *tabwriter.Writer, rounds int) {
	var full, delta times
	id := ""
	for i := range rounds {
		e.edit()
		t := time.Now()
		var answer json.RawMessage
		var err error
		if id == "" || i == 0 {
			answer, err = e.call("textDocument/semanticTokens/full", e.doc())
			full = append(full, time.Since(t))
		} else {
			params := e.doc()
			params["previousResultId"] = id
			answer, err = e.call("textDocument/semanticTokens/full/delta", params)
			delta = append(delta, time.Since(t))
		}
		var said struct{ ResultID string }
		if err != nil || json.Unmarshal(answer, &said) != nil {
			break
		}
		id = said.ResultID
	}
	full.row(table, "semantic tokens, whole, after an edit")
	delta.row(table, "semantic tokens, difference, after an edit")
}

func (e *editor) manyEdits(table *tabwriter.Writer, many int) error {
	t := time.Now()
	for i := range many {
		if i%50 == 49 {
			if _, err := e.editAndWait(); err != nil {
				return err
			}
			continue
		}
		e.edit()
	}
	fmt.Fprintf(table, "%d edits, ms each\t%.2f\n", many, float64(time.Since(t).Microseconds())/1000/float64(many))
	time.Sleep(2 * time.Second)
	fmt.Fprintf(table, "memory after %d edits, MB\t%.0f\n", many, e.memory())
	return nil
}

// workspace measures a server on a folder of many files.
func workspace(table *tabwriter.Writer, command []string, lang *language, dir string, files int) error {
	if err := lang.workspace(dir, files); err != nil {
		return err
	}
	c, err := start(command, dir)
	if err != nil {
		return err
	}
	defer c.leave()
	t := time.Now()
	if err := c.initialize(dir); err != nil {
		return err
	}
	if err := c.until(func() bool { return c.progress > 0 && c.progress >= c.running }); err != nil {
		return fmt.Errorf("the workspace was not checked: %w", err)
	}
	fmt.Fprintf(table, "workspace of %d files, ms\t%.0f\n", files, float64(time.Since(t).Milliseconds()))
	time.Sleep(2 * time.Second)
	fmt.Fprintf(table, "memory with the workspace, MB\t%.0f\n", c.memory())
	return nil
}
