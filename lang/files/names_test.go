package files

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRooted(t *testing.T) {
	for path, want := range map[string]bool{
		"/etc/passwd": true, `\x.block`: true, `\\server\share\x.block`: true, "//server/share/x.block": true, `C:\x.block`: true,
		"C:/x.block": true, "c:x.block": true, "z:": true, `\\?\C:\x.block`: true, `\\.\COM1`: true, `\??\C:\x`: true,
		"": false, "x.block": false, "../x.block": false, "a/C:/x": false, "1:x.block": false, "ab:x": false, "@:x": false, "[:x": false, "`:x": false, "{:x": false,
	} {
		assert.Equal(t, want, Rooted(path), path)
	}
}

func TestPortable(t *testing.T) {
	for path, want := range map[string]bool{
		"palette.block": true, "../shared/a.block": true, "./a.block": true, "a b/c.d.block": true, ".hidden/x": true, "": true,
		"console.block": true, "com.block": true, "com10.block": true, "com0.block": true, "lpt/x.block": true, "auxiliary": true, "nulls": true, "conin": true, "com1 2.block": true, "com12": true, "com1x": true, "com .block": true,
		`sub\x.block`: false, `..\x.block`: false, "x.block:stream": false, "x.block::$DATA": false, "a/C:x": false,
		"x.block.": false, "x.block ": false, "sub./x.block": false, "sub /x.block": false, ".../x.block": false, "x. . ": false,
		"CON": false, "con": false, "NUL": false, "sub/nul": false, "aux.block": false, "aux/x.block": false, "Aux.tar.block": false, "prn.block": false,
		"COM1.block": false, "com9": false, "LPT3.block": false, "com¹.block": false, "lpt³": false, "COM²": false,
		"CONIN$": false, "conout$.block": false, "nul .block": false, "com1 .block": false,
	} {
		assert.Equal(t, want, Portable(path), path)
	}
}

func TestGitsName(t *testing.T) {
	for name, want := range map[string]bool{
		".git": true, ".GIT": true, ".Git": true, "git~1": true, "GIT~1": true, "Git~2": true, "git~12": true,
		".git.": true, ".git ": true, ".git. .": true, ".git::$INDEX_ALLOCATION": true, ".git:x": true, "git~1.": true,
		".g\u200cit": true, "\ufeff.git": true, ".gi\u202et": true, ".git\u206a": true, ".git\u200f": true, ".git\u206f": true, ".git\u202a": true,
		".github": false, ".gitignore": false, "git": false, "git~": false, "git~x": false, "git~1.block": false, "digit~1": false, "": false, ".git\u00ad": false, ".git\u2010": false, ".git\u2070": false, ".git\u2029": false,
	} {
		assert.Equal(t, want, gitsName(name), "%q", name)
	}
}

// A junction of Windows is a link, though Go calls it irregular.
func TestLinks(t *testing.T) {
	for mode, want := range map[fs.FileMode]bool{
		0o644: false, fs.ModeDir: false, fs.ModeDevice: false, fs.ModeNamedPipe: false, fs.ModeSocket: false,
		fs.ModeSymlink: true, fs.ModeIrregular: true, fs.ModeIrregular | fs.ModeDir: true,
	} {
		assert.Equal(t, want, isLink(mode), mode.String())
	}
}

// On Windows alone, names of devices and the like are no files; what is git's own is so everywhere.
func TestNamesOfNoFile(t *testing.T) {
	for _, x := range []struct {
		root, path         string
		windows, elsewhere bool
	}{
		{"r", "r", false, false}, {"r", "r/sub/x.block", false, false},
		{"r", "r/aux.block", true, false}, {"r", "r/sub./x", true, false}, {"r", "r/NUL", true, false},
		{"r", "r/.git/config", true, true}, {"r", "r/GIT~1/config", true, true}, {"r", "r/sub/.git. /config", true, true},
		{"aux/r", "aux/r/x.block", false, false}, {".git/r", ".git/r/x.block", false, false}, // what is above the root is hers
	} {
		path, root := Absolute(x.path), Absolute(x.root)
		assert.Equal(t, x.windows, noFile(path, root, true), "%s on Windows", x.path)
		assert.Equal(t, x.elsewhere, noFile(path, root, false), "%s elsewhere", x.path)
	}
}
