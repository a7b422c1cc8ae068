package syntax

import "reflect"

// Visitor visits the points, lines and numbers of a statement, each before what
// it is made of, in the order they are typed. Functions may be nil.
type Visitor struct {
	Point func(Point)
	Line  func(Line)
	Expr  func(Expr)
}

// Statement visits the parts of one statement; nil has none.
func (v Visitor) Statement(n Statement) {
	if n != nil {
		v.visit(reflect.ValueOf(n))
	}
}

// visit visits the fields of a node, in which a point or a number is an interface.
func (v Visitor) visit(x reflect.Value) {
	switch x.Kind() {
	case reflect.Interface:
		switch n := x.Interface().(type) {
		case Point:
			if v.Point != nil {
				v.Point(n)
			}
		case Expr:
			if v.Expr != nil {
				v.Expr(n)
			}
		default: // nil
			return
		}
		v.visit(x.Elem())
	case reflect.Pointer:
		if !x.IsNil() {
			v.visit(x.Elem())
		}
	case reflect.Slice:
		for i := range x.Len() {
			v.visit(x.Index(i))
		}
	case reflect.Struct:
		if l, ok := x.Interface().(Line); ok && v.Line != nil {
			v.Line(l)
		}
		for i := range x.NumField() {
			if x.Type().Field(i).IsExported() {
				v.visit(x.Field(i))
			}
		}
	}
}
