package cmd_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// doors says which functions of the standard library touch the disk or start a program, and where each is used
// outside lang/files. Anything else fails TestBoundary: it belongs there, or here with a reason.
var doors = []struct{ file, names, why string }{
	{"cmd/gendocs/main.go", "os.MkdirAll os.ReadDir os.ReadFile os.Remove os.WriteFile", "writes this repository's own pages"},
	{"cmd/gendocs/messages.go", "filepath.Glob os.MkdirAll os.MkdirTemp os.RemoveAll", "lints this repository's own examples in a folder of its own"},
	{"cmd/gendocs/reference.go", "os.ReadFile", "reads the page of the language, whose forms it writes"},
	{"cmd/sewable/lint_shard.go", "os.Stat", "how large a file is, to share files out"},
	{"lint/cache/cache.go", "os.Lstat os.Stat", "stamps of packs, of the program and of the folder for caches"},
	{"lint/cache/state.go", "os.Lstat", "stamps of files"},
	{"lint/cache/stamp_linux.go", "syscall", "what a stamp is made of"},
	{"lint/cache/trim.go", "os.Chtimes os.ReadDir os.Remove os.Stat", "old packs, in the folder of the cache alone"},
	{"lint/history/blobs.go", "exec.Cmd", "git, see history.go"},
	{"lint/history/history.go", "exec.Cmd exec.CommandContext exec.LookPath filepath.EvalSymlinks os.Stat", "starts git, in a way that runs nothing else"},
	{"lint/history/merge.go", "os.MkdirTemp os.RemoveAll", "where git puts what a merge makes"},
	{"lint/history/tree.go", "os.Lstat os.Readlink", "what kind of file is in the working tree"},
	{"lsp/parent_other.go", "os.FindProcess", "waits for the editor's end"},
	{"lsp/parent_unix.go", "syscall", "asks whether the editor is still there"},
	{"lsp/preview/follow.go", "filepath.EvalSymlinks os.Stat", "when a file was written; fsnotify watches folders"},
	{"lsp/sync.go", "os.Stat", "whether what an editor names is a folder"},
}

// harmless are the names of packages that can touch the disk, but for these.
var harmless = map[string]string{
	"os": "Args DevNull Environ ErrNotExist ErrExist Executable Exit File FileInfo FileMode DirEntry Getenv Geteuid Getpid Getuid Getwd Interrupt IsNotExist IsPathSeparator " +
		"Kill LinkError LookupEnv ModePerm ModeSymlink O_APPEND O_CREATE O_EXCL O_RDONLY O_RDWR O_TRUNC O_WRONLY PathError PathSeparator Process SameFile Signal " +
		"Stderr Stdin Stdout SyscallError TempDir UserCacheDir UserHomeDir ModeDir ModeType",
	"path/filepath":         "Abs Base Clean Dir Ext FromSlash IsAbs IsLocal Join ListSeparator Match Rel Separator SkipAll SkipDir Split SplitList ToSlash VolumeName WalkFunc",
	"os/exec":               "Error ErrNotFound ExitError",
	"io/ioutil":             "Discard NopCloser ReadAll",
	"syscall":               "",
	"golang.org/x/sys/unix": "", "golang.org/x/sys/windows": "",
	"plugin": "", "log/syslog": "", "unsafe": "Pointer Sizeof",
}

// byName are functions of other packages that open a file by its name.
var byName = map[string]string{
	"net/http":      "Dir FileServer FileServerFS ServeFile ServeFileFS ListenAndServeTLS",
	"html/template": "ParseFiles ParseGlob ParseFS", "text/template": "ParseFiles ParseGlob ParseFS",
	"archive/zip": "OpenReader", "crypto/tls": "LoadX509KeyPair", "go/parser": "ParseFile ParseDir", "mime": "AddExtensionType",
	"debug/elf": "Open", "debug/pe": "Open", "debug/macho": "Open", "runtime/debug": "SetCrashOutput WriteHeapDump",
}

// methods have names that only what touches the disk has, such as those of *os.Root and of document libraries.
var methods = []string{"OpenRoot", "OpenFileAndClose", "OutputFileAndClose", "AddUTF8Font", "RegisterImage", "ParseGlob"}

func TestBoundary(t *testing.T) {
	used := map[string][]string{}
	fset := token.NewFileSet()
	require.NoError(t, filepath.WalkDir("..", func(path string, entry fs.DirEntry, err error) error {
		rel := strings.TrimPrefix(filepath.ToSlash(path), "../")
		switch {
		case err != nil:
			return err
		case entry.IsDir() && (rel == "lang/files" || rel == "lint/linttest" || rel == "lsp/lsptest" || rel == "lsp/bench" || entry.Name() == "testdata" || entry.Name() == "node_modules"):
			return fs.SkipDir // the door itself, and what tests alone use (see harnesses)
		case entry.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		used[rel] = doorsOf(t, rel, file)
		return nil
	}))
	require.Greater(t, len(used), 200, "all files are looked at")
	for _, d := range doors {
		assert.Equal(t, strings.Fields(d.names), used[d.file], "%s, which %s: the table says what it uses", d.file, d.why)
		delete(used, d.file)
	}
	for file, names := range used {
		assert.Empty(t, names, "%s opens, makes or starts something by itself. Let lang/files do it", file)
	}
}

// doorsOf are the names in a file that touch the disk, whatever the file calls the package, and whether it calls them or only
// hands them on.
func doorsOf(t *testing.T, name string, file *ast.File) (out []string) {
	imported := map[string]string{} // as it is called here → path
	for _, i := range file.Imports {
		path, _ := strconv.Unquote(i.Path.Value)
		called := path[strings.LastIndexByte(path, '/')+1:]
		if i.Name != nil {
			called = i.Name.Name
		}
		_, door := harmless[path]
		if door || byName[path] != "" {
			assert.NotEqual(t, ".", called, "%s imports %s without its name", name, path)
		}
		imported[called] = path
		if path == "syscall" || strings.HasPrefix(path, "golang.org/x/sys/") {
			out = append(out, path[strings.LastIndexByte(path, '/')+1:])
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		s, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := s.X.(*ast.Ident)
		path := ""
		if ok {
			path = imported[x.Name]
		}
		short := path[strings.LastIndexByte(path, '/')+1:]
		known, door := harmless[path]
		switch {
		case short == "syscall" || strings.HasPrefix(path, "golang.org/x/sys/"): // the import is enough
		case door && !slices.Contains(strings.Fields(known), s.Sel.Name),
			slices.Contains(strings.Fields(byName[path]), s.Sel.Name):
			out = append(out, short+"."+s.Sel.Name)
		case path == "" && slices.Contains(methods, s.Sel.Name):
			out = append(out, "."+s.Sel.Name)
		}
		return true
	})
	slices.Sort(out)
	return slices.Compact(out)
}

// What the test looks for is found under another name, as a value, and behind a dot.
func TestBoundarySeesThroughNames(t *testing.T) {
	for text, want := range map[string][]string{
		"import \"os\"\nvar _ = os.Open":                                                   {"os.Open"},
		"import o \"os\"\nfunc f() { g := o.ReadFile; g(\"x\") }":                          {"os.ReadFile"},
		"import f \"path/filepath\"\nvar _, _ = f.Glob(\"*\")":                             {"filepath.Glob"},
		"import x \"os/exec\"\nvar _ = x.Cmd{Path: \"git\"}":                               {"exec.Cmd"},
		"import s \"syscall\"\nvar _ = s.Open":                                             {"syscall"},
		"import \"net/http\"\nvar _ = http.FileServer(http.Dir(\"/\"))":                    {"http.Dir", "http.FileServer"},
		"import \"os\"\nvar _ = os.DirFS(\"/\")":                                           {"os.DirFS"},
		"import \"os\"\nvar _ = os.Getenv(\"HOME\")":                                       nil,
		"import \"example.org/os\"\nvar _ = os.Open":                                       nil,
		"type r struct{}\nfunc f(x r) { x.OpenRoot(\"/\") }\nfunc (r) OpenRoot(string) {}": {".OpenRoot"},
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\n"+text, parser.SkipObjectResolution)
		require.NoError(t, err, text)
		assert.Equal(t, want, doorsOf(t, "x.go", file), text)
	}
}
