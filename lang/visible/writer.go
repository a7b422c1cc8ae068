package visible

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"sync"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Lines is a writer that shows what is written through it, line by line. The last line is held
// until it is whole, or until Flush.
type Lines struct {
	to   io.Writer
	show func(line string) string
	mu   sync.Mutex
	held []byte
}

// NewLines is a writer to another; show makes what is sent of a line, given without its break.
func NewLines(to io.Writer, show func(line string) string) *Lines {
	return &Lines{to: to, show: show}
}

// KeepTabs is Text with tabs left as they are: for the text of a file.
func KeepTabs(s string) string {
	if !strings.Contains(s, "\t") {
		return Text(s)
	}
	parts := strings.Split(s, "\t")
	for i, p := range parts {
		parts[i] = Text(p)
	}
	return strings.Join(parts, "\t")
}

func (w *Lines) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	last := bytes.LastIndexByte(p, '\n')
	if last < 0 {
		w.held = append(w.held, p...)
		return len(p), nil
	}
	text := string(w.held) + string(p[:last])
	w.held = append(w.held[:0], p[last+1:]...)
	if _, err := io.WriteString(w.to, eachLine(text, w.show)+"\n"); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Flush sends the line that is not whole.
func (w *Lines) Flush() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.held) == 0 {
		return nil
	}
	_, err := io.WriteString(w.to, eachLine(string(w.held), w.show))
	w.held = nil
	return err
}

// KeepLines is KeepTabs of every line: for text of a file that may be longer than a line.
func KeepLines(s string) string {
	if printable(s) {
		return s
	}
	return eachLine(s, KeepTabs)
}

// eachLine makes of each line of a text another; line breaks stay.
func eachLine(text string, show func(string) string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		l, end := strings.CutSuffix(l, "\r")
		lines[i] = show(l)
		if end {
			lines[i] += "\r"
		}
	}
	return strings.Join(lines, "\n")
}

// JSON writes a document as JSON, indented, in which what Text would show is escaped, as JSON can
// (RFC 8259, section 7): paths and edits stay exact for programs, and do nothing to a terminal.
func JSON(to io.Writer, document any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(document); err != nil {
		return err
	}
	_, err := to.Write(EscapeJSON(b.Bytes()))
	return err
}

// EscapeJSON escapes in a piece of JSON what Text would show anywhere, and the second of two `#`, which begin a command to the logs
// of CI systems. Beyond line breaks and tabs, which stand between values too, JSON has such characters in strings alone.
func EscapeJSON(p []byte) []byte {
	var b bytes.Buffer
	from := 0
	hash := false // behind a `#`; characters that only format may be between
	for i := 0; i < len(p); {
		if p[i] < 0x7F && p[i] != '#' {
			hash = false
			i++
			continue
		}
		r, size := utf8.DecodeRune(p[i:])
		again := r == '#' && hash
		hash = r == '#' || hash && unicode.Is(unicode.Cf, r)
		if acts(r, size) || isMark(r) || invisible(r) || again {
			b.Write(p[from:i])
			if hi, lo := utf16.EncodeRune(r); hi != utf8.RuneError {
				fmt.Fprintf(&b, `\u%04x\u%04x`, hi, lo)
			} else {
				fmt.Fprintf(&b, `\u%04x`, r)
			}
			from = i + size
		}
		i += size
	}
	if from == 0 {
		return p
	}
	b.Write(p[from:])
	return b.Bytes()
}
