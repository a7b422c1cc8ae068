package lsp

import (
	"cmp"
	"fmt"
	"slices"

	"go.lsp.dev/protocol"

	"sewable/lang/english"
	"sewable/lint"
)

// maxFindings is how many findings of one document an editor is sent: it would lay out and
// underline every one, and nobody reads more.
const maxFindings = 1000

// mostSevere are as many findings as may be, the most severe and of those the first, in their
// order; and how many that leaves out.
func mostSevere(findings []lint.Finding, most int) (shown []lint.Finding, left int) {
	if len(findings) <= most {
		return findings, 0
	}
	at := make([]int, len(findings))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(findings[b].Level, findings[a].Level) })
	at = at[:most]
	slices.Sort(at)
	for _, i := range at {
		shown = append(shown, findings[i])
	}
	return shown, len(findings) - most
}

// leftOut says, at the start of a document, how many findings are not shown.
func leftOut(n int) protocol.Diagnostic {
	return protocol.Diagnostic{
		Severity: protocol.DiagnosticSeverityInformation,
		Source:   protocol.NewOptional(sourceName),
		Message: protocol.String(fmt.Sprintf("%s not shown; showing the %d most severe. Run `sewable lint` for all of them.",
			english.Count(n, "more finding is", "more findings are"), maxFindings)),
	}
}
