package lsp_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/source"
	"sewable/lang/visible"
	"sewable/lsp/lsptest"
)

// hostile is a file of somebody who means harm. Its words ring, color, turn around and hide.
var hostile = strings.NewReplacer("HOSTILE", "\a\x1b[31m\x7f\u0085\u009b\u061c\u202egnp\u2066\u2028\ufeff\U000e0041").Replace(`use "HOSTILE"
allowance 1/4
note "HOSTILE"
fabric sky "HOSTILE sky" #c3dcea width 42
fabric sea "HOSTILE sea"
colorway dusk "HOSTILE dusk" {
  sky = sea
}
HOSTILE
block "HOSTILE" 6 by 6 {
  // accept gap: HOSTILE
  // accept HOSTILE
  note "HOSTILE"
  point p (1, 1)
  section A "HOSTILE" {
    patch 1 sky (0, 0) (6, 0) (6, 3) (0, 3) note "HOSTILE"
    patch 2 sea (0, 3) (6, 3) (6, 4) (0, 4) cut 7 by 2
  }
  section B "HOSTILE" {
    patch 1 sky (0, 4) (6, 4) (6, 6) (0, 6)
  }
  section C = B moved (0, 9)
  join A to B
}
block "HOSTILE" 6 by 6 {
}
block "HOSTILE drawn" 6 by 6 {
  patch sky (0, 0) (6, 0) (6, 3) (0, 3) note "HOSTILE"
  patch sea (0, 3) (6, 3) (6, 6) (0, 6)
}
setting "HOSTILE" {
  rows 1
  columns 3
  fill "HOSTILE", "HOSTILE" dusk, "HOSTILE draw"
  binding cut 2 1/4 sky
}
setting "HOSTILE 2" {
  fill ""
}
`)

// applied are the parts of an answer that go into the text, or come back to the server: they hold what is there.
var applied = map[string]bool{"newText": true, "insertText": true, "data": true, "edits": true, "changes": true, "documentChanges": true, "edit": true, "arguments": true}

// strings in an answer that act, by the way to them.
func acting(v any, path string, out map[string]string) {
	switch v := v.(type) {
	case string:
		for line := range strings.Lines(v) {
			if line = strings.TrimSuffix(line, "\n"); visible.KeepTabs(line) != line {
				out[path] = v
			}
		}
	case []any:
		for _, x := range v {
			acting(x, path+"[]", out)
		}
	case map[string]any:
		for key, x := range v {
			if !applied[key] {
				acting(x, path+"."+key, out)
			}
		}
	}
}

// Whatever a file holds, nothing that an editor is given to show acts on its reader; what goes into the text
// stays as it is.
func TestNothingHostileIsShown(t *testing.T) {
	c, dir := start(t)
	path := write(t, filepath.Join(dir, "quay\u202e\x1b", "gull\u202e\a.block"), hostile)
	if _, err := os.Stat(path); err != nil {
		t.Skip(err)
	}
	found := map[string]string{}
	answers := 0
	ask := func(method string, params any) any {
		var out any
		if err := c.Call(method, params, &out); err != nil {
			acting(err.Error(), method+" error", found)
			return nil
		}
		if out != nil {
			answers++
		}
		acting(out, method, found)
		return out
	}
	c.Open(path, hostile, 1)
	for _, d := range c.Found(path, 1).Diagnostics {
		var x any
		assert.NoError(t, json.Unmarshal(d, &x))
		acting(x, "diagnostics", found)
	}
	doc := lsptest.Doc(path)["textDocument"]
	file := source.New(path, hostile)
	whole := lsptest.Object{"start": lsptest.Object{"line": 0, "character": 0}, "end": lsptest.Object{"line": file.EditorLines(), "character": 0}}
	for _, method := range []string{"documentSymbol", "inlayHint", "codeLens", "documentLink", "diagnostic", "foldingRange", "documentColor"} {
		out := ask("textDocument/"+method, lsptest.Object{"textDocument": doc, "range": whole})
		if list, ok := out.([]any); ok && method == "codeLens" {
			for _, lens := range list {
				ask("codeLens/resolve", lens)
			}
		}
	}
	ask("workspace/symbol", lsptest.Object{"query": ""})
	seen := map[string]bool{}
	for at := 0; at < len(hostile); at += 3 {
		line, column := file.UTF16(at)
		place := lsptest.Object{"line": line, "character": column}
		here := lsptest.Object{"textDocument": doc, "position": place, "context": lsptest.Object{"includeDeclaration": true}}
		for _, method := range []string{"hover", "signatureHelp", "definition", "references", "documentHighlight", "prepareRename", "linkedEditingRange"} {
			ask("textDocument/"+method, here)
		}
		if list, ok := ask("textDocument/completion", lsptest.Object{"textDocument": doc, "position": place}).(map[string]any); ok {
			items, _ := list["items"].([]any)
			for _, item := range items {
				if label := fmt.Sprint(item.(map[string]any)["label"]); !seen[label] {
					seen[label] = true
					ask("completionItem/resolve", item)
				}
			}
		}
		actions, _ := ask("textDocument/codeAction", lsptest.Object{"textDocument": doc, "range": lsptest.Object{"start": place, "end": place},
			"context": lsptest.Object{"diagnostics": []any{}}}).([]any)
		for _, a := range actions {
			if title := fmt.Sprint(a.(map[string]any)["title"]); !seen[title] {
				seen[title] = true
				ask("codeAction/resolve", a)
			}
		}
		if list, ok := ask("textDocument/prepareCallHierarchy", here).([]any); ok {
			for _, item := range list {
				ask("callHierarchy/incomingCalls", lsptest.Object{"item": item})
				ask("callHierarchy/outgoingCalls", lsptest.Object{"item": item})
			}
		}
	}
	for _, m := range c.Sent("window/showMessage") {
		acting(string(m), "showMessage", found)
	}
	assert.Greater(t, answers, 500)
	for where, text := range found {
		assert.Fail(t, where, "%q", text)
	}
}
