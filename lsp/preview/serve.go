package preview

import (
	"embed"
	"encoding/json"
	"io"
	"net/http"
	"strconv"
	"time"
)

//go:embed assets
var assets embed.FS

// answer answers a request for a page that was let in.
type answer func(p *Page, w http.ResponseWriter, r *http.Request)

// routes are all there is to ask for, below the secret of a page, and by which method.
var routes = map[string]map[string]answer{
	"":           asset("page.html", "text/html; charset=utf-8"),
	"page.css":   asset("page.css", "text/css; charset=utf-8"),
	"page.js":    asset("page.js", "text/javascript; charset=utf-8"),
	"drawing.js": asset("drawing.js", "text/javascript; charset=utf-8"),
	"lists.js":   asset("lists.js", "text/javascript; charset=utf-8"),
	"order.js":   asset("order.js", "text/javascript; charset=utf-8"),
	"icon.svg":   asset("icon.svg", "image/svg+xml"),
	"events":     {http.MethodGet: (*Page).events},
	"view":       {http.MethodPost: (*Page).view},
	"goto":       {http.MethodPost: (*Page).goTo},
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	for name, value := range headers {
		w.Header().Set(name, value)
	}
	p, name, status := s.admit(r)
	if status != 0 {
		http.Error(w, http.StatusText(status), status)
		return
	}
	routes[name][r.Method](p, w, r)
}

// asset gives a file of the page.
func asset(name, contentType string) map[string]answer {
	text, err := assets.ReadFile("assets/" + name)
	if err != nil {
		panic(err) // it is built in
	}
	give := func(_ *Page, w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", contentType)
		w.Header().Set("Content-Length", strconv.Itoa(len(text)))
		if r.Method != http.MethodHead {
			_, _ = w.Write(text) // a reader that leaves is no fault of ours
		}
	}
	return map[string]answer{http.MethodGet: give, http.MethodHead: give}
}

// read reads the small object that a request sends.
func read(w http.ResponseWriter, r *http.Request, into any) bool {
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxBody))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil {
		if _, err = d.Token(); err == io.EOF {
			return true
		}
	}
	http.Error(w, "this is not what was asked for", http.StatusBadRequest)
	return false
}

// events is the stream of a window: it is sent what it looks at, whenever that
// changes, for as long as the window is open.
func (p *Page) events(w http.ResponseWriter, r *http.Request) {
	x := newStream(p)
	if text := r.URL.Query().Get("look"); text != "" {
		if len(text) > maxBody || json.Unmarshal([]byte(text), &x.look) != nil {
			http.Error(w, "not found", http.StatusBadRequest)
			return
		}
	}
	out := http.NewResponseController(w)
	_ = out.SetReadDeadline(time.Time{}) // it may stay for days
	w.Header().Set("Content-Type", "text/event-stream; charset=utf-8")
	w.WriteHeader(http.StatusOK)
	p.server.enter(x)
	defer p.server.exit(x)
	p.ring()
	x.write(r.Context(), w, out)
}

// view lets a window look at something else: a block, a colourway, a step.
func (p *Page) view(w http.ResponseWriter, r *http.Request) {
	var asked struct {
		Stream string `json:"stream"`
		Look   Look   `json:"look"`
	}
	if !read(w, r, &asked) {
		return
	}
	for _, x := range p.windows() {
		if x.id == asked.Stream {
			x.turn(asked.Look)
			p.ring()
			w.WriteHeader(http.StatusNoContent)
			return
		}
	}
	http.Error(w, "this window is closed", http.StatusGone)
}

// goTo brings the editor to a line of the page's file.
func (p *Page) goTo(w http.ResponseWriter, r *http.Request) {
	var asked struct{ Line, Column int }
	if !read(w, r, &asked) {
		return
	}
	p.mu.Lock()
	f := p.moment.File
	p.mu.Unlock()
	if f == nil || asked.Line < 1 || asked.Line > f.Source.Lines() {
		http.Error(w, "the file has no such line", http.StatusConflict)
		return
	}
	said := f.Source.Path + ":" + strconv.Itoa(asked.Line)
	if tell := p.server.options.Goto; tell != nil {
		said = tell(p.Path, asked.Line, max(1, asked.Column))
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(map[string]string{"said": said})
}
