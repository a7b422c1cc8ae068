package visible

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/bidi"
	"pgregory.net/rapid"
)

func TestText(t *testing.T) {
	for given, want := range map[string]string{
		"Morning sky":                  "Morning sky",
		"bell\a esc\x1b[31m":           "bell<U+0007> esc<U+001B>[31m",
		"tab\tend\r\n":                 "tab<U+0009>end<U+000D><U+000A>",
		"8-bit \u009b31m \x9b31m":      "8-bit <U+009B>31m <9B>31m",
		"caf\xe9":                      "caf<E9>",
		"\ufffd is a character":        "\ufffd is a character",
		"\u202eevil\u202c":             "<U+202E>evil<U+202C>",
		"\u2066a\u2067b\u2068c\u2069":  "<U+2066>a<U+2067>b<U+2068>c<U+2069>",
		"two\u2028lines\u2029":         "two<U+2028>lines<U+2029>",
		"tag \U000e0041":               "tag <U+E0041>",
		"\ufeffmark \uffff \U0001fffe": "<U+FEFF>mark <U+FFFF> <U+1FFFE>",
		"delete \x7f":                  "delete <U+007F>",
		"\ufe0f first":                 "<U+FE0F> first", // there is nothing to change yet
		"a\ufe0f z\u200d":              "a<U+FE0F> z<U+200D>",
		"*\ufe0f\u20e3 %\ufe0f":        "*\ufe0f\u20e3 %<U+FE0F>", // a keycap, and what has none

		// What people write stays: scripts of both directions, joiners, pictures, spaces.
		"שלום":                           "שלום",
		"السلام عليكم":                   "السلام عليكم",
		"नमस्ते क्\u200dष":               "नमस्ते क्\u200dष",
		"نمی\u200cخواهم":                 "نمی\u200cخواهم",
		"👩‍👩‍👧 ❤️":                       "👩‍👩‍👧 ❤️",
		"2½\u00a0in":                     "2½\u00a0in",
		"1️⃣ #️⃣ ‼️ ☎︎":                  "1️⃣ #️⃣ ‼️ ☎︎",
		"👩🏽‍🚀 🏳️‍🌈":                      "👩🏽‍🚀 🏳️‍🌈",
		"葛\U000e0100飾":                   "葛\U000e0100飾",
		"ᠨ\u180eᠠ ᠠ\u180b":               "ᠨ\u180eᠠ ᠠ\u180b",
		"ភាសា\u200bខ្មែរ":                "ភាសា\u200bខ្មែរ",
		"بَ\u200cب":                      "بَ\u200cب",
		"\U00013080\U00013430\U00013080": "\U00013080\U00013430\U00013080",
		"\u0600 ۱":                       "\u0600 ۱",

		// What leaves no ink passes nowhere else: two names that look alike, or text that nobody sees.
		"sk\u200by s\u00adea \u2060a":              "sk<U+200B>y s<U+00AD>ea <U+2060>a",
		"s\u200dky s\u200cky \u200dsky":            "s<U+200D>ky s<U+200C>ky <U+200D>sky",
		"é\u200d б\u200c λ\u200d é\ufe0f":          "é<U+200D> б<U+200C> λ<U+200D> é<U+FE0F>",
		"a\ufe00 1\ufe01 1\ufe0f\u20e3 \ufe0f":     "a<U+FE00> 1<U+FE01> 1\ufe0f\u20e3 <U+FE0F>",
		"❤\ufe0f\ufe0f\ufe01\U000e0101":            "❤\ufe0f<U+FE0F><U+FE01><U+E0101>",
		"❤\U000e0100 \u200b❤\u200c":                "❤<U+E0100> <U+200B>❤<U+200C>",
		"❤\u200d\u200d❤\u200d\ufe0f":               "❤\u200d<U+200D>❤\u200d<U+FE0F>",
		"क्\u200d\u200c \u00a0\u200d \u00a0\ufe0f": "क्\u200d<U+200C> \u00a0<U+200D> \u00a0<U+FE0F>",
		"\u3164 \u115f\u1160\uffa0 \u034f":         "<U+3164> <U+115F><U+1160><U+FFA0> <U+034F>",
		"a\u180e a\u180b":                          "a<U+180E> a<U+180B>",
		"\u17b4 \u2065 \ufff0 \U000e0fff":          "<U+17B4> <U+2065> <U+FFF0> <U+E0FFF>",
		"\u206a \U0001d173 \U0001bca0":             "<U+206A> <U+1D173> <U+1BCA0>",
		"\U0001f3f4\U000e0067\U000e007f":           "\U0001f3f4<U+E0067><U+E007F>",
		"❤\uffff\ufe0f ❤\u202e\u200d":              "❤<U+FFFF><U+FE0F> ❤<U+202E><U+200D>",

		// A mark of direction is needed beside punctuation in such scripts, and deceives elsewhere.
		"(C++\u200e) שלום": "(C++\u200e) שלום",
		"Sail\u200f 6":     "Sail<U+200F> 6",
		"\u061c\u200e":     "<U+061C><U+200E>",
	} {
		assert.Equal(t, want, Text(given))
		assert.Equal(t, want, Text(want), "shown once is shown")
	}
}

func TestPrintable(t *testing.T) {
	for given, want := range map[string]string{
		"sky (0, 0)": "sky (0, 0)", "שלום": "שלום", "a\u200bb\u00a0": "a<U+200B>b<U+00A0>", "\x1b\xff": "<U+001B><FF>",
	} {
		assert.Equal(t, want, Printable(given))
	}
}

// The properties of Unicode, as two other packages have them, are the reference: what is left of
// any text is valid and holds no control character, no separator, no explicit directional control
// and no noncharacter; whatever is none of these, leaves ink and is no annotation is kept.
func TestTextIsPassive(t *testing.T) {
	explicit := map[bidi.Class]bool{bidi.LRO: true, bidi.RLO: true, bidi.LRE: true, bidi.RLE: true, bidi.PDF: true,
		bidi.LRI: true, bidi.RLI: true, bidi.FSI: true, bidi.PDI: true}
	acts := func(r rune) bool {
		p, _ := bidi.LookupRune(r)
		return unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Noncharacter_Code_Point) ||
			explicit[p.Class()] && unicode.Is(unicode.Bidi_Control, r)
	}
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if !utf8.ValidRune(r) || isMark(r) {
			continue
		}
		s := "a" + string(r) + "b"
		switch shown := Text(s) != s; {
		case acts(r):
			assert.True(t, shown, "%U", r)
		case shown:
			assert.True(t, invisible(r), "%U is kept", r)
			assert.False(t, unicode.In(r, unicode.L, unicode.N, unicode.P, unicode.S, unicode.Zs) &&
				!unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r), "%U leaves ink", r)
		case unicode.Is(unicode.Cf, r):
			assert.True(t, unicode.Is(unicode.Prepended_Concatenation_Mark, r) || 0x13430 <= r && r <= 0x1343F, "%U is not shown", r)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text")
		shown := Text(s)
		assert.True(t, utf8.ValidString(shown))
		assert.Equal(t, shown, Text(shown))
		assert.False(t, strings.ContainsFunc(shown, func(r rune) bool { return unicode.IsControl(r) }))
	})
}

// However a text is cut up when it is written, the same is sent, and line breaks and tabs stay.
func TestLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("ab\t\r\n\x1b\u202eש夜\u200d\ufe0f\u200b❤"))).Draw(t, "text")
		var whole, parts bytes.Buffer
		w := NewLines(&whole, KeepTabs)
		n, err := w.Write([]byte(text))
		require.NoError(t, err)
		assert.Equal(t, len(text), n)
		require.NoError(t, w.Flush())
		w = NewLines(&parts, KeepTabs)
		for rest := text; rest != ""; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "n")
			_, err := w.Write([]byte(rest[:n]))
			require.NoError(t, err)
			rest = rest[n:]
		}
		require.NoError(t, w.Flush())
		assert.Equal(t, whole.String(), parts.String())
		assert.Equal(t, strings.Count(text, "\n"), strings.Count(whole.String(), "\n"))
		assert.Equal(t, strings.Count(text, "\t"), strings.Count(whole.String(), "\t"))
		assert.NotContains(t, whole.String(), "\x1b")
	})
	var out bytes.Buffer
	w := NewLines(&out, KeepTabs)
	w.Write([]byte("a\r\nb\rc"))
	assert.Equal(t, "a\r\n", out.String(), "the last line is held")
	w.Flush()
	assert.Equal(t, "a\r\nb<U+000D>c", out.String())
}

// JSON says the same to a program, and nothing to a terminal.
func TestJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := map[string]string{"a": rapid.StringOf(rapid.OneOf(rapid.Rune(),
			rapid.SampledFrom([]rune("\x00\x1b\x7f\u0085\u009b\u200e\u202e\u2066\u2028\ufeff\ufffd\U000e0041\U0001fffe")))).Draw(t, "text")}
		var b bytes.Buffer
		require.NoError(t, JSON(&b, in))
		var out map[string]string
		require.NoError(t, json.Unmarshal(b.Bytes(), &out))
		assert.Equal(t, in, out)
		for line := range strings.Lines(b.String()) {
			line = strings.TrimSuffix(line, "\n")
			assert.Equal(t, Text(line), line)
			assert.False(t, strings.ContainsFunc(line, isMark))
		}
	})
}

func BenchmarkText(b *testing.B) {
	for name, s := range map[string]string{"ascii": "C4 is 3/16 in wide: too small to sew. Make it 1/4 in or wider.", "latin": "Dämmerung über der Kieler Förde, 2½ in"} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(s)))
			for b.Loop() {
				Text(s)
			}
		})
	}
}

// The second of two `#` is escaped, also behind characters that only format.
func TestEscapeJSONOfCommands(t *testing.T) {
	for given, want := range map[string]string{
		`"#c3dcea #"`:   `"#c3dcea #"`,
		`"##vso[x]"`:    `"#\u0023vso[x]"`,
		`"###["`:        `"#\u0023\u0023["`,
		"\"#\u200b#[\"": "\"#\\u200b\\u0023[\"",
	} {
		assert.Equal(t, want, string(EscapeJSON([]byte(given))))
	}
}
