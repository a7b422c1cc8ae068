package output

import (
	"fmt"
	"path"
	"strings"

	"sewable/lint"
)

// AcceptedWords say what is wrong and accepted, and why, as printed pages do: in a sentence or two.
func AcceptedWords(f lint.Finding) string {
	reason := f.Accepted
	if !strings.HasSuffix(reason, ".") && !strings.HasSuffix(reason, "!") && !strings.HasSuffix(reason, "?") {
		reason += "."
	}
	return Plain(fmt.Sprintf("%s Reason: %s (%s, %s:%d)", f.What(), reason, f.Rule, path.Base(f.File), f.Start.Line))
}
