package files

import (
	"slices"
	"strings"
)

// What a path says is decided here from its text alone, and alike on every system: a repository that is checked on one is opened
// on another.

// Rooted reports whether a path starts at the root of a disk or of a network, on whatever system: /x, \x, \\server\share\x, C:\x,
// and C:x, which starts where that disk happens to stand.
func Rooted(path string) bool {
	if path == "" {
		return false
	}
	letter := path[0] | 0x20
	return path[0] == '/' || path[0] == '\\' || len(path) > 1 && path[1] == ':' && 'a' <= letter && letter <= 'z'
}

// Portable reports whether a path, with forward slashes, names the same file on every system.
func Portable(path string) bool {
	return !slices.ContainsFunc(strings.Split(path, "/"), odd)
}

// odd reports whether a name is another one on Windows, which parts it at `\`, takes what follows `:` for a part within the file,
// drops dots and spaces at the end, and has devices in every folder.
func odd(name string) bool {
	if name == "." || name == ".." {
		return false
	}
	return strings.ContainsAny(name, `\:`) || strings.TrimRight(name, ". ") != name || device(name)
}

// devices of Windows: in every folder, in whatever case and with whatever ending. Those with numbers are from "Naming Files, Paths,
// and Namespaces" of the Windows documentation, the consoles from that of CreateFile.
var devices = append([]string{"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"}, ports("COM", "LPT")...)

func ports(names ...string) (out []string) {
	for _, name := range names {
		for _, number := range "123456789¹²³" {
			out = append(out, name+string(number))
		}
	}
	return out
}

func device(name string) bool {
	if i := strings.IndexAny(name, ".:"); i >= 0 {
		name = name[:i]
	}
	name = strings.TrimRight(name, " ")
	return slices.ContainsFunc(devices, func(d string) bool { return strings.EqualFold(name, d) })
}

// gitsName reports whether a name may be that of the folder that git keeps for itself: in whatever letters, with what Windows
// drops at its end, with the characters that HFS+ passes over (as in CVE-2014-9390), or as the short name that Windows gives it.
func gitsName(name string) bool {
	name, _, _ = strings.Cut(name, ":")
	name = strings.TrimRight(strings.Map(passedOver, name), ". ")
	short, rest := name, ""
	if len(name) > len("git~") {
		short, rest = name[:len("git~")], name[len("git~"):]
	}
	return strings.EqualFold(name, ".git") || rest != "" && strings.EqualFold(short, "git~") && strings.Trim(rest, "0123456789") == ""
}

func passedOver(r rune) rune {
	switch {
	case 0x200C <= r && r <= 0x200F, 0x202A <= r && r <= 0x202E, 0x206A <= r && r <= 0x206F, r == 0xFEFF:
		return -1
	}
	return r
}
