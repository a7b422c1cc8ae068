package syntax

import (
	"fmt"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const referencePath = "../REFERENCE.md"

type example struct {
	line   int
	broken bool
	text   string
}

func referenceExamples(t *testing.T) (page string, examples []example) {
	data, err := os.ReadFile(referencePath)
	require.NoError(t, err)
	page = string(data)
	for _, at := range regexp.MustCompile("(?ms)^```block( broken)?\n(.*?)^```$").FindAllStringSubmatchIndex(page, -1) {
		examples = append(examples, example{
			line: strings.Count(page[:at[0]], "\n") + 1, broken: at[2] >= 0, text: page[at[4]:at[5]],
		})
	}
	assert.Len(t, examples, strings.Count(page, "\n```block"), "every fence is found")
	return page, examples
}

// surroundings are where the lines of an example may stand.
var surroundings = []string{"%s", "block \"T\" 6 by 6 {\n%s}\n", "block \"T\" 6 by 6 {\nsection S {\n%s}\n}\n"}

// Every example of the reference can be read, where its lines may stand; every broken
// one cannot.
func TestReferenceExamples(t *testing.T) {
	_, examples := referenceExamples(t)
	require.Greater(t, len(examples), 30)
	for _, e := range examples {
		if e.broken {
			assert.NotEmpty(t, parse(e.text).Errors, "line %d should be broken", e.line)
			continue
		}
		var errors []string
		for _, s := range surroundings {
			tree := parse(fmt.Sprintf(s, e.text))
			errors = append(errors, errorList(tree))
		}
		assert.Contains(t, errors, "", "line %d:\n%s", e.line, e.text)
	}
}

// The examples show every kind of node of the language, with every one of its parts.
func TestReferenceShowsEveryForm(t *testing.T) {
	_, examples := referenceExamples(t)
	seen := map[string]bool{}
	for _, e := range examples {
		for _, s := range surroundings {
			if tree := parse(fmt.Sprintf(s, e.text)); len(tree.Errors) == 0 {
				Walk(tree.Items, func(item *Item) bool { notePart(seen, reflect.ValueOf(item.Node)); return true })
			}
		}
	}
	kinds := []reflect.Type{}
	for _, kind := range []any{Transform{}, Cut{}, Cell{}, Line{}, PointRef{}, Number{}, Ref{}, Negative{}, Binary{}, Paren{}} {
		kinds = append(kinds, reflect.TypeOf(kind))
	}
	for _, p := range pointForms {
		kinds = append(kinds, p.node)
	}
	for _, s := range statements {
		if s.by.node != reflect.TypeFor[loosePatch]() {
			kinds = append(kinds, s.by.node)
		}
	}
	for _, typ := range kinds {
		assert.True(t, seen[typ.Name()], "no example of %s", typ.Name())
		for i := range typ.NumField() {
			if f := typ.Field(i); !f.Anonymous && f.IsExported() {
				assert.True(t, seen[typ.Name()+"."+f.Name], "no example of %s with %s", typ.Name(), f.Name)
			}
		}
	}
	for i, unit := range []Unit{Bare, Inches} {
		assert.True(t, seen[fmt.Sprintf("Unit %d", i)], "no example of the unit %q", unit)
	}
	for form := CutRectangle; form <= CutQuartered; form++ {
		assert.True(t, seen[fmt.Sprintf("Form %d", form)], "no example of cut form %d", form)
	}
}

// notePart notes the type of a node and the fields it sets.
func notePart(seen map[string]bool, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			notePart(seen, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			notePart(seen, v.Index(i))
		}
	case reflect.Struct:
		typ := v.Type()
		seen[typ.Name()] = true
		for i := range v.NumField() {
			f := typ.Field(i)
			if !f.IsExported() {
				continue
			}
			if f.Type.Kind() == reflect.Uint8 {
				seen[fmt.Sprintf("%s %d", f.Name, v.Field(i).Uint())] = true
			}
			if !v.Field(i).IsZero() || f.Type.Kind() == reflect.Uint8 {
				seen[typ.Name()+"."+f.Name] = true
				notePart(seen, v.Field(i))
			}
		}
	}
}

// Each word is explained, above the list of them.
func TestReferenceExplainsEveryWord(t *testing.T) {
	page, _ := referenceExamples(t)
	before, _, found := strings.Cut(page, "## Every form\n")
	require.True(t, found)
	for _, k := range Keywords() {
		assert.Regexp(t, `\b`+k.Word+`\b`, before, "the page does not explain %q", k.Word)
	}
}

// Each limit on the page is the one in the code.
func TestReferenceLimits(t *testing.T) {
	page, _ := referenceExamples(t)
	for _, row := range []string{
		fmt.Sprintf("| a file | %d MiB, %s lines |", MaxBytes>>20, thousands(MaxLines)),
		fmt.Sprintf("| a statement | %d KiB |", MaxStatement>>10),
		fmt.Sprintf("| a name | %d characters |", MaxNameLength),
		fmt.Sprintf("| a number | %s in, and %d digits in a row |", thousands(MaxInches), MaxDigits),
		fmt.Sprintf("| a patch number, a count of rows or columns | %s |", thousands(MaxWhole)),
		fmt.Sprintf("| nested parentheses and point forms | %d |", MaxDepth),
		fmt.Sprintf("| terms of one sum or product | %s |", thousands(MaxTerms)),
		fmt.Sprintf("| nested braces | %d |", MaxBraces),
	} {
		assert.Contains(t, page, row)
	}
}

func thousands(n int) string { return fmt.Sprintf("%d,%03d", n/1000, n%1000) }
