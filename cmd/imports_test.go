// Package cmd_test holds the house rules that belong to no single room.
package cmd_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rooms says what each package may import, beside the standard library:
// packages of this module, and modules from outside. Things flow one way: what is
// listed for a room stands above it in the table.
var rooms = []struct {
	room    string
	inside  string
	outside string
}{
	{"lang/source", "", ""},
	{"lang/memo", "", ""},
	{"lang/visible", "", "golang.org/x/text"},
	{"lang/near", "", "github.com/hbollon/go-edlib"},
	{"lang/geom", "", ""},
	{"lang/english", "", ""},
	{"lang/faces", "lang/geom", ""},
	{"lang/files", "lang/source", ""},
	{"lang/syntax", "lang/visible lang/source lang/memo lang/near lang/geom", "github.com/alecthomas/participle/v2"},
	{"lang/syntax/format", "lang/source lang/syntax", "github.com/rivo/uniseg"},
	{"lang/block", "lang/visible lang/files lang/source lang/memo lang/near lang/geom lang/syntax", ""},
	{"lang/sew", "lang/memo lang/geom lang/block", ""},
	{"lang/sew/plan", "lang/geom lang/sew", ""},
	{"lang/sew/seams", "lang/faces lang/geom lang/sew lang/sew/plan", ""},
	{"lang/cloth", "lang/geom lang/syntax lang/block lang/sew", ""},
	{"lang/cloth/cutlist", "lang/visible lang/geom lang/english lang/cloth", ""},
	{"lang/compare", "lang/geom lang/block lang/sew lang/cloth", ""},
	{"lang/show", "lang/visible lang/geom lang/syntax lang/block lang/sew lang/cloth lang/cloth/cutlist", ""},
	{"lang/edit", "lang/source lang/geom lang/faces lang/syntax lang/syntax/format lang/block lang/sew lang/sew/plan lang/sew/seams", ""},
	{"lang/query", "lang/visible lang/files lang/source lang/near lang/geom lang/english lang/syntax lang/block lang/sew lang/cloth lang/cloth/cutlist lang/edit", ""},
	{"lang/draw/fonts", "", "golang.org/x/image golang.org/x/text"},
	{"lang/draw/ink", "lang/geom lang/draw/fonts", ""},
	{"lang/draw/svg", "lang/visible lang/geom lang/draw/ink", ""},
	{"lang/draw/png", "lang/geom lang/draw/fonts lang/draw/ink", "golang.org/x/image"},
	{"lang/draw/pdf", "lang/geom lang/draw/fonts lang/draw/ink", "codeberg.org/go-pdf/fpdf"},
	{"lang/draw/term", "lang/geom lang/draw/ink", "github.com/muesli/termenv"},
	{"lang/draw/flow", "lang/geom lang/draw/fonts lang/draw/ink", ""},
	{"lang/draw", "lang/geom lang/english lang/block lang/sew lang/cloth lang/draw/fonts lang/draw/ink", ""},
	{"lang/draw/texts", "", ""},
	{"lang/draw/steps", "lang/geom lang/english lang/block lang/sew lang/cloth lang/draw/texts", ""},
	{"lang/draw/hands", "lang/geom lang/block lang/sew lang/cloth lang/draw lang/draw/fonts lang/draw/ink lang/draw/texts lang/draw/steps", ""},
	{"lang/draw/sheet", "lang/geom lang/english lang/block lang/sew lang/cloth lang/draw lang/draw/fonts lang/draw/ink lang/draw/flow lang/draw/texts lang/draw/steps", ""},
	{"lang/draw/guide", "lang/geom lang/block lang/draw lang/draw/ink lang/draw/svg lang/draw/flow lang/draw/texts lang/draw/steps lang/draw/hands lang/draw/sheet", ""},
	{"lang/draw/labels", "lang/geom lang/cloth lang/cloth/cutlist lang/draw lang/draw/fonts lang/draw/ink lang/draw/texts lang/draw/sheet", ""},
	{"lang/svgimport", "lang/source lang/geom lang/english lang/faces lang/syntax lang/syntax/format lang/block lang/sew lang/edit lang/draw/ink",
		"github.com/tdewolff/parse/v2 golang.org/x/image"},
	{"lint", "lang/visible lang/files lang/english lang/source lang/near lang/geom lang/syntax lang/block lang/sew lang/sew/plan lang/sew/seams lang/cloth lang/edit",
		"github.com/bmatcuk/doublestar/v4 github.com/pelletier/go-toml/v2"},
	{"lint/rules", "lang/english lang/source lang/memo lang/near lang/geom lang/syntax lang/block lang/sew lang/cloth lang/edit lint", ""},
	{"lint/docs", "lint", ""},
	{"lint/marks", "lang/geom lang/sew lang/draw lint", ""},
	{"lint/history", "lang/files lang/syntax lang/block lint", ""},
	{"lint/baseline", "lang/visible lang/files lint", ""},
	{"lint/cache", "lang/files lang/source lang/syntax lang/block lint", ""},
	{"lint/output", "lang/visible lang/english lint lint/docs", "github.com/muesli/termenv github.com/rivo/uniseg"},
	{"lint/review", "lang/visible lang/english lang/geom lang/syntax lang/block lang/sew lang/cloth lang/cloth/cutlist lang/compare lang/draw lang/draw/ink lang/draw/svg " +
		"lang/files lang/draw/steps lang/draw/sheet lint lint/marks lint/baseline lint/history lint/output", "github.com/muesli/termenv github.com/rivo/uniseg"},
	{"lint/linttest", "lang/source lang/geom lang/edit lint", "github.com/stretchr/testify golang.org/x/tools"},
	{"lsp/wire", "", protocol},
	{"lsp/convert", "lang/source", protocol},
	{"lsp/session", "lang/files lang/source lang/memo lang/syntax lang/block lang/sew lint", ""},
	{"lsp/preview", "lang/files lang/geom lang/syntax lang/block lang/sew lang/cloth lang/query lang/draw lang/draw/ink lang/draw/svg lang/draw/steps lint lint/marks",
		"github.com/fsnotify/fsnotify"},
	{"lsp", "lang/files lang/near lang/english lang/source lang/memo lang/syntax lang/syntax/format lang/geom lang/block lang/sew lang/cloth lang/edit lang/query " +
		"lang/draw lang/draw/ink lang/draw/svg lang/draw/term lint lint/docs lsp/wire lsp/convert lsp/session lsp/preview",
		protocol + " github.com/aymanbagabas/go-udiff github.com/muesli/termenv"},
	{"cmd/gendocs", "lang/syntax lint lint/docs lint/rules", "golang.org/x/tools/txtar"},
	{"cmd/sewable", "lang/visible lang/files lang/source lang/near lang/geom lang/english lang/syntax lang/syntax/format lang/block lang/show lang/sew lang/sew/plan lang/sew/seams lang/edit lang/cloth lang/cloth/cutlist " +
		"lang/draw lang/draw/ink lang/draw/svg lang/draw/png lang/draw/pdf lang/draw/term lang/draw/sheet lang/draw/guide lang/draw/labels lang/svgimport " +
		"lint lint/docs lint/marks lint/baseline lint/cache lint/output lint/rules lint/history lint/review lsp lsp/preview",
		"github.com/alecthomas/kong github.com/aymanbagabas/go-udiff github.com/muesli/termenv golang.org/x/term"},
}

// protocol is what speaks to editors; it stays in lsp.
const protocol = "go.lsp.dev/jsonrpc2 go.lsp.dev/protocol go.lsp.dev/uri"

// harnesses are the packages that only tests use, and the bench.
var harnesses = []string{"lint/linttest", "lsp/lsptest", "lsp/bench"}

const module = "sewable/"

type listed struct {
	ImportPath string
	Imports    []string // not those of its tests
}

func TestImports(t *testing.T) {
	known := map[string]bool{}
	for _, r := range rooms {
		for _, from := range strings.Fields(r.inside) {
			assert.True(t, known[from], "%s stands above %s, on which it builds", r.room, from)
		}
		known[r.room] = true
	}
	for _, p := range list(t) {
		room := strings.TrimPrefix(p.ImportPath, module)
		i := slices.IndexFunc(rooms, func(r struct{ room, inside, outside string }) bool { return r.room == room })
		if len(p.Imports) == 0 {
			continue // tests alone
		}
		if slices.Contains(harnesses, room) && i < 0 {
			continue
		}
		if !assert.GreaterOrEqual(t, i, 0, "%s is in the table", room) {
			continue
		}
		for _, path := range p.Imports {
			switch {
			case strings.HasPrefix(path, module):
				from := strings.TrimPrefix(path, module)
				assert.Contains(t, strings.Fields(rooms[i].inside), from, "%s may import %s", room, from)
				assert.NotContains(t, harnesses, from, "%s is for tests", from)
			case !standard(path):
				assert.True(t, slices.ContainsFunc(strings.Fields(rooms[i].outside), func(m string) bool {
					return path == m || strings.HasPrefix(path, m+"/")
				}), "%s may import %s", room, path)
			}
		}
	}
}

// standard reports whether a path is one of the standard library: its first
// element has no dot.
func standard(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".")
}

// list asks the go command for the packages of the module.
func list(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-e", "-json=ImportPath,Imports", module+"...").Output()
	require.NoError(t, err)
	var packages []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			require.NotEmpty(t, packages)
			return packages
		} else if err != nil {
			t.Fatal(err)
		}
		packages = append(packages, p)
	}
}
