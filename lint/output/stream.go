package output

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"sewable/lang/visible"
)

const step = "  " // of the indentation of JSON

// stream writes a document as JSON, with a list that is empty in it filled: its n
// elements are made and written one at a time, so that a long list needs no more memory
// than a short one. The bytes are those of the document as a whole. An empty name is for a
// document that is the list itself.
func stream(to io.Writer, document any, name string, n int, element func(i int) any) error {
	w := bufio.NewWriter(to)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", step)
	if err := e.Encode(document); err != nil {
		return err
	}
	key := ""
	if name != "" {
		key = fmt.Sprintf("%q: ", name)
	}
	before, after, ok := strings.Cut(string(visible.EscapeJSON(b.Bytes())), key+"[]") // not in a text: there its quotes would be escaped
	if !ok {
		return fmt.Errorf("there is no empty list %q to fill", name)
	}
	lead := before[strings.LastIndexByte(before, '\n')+1:]
	e.SetIndent(lead+step, step)
	w.WriteString(before + key + "[")
	end := ""
	for i := range n {
		between := ",\n"
		if i == 0 {
			between, end = "\n", "\n"+lead
		}
		b.Reset()
		b.WriteString(between + lead + step)
		if err := e.Encode(element(i)); err != nil {
			return err
		}
		if _, err := w.Write(visible.EscapeJSON(bytes.TrimSuffix(b.Bytes(), []byte("\n")))); err != nil {
			return err
		}
	}
	w.WriteString(end + "]" + after)
	return w.Flush() // which says what went wrong before
}
