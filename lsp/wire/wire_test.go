package wire_test

import (
	"bytes"
	"errors"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lsp/wire"
)

// Whatever bytes come, a Reader ends, and finds the message behind them.
func FuzzReader(f *testing.F) {
	for _, seed := range []string{"", "nonsense", "Content-Length: 5\r\n\r\nab", "Content-Length: -1\r\n\r\n", "a:b\n\n", "Content-Length: 99999999\r\n\r\n"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, junk []byte) {
		message := []byte(`{"jsonrpc":"2.0","method":"exit"}`)
		r := wire.NewReader(bytes.NewReader(wire.AppendFrame(append([]byte(nil), junk...), message)))
		for range len(junk) + 10 {
			_, err := r.Read()
			if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
				return
			}
			if err != nil && !errors.Is(err, wire.ErrFraming) {
				t.Fatal(err)
			}
		}
		t.Fatal("it does not end")
	})
}

func TestFrames(t *testing.T) {
	var stream []byte
	for _, body := range []string{"{}", `{"a":"é"}`, ""} {
		stream = wire.AppendFrame(stream, []byte(body))
	}
	r := wire.NewReader(bytes.NewReader(stream))
	for _, body := range []string{"{}", `{"a":"é"}`, ""} {
		got, err := r.Read()
		assert.NoError(t, err)
		assert.Equal(t, body, string(got))
	}
	_, err := r.Read()
	assert.Equal(t, io.EOF, err)
}
