package output

import "sewable/lint"

// JSONFinding is one finding as JSON writes it, for documents that hold findings
// among other things.
func JSONFinding(f lint.Finding) any { return findingOf(f) }
