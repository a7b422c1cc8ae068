package rules

import (
	"fmt"

	"sewable/lang/syntax"
	"sewable/lint"
)

func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }

// quote writes a string as the language has it.
func quote(s string) string {
	return syntax.Quote(s)
}

// under says a length that is less than a limit, so that it also reads as less.
func under(p *lint.Pass, length, limit float64) string {
	if said := p.Len(length); said != p.Len(limit) {
		return said
	}
	return "just under " + p.Len(limit)
}

// underDegrees is the same for an angle.
func underDegrees(angle, limit float64) string {
	if said := lint.Degrees(angle); said != lint.Degrees(limit) {
		return said
	}
	return "just under " + lint.Degrees(limit)
}
