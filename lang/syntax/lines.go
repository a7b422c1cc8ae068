package syntax

import "strings"

// Piece is a token of one line: its kind, and where it is in the line.
type Piece struct {
	Kind       Kind
	Start, End int32
}

// Lines cuts a text into its lines and those into tokens, none of which goes past the end of
// its line.
func Lines(text string) [][]Piece {
	tokens := Tokens(text)
	pieces := make([]Piece, len(tokens))
	lines := make([][]Piece, 0, strings.Count(text, "\n")+1)
	n, start := 0, 0
	for more := true; more; {
		var line string
		line, _, more = strings.Cut(text[start:], "\n")
		first := n
		for ; n < len(tokens) && tokens[n].Start < start+len(line); n++ {
			t := &tokens[n]
			pieces[n] = Piece{t.Kind, int32(t.Start - start), int32(t.End - start)}
		}
		lines = append(lines, pieces[first:n:n])
		start += len(line) + 1
	}
	return lines
}
