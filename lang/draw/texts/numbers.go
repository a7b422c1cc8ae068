package texts

import "regexp"

// NoBreak is the space inside "2 1/4 in", where no line ends.
const NoBreak = "\u00a0"

var (
	measures  = regexp.MustCompile(`\d+(?: \d+/\d+|/\d+)?(?: (?:in|mm|cm|yd|m)\b)?`)
	glued     = regexp.MustCompile(`(\d) (\d+/\d)`)
	fractions = regexp.MustCompile(`(?:(\d+)\x{a0})?(\d+/\d+)`)
	spaces    = regexp.MustCompile(` `)
	signs     = map[string]string{"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
)

// Measure sets a length or a size that was formatted for a terminal as it is printed: with real fractions where
// there are some, and with no place for a line to end. Real fractions follow their whole
// number without a space: 2 1/4 in is 2¼ in.
func Measure(s string) string {
	s = glued.ReplaceAllString(s, "$1"+NoBreak+"$2")
	s = fractions.ReplaceAllStringFunc(s, func(m string) string {
		parts := fractions.FindStringSubmatch(m)
		if sign, ok := signs[parts[2]]; ok {
			return parts[1] + sign
		}
		return m
	})
	return spaces.ReplaceAllString(s, NoBreak)
}

// Measures sets the measures in a sentence that was written for a terminal as Measure does.
func Measures(sentence string) string { return measures.ReplaceAllStringFunc(sentence, Measure) }
