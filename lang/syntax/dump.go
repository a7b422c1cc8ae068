package syntax

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"sewable/lang/geom"
	"sewable/lang/source"
)

// Dump writes a node, or a part of one, without its spans and on one line: for
// debugging, and to see whether two nodes mean the same. What is absent or
// false is left out.
func Dump(node any) string {
	var s strings.Builder
	dump(&s, reflect.ValueOf(node))
	return s.String()
}

func dump(s *strings.Builder, v reflect.Value) {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		v = v.Elem()
	}
	if !v.IsValid() {
		s.WriteString("none")
		return
	}
	switch x := v.Interface().(type) {
	case Name:
		s.WriteString(x.Text)
	case Ref:
		s.WriteString(x.Text)
	case PointRef:
		s.WriteString(x.Text)
	case Text:
		s.WriteString(strconv.Quote(x.Value))
	case Colour:
		s.WriteString(x.Hex)
	case Whole:
		s.WriteString(strconv.Itoa(x.Value))
	case Number:
		s.WriteString(dumpNum(x.Value) + x.Unit.String())
	case Pair:
		s.WriteString("(")
		dump(s, reflect.ValueOf(x.X))
		s.WriteString(", ")
		dump(s, reflect.ValueOf(x.Y))
		s.WriteString(")")
	case CutForm:
		s.WriteString([...]string{"rectangle", "strip", "halved", "quartered"}[x])
	case byte:
		s.WriteString(string(rune(x)))
	case bool:
		s.WriteString(strconv.FormatBool(x))
	default:
		dumpParts(s, v)
	}
}

func dumpParts(s *strings.Builder, v reflect.Value) {
	if v.Kind() == reflect.Slice {
		s.WriteString("[")
		for i := range v.Len() {
			if i > 0 {
				s.WriteString(" ")
			}
			dump(s, v.Index(i))
		}
		s.WriteString("]")
		return
	}
	s.WriteString(v.Type().Name() + "{")
	first := true
	for i := range v.NumField() {
		field := v.Type().Field(i)
		if field.Type == reflect.TypeFor[source.Span]() || v.Field(i).IsZero() && field.Type.Kind() != reflect.Uint8 {
			continue
		}
		if !first {
			s.WriteString(", ")
		}
		first = false
		s.WriteString(field.Name + ": ")
		dump(s, v.Field(i))
	}
	s.WriteString("}")
}

func dumpNum(n geom.Num) string {
	top, bottom, exact := n.Exact()
	switch {
	case !exact:
		return fmt.Sprint(n.Float64())
	case bottom == 1:
		return strconv.FormatInt(top, 10)
	}
	return fmt.Sprintf("%d/%d", top, bottom)
}

// String is the unit's word, empty for a bare number.
func (u Unit) String() string { return [...]string{"", "in", "mm", "cm"}[u] }

// String is the kind's name for debugging.
func (k ItemKind) String() string {
	return [...]string{"Blank", "Remark", "Simple", "Opens", "Closes", "Unreadable"}[k]
}

// String is the kind's name for debugging.
func (k ErrorKind) String() string {
	return [...]string{"Malformed", "Misplaced", "Unclosed", "ReservedWord", "Limit", "NotText"}[k]
}

// String is the kind's name for debugging.
func (k Kind) String() string {
	return [...]string{"bad", "word", "name", "number", "string", "colour", "punctuation", "comment"}[k]
}
