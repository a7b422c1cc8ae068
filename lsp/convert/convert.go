// Package convert turns places of the project, which are byte offsets, into
// those of the protocol and back. It is the only room that counts as an editor does.
package convert

import (
	"path/filepath"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/source"
)

// Encoding is how an editor counts the columns of a line, see "Position" in the
// specification.
type Encoding uint8

// The encodings; the zero value is the protocol's default.
const (
	UTF16 Encoding = iota
	UTF8
)

// Choose takes the encoding that costs least among those an editor offers.
func Choose(offered []protocol.PositionEncodingKind) Encoding {
	for _, o := range offered {
		if o == protocol.PositionEncodingKindUTF8 {
			return UTF8
		}
	}
	return UTF16
}

// Kind is the encoding as the protocol names it.
func (e Encoding) Kind() protocol.PositionEncodingKind {
	if e == UTF8 {
		return protocol.PositionEncodingKindUTF8
	}
	return protocol.PositionEncodingKindUTF16
}

// Position is the place of an offset.
func (e Encoding) Position(f *source.File, offset int) protocol.Position {
	line, column := f.UTF16, 0
	if e == UTF8 {
		line = f.UTF8
	}
	l, column := line(offset)
	return protocol.Position{Line: uint32(l), Character: uint32(column)}
}

// Walk gives a function for the places of offsets. It counts on from the last one, which for
// many in order is much less work than Position; one that goes back costs as much.
func (e Encoding) Walk(f *source.File) func(offset int) protocol.Position {
	line, column, at := 0, 0, 0
	next := f.EditorLine(1).Start // of the line after this one
	last := f.EditorLines() - 1
	return func(offset int) protocol.Position {
		if offset < at {
			return e.Position(f, offset)
		}
		for line < last && offset >= next {
			line++
			at, column = next, 0
			next = f.EditorLine(line + 1).Start
		}
		for at < offset {
			if c := f.Text[at]; c < utf8.RuneSelf || e == UTF8 {
				at++
				column++
				continue
			}
			r, size := utf8.DecodeRuneInString(f.Text[at:])
			at += size
			column++
			if r >= 0x10000 {
				column++
			}
		}
		return protocol.Position{Line: uint32(line), Character: uint32(column)}
	}
}

// Range is the place of a span.
func (e Encoding) Range(f *source.File, s source.Span) protocol.Range {
	return protocol.Range{Start: e.Position(f, s.Start), End: e.Position(f, s.End)}
}

// Offset is the offset of a place: a line or column past the end gives the end.
func (e Encoding) Offset(f *source.File, p protocol.Position) int {
	if e == UTF8 {
		return f.FromUTF8(clamp(p.Line), clamp(p.Character))
	}
	return f.FromUTF16(clamp(p.Line), clamp(p.Character))
}

func clamp(n uint32) int { return int(min(n, 1<<30)) }

// Span is the span of a range; one that runs backwards is turned round.
func (e Encoding) Span(f *source.File, r protocol.Range) source.Span {
	a, b := e.Offset(f, r.Start), e.Offset(f, r.End)
	return source.Span{Start: min(a, b), End: max(a, b)}
}

// URI names a file.
func URI(path string) uri.URI { return uri.File(path) }

// Path is the absolute path of a file, by its name in the protocol. A document
// that is no file, such as one that was never saved, gets a path of its own in
// the folder, so that it may use the files there.
func Path(u uri.URI, folder string) string {
	if u.IsFile() && filepath.Separator == '/' {
		return filepath.Clean(u.Path()) // FsPath takes /a: for a drive
	}
	if u.IsFile() {
		return filepath.Clean(u.FsPath())
	}
	name := strings.NewReplacer("/", "_", "\\", "_").Replace(u.String())
	return filepath.Join(folder, name)
}
