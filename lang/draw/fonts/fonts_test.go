package fonts_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/draw/fonts"
)

func TestEveryFaceOpens(t *testing.T) {
	for _, f := range []*fonts.Face{fonts.Regular, fonts.Bold, fonts.Wide, fonts.EastAsia} {
		assert.NotEmpty(t, f.TTF(), f.Name)
	}
	assert.True(t, fonts.Regular.Has('A'))
	assert.True(t, fonts.Wide.Has('✂'))
	assert.True(t, fonts.EastAsia.Has('縫'))
}

// Letters of names and sizes: each is set by a face that has it.
func TestLettersThatPrint(t *testing.T) {
	for _, text := range []string{
		"½ ¼ ¾ ⅛ ⅜ ⅝ ⅞ ⅓ ⅔ × · → – “ ” °",
		"Ærø Łódź Çeşme Ångström", "Море", "Θάλασσα", "Ծով", "ზღვა", "海", "うみ", "ウミ", "바다",
	} {
		for _, bold := range []bool{false, true} {
			whole := ""
			for _, run := range fonts.Runs(text, bold) {
				whole += run.Text
				for _, r := range run.Text {
					assert.True(t, run.Face.Has(r), "%q in %s", r, run.Face.Name)
				}
			}
			assert.Equal(t, text, whole)
		}
	}
}

func TestWrap(t *testing.T) {
	text := "Lay the sky right side down on the sail, and stitch."
	lines := fonts.Wrap(text, false, 10)
	assert.Greater(t, len(lines), 2)
	for _, l := range lines {
		assert.LessOrEqual(t, fonts.Width(l, false), 10.0)
	}
	assert.Empty(t, fonts.Wrap(" \n ", false, 10))
	for _, l := range fonts.Wrap("Donaudampfschifffahrtsgesellschaft 縫縫縫縫縫縫縫", true, 4) {
		assert.LessOrEqual(t, fonts.Width(l, true), 4.0, "a long word is broken")
	}
	assert.Equal(t, []string{"W", "W"}, fonts.Wrap("WW", false, 0.1), "a letter wider than the line stands alone")
}

// Hebrew is seen from right to left, the label beside it from left to right.
func TestRightToLeft(t *testing.T) {
	seen := ""
	for _, run := range fonts.Runs("A1 ים", false) {
		seen += run.Text
	}
	assert.Equal(t, "A1 \u05dd\u05d9", seen)
}

// Arabic letters in the shapes they have beside each other, named as in the charts of
// Arabic Presentation Forms-B (The Unicode Standard).
func TestArabicLettersJoin(t *testing.T) {
	for text, want := range map[string]string{
		"قارب":      "\ufed7\ufe8e\ufead\ufe8f", // qaf initial, alef final, reh isolated, beh isolated
		"سلام":      "\ufeb3\ufefc\ufee1",       // seen initial, lam with alef final, meem isolated
		"بحر":       "\ufe91\ufea4\ufeae",       // beh initial, hah medial, reh final
		"بَحر":      "\ufe91\u064e\ufea4\ufeae", // a vowel sign does not part them
		"می":        "\ufee3\ufbfd",             // Farsi yeh, final
		"می\u200cر": "\ufee3\ufbfd\ufead",       // a non-joiner parts them
		"boat":      "boat",
	} {
		got := ""
		for _, run := range fonts.Runs(text, false) {
			got += run.Text
			for _, r := range run.Text {
				assert.True(t, run.Face.Has(r), "%q of %s", r, text)
			}
		}
		if text != "boat" {
			want = reversed(want)
		}
		assert.Equal(t, want, got, text)
	}
}

// reversed is a text from its end.
func reversed(text string) string {
	var out string
	for _, r := range text {
		out = string(r) + out
	}
	return out
}

func TestMissing(t *testing.T) {
	assert.Empty(t, fonts.Missing("Ærø, Море, 海, قارب, ים"))
	assert.Equal(t, "नाव", fonts.Missing("नाव A1, नाव"))
}
