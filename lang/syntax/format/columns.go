package format

import (
	"fmt"
	"slices"
	"strings"

	"sewable/lang/syntax"
)

// columns parts a statement on one line where it may be lined up.
func columns(node syntax.Statement, tokens []syntax.Token) []band {
	switch n := node.(type) {
	case *syntax.PointDef, *syntax.Let:
		return []band{nameAndValue(tokens[0].Text, tokens, 2)}
	case *syntax.Swap:
		return []band{nameAndValue("swap", tokens, 1)}
	case *syntax.Fabric:
		return fabric(n, tokens)
	case *syntax.Patch:
		return patch(n, tokens)
	}
	return plain(join(tokens))
}

// nameAndValue parts before the `=`, which is token number at.
func nameAndValue(kind string, tokens []syntax.Token, at int) band {
	return band{kind: kind, cells: []string{join(tokens[:at]), join(tokens[at:])}, right: -1, most: 20}
}

// fabric has a column each for name, title and colour, when they stand in that order.
func fabric(n *syntax.Fabric, tokens []syntax.Token) []band {
	cells := []string{join(tokens[:2]), "", ""}
	rest := tokens[2:]
	if n.Title != nil && rest[0].Kind == syntax.KindString {
		cells[1], rest = rest[0].Text, rest[1:]
	}
	if n.Colour != nil && len(rest) > 0 && rest[0].Kind == syntax.KindColour {
		cells[2], rest = rest[0].Text, rest[1:]
	}
	return []band{{kind: "fabric", cells: append(cells, join(rest)), right: -1, most: 30}}
}

// patch has columns for number and fabric, and, next to patches of the same
// shape, for its points.
func patch(n *syntax.Patch, tokens []syntax.Token) []band {
	head := band{kind: "patch", cells: []string{"patch", "", ""}, right: 1, most: 20}
	at := 2
	if n.Number != nil {
		head.cells[1], at = tokens[1].Text, 3
	} else {
		head = band{kind: "patch without a number", cells: []string{"patch", ""}, right: -1, most: 20}
	}
	head.cells[len(head.cells)-1] = tokens[at-1].Text
	points := n.Corners
	kind := fmt.Sprintf("%d corners", len(points))
	if n.Beyond != nil && n.Beyond.Seam == nil {
		points, kind = []syntax.Point{n.Beyond.P, n.Beyond.Q}, "beyond"
	}
	rest := tokens[at:]
	if len(points) == 0 || slices.ContainsFunc(points, isForm) {
		return append([]band{head}, plain(join(rest))...)
	}
	shape := band{kind: kind, right: -1, most: 10}
	for i, point := range points {
		// A cell ends where the next point begins; a comma belongs to the point
		// before it, `beyond` to the first.
		end := point.At().End
		if i+1 < len(points) {
			end = points[i+1].At().Start
		}
		k := 0
		for k < len(rest) && (rest[k].Start < end || rest[k].Text == ",") {
			k++
		}
		shape.cells, rest = append(shape.cells, join(rest[:k])), rest[k:]
	}
	shape.cells = append(shape.cells, join(rest))
	return []band{head, shape}
}

// isForm reports whether a point is more than a pair of numbers or a name.
func isForm(p syntax.Point) bool {
	switch p.(type) {
	case *syntax.Pair, *syntax.PointRef:
		return false
	}
	return true
}

// join puts tokens side by side: one space between them, none inside
// parentheses, before a comma, or between a sign and what it belongs to.
func join(tokens []syntax.Token) string {
	text, _ := joinAfter(false, tokens)
	return text
}

// joinAfter joins tokens that follow others. operand says whether those, and
// in the result whether these, end in a number: then a minus subtracts.
func joinAfter(operand bool, tokens []syntax.Token) (string, bool) {
	var s strings.Builder
	tight := true // no space before the next token
	for _, t := range tokens {
		if !tight && t.Text != "," && t.Text != ")" {
			s.WriteByte(' ')
		}
		text := t.Text
		if t.Kind == syntax.KindNumber {
			text = strings.Join(strings.Fields(text), " ")
		}
		s.WriteString(text)
		tight = t.Text == "(" || t.Text == "-" && !operand
		switch t.Kind {
		case syntax.KindNumber, syntax.KindName:
			operand = true
		case syntax.KindWord:
			operand = operand && (t.Text == "in" || t.Text == "mm" || t.Text == "cm")
		default:
			operand = t.Text == ")"
		}
	}
	return s.String(), operand
}
