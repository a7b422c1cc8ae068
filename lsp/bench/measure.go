package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"go.lsp.dev/uri"
)

// editor is a client with one document open.
type editor struct {
	*client
	path, uri string
	lang      *language
	version   int
	text      string

	edited, moved bool // what edit and move did last
	looked        int  // how many places next gave
}

// open starts a server and opens a document in it. Where it is asked for its diagnostics, the
// client says that it asks; else they are waited for.
func open(command []string, lang *language, dir string, asks bool) (*editor, error) {
	path := filepath.Join(dir, lang.file)
	c, err := start(command, dir)
	if err != nil {
		return nil, err
	}
	e := &editor{client: c, path: path, uri: string(uri.File(path)), lang: lang, version: 1, text: lang.document()}
	if err := c.initialize(dir, lang.options, asks); err != nil {
		return nil, err
	}
	e.notify("textDocument/didOpen", object{"textDocument": object{
		"uri": e.uri, "languageId": lang.id, "version": 1, "text": e.text,
	}})
	if asks {
		return e, nil
	}
	if err := e.until(func() bool { return e.found[e.uri].count > 0 }); err != nil {
		return nil, fmt.Errorf("no diagnostics of the document: %w", err)
	}
	return e, nil
}

// requests are what is asked about a document that rests.
var requests = []struct {
	what, method string
	params       func(*editor) object
}{
	{"hover", "textDocument/hover", func(e *editor) object { return e.at(e.next()) }},
	{"completion", "textDocument/completion", func(e *editor) object { return e.at(e.lang.complete) }},
	{"definition", "textDocument/definition", func(e *editor) object { return e.at(e.lang.name) }},
	{"references, a few", "textDocument/references", func(e *editor) object { return e.uses(e.lang.name) }},
	{"references, some 200", "textDocument/references", func(e *editor) object { return e.uses(e.lang.much) }},
	{"highlight, a few", "textDocument/documentHighlight", func(e *editor) object { return e.at(e.lang.name) }},
	{"highlight, some 200", "textDocument/documentHighlight", func(e *editor) object { return e.at(e.lang.much) }},
	{"document symbols", "textDocument/documentSymbol", (*editor).doc},
	{"folding", "textDocument/foldingRange", (*editor).doc},
	{"formatting", "textDocument/formatting", func(e *editor) object {
		p := e.doc()
		p["options"] = object{"tabSize": 2, "insertSpaces": true}
		return p
	}},
	{"code actions", "textDocument/codeAction", func(e *editor) object {
		p := e.doc()
		at := e.at(e.next())["position"]
		p["range"], p["context"] = object{"start": at, "end": at}, object{"diagnostics": []any{}}
		return p
	}},
}

// document measures everything about one large document.
func document(r *result, command []string, lang *language, dir string, p plan) error {
	if err := lang.prepare(dir); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, lang.file), []byte(lang.document()), 0o644); err != nil {
		return err
	}
	var begin times
	var e *editor
	for range 5 {
		if e != nil {
			e.leave()
		}
		t := time.Now()
		var err error
		if e, err = open(command, lang, dir, false); err != nil {
			return err
		}
		begin = append(begin, time.Since(t))
	}
	defer e.leave()
	r.took("start to first diagnostics", begin)
	time.Sleep(quiet)
	r.number("memory at rest, MB", e.memory())

	if err := e.edits(r, p.rounds); err != nil {
		return err
	}
	for _, ask := range requests {
		e.ask(r, ask.what, ask.method, p.rounds, ask.params, nil)
	}
	e.ask(r, "document symbols after an edit", "textDocument/documentSymbol", p.rounds, (*editor).doc, (*editor).edit)
	e.tokens(r, p.rounds)
	if err := pulled(r, command, lang, dir, p.rounds); err != nil {
		return err
	}
	if p.edits > 0 {
		return e.manyEdits(r, p.edits)
	}
	return nil
}

// quiet is how long a server is left alone before its memory is looked at.
const quiet = 5 * time.Second

func (e *editor) doc() object { return object{"textDocument": object{"uri": e.uri}} }

func (e *editor) at(p place) object {
	return object{"textDocument": object{"uri": e.uri}, "position": object{"line": p.line, "character": p.column}}
}

// next is another place to look at than the last time.
func (e *editor) next() place {
	e.looked++
	return e.lang.hovers[e.looked%len(e.lang.hovers)]
}

func (e *editor) uses(p place) object {
	params := e.at(p)
	params["context"] = object{"includeDeclaration": true}
	return params
}

// change sends one change of the text, in the way that the server wants it.
func (e *editor) change(from, to place, text string) {
	e.version++
	change := object{"range": object{
		"start": object{"line": from.line, "character": from.column},
		"end":   object{"line": to.line, "character": to.column},
	}, "text": text}
	if e.whole {
		e.text = e.text[:offset(e.text, from)] + text + e.text[offset(e.text, to):]
		change = object{"text": e.text}
	}
	e.notify("textDocument/didChange", object{
		"textDocument": object{"uri": e.uri, "version": e.version}, "contentChanges": []object{change},
	})
}

// offset is the offset of a place; the documents are ASCII.
func offset(text string, p place) int {
	at := 0
	for range p.line {
		at += strings.IndexByte(text[at:], '\n') + 1
	}
	return at + p.column
}

// edit changes one line, there and back by turns.
func (e *editor) edit() {
	old, new := e.lang.old, e.lang.new
	if e.edited = !e.edited; !e.edited {
		old, new = new, old
	}
	p := e.lang.edit
	e.change(p, place{p.line, p.column + len(old)}, new)
}

// move puts an empty line at the beginning, or takes it away: everything moves.
func (e *editor) move() {
	if e.moved = !e.moved; e.moved {
		e.change(place{}, place{}, "\n")
	} else {
		e.change(place{}, place{1, 0}, "")
	}
}

// andWait waits for the diagnostics of what an edit makes of the text.
func (e *editor) andWait(edit func()) (time.Duration, error) {
	e.mu.Lock()
	before := e.found[e.uri].count
	e.mu.Unlock()
	t := time.Now()
	edit()
	err := e.until(func() bool {
		f := e.found[e.uri]
		return f.count > before && (f.version == 0 || f.version >= e.version)
	})
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.found[e.uri].at.Sub(t), err
}

// edits measures edits to their diagnostics: of one line, of what moves all lines, and of the
// last of 30 without waiting.
func (e *editor) edits(r *result, rounds int) error {
	for _, kind := range []struct {
		what   string
		edit   func()
		rounds int
		before int // edits that nobody waits for
	}{
		{"one-line edit to diagnostics", e.edit, rounds, 0},
		{"all lines move, to diagnostics", e.move, rounds, 0},
		{"the last of 30 edits to diagnostics", e.edit, max(2, rounds/10), 29},
	} {
		var took times
		began := time.Now()
		for range kind.rounds &^ 1 {
			for range kind.before {
				kind.edit()
			}
			d, err := e.andWait(kind.edit)
			if err != nil {
				return err
			}
			took = append(took, d)
			if kind.before > 0 {
				time.Sleep(50 * time.Millisecond) // what still comes of the burst
			}
			if time.Since(began) > patience && len(took)%2 == 0 {
				break // it is slow, and that is known by now
			}
		}
		r.took(kind.what, took)
	}
	r.number("diagnostics older than some before", float64(e.stale))
	return nil
}

// ask measures one request; before, when there is something, is done before each and not
// counted.
func (e *editor) ask(r *result, what, method string, rounds int, params func(*editor) object, before func(*editor)) {
	var took times
	for range rounds &^ 1 {
		if before != nil {
			before(e)
		}
		answer, d, err := e.call(method, params(e))
		if err != nil {
			r.nothing(what, err)
			return
		}
		took = append(took, d)
		if len(took) == 1 && string(answer) == "null" {
			r.nothing(what, "nothing there")
			return
		}
	}
	r.took(what, took)
}

// tokens measures the tokens after an edit, whole and as the difference to those before.
func (e *editor) tokens(r *result, rounds int) {
	const whole, difference = "semantic tokens, whole, after an edit", "semantic tokens, difference, after an edit"
	e.ask(r, whole, "textDocument/semanticTokens/full", rounds, (*editor).doc, (*editor).edit)
	if r.rows[whole].why != "" {
		r.nothing(difference, "no tokens")
		return
	}
	var said struct{ ResultID string }
	answer, _, err := e.call("textDocument/semanticTokens/full", e.doc())
	if err != nil || json.Unmarshal(answer, &said) != nil || said.ResultID == "" {
		r.nothing(difference, "always whole")
		return
	}
	var took times
	for range rounds &^ 1 {
		e.edit()
		params := e.doc()
		params["previousResultId"] = said.ResultID
		answer, d, err := e.call("textDocument/semanticTokens/full/delta", params)
		if err != nil || json.Unmarshal(answer, &said) != nil {
			r.nothing(difference, err)
			return
		}
		took = append(took, d)
	}
	r.took(difference, took)
}

// pulled measures an edit to its diagnostics where the client asks for them.
func pulled(r *result, command []string, lang *language, dir string, rounds int) error {
	e, err := open(command, lang, dir, true)
	if err != nil {
		return err
	}
	defer e.leave()
	e.ask(r, "one-line edit, diagnostics asked for", "textDocument/diagnostic", rounds, (*editor).doc, (*editor).edit)
	return nil
}

// manyEdits edits on and on and looks at the memory four times, whenever the server has come
// to rest: if nothing piles up, the figures do not rise.
func (e *editor) manyEdits(r *result, many int) error {
	for quarter := 1; quarter <= 4; quarter++ {
		t := time.Now()
		for i := range many / 4 {
			if i%50 != 49 {
				e.edit()
			} else if _, err := e.andWait(e.edit); err != nil {
				return err
			}
		}
		done := many / 4 * quarter
		if quarter == 4 {
			r.number("an edit among many, ms", float64(time.Since(t).Microseconds())/1000/float64(many/4))
		}
		r.number(fmt.Sprintf("memory after %d edits, MB", done), e.memory())
		time.Sleep(quiet)
		r.number(fmt.Sprintf("memory at rest after %d edits, MB", done), e.memory())
	}
	return nil
}

// workspace measures a server on a folder of many files.
func workspace(r *result, command []string, lang *language, dir string, files int) error {
	if err := lang.workspace(dir, files); err != nil {
		return err
	}
	c, err := start(command, dir)
	if err != nil {
		return err
	}
	defer c.leave()
	t := time.Now()
	if err := c.initialize(dir, lang.options, false); err != nil {
		return err
	}
	if err := c.until(func() bool { return c.progress > 0 && c.progress >= c.running }); err != nil {
		return fmt.Errorf("the workspace was not checked: %w", err)
	}
	r.number(fmt.Sprintf("workspace of %d files, ms", files), float64(time.Since(t).Milliseconds()))
	time.Sleep(quiet)
	r.number("memory with the workspace, MB", c.memory())
	return nil
}
