package fonts

// Shorten is as much of a text as fits a width in ems, with … for the rest.
func Shorten(text string, bold bool, width float64) string {
	if Width(text, bold) <= width {
		return text
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if short := string(runes[:n]) + "…"; Width(short, bold) <= width {
			return short
		}
	}
	return "…"
}
