// Package texts holds every sentence of the sewing guide and the foundation
// sheets, each under a name, with places for what changes in braces:
//
//	Fill("Trim {allowance} past the fold.", "allowance", "1/4 in")
package texts

import "strings"

// Fill puts values into the places of a text, given as name and value by
// turns. A place that gets no value stays as it is, so that it is seen.
func Fill(text string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		pairs[i] = "{" + pairs[i] + "}"
	}
	return strings.NewReplacer(pairs...).Replace(text)
}
