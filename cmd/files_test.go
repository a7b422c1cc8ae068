package cmd_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The files of lang/sew have an order in which none uses a later one.
func TestNoFileOfSewPointsBack(t *testing.T) {
	paths, err := filepath.Glob("../lang/sew/*.go")
	require.NoError(t, err)
	set, uses := token.NewFileSet(), map[string]map[string]bool{}
	fileOf := func(at token.Pos) string { return filepath.Base(set.Position(at).Filename) }
	var files []*ast.File
	for _, at := range paths {
		if strings.HasSuffix(at, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, at, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		files, uses[filepath.Base(at)] = append(files, f), map[string]bool{}
	}
	// What other packages have is unknown here, and does not matter.
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	pkg, _ := (&types.Config{Importer: nothing{}, Error: func(error) {}}).Check("sew", set, files, info)
	for id, used := range info.Uses {
		if from, to := fileOf(id.Pos()), fileOf(used.Pos()); used.Pkg() == pkg && from != to {
			uses[from][to] = true
		}
	}
	require.NotEmpty(t, uses["sew.go"])
	require.NotEmpty(t, uses["division.go"])
	for {
		last := len(uses)
		maps.DeleteFunc(uses, func(_ string, of map[string]bool) bool {
			for to := range of {
				if uses[to] != nil {
					return false
				}
			}
			return true
		})
		if len(uses) == last {
			break
		}
	}
	require.Empty(t, slices.Sorted(maps.Keys(uses)), "these use each other in a circle")
}

// The map of DEVELOPERS.md names every package, and no other; the page stays one that is read.
func TestTheMapNamesEveryPackage(t *testing.T) {
	page, err := os.ReadFile("../DEVELOPERS.md")
	require.NoError(t, err)
	assert.LessOrEqual(t, len(strings.Fields(string(page))), 1600, "words")
	named := map[string]bool{}
	for line := range strings.Lines(string(page)) {
		row := strings.Split(line, "|")
		if len(row) < 3 {
			continue
		}
		folder := "" // `lang/draw/svg`, `pdf`: a name alone is beside the one before it
		for i, name := range strings.Split(row[1], "`") {
			if i%2 == 0 {
				continue
			}
			if !strings.Contains(name, "/") {
				name = path.Join(folder, name)
			}
			folder = path.Dir(name)
			named[name] = true
		}
	}
	for _, top := range []string{"cmd", "editors", "lang", "lint", "lsp"} {
		require.NoError(t, filepath.WalkDir("../"+top, func(at string, d fs.DirEntry, err error) error {
			if d.IsDir() && (d.Name() == "testdata" || d.Name() == "node_modules") {
				return fs.SkipDir
			}
			if name := strings.TrimPrefix(filepath.ToSlash(filepath.Dir(at)), "../"); strings.HasSuffix(at, ".go") && name != "cmd" {
				assert.True(t, named[name], "%s is not on the map", name)
			}
			return err
		}))
	}
	for name := range named {
		assert.DirExists(t, "../"+name)
	}
}

type nothing struct{}

func (nothing) Import(of string) (*types.Package, error) {
	return types.NewPackage(of, path.Base(of)), nil
}
