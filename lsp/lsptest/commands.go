package lsptest

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/stretchr/testify/assert"

	"sewable/lang/source"
)

// commands are what a script can ask.
var commands map[string]func(s *scenario, args []string)

func init() {
	commands = map[string]func(s *scenario, args []string){
		"hover":      hover,
		"definition": locations("textDocument/definition"),
		"type":       locations("textDocument/typeDefinition"),
		"references": locations("textDocument/references"),
		"highlight":  highlight,
		"complete":   complete,
		"choose":     choose,
		"signature":  signature,
		"rename":     rename,
		"refuse":     refuse,
		"action":     action,
		"actions":    actions,
		"format":     format,
		"waits":      order("callHierarchy/outgoingCalls", "to"),
		"waited":     order("callHierarchy/incomingCalls", "from"),
		"symbols":    symbols,
		"search":     search,
		"hint":       hint,
		"lens":       lens,
		"fold":       fold,
		"select":     selections,
		"link":       link,
		"linked":     linked,
		"colour":     colour,
		"found":      found,
		"type-in":    typeIn,
	}
}

func hover(s *scenario, args []string) {
	var h *struct {
		Contents struct {
			Value string `json:"value"`
		} `json:"contents"`
	}
	s.c.Must("textDocument/hover", s.at(args[0]), &h)
	if args[1] == "none" {
		assert.Nil(s.t, h)
		return
	}
	if !assert.NotNil(s.t, h, "a hover") {
		return
	}
	for _, text := range args[1:] {
		assert.Contains(s.t, h.Contents.Value, text)
	}
}

func locations(method string) func(*scenario, []string) {
	return func(s *scenario, args []string) {
		params := s.at(args[0])
		if strings.HasSuffix(method, "references") {
			params["context"] = Object{"includeDeclaration": true}
		}
		var got []location
		s.c.Must(method, params, &got)
		assert.ElementsMatch(s.t, list(args[1:]), s.places(got))
	}
}

func highlight(s *scenario, args []string) {
	var got []location
	s.c.Must("textDocument/documentHighlight", s.at(args[0]), &got)
	for i := range got {
		got[i].URI = URI(s.path(s.mark(args[0]).file))
	}
	assert.ElementsMatch(s.t, list(args[1:]), s.places(got))
}

func linked(s *scenario, args []string) {
	var got *struct {
		Ranges []Range `json:"ranges"`
	}
	s.c.Must("textDocument/linkedEditingRange", s.at(args[0]), &got)
	places := []string{}
	if got != nil {
		for _, r := range got.Ranges {
			places = append(places, s.place(URI(s.path(s.mark(args[0]).file)), r.Start))
		}
	}
	assert.ElementsMatch(s.t, list(args[1:]), places)
}

type item struct {
	Label               string          `json:"label"`
	SortText            string          `json:"sortText"`
	Detail              string          `json:"detail"`
	TextEdit            textEdit        `json:"textEdit"`
	AdditionalTextEdits []textEdit      `json:"additionalTextEdits"`
	Documentation       json.RawMessage `json:"documentation"`
}

func (s *scenario) items(mark string) []item {
	var got struct {
		Items []item `json:"items"`
	}
	s.c.Must("textDocument/completion", s.at(mark), &got)
	slices.SortStableFunc(got.Items, func(a, b item) int { return strings.Compare(a.SortText, b.SortText) })
	return got.Items
}

func complete(s *scenario, args []string) {
	labels := []string{}
	for _, x := range s.items(args[0]) {
		labels = append(labels, x.Label)
	}
	switch args[1] {
	case "has":
		assert.Subset(s.t, labels, args[2:])
	case "lacks":
		for _, a := range args[2:] {
			assert.NotContains(s.t, labels, a)
		}
	case "first":
		if assert.NotEmpty(s.t, labels) {
			assert.Equal(s.t, args[2], labels[0])
		}
	case "none":
		assert.Empty(s.t, labels)
	default:
		s.t.Errorf("complete has, lacks, first or none, not %s", args[1])
	}
}

// choose types a completion, after it was resolved.
func choose(s *scenario, args []string) {
	file := s.mark(args[0]).file
	var raw struct {
		Items []json.RawMessage `json:"items"`
	}
	s.c.Must("textDocument/completion", s.at(args[0]), &raw)
	for _, r := range raw.Items {
		var x item
		unmarshal(r, &x)
		if x.Label != args[1] {
			continue
		}
		s.c.Must("completionItem/resolve", r, &x)
		for _, text := range args[2:] {
			assert.Contains(s.t, string(x.Documentation), text, "the documentation")
		}
		if _, ok := s.want[file]; ok {
			s.compare(file, s.apply(file, append(x.AdditionalTextEdits, x.TextEdit)))
		}
		return
	}
	s.t.Errorf("%s is not offered", args[1])
}

func signature(s *scenario, args []string) {
	var got *struct {
		Signatures []struct {
			Label      string `json:"label"`
			Parameters []struct {
				Label [2]int `json:"label"`
			} `json:"parameters"`
		} `json:"signatures"`
		ActiveParameter *int `json:"activeParameter"`
	}
	s.c.Must("textDocument/signatureHelp", s.at(args[0]), &got)
	if args[1] == "none" {
		assert.Nil(s.t, got)
		return
	}
	if !assert.NotNil(s.t, got, "a signature") {
		return
	}
	sig := got.Signatures[0]
	assert.Equal(s.t, args[1], sig.Label)
	if len(args) > 2 && assert.NotNil(s.t, got.ActiveParameter) {
		at := sig.Parameters[*got.ActiveParameter].Label
		assert.Equal(s.t, args[2], sig.Label[at[0]:at[1]])
	}
}

func rename(s *scenario, args []string) {
	var prepared struct {
		Placeholder string `json:"placeholder"`
	}
	s.c.Must("textDocument/prepareRename", s.at(args[0]), &prepared)
	assert.NotEmpty(s.t, prepared.Placeholder)
	params := s.at(args[0])
	params["newName"] = args[1]
	var e *workspaceEdit
	s.c.Must("textDocument/rename", params, &e)
	s.wanted(e)
}

func refuse(s *scenario, args []string) {
	params := s.at(args[0])
	params["newName"] = args[1]
	if err := s.c.Call("textDocument/rename", params, nil); assert.Error(s.t, err) {
		assert.Contains(s.t, err.Error(), args[2])
	}
}

type codeAction struct {
	Title string         `json:"title"`
	Kind  string         `json:"kind"`
	Edit  *workspaceEdit `json:"edit"`
}

func (s *scenario) offered(mark string, only ...string) []codeAction {
	m := s.mark(mark)
	params := Doc(s.path(m.file))
	params["range"] = Range{s.position(m), s.position(m)}
	context := Object{"diagnostics": []Object{}}
	if len(only) > 0 {
		context["only"] = only
	}
	params["context"] = context
	var got []codeAction
	s.c.Must("textDocument/codeAction", params, &got)
	return got
}

func action(s *scenario, args []string) {
	all := append(s.offered(args[0]), s.offered(args[0], "source")...)
	for _, a := range all {
		if a.Title == args[1] {
			s.wanted(a.Edit)
			return
		}
	}
	s.t.Errorf("%q is not offered, but %v", args[1], titles(all))
}

func actions(s *scenario, args []string) {
	offered := titles(s.offered(args[0]))
	switch args[1] {
	case "first":
		assert.Equal(s.t, args[2], offered[0])
		return
	case "last":
		assert.Equal(s.t, args[2], offered[len(offered)-1])
		return
	}
	assert.ElementsMatch(s.t, list(args[1:]), offered)
}

func titles(list []codeAction) []string {
	out := []string{}
	for _, a := range list {
		out = append(out, a.Title)
	}
	return out
}

func format(s *scenario, args []string) {
	params := Doc(s.path(args[0]))
	params["options"] = Object{"tabSize": 4, "insertSpaces": false}
	var edits []textEdit
	s.c.Must("textDocument/formatting", params, &edits)
	s.compare(args[0], s.apply(args[0], edits))
}

func order(method, end string) func(*scenario, []string) {
	return func(s *scenario, args []string) {
		var items []json.RawMessage
		s.c.Must("textDocument/prepareCallHierarchy", s.at(args[0]), &items)
		if !assert.Len(s.t, items, 1, "a patch") {
			return
		}
		var raw []map[string]json.RawMessage
		s.c.Must(method, Object{"item": items[0]}, &raw)
		names := []string{}
		for _, r := range raw {
			var x struct {
				Name string `json:"name"`
			}
			unmarshal(r[end], &x)
			names = append(names, x.Name)
		}
		assert.Equal(s.t, list(args[1:]), names)
	}
}

type symbol struct {
	Name     string   `json:"name"`
	Children []symbol `json:"children"`
}

func symbols(s *scenario, args []string) {
	var got []symbol
	s.c.Must("textDocument/documentSymbol", Doc(s.path(args[0])), &got)
	names := []string{}
	var add func(list []symbol, deep string)
	add = func(list []symbol, deep string) {
		for _, x := range list {
			names = append(names, deep+x.Name)
			add(x.Children, deep+">")
		}
	}
	add(got, "")
	assert.Equal(s.t, list(args[1:]), names)
}

func search(s *scenario, args []string) {
	var got []symbol
	s.c.Must("workspace/symbol", Object{"query": args[0]}, &got)
	names := []string{}
	for _, x := range got {
		names = append(names, x.Name)
	}
	want := list(args[1:])
	assert.Equal(s.t, want, names[:min(len(names), len(want))])
}

func hint(s *scenario, args []string) {
	params := Doc(s.path(args[0]))
	params["range"] = Range{End: Position{1 << 20, 0}}
	var got []struct {
		Label string `json:"label"`
	}
	s.c.Must("textDocument/inlayHint", params, &got)
	labels := []string{}
	for _, x := range got {
		labels = append(labels, x.Label)
	}
	assert.Equal(s.t, args[1:], labels)
}

func lens(s *scenario, args []string) {
	var got []struct {
		Command struct {
			Title string `json:"title"`
		} `json:"command"`
	}
	s.c.Must("textDocument/codeLens", Doc(s.path(args[0])), &got)
	labels := []string{}
	for _, x := range got {
		labels = append(labels, x.Command.Title)
	}
	assert.Equal(s.t, args[1:], labels)
}

func fold(s *scenario, args []string) {
	var got []struct{ StartLine, EndLine int }
	s.c.Must("textDocument/foldingRange", Doc(s.path(args[0])), &got)
	folds := []string{}
	for _, x := range got {
		folds = append(folds, fmt.Sprintf("%d-%d", x.StartLine+1, x.EndLine+1))
	}
	assert.ElementsMatch(s.t, list(args[1:]), folds)
}

type selection struct {
	Range  Range      `json:"range"`
	Parent *selection `json:"parent"`
}

func selections(s *scenario, args []string) {
	m := s.mark(args[0])
	params := Doc(s.path(m.file))
	params["positions"] = []Position{s.position(m)}
	var got []*selection
	s.c.Must("textDocument/selectionRange", params, &got)
	texts := []string{}
	for x := got[0]; x != nil; x = x.Parent {
		a, b := s.offset(m.file, x.Range.Start), s.offset(m.file, x.Range.End)
		texts = append(texts, s.texts[m.file].Text[a:b])
	}
	want := list(args[1:])
	assert.Equal(s.t, want, texts[:min(len(texts), len(want))])
}

func link(s *scenario, args []string) {
	var got []struct {
		Target string `json:"target"`
	}
	s.c.Must("textDocument/documentLink", Doc(s.path(args[0])), &got)
	files := []string{}
	for _, x := range got {
		files = append(files, s.name(x.Target))
	}
	assert.Equal(s.t, list(args[1:]), files)
}

func colour(s *scenario, args []string) {
	var got []struct {
		Color struct{ Red, Green, Blue float64 } `json:"color"`
		Range Range                              `json:"range"`
	}
	s.c.Must("textDocument/documentColor", Doc(s.path(args[0])), &got)
	colours := []string{}
	for _, x := range got {
		whole := func(f float64) int { return int(math.Round(255 * f)) }
		hex := fmt.Sprintf("#%02x%02x%02x", whole(x.Color.Red), whole(x.Color.Green), whole(x.Color.Blue))
		colours = append(colours, hex)
		params := Doc(s.path(args[0]))
		params["color"] = Object{"red": x.Color.Red, "green": x.Color.Green, "blue": x.Color.Blue, "alpha": 1}
		params["range"] = x.Range
		var shown []struct {
			Label string `json:"label"`
		}
		s.c.Must("textDocument/colorPresentation", params, &shown)
		if assert.Len(s.t, shown, 1) {
			assert.Equal(s.t, hex, shown[0].Label)
		}
	}
	assert.Equal(s.t, list(args[1:]), colours)
}

func found(s *scenario, args []string) {
	d := s.c.Found(s.path(args[0]), s.version[args[0]])
	got := []string{}
	for _, raw := range d.Diagnostics {
		var x struct {
			Code  string `json:"code"`
			Range Range  `json:"range"`
		}
		unmarshal(raw, &x)
		got = append(got, fmt.Sprintf("%s@%d", x.Code, x.Range.Start.Line+1))
	}
	assert.Equal(s.t, list(args[1:]), got)
}

// typeIn edits a document; marks behind the place move along.
func typeIn(s *scenario, args []string) {
	m := s.mark(args[0])
	p := s.position(m)
	s.version[m.file]++
	s.c.Change(s.path(m.file), s.version[m.file], Object{"range": Range{p, p}, "text": args[1]})
	old := s.texts[m.file]
	s.texts[m.file] = source.New(old.Path, old.Text[:m.offset]+args[1]+old.Text[m.offset:])
	for name, x := range s.marks {
		if x.file == m.file && x.offset >= m.offset {
			s.marks[name] = marked{x.file, x.offset + len(args[1])}
		}
	}
}
