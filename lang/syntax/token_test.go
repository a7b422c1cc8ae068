package syntax

import (
	"math/big"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/source"
)

// Every spelling of a number is one token and has one value.
func TestNumbers(t *testing.T) {
	for text, want := range map[string]string{
		"3": "3", "007": "7", "2.5": "5/2", ".5": "1/2", "2.50": "5/2",
		"1/4": "1/4", "2/8": "1/4", "5/4": "5/4", "3/64": "3/64", "1/7": "1/7",
		"2 1/2": "5/2", "2  1/2": "5/2", "2\t1/2": "5/2",
		"2½": "5/2", "2 ½": "5/2", "½": "1/2", "12⅞": "103/8", "↉": "0",
		"2-1/2": "5/2", "2-½": "5/2", "10-3/8": "83/8",
		"254000": "254000", "0.000000000001": "1/1000000000000",
	} {
		tokens := Tokens(text)
		if assert.Len(t, tokens, 1, "%q is one token", text) {
			assert.Equal(t, KindNumber, tokens[0].Kind, text)
		}
		value, problem, _ := numberValue(text)
		assert.Empty(t, problem, text)
		assert.Equal(t, want, dumpNum(value), text)
	}
}

// The Unicode character database says what each one-character fraction is worth: its
// compatibility decomposition is digits around a fraction slash. The values
// here are copied from it (UnicodeData.txt, field 8).
func TestVulgarFractions(t *testing.T) {
	for r, want := range map[rune]string{
		'¼': "1/4", '½': "1/2", '¾': "3/4", '⅐': "1/7", '⅑': "1/9", '⅒': "1/10", '⅓': "1/3", '⅔': "2/3", '⅕': "1/5", '⅖': "2/5",
		'⅗': "3/5", '⅘': "4/5", '⅙': "1/6", '⅚': "5/6", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8", '↉': "0",
	} {
		value, _, _ := numberValue(string(r))
		assert.Equal(t, want, dumpNum(value), string(r))
		assert.True(t, unicode.Is(unicode.No, r))
	}
	assert.Len(t, vulgar, 19)
}

// What looks like a number to a program, or like two to a quilter, is cut where
// a reader would cut it.
func TestTokens(t *testing.T) {
	for text, want := range map[string]string{
		"1 / 4":         "number 1|punctuation /|number 4",
		"1/ 4":          "number 1|punctuation /|number 4",
		"1/2.5":         "number 1|punctuation /|number 2.5",
		"1/4/2":         "number 1/4|punctuation /|number 2",
		"2 - 1/2":       "number 2|punctuation -|number 1/2",
		"2 -1/2":        "number 2|punctuation -|number 1/2",
		"3-1":           "number 3|punctuation -|number 1",
		"2.5-1/2":       "number 2.5|punctuation -|number 1/2",
		"2\n1/2":        "number 2|number 1/2",
		"2in":           "number 2|word in",
		"2 1/2 mm":      "number 2 1/2|word mm",
		"h-1":           "name h|punctuation -|number 1",
		"3sky":          "bad 3sky",
		"1.2.3":         "bad 1.2.3",
		"1e5":           "bad 1e5",
		"2inch":         "bad 2inch",
		"patch 3 sky":   "word patch|number 3|name sky",
		"Patch":         "name Patch",
		"été_2 帆 नाव":   "name été_2|name 帆|name नाव",
		"_x":            "bad _|name x",
		`"a // b" // c`: `string "a // b"|comment // c`,
		`"a\"b\\" x`:    `string "a\"b\\"|name x`,
		`"open`:         `bad "open`,
		"#1d2b4f #abc":  "colour #1d2b4f|colour #abc",
		"#12 #12345g":   "bad #12|bad #12345g",
		"(x,y)":         "punctuation (|name x|punctuation ,|name y|punctuation )",
		"a\u00a0b":      "name a|name b",
		"“a”":           "bad “|name a|bad ”",
	} {
		var got []string
		for _, token := range Tokens(text) {
			got = append(got, token.Kind.String()+" "+token.Text)
		}
		assert.Equal(t, want, strings.Join(got, "|"), "%q", text)
	}
}

// Tokens lie in order, inside the text, and only white space between them.
func TestTokensCoverTheText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("ab1 2/½.-\"\\#f(),{}=é帆\n\t;//“"))).Draw(t, "text")
		at := 0
		for _, token := range Tokens(text) {
			assert.Empty(t, strings.TrimSpace(text[at:token.Start]))
			assert.Equal(t, text[token.Start:token.End], token.Text)
			assert.NotEmpty(t, token.Text)
			assert.True(t, utf8.ValidString(token.Text))
			at = token.End
		}
		assert.Empty(t, strings.TrimSpace(text[at:]))
	})
}

// Values agree with exact rational arithmetic (math/big).
func TestNumberValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.Int64Range(0, 300_000).Draw(t, "whole")
		top := rapid.Int64Range(0, 999_999).Draw(t, "top")
		bottom := rapid.Int64Range(1, 999_999_999_999).Draw(t, "bottom")
		fraction := big.NewRat(top, bottom)
		mixed := new(big.Rat).Add(big.NewRat(whole, 1), fraction)
		s := func(n int64) string { return big.NewInt(n).String() }
		for text, want := range map[string]*big.Rat{
			s(top) + "/" + s(bottom):                  fraction,
			s(whole) + " " + s(top) + "/" + s(bottom): mixed,
			s(whole) + "-" + s(top) + "/" + s(bottom): mixed,
			mixed.FloatString(12):                     decimal(mixed.FloatString(12)),
		} {
			value, problem, _ := numberValue(text)
			n, d, exact := value.Exact()
			assert.Empty(t, problem)
			assert.True(t, exact, text)
			assert.Equal(t, want, big.NewRat(n, d), text)
		}
	})
}

func decimal(text string) *big.Rat { r, _ := new(big.Rat).SetString(text); return r }

func TestNumberProblems(t *testing.T) {
	for text, want := range map[string]string{
		"1/0":                 "`1/0` divides by 0",
		"2 1/0":               "`2 1/0` divides by 0",
		"1234567890123":       "a number has at most 12 digits in a row",
		"0.1234567890123":     "a number has at most 12 digits in a row",
		"1/1234567890123":     "a number has at most 12 digits in a row",
		"2 1/1234567890123":   "a number has at most 12 digits in a row",
		"99999999999999999/2": "a number has at most 12 digits in a row",
	} {
		_, problem, _ := numberValue(text)
		assert.Equal(t, want, problem, text)
	}
}

func TestExplain(t *testing.T) {
	for bad, want := range map[string]string{
		`"Dusk`:  "the closing `\"` is missing",
		"#12":    "a color is written #rrggbb or #rgb, with the digits 0 to 9 and a to f",
		"3sky":   "`3sky` is neither a number nor a name: a name begins with a letter, and numbers look like 3, 2.5, 1/4, 2 1/2, 2½",
		"“":      "`“` has no meaning here; type a straight quote `\"`",
		"−":      "`−` has no meaning here; type a plain `-`",
		"×":      "`×` has no meaning here; type `by` between sizes, `*` in arithmetic",
		"@":      "`@` has no meaning here",
		"\x1b":   "`<U+001B>` has no meaning here",
		"\u200b": "`<U+200B>` has no meaning here",
	} {
		assert.Equal(t, want, Explain(bad))
	}
}

func TestNames(t *testing.T) {
	for text, is := range map[string]bool{
		"sky": true, "Dämmerung_2": true, strings.Repeat("ä", MaxNameLength): true,
		"": false, "2sky": false, "_sky": false, "sky blue": false, " sky": false, "sky//x": false, "a-b": false, "\"sky\"": false,
		"patch": false, strings.Repeat("a", MaxNameLength+1): false,
	} {
		assert.Equal(t, is, IsName(text), "%.20q", text)
	}
}

func TestQuotedStringsReadBack(t *testing.T) {
	for _, text := range []string{"", "Quay", `the "Gull"`, `a \ b`, `\"`} {
		tree := Parse(source.New("", "note "+Quote(text)+"\n"))
		require.Empty(t, tree.Errors)
		assert.Equal(t, text, tree.Items[0].Node.(*Note).Text.Value)
	}
}
