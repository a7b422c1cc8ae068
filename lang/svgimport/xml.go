package svgimport

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

const (
	svgSpace   = "http://www.w3.org/2000/svg"
	xlinkSpace = "http://www.w3.org/1999/xlink"
)

// An element of a drawing. What is in another language than SVG is left out.
type element struct {
	name         string
	attr         map[string]string
	text         string // of its own, for title, style and text
	line, column int
	parent       *element
	children     []*element
}

// String is how an element is called in an error: path "hull".
func (e *element) String() string {
	if id := e.attr["id"]; id != "" {
		return fmt.Sprintf("%s %q", e.name, id)
	}
	return e.name
}

// read reads a drawing as a tree and notes which element has which id. No entity is expanded but XML's
// own five and character numbers, and nothing outside the file is looked at.
func (t *tracer) read(text string) (*element, error) {
	if len(text) > MaxBytes {
		return nil, t.failed("the drawing is larger than %d MB. Remove what is not part of the block", MaxBytes>>20)
	}
	if i := invalid(text); i >= 0 {
		line, column := 1+strings.Count(text[:i], "\n"), i-strings.LastIndexByte(text[:i], '\n')
		return nil, &Error{t.path, line, column, "this is not UTF-8 text. Save the drawing as plain SVG, not compressed"}
	}
	t.ids = make(map[string]*element)
	d := xml.NewDecoder(strings.NewReader(text))
	var root, at *element
	depth, elements := 0, 0
	for {
		line, column := d.InputPos()
		fail := func(format string, args ...any) (*element, error) {
			return nil, &Error{t.path, line, column, fmt.Sprintf(format, args...)}
		}
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fail("this is not well-formed XML: %s", plainly(err))
		}
		switch tok := token.(type) {
		case xml.Directive:
			if s := string(tok); strings.Contains(s, "<!") || strings.ContainsRune(s, '[') {
				return fail("the document type declares entities, which are not expanded. Save the drawing without them")
			}
		case xml.ProcInst:
			if tok.Target == "xml-stylesheet" {
				return fail("a style sheet outside the drawing is not fetched. Save the drawing with its styles in it")
			}
		case xml.CharData:
			if at != nil && (at.name == "title" || at.name == "style" || at.name == "text" || at.name == "tspan") {
				at.text += string(tok)
			}
		case xml.StartElement:
			if depth++; depth > maxDepth {
				return fail("elements are nested more than %d deep", maxDepth)
			}
			if elements++; elements > maxElement {
				return fail("there are more than %d elements", maxElement)
			}
			if tok.Name.Space != svgSpace && tok.Name.Space != "" {
				if root == nil {
					return fail("this is not SVG: it begins with the element %s", tok.Name.Local)
				}
				if err := d.Skip(); err != nil {
					return fail("this is not well-formed XML: %s", plainly(err))
				}
				depth--
				continue
			}
			e := &element{name: tok.Name.Local, attr: attributes(tok.Attr), line: line, column: column, parent: at}
			if id := e.attr["id"]; id != "" && t.ids[id] == nil {
				t.ids[id] = e
			}
			switch {
			case at != nil:
				at.children = append(at.children, e)
			case e.name != "svg":
				return fail("this is not SVG: it begins with the element %s", e.name)
			default:
				root = e
			}
			at = e
		case xml.EndElement:
			depth--
			if at != nil {
				at = at.parent
			}
		}
	}
	if root == nil {
		return nil, t.failed("it has no svg element")
	}
	return root, nil
}

// attributes are those of SVG, links, and the labels that drawing programs give in languages of their own.
func attributes(list []xml.Attr) map[string]string {
	out := make(map[string]string, len(list))
	for _, a := range list {
		switch {
		case a.Name.Space == "":
			out[a.Name.Local] = a.Value
		case a.Name.Space == xlinkSpace && a.Name.Local == "href":
			if _, ok := out["href"]; !ok {
				out["href"] = a.Value
			}
		case a.Name.Local == "label":
			if _, ok := out["label"]; !ok {
				out["label"] = a.Value
			}
		}
	}
	return out
}

// invalid is where a text is not UTF-8, or has a zero byte; -1 when it is sound.
func invalid(text string) int {
	if i := strings.IndexByte(text, 0); i >= 0 {
		return i
	}
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && n <= 1 {
			return i
		}
		i += n
	}
	return -1
}

// plainly is what the XML reader found, without its own count of lines.
func plainly(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return syntax.Msg
	}
	return strings.TrimPrefix(err.Error(), "xml: ")
}

// words are the text of an element and all in it.
func (e *element) words() string {
	out := e.text
	for _, c := range e.children {
		out += c.words()
	}
	return out
}

// each visits an element and all below it.
func (e *element) each(visit func(*element)) {
	visit(e)
	for _, c := range e.children {
		c.each(visit)
	}
}
