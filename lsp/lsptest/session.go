package lsptest

import (
	"encoding/json"
	"path/filepath"

	"go.lsp.dev/uri"
)

// URI names a file as an editor does.
func URI(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		abs = path
	}
	return string(uri.File(abs))
}

// Capabilities are those of an editor that can everything the server has a use for.
func Capabilities() Object {
	yes := true
	return Object{
		"general": Object{"positionEncodings": []string{"utf-16"}},
		"window":  Object{"workDoneProgress": yes},
		"workspace": Object{
			"workspaceEdit": Object{
				"documentChanges": yes, "resourceOperations": []string{"create", "rename"},
				"changeAnnotationSupport": Object{},
			},
			"didChangeWatchedFiles": Object{"dynamicRegistration": yes},
			"workspaceFolders":      yes,
		},
		"textDocument": Object{
			"publishDiagnostics": Object{
				"versionSupport": yes, "relatedInformation": yes, "codeDescriptionSupport": yes, "dataSupport": yes,
				"tagSupport": Object{"valueSet": []int{1, 2}},
			},
			"hover":          Object{"contentFormat": []string{"markdown", "plaintext"}},
			"definition":     Object{"linkSupport": yes},
			"documentSymbol": Object{"hierarchicalDocumentSymbolSupport": yes},
			"completion": Object{"completionItem": Object{
				"snippetSupport": yes, "documentationFormat": []string{"markdown"},
			}},
			"codeAction": Object{
				"honorsChangeAnnotations":  yes,
				"codeActionLiteralSupport": Object{"codeActionKind": Object{"valueSet": []string{"quickfix", "refactor", "source"}}},
			},
			"signatureHelp": Object{"signatureInformation": Object{"parameterInformation": Object{"labelOffsetSupport": yes}}},
			"semanticTokens": Object{
				"requests":   Object{"range": yes, "full": Object{"delta": yes}},
				"tokenTypes": []string{}, "tokenModifiers": []string{}, "formats": []string{"relative"},
			},
		},
	}
}

// With sets a capability by its path.
func With(capabilities Object, value any, path ...string) Object {
	at := capabilities
	for _, key := range path[:len(path)-1] {
		next, ok := at[key].(Object)
		if !ok {
			next = Object{}
			at[key] = next
		}
		at = next
	}
	at[path[len(path)-1]] = value
	return capabilities
}

// Initialize greets the server; folder is its workspace, empty for none.
func (c *Client) Initialize(folder string, capabilities Object) json.RawMessage {
	c.t.Helper()
	params := Object{"processId": nil, "rootUri": nil, "capabilities": capabilities}
	if folder != "" {
		params["rootUri"] = URI(folder)
		params["workspaceFolders"] = []Object{{"uri": URI(folder), "name": filepath.Base(folder)}}
	}
	var result json.RawMessage
	c.Must("initialize", params, &result)
	var said struct {
		Capabilities struct {
			PositionEncoding string `json:"positionEncoding"`
		} `json:"capabilities"`
	}
	if json.Unmarshal(result, &said) == nil && said.Capabilities.PositionEncoding != "" {
		c.Encoding = said.Capabilities.PositionEncoding
	}
	c.Notify("initialized", Object{})
	return result
}

// Open opens a document.
func (c *Client) Open(path, text string, version int) {
	c.Notify("textDocument/didOpen", Object{"textDocument": Object{
		"uri": URI(path), "languageId": "sewable", "version": version, "text": text,
	}})
}

// Change changes a document; each change is an object with range and text, or
// text alone.
func (c *Client) Change(path string, version int, changes ...Object) {
	c.Notify("textDocument/didChange", Object{
		"textDocument": Object{"uri": URI(path), "version": version}, "contentChanges": changes,
	})
}

// Close closes a document.
func (c *Client) Close(path string) {
	c.Notify("textDocument/didClose", Object{"textDocument": Object{"uri": URI(path)}})
}

// Doc names a document in parameters.
func Doc(path string) Object { return Object{"textDocument": Object{"uri": URI(path)}} }

// Position is a place as the protocol has it.
type Position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// Range is a stretch of text.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// At names a place of a document in parameters.
func At(path string, p Position) Object {
	params := Doc(path)
	params["position"] = p
	return params
}
