package wire

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Messages travel as the base protocol has it (Language Server Protocol 3.18,
// "Base Protocol"): header lines, an empty line, and a body of JSON whose
// length in bytes the header gives.

// The limits of a message. A file of the language has at most 8 MiB, which
// JSON's escapes can make six times as long.
const (
	maxHeader = 4 << 10 // bytes of one header line
	maxBody   = 64 << 20
	maxLength = 1 << 30 // past it a length is nonsense: to pass over so much would be to wait for ever
)

// ErrFraming is what a Reader says of bytes that are no message. It has then
// found its way to where the next message may begin: reading can go on.
var ErrFraming = errors.New("not a message")

// Reader takes messages apart.
type Reader struct{ in *bufio.Reader }

// NewReader returns a Reader of a stream.
func NewReader(r io.Reader) *Reader { return &Reader{bufio.NewReaderSize(r, 64<<10)} }

// Read gives the body of the next message, which the caller owns. At the end of
// the stream the error is io.EOF, in the middle of a message
// io.ErrUnexpectedEOF; ErrFraming is wrapped where the bytes are no message.
func (r *Reader) Read() ([]byte, error) {
	length, any := -1, false
	for {
		line, err := r.line()
		switch {
		case errors.Is(err, ErrFraming):
			return nil, err
		case err == io.EOF && !any && line == "":
			return nil, io.EOF
		case err == io.EOF:
			return nil, io.ErrUnexpectedEOF
		case err != nil:
			return nil, err
		case line == "" && !any: // empty lines between messages do no harm
			continue
		case line == "":
			return r.body(length)
		}
		any = true
		name, value, ok := strings.Cut(line, ":")
		if !ok {
			return nil, fmt.Errorf("%w: the header line %q has no colon", ErrFraming, cut(line))
		}
		if strings.EqualFold(strings.TrimSpace(name), "Content-Length") {
			if length, err = strconv.Atoi(strings.TrimSpace(value)); err != nil || length < 0 || length > maxLength {
				return nil, fmt.Errorf("%w: %q is no length", ErrFraming, cut(value))
			}
		}
	}
}

// line reads a header line without its line break. One that is too long is
// passed over.
func (r *Reader) line() (string, error) {
	var line []byte
	long := false
	for {
		part, err := r.in.ReadSlice('\n')
		if long = long || len(line)+len(part) > maxHeader; !long {
			line = append(line, part...)
		}
		switch {
		case err == bufio.ErrBufferFull:
			continue
		case err != nil:
			return strings.TrimRight(string(line), "\r\n"), err
		case long:
			return "", fmt.Errorf("%w: a header line of more than %d bytes", ErrFraming, maxHeader)
		}
		return strings.TrimRight(string(line), "\r\n"), nil
	}
}

func (r *Reader) body(length int) ([]byte, error) {
	switch {
	case length < 0:
		return nil, fmt.Errorf("%w: a header without Content-Length", ErrFraming)
	case length > maxBody:
		if _, err := io.CopyN(io.Discard, r.in, int64(length)); err != nil {
			return nil, io.ErrUnexpectedEOF
		}
		return nil, fmt.Errorf("%w: a body of %d bytes; %d is the most", ErrFraming, length, maxBody)
	}
	body := make([]byte, 0, min(length, 1<<20)) // a length that is only claimed costs nothing
	for len(body) < length {
		n := min(length-len(body), max(cap(body)-len(body), 1<<20))
		at := len(body)
		body = append(body, make([]byte, n)...)
		if _, err := io.ReadFull(r.in, body[at:]); err != nil {
			return nil, io.ErrUnexpectedEOF
		}
	}
	return body, nil
}

func cut(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}

// AppendFrame puts a body into its frame.
func AppendFrame(dst, body []byte) []byte {
	dst = append(dst, "Content-Length: "...)
	dst = strconv.AppendInt(dst, int64(len(body)), 10)
	dst = append(dst, "\r\n\r\n"...)
	return append(dst, body...)
}
