// Package visible shows what would otherwise act on whoever reads a text.
//
// Titles, notes, names and paths belong to whoever wrote the file, and a file may come from a
// stranger. A character that steers a terminal, ends a line, turns the text behind it around or
// hides it is never sent: its code point is written out, <U+001B>, and so is a byte that is
// no character, <E9>. The notation is plain ASCII, so that every terminal, font and encoding has it.
//
// The model holds titles and notes in this form, so that what is made of it (lists, drawings,
// pages, hovers) needs no thought. Paths stay as they are until they are written.
package visible

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
)

// Text is s on one line, with everything that would act on its reader shown.
//
//   - control characters (general category Cc), line and paragraph separators
//   - the explicit directional controls of UAX #9, 2.1 to 2.4: embeddings, overrides, isolates and
//     their ends, which can make a line read as something else (CVE-2021-42574, "Trojan Source";
//     UTS #39, section 4). The marks U+200E, U+200F and U+061C only act as a letter would, and right-to-left
//     titles need them beside punctuation: they pass where such letters are, and nowhere else.
//   - characters that leave no ink (Default_Ignorable_Code_Point) and so make one name look like another or
//     carry text that nobody sees: zero-width spaces, soft hyphens, fillers, tags, deprecated formatting,
//     a byte order mark within. Joiners, variation selectors and the spaces of scripts without any pass one by
//     one behind the characters that need them (invisible.go).
//   - annotations, noncharacters
//   - bytes that are not UTF-8
//
// Text(Text(s)) is Text(s).
func Text(s string) string {
	if printable(s) {
		return s
	}
	alone := strings.ContainsFunc(s, isMark) && !RightToLeft(s)
	var behind place
	return shown(s, func(r rune, size int) bool {
		return behind.then(r, acts(r, size) || alone && isMark(r))
	})
}

// Printable is Text with every character shown that leaves no ink, joiners and unusual spaces
// among them: for a piece of a file that is quoted because it was not understood.
func Printable(s string) string {
	if printable(s) {
		return s
	}
	return shown(s, func(r rune, size int) bool { return acts(r, size) || !unicode.IsPrint(r) })
}

// printable reports whether s is ASCII without control characters, as nearly every text is.
func printable(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// shown writes out the characters that are chosen. The size of a byte that is no character is 1.
func shown(s string, chosen func(r rune, size int) bool) string {
	var b strings.Builder
	from := 0 // of what is not yet written
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if chosen(r, size) {
			b.WriteString(s[from:i])
			if r == utf8.RuneError && size == 1 {
				fmt.Fprintf(&b, "<%02X>", s[i])
			} else {
				fmt.Fprintf(&b, "<U+%04X>", r)
			}
			from = i + size
		}
		i += size
	}
	if from == 0 {
		return s
	}
	b.WriteString(s[from:])
	return b.String()
}

// acts reports whether a character does something other than being read.
func acts(r rune, size int) bool {
	switch {
	case r < ' ' || r == utf8.RuneError && size == 1:
		return true
	case r < 0x7F:
		return false
	case r&0xFFFE == 0xFFFE: // noncharacters at the end of every plane
		return true
	}
	return unicode.Is(acting, r)
}

// acting are the others.
var acting = &unicode.RangeTable{
	R16: []unicode.Range16{
		{Lo: 0x007F, Hi: 0x009F, Stride: 1}, // delete and the second set of control characters
		{Lo: 0x2028, Hi: 0x202E, Stride: 1}, // separators of lines and paragraphs; embeddings and overrides
		{Lo: 0x2066, Hi: 0x2069, Stride: 1}, // isolates
		{Lo: 0xFDD0, Hi: 0xFDEF, Stride: 1}, // noncharacters
		{Lo: 0xFFF9, Hi: 0xFFFB, Stride: 1}, // annotations
	},
	LatinOffset: 1,
}

// isMark reports whether a character is an invisible letter of one direction.
func isMark(r rune) bool { return r == 0x200E || r == 0x200F || r == 0x061C }

// RightToLeft reports whether s has a letter that is read from right to left (UAX #9, 3.2).
func RightToLeft(s string) bool {
	for _, r := range s {
		if class, _ := bidi.LookupRune(r); (class.Class() == bidi.R || class.Class() == bidi.AL) && !isMark(r) {
			return true
		}
	}
	return false
}
