package syntax

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"sewable/lang/source"
)

// unfit says why a text cannot be read at all: it is not text, or too long.
// Nil when it can.
func unfit(text string) *Error {
	if len(text) > MaxBytes {
		return &Error{Kind: Limit, Message: "a file is at most 8 MiB",
			Detail: "this one has more; divide it and bring the parts together with `use`"}
	}
	if source.IsPointer(text) {
		return &Error{Kind: NotText, Message: "this is a Git LFS pointer, not the file itself", Detail: "run `git lfs pull`"}
	}
	if at := firstBad(text); at >= 0 {
		detail := "a byte that is no character of UTF-8"
		if text[at] == 0 {
			detail = "a zero byte"
		}
		detail = fmt.Sprintf("line %d holds %s", strings.Count(text[:at], "\n")+1, detail)
		if strings.HasPrefix(text, "\xff\xfe") || strings.HasPrefix(text, "\xfe\xff") {
			detail += "; it looks like UTF-16: save it as UTF-8"
		}
		return &Error{At: source.Span{Start: at, End: at + 1}, Kind: NotText, Message: "this is not a text file in UTF-8", Detail: detail}
	}
	if strings.Count(text, "\n") >= MaxLines {
		return tooMany("divide it and bring the parts together with `use`")
	}
	return nil
}

func tooMany(detail string) *Error {
	return &Error{Kind: Limit, Message: "a file has at most 250,000 lines", Detail: detail}
}

// crowded says that a text has too many pieces, as only one can have whose lines hold several braces.
func crowded() *Error {
	return tooMany("this one would have more if each brace ended its line, as the formatter puts them")
}

// firstBad is the offset of the first byte that cannot stand in a text, or -1.
func firstBad(text string) int {
	bad := strings.IndexByte(text, 0)
	if utf8.ValidString(text) {
		return bad
	}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 || r == 0 {
			return i
		}
		i += size
	}
	return bad
}
