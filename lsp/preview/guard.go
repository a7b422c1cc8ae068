package preview

import (
	"crypto/subtle"
	"mime"
	"net/http"
	"strings"
)

// headers are said with every answer. The page takes scripts, styles and pictures
// from its own server alone, runs nothing that stands in its text, and cannot be
// put into another page.
var headers = map[string]string{
	"Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types drawing",
	"X-Content-Type-Options":       "nosniff",
	"X-Frame-Options":              "DENY",
	"Referrer-Policy":              "no-referrer",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Permissions-Policy":           "camera=(), geolocation=(), microphone=()",
	"Cache-Control":                "no-store",
}

// admit decides whether a request is answered, and gives the page it is for and
// what of it is wanted; else the status to refuse it with.
//
// The host has to be ours, as we gave it away: a name that somebody has pointed at
// this machine is another (DNS rebinding). The first part of the path is the
// secret of a page; every page is compared with, in the same time whether it is near
// or not. What changes something has to come from the page itself: a browser says
// so in Origin, which no page of somebody else can set.
func (s *Server) admit(r *http.Request) (p *Page, name string, status int) {
	if r.Host != s.host {
		return nil, "", http.StatusForbidden
	}
	if from := r.Header.Get("Origin"); from != "" && from != "http://"+s.host {
		return nil, "", http.StatusForbidden
	}
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" && site != "none" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
		return nil, "", http.StatusForbidden
	}
	token, name, ok := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	s.mu.Lock()
	for _, known := range s.pages {
		if subtle.ConstantTimeCompare([]byte(known.token), []byte(token)) == 1 {
			p = known
		}
	}
	s.mu.Unlock()
	methods, known := routes[name]
	switch {
	case p == nil || !ok || !known || r.URL.RawPath != "":
		return nil, "", http.StatusNotFound
	case methods[r.Method] == nil:
		return nil, "", http.StatusMethodNotAllowed
	case r.Method == http.MethodPost && r.Header.Get("Origin") == "":
		return nil, "", http.StatusForbidden
	case r.Method == http.MethodPost && !isJSON(r.Header.Get("Content-Type")):
		return nil, "", http.StatusUnsupportedMediaType
	}
	return p, name, 0
}

func isJSON(contentType string) bool {
	is, _, err := mime.ParseMediaType(contentType)
	return err == nil && is == "application/json"
}
