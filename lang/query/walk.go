package query

import (
	"sewable/lang/syntax"
)

// numberAt is the number under the cursor.
func numberAt(c Cursor) (found *syntax.Number) {
	if c.Item == nil || c.Item.Node == nil {
		return nil
	}
	syntax.Visitor{Expr: func(e syntax.Expr) {
		if n, ok := e.(*syntax.Number); ok && c.Item.Abs(n.Span).Contains(c.Offset) {
			found = n
		}
	}}.Statement(c.Item.Node)
	return found
}

// PointAt is the innermost point under the cursor.
func PointAt(c Cursor) (found syntax.Point) {
	if c.Item == nil || c.Item.Node == nil {
		return nil
	}
	syntax.Visitor{Point: func(p syntax.Point) {
		if c.Item.Abs(p.At()).Contains(c.Offset) {
			found = p
		}
	}}.Statement(c.Item.Node)
	return found
}
