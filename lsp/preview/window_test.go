package preview_test

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp/preview"
)

// patience is how long a test waits for what has to come.
const patience = 10 * time.Second

// object is a JSON object.
type object = map[string]any

// start serves pages.
func start(t testing.TB, o preview.Options) *preview.Server {
	s, err := preview.Start(o)
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

// follow shows a file as it is on disk.
func follow(t testing.TB, s *preview.Server, path string) *preview.Page {
	page, err := s.Page(path)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	begun, ended := make(chan bool, 1), make(chan error, 1)
	go func() {
		ended <- page.Follow(ctx, preview.Following{
			Rules:  rules.All,
			Config: func() (*lint.Config, error) { return lint.NewConfig(rules.All), nil },
			Begun:  func() { begun <- true },
		})
	}()
	select {
	case <-begun:
	case err := <-ended:
		require.NoError(t, err)
	}
	t.Cleanup(func() { stop(); <-ended })
	return page
}

// repository is a folder of its own with these files.
func repository(t testing.TB, files map[string]string) string {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	for name, text := range files {
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func write(t testing.TB, path, text string) {
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

// window is an open page without a browser.
type window struct {
	t      testing.TB
	page   *preview.Page
	client *http.Client
	events map[string]chan json.RawMessage // each kind by itself: in which order they come is nobody's business
	stream string
}

var kinds = []string{"hello", "words", "picture", "light", "bye"}

// said and shown are what the tests read of what a window is sent.
type said struct {
	Title, Summary, State, Kind, Why string
	Undivided                        string
	Old, Sewable                     bool
	Choices                          []struct{ Title, Kind string }
	Look                             preview.Look
	Colourways                       []struct{ Name, Title string }
	Fabrics                          []struct {
		Title, Colour string
		Patches       int
	}
	Sections []struct{ Name, SVG string }
	Patches  []struct {
		Label, Fabric, Cut string
		Line, Column       int
	}
	Steps    []struct{ Section, Patch, Title, Cut, Words string }
	Findings []struct {
		Level, Rule, Message, Block string
		Line                        int
	}
}

type shown struct {
	Look  preview.Look
	SVG   string
	Marks []int
}

// open opens a window that looks at something.
func open(t testing.TB, page *preview.Page, look preview.Look) *window {
	w := &window{t: t, page: page, client: &http.Client{Transport: &http.Transport{}}, events: map[string]chan json.RawMessage{}}
	for _, k := range kinds {
		w.events[k] = make(chan json.RawMessage, 2000)
	}
	text, err := json.Marshal(look)
	require.NoError(t, err)
	answer, err := w.client.Get(page.URL() + "events?look=" + url.QueryEscape(string(text)))
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, answer.StatusCode)
	go func() {
		defer func() {
			for _, k := range kinds {
				close(w.events[k])
			}
		}()
		var name string
		lines := bufio.NewReader(answer.Body)
		for {
			line, err := lines.ReadString('\n')
			if err != nil {
				return
			}
			switch key, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": "); key {
			case "event":
				name = value
			case "data":
				w.events[name] <- json.RawMessage(value)
			}
		}
	}()
	t.Cleanup(func() { answer.Body.Close(); w.client.CloseIdleConnections() })
	var hello struct{ Stream string }
	w.next("hello", &hello)
	w.stream = hello.Stream
	return w
}

// next waits for the next event of a name.
func (w *window) next(name string, into any) {
	w.t.Helper()
	select {
	case data, ok := <-w.events[name]:
		if !ok {
			w.t.Fatalf("the stream ended before %s", name)
		}
		require.NoError(w.t, json.Unmarshal(data, into))
	case <-time.After(patience):
		w.t.Fatalf("waited in vain for %s", name)
	}
}

// words waits until what is said is right.
func (w *window) words(right func(said) bool) said {
	w.t.Helper()
	for {
		var s said
		w.next("words", &s)
		if right == nil || right(s) {
			return s
		}
	}
}

// picture waits until what is shown is right.
func (w *window) picture(right func(shown) bool) shown {
	w.t.Helper()
	for {
		var p shown
		w.next("picture", &p)
		if right == nil || right(p) {
			return p
		}
	}
}

// post sends what the page sends.
func (w *window) post(name string, body any) (int, string) {
	w.t.Helper()
	text, err := json.Marshal(body)
	require.NoError(w.t, err)
	r, err := http.NewRequest(http.MethodPost, w.page.URL()+name, strings.NewReader(string(text)))
	require.NoError(w.t, err)
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", origin(w.page))
	answer, err := w.client.Do(r)
	require.NoError(w.t, err)
	defer answer.Body.Close()
	said, err := io.ReadAll(answer.Body)
	require.NoError(w.t, err)
	return answer.StatusCode, string(said)
}

func origin(p *preview.Page) string {
	u, _ := url.Parse(p.URL())
	return u.Scheme + "://" + u.Host
}

func (w *window) turn(l preview.Look) {
	w.t.Helper()
	status, text := w.post("view", object{"stream": w.stream, "look": l})
	require.Equal(w.t, http.StatusNoContent, status, text)
}

// harbour is a copy of the pattern repository.
func harbour(t testing.TB) string {
	dir := repository(t, nil)
	require.NoError(t, os.CopyFS(dir, os.DirFS("../../testdata/harbour")))
	return dir
}

func edit(t testing.TB, path, old, text string) {
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(before), old)
	write(t, path, strings.Replace(string(before), old, text, 1))
}

func unmarshal(t testing.TB, data []byte, into any) {
	t.Helper()
	require.NoError(t, json.Unmarshal(data, into))
}
