package syntax

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"sewable/lang/source"
	"sewable/lang/visible"
)

// Kind tells tokens apart.
type Kind uint8

// The kinds of token.
const (
	KindBad         Kind = iota // nothing the language knows; see Explain
	KindWord                    // a word of the language
	KindName                    // a name the designer chose
	KindNumber                  // 3, 2.5, 1/4, 2 1/2, 2½, 2-1/2; the unit is a word of its own
	KindString                  // "…", quotes included
	KindColour                  // #rrggbb or #rgb
	KindPunctuation             // one of ( ) { } , = + - * /
	KindComment                 // from // to the end of the line
)

// Token is the smallest piece of text that means something.
type Token struct {
	Kind Kind
	Text string
	source.Span
}

// Tokens cuts a text into its tokens, comments included. White space and
// line breaks lie between tokens and belong to none. Spans are offsets in
// the text.
func Tokens(text string) []Token {
	var tokens []Token
	for i := 0; ; {
		kind, start, end := next(text, i)
		if start == len(text) {
			return tokens
		}
		tokens = append(tokens, Token{kind, text[start:end], source.Span{Start: start, End: end}})
		i = end
	}
}

// class sorts bytes, so that the common ones cost a look in a table.
type class uint8

const (
	other class = iota
	space
	letter
	digit
	punctuation
	multi // the first byte of a character beyond ASCII
)

var classes = func() (table [256]class) {
	for c := range table {
		switch {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\v' || c == '\f':
			table[c] = space
		case 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z':
			table[c] = letter
		case '0' <= c && c <= '9':
			table[c] = digit
		case strings.IndexByte("(){},=+-*/", byte(c)) >= 0:
			table[c] = punctuation
		case c >= utf8.RuneSelf:
			table[c] = multi
		}
	}
	return table
}()

// next finds the first token at or after offset i. Without one, start and
// end are the length of the text.
func next(text string, i int) (kind Kind, start, end int) {
	i = skipSpace(text, i)
	if i == len(text) {
		return KindBad, i, i
	}
	switch c := text[i]; classes[c] {
	case letter:
		return word(text, i)
	case digit:
		return number(text, i)
	case punctuation:
		if c == '/' && strings.HasPrefix(text[i:], "//") {
			return KindComment, i, lineEnd(text, i)
		}
		return KindPunctuation, i, i + 1
	case multi:
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case unicode.IsLetter(r):
			return word(text, i)
		case isVulgar(r):
			return number(text, i)
		}
		return KindBad, i, i + size
	default:
		switch {
		case c == '"':
			end, closed := stringEnd(text, i)
			if !closed {
				return KindBad, i, end
			}
			return KindString, i, end
		case c == '#':
			return colour(text, i)
		case c == '.' && i+1 < len(text) && classes[text[i+1]] == digit:
			return number(text, i)
		}
		return KindBad, i, i + 1
	}
}

// skipSpace is the offset of the first character at or after i that is not
// white space. A byte order mark counts as white space.
func skipSpace(text string, i int) int {
	for i < len(text) {
		switch classes[text[i]] {
		case space:
			i++
		case multi:
			r, size := utf8.DecodeRuneInString(text[i:])
			if !unicode.IsSpace(r) && r != '\uFEFF' {
				return i
			}
			i += size
		default:
			return i
		}
	}
	return i
}

// lineEnd is the offset of the line break of the line that holds offset i,
// or the length of the text; white space before it is left out.
func lineEnd(text string, i int) int {
	end := len(text)
	if n := strings.IndexByte(text[i:], '\n'); n >= 0 {
		end = i + n
	}
	return i + len(strings.TrimRightFunc(text[i:end], unicode.IsSpace))
}

// stringEnd is the end of the string that begins at i: behind its closing
// quote, or at the end of the line when there is none.
func stringEnd(text string, i int) (end int, closed bool) {
	for end = i + 1; end < len(text); end++ {
		switch text[end] {
		case '\\':
			if end+1 < len(text) && text[end+1] != '\n' {
				end++
			}
		case '"':
			return end + 1, true
		case '\n':
			return lineEnd(text, i), false
		}
	}
	return lineEnd(text, i), false
}

func word(text string, i int) (kind Kind, start, end int) {
	end = wordEnd(text, i)
	if IsReserved(text[i:end]) {
		return KindWord, i, end
	}
	return KindName, i, end
}

// wordEnd is the end of the letters, digits and underscores that begin at i.
// Marks that combine with a letter belong to it, as many scripts need.
func wordEnd(text string, i int) int {
	for i < len(text) {
		switch c := text[i]; classes[c] {
		case letter, digit:
			i++
		case multi:
			r, size := utf8.DecodeRuneInString(text[i:])
			if !unicode.In(r, unicode.L, unicode.M, unicode.Nd) {
				return i
			}
			i += size
		default:
			if c != '_' {
				return i
			}
			i++
		}
	}
	return i
}

func colour(text string, i int) (kind Kind, start, end int) {
	end = wordEnd(text, i+1)
	kind = KindColour
	if n := end - i - 1; n != 3 && n != 6 {
		kind = KindBad
	}
	for j := i + 1; j < end; j++ {
		if strings.IndexByte("0123456789abcdefABCDEF", text[j]) < 0 {
			kind = KindBad
		}
	}
	return kind, i, end
}

// mistyped says what to type for characters that come from word processors
// and other languages.
var mistyped = []struct{ characters, instead string }{
	{"“”„‟«»‹›", "a straight quote `\"`"},
	{"'‘’‚`", "a straight double quote `\"` around words"},
	{"−–—‐‑", "a plain `-`"},
	{"×✕", "`by` between sizes, `*` in arithmetic"},
	{"÷⁄∕", "`/`"},
	{"″”", "`in` for inches"},
	{";", "a new line for each statement"},
	{"[]<>", "`(` and `)`"},
	{":", "`=` to give a value"},
}

// Explain says what is the matter with the text of a bad token and what to type
// instead, as a sentence without a full stop.
func Explain(bad string) string {
	r, size := utf8.DecodeRuneInString(bad)
	switch {
	case r == '"':
		return "the closing `\"` is missing"
	case r == '#':
		return "a color is written #rrggbb or #rgb, with the digits 0 to 9 and a to f"
	case unicode.IsDigit(r) || r == '.' && len(bad) > size || isVulgar(r):
		return quote(bad) + " is neither a number nor a name: a name begins with a letter, and numbers look like 3, 2.5, 1/4, 2 1/2, 2½"
	case r == '_':
		return "a name begins with a letter"
	}
	for _, m := range mistyped {
		if strings.ContainsRune(m.characters, r) {
			return quote(bad) + " has no meaning here; type " + m.instead
		}
	}
	return quote(bad) + " has no meaning here"
}

// quote puts text between backticks, cut short when it is long, with what
// cannot be seen in it written out.
func quote(text string) string {
	const most = 40
	n := 0
	for i := range text {
		if n == most {
			text = text[:i] + "…"
			break
		}
		n++
	}
	return "`" + strings.ReplaceAll(visible.Printable(text), "`", "'") + "`"
}
