package cmd_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The files of lang/sew have an order in which none uses a later one.
func TestNoFileOfSewPointsBack(t *testing.T) {
	paths, err := filepath.Glob("../lang/sew/*.go")
	require.NoError(t, err)
	set, uses := token.NewFileSet(), map[string]map[string]bool{}
	fileOf := func(at token.Pos) string { return filepath.Base(set.Position(at).Filename) }
	var files []*ast.File
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		files, uses[filepath.Base(path)] = append(files, f), map[string]bool{}
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

type nothing struct{}

func (nothing) Import(path string) (*types.Package, error) {
	return types.NewPackage(path, filepath.Base(path)), nil
}
