package preview_test

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lsp/preview"
)

// ask sends a request as it stands, as no browser would.
func ask(t *testing.T, host, text string) *http.Response {
	c, err := net.Dial("tcp", host)
	require.NoError(t, err)
	t.Cleanup(func() { c.Close() })
	require.NoError(t, c.SetDeadline(time.Now().Add(patience)))
	_, err = io.WriteString(c, text)
	require.NoError(t, err)
	method, _, _ := strings.Cut(text, " ")
	answer, err := http.ReadResponse(bufio.NewReader(c), &http.Request{Method: method})
	require.NoError(t, err, "%s", text)
	return answer
}

// guarded is a page with what is needed to ask it for things.
func guarded(t *testing.T) (page *preview.Page, host, path string) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	page = follow(t, start(t, preview.Options{}), filepath.Join(dir, "two.block"))
	u, err := url.Parse(page.URL())
	require.NoError(t, err)
	return page, u.Host, u.Path
}

// It listens on the loopback alone, and its secret has 128 bits or more.
func TestAddress(t *testing.T) {
	_, host, path := guarded(t)
	at, _, err := net.SplitHostPort(host)
	require.NoError(t, err)
	assert.True(t, net.ParseIP(at).IsLoopback())
	assert.GreaterOrEqual(t, len(strings.Trim(path, "/"))*5, 128, "letters of five bits each")
	_, _, other := guarded(t)
	assert.NotEqual(t, path, other)
}

// What is let in and what is not. PATH stands for the page's path, HOST for its host.
func TestGuard(t *testing.T) {
	page, host, path := guarded(t)
	const json = "Content-Type: application/json\r\n"
	body := `{"line": 3, "column": 1}`
	post := fmt.Sprintf("Content-Length: %d\r\n", len(body))
	for _, c := range []struct {
		name    string
		request string // the first line
		host    string
		headers string
		body    string
		status  int
	}{
		{"the page", "GET PATH", "HOST", "", "", 200},
		{"its script", "GET PATHpage.js", "HOST", "", "", 200},
		{"its head", "HEAD PATH", "HOST", "", "", 200},
		{"a link from an editor", "GET PATH", "HOST", "Sec-Fetch-Site: none\r\nSec-Fetch-Mode: navigate\r\n", "", 200},
		{"a click", "POST PATHgoto", "HOST", json + post + "Origin: http://HOST\r\n", body, 200},

		{"no secret", "GET /", "HOST", "", "", 404},
		{"a wrong secret", "GET /AAAAAAAAAAAAAAAAAAAAAAAAAA/", "HOST", "", "", 404},
		{"a secret that is too long", "GET " + strings.TrimSuffix(path, "/") + "A/", "HOST", "", "", 404},
		{"half a secret", "GET " + path[:len(path)/2] + "/", "HOST", "", "", 404},
		{"an empty secret", "GET //", "HOST", "", "", 404},
		{"another case", "GET " + strings.ToLower(path), "HOST", "", "", 404},
		{"without its slash", "GET " + strings.TrimSuffix(path, "/"), "HOST", "", "", 404},

		{"another host", "GET PATH", "evil.example", "", "", 403},
		{"another host with our port", "GET PATH", "evil.example" + host[strings.LastIndex(host, ":"):], "", "", 403},
		{"our host without its port", "GET PATH", "127.0.0.1", "", "", 403},
		{"another name of this machine", "GET PATH", "localhost" + host[strings.LastIndex(host, ":"):], "", "", 403},
		{"two hosts", "GET PATH", "HOST\r\nHost: evil.example", "", "", 400},
		{"a whole address", "GET http://evil.examplePATH", "HOST", "", "", 403},

		{"another origin", "GET PATHevents", "HOST", "Origin: http://evil.example\r\n", "", 403},
		{"another scheme", "GET PATH", "HOST", "Origin: https://HOST\r\n", "", 403},
		{"no origin to speak of", "GET PATH", "HOST", "Origin: null\r\n", "", 403},
		{"asked for by another page", "GET PATHpage.js", "HOST", "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\n", "", 403},
		{"a click from another page", "POST PATHgoto", "HOST", json + post + "Origin: http://evil.example\r\n", body, 403},
		{"a click from another port", "POST PATHgoto", "HOST", json + post + "Origin: http://127.0.0.1:1\r\n", body, 403},
		{"a click from nowhere", "POST PATHgoto", "HOST", json + post, body, 403},
		{"a click from a sandbox", "POST PATHgoto", "HOST", json + post + "Origin: null\r\n", body, 403},
		{"a view from nowhere", "POST PATHview", "HOST", json + post, body, 403},
		{"a form", "POST PATHgoto", "HOST", "Content-Type: text/plain\r\n" + post + "Origin: http://HOST\r\n", body, 415},
		{"nothing said of its kind", "POST PATHgoto", "HOST", post + "Origin: http://HOST\r\n", body, 415},

		{"a click by GET", "GET PATHgoto", "HOST", "", "", 405},
		{"a page by POST", "POST PATH", "HOST", json + post + "Origin: http://HOST\r\n", body, 405},
		{"OPTIONS", "OPTIONS PATHgoto", "HOST", "Origin: http://HOST\r\n", "", 405},
		{"OPTIONS *", "OPTIONS *", "HOST", "", "", 404},
		{"PUT", "PUT PATHpage.js", "HOST", "Content-Length: 0\r\n", "", 405},
		{"DELETE", "DELETE PATH", "HOST", "", "", 405},
		{"CONNECT", "CONNECT HOST", "HOST", "", "", 404},

		{"a file of ours", "GET PATHtwo.block", "HOST", "", "", 404},
		{"a file above", "GET PATH../../../../etc/passwd", "HOST", "", "", 404},
		{"a file above, encoded", "GET PATH..%2f..%2f..%2fetc%2fpasswd", "HOST", "", "", 404},
		{"a file above, backwards", `GET PATH..\..\etc\passwd`, "HOST", "", "", 404},
		{"the folder of assets", "GET PATHassets/", "HOST", "", "", 404},
		{"a script, encoded", "GET PATHpage%2ejs", "HOST", "", "", 404},
		{"a slash more", "GET PATH/page.js", "HOST", "", "", 404},

		{"a body that is too long", "POST PATHview", "HOST", json + "Origin: http://HOST\r\nContent-Length: 9000\r\n",
			`{"stream": "` + strings.Repeat("x", 8986) + `"}`, 400},
		{"two bodies", "POST PATHgoto", "HOST", json + "Origin: http://HOST\r\nContent-Length: 48\r\n", body + body, 400},
		{"a header that is too long", "GET PATH", "HOST", "X: " + strings.Repeat("x", 40_000) + "\r\n", "", 431},
		{"nonsense to look at", "GET PATHevents?look=%7B", "HOST", "", "", 400},
		{"very much to look at", "GET PATHevents?look=" + strings.Repeat("7", 5000), "HOST", "", "", 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := c.request + " HTTP/1.1\r\nHost: " + c.host + "\r\n" + c.headers + "Connection: close\r\n\r\n" + c.body
			answer := ask(t, host, strings.NewReplacer("PATH", path, "HOST", host).Replace(text))
			assert.Equal(t, c.status, answer.StatusCode)
			if answer.StatusCode == 400 && strings.Contains(c.name, "hosts") || answer.StatusCode == 431 {
				return // it was answered before it was read
			}
			text = fmt.Sprint(answer.Header)
			assert.Contains(t, text, "default-src 'none'")
			assert.NotContains(t, text, "unsafe")
			assert.NotContains(t, answer.Header.Get("Content-Security-Policy"), "*")
			assert.Equal(t, "nosniff", answer.Header.Get("X-Content-Type-Options"))
			assert.Equal(t, "no-referrer", answer.Header.Get("Referrer-Policy"))
			assert.Equal(t, "no-store", answer.Header.Get("Cache-Control"))
			assert.Empty(t, answer.Header.Get("Access-Control-Allow-Origin"))
			said, err := io.ReadAll(answer.Body)
			require.NoError(t, err)
			if answer.StatusCode != http.StatusOK {
				assert.NotContains(t, string(said), strings.Trim(path, "/"))
				assert.NotContains(t, string(said), filepath.Dir(page.Path))
			}
		})
	}
	// HTTP/1.0 needs no host, and gets nothing without.
	assert.Equal(t, 403, ask(t, host, "GET "+path+" HTTP/1.0\r\n\r\n").StatusCode)
}

// The page has nothing in it that the policy would forbid, and asks for nothing
// from elsewhere.
func TestNothingFromElsewhere(t *testing.T) {
	_, host, path := guarded(t)
	for _, name := range []string{"", "page.css", "page.js", "drawing.js", "lists.js", "order.js", "icon.svg"} {
		answer := ask(t, host, "GET "+path+name+" HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n")
		text, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		for _, bad := range []string{"https://", "//cdn", "@import", "url(", "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", " onclick", " onload", "javascript:", "style=\""} {
			assert.NotContains(t, string(text), bad, name)
		}
		for _, part := range strings.Split(string(text), "http://")[1:] {
			assert.True(t, strings.HasPrefix(part, "www.w3.org/2000/svg"), "%s names http://%.40s", name, part)
		}
	}
}

// Names from a file come as text, whatever they look like.
func TestHostileNames(t *testing.T) {
	const bad = `</title></svg><script>alert(1)</script><img src=x onerror=alert(2)>'&amp;`
	text := strings.NewReplacer("Signal red", bad, `"Buoy"`, `"`+bad+`"`).Replace
	const name = "<b>&two.block"
	dir := repository(t, map[string]string{"palette.block": text(palette), name: text(two) + "\ncolourway w \"" + bad + "\" {\n sea = signal\n}\n"})
	w := open(t, follow(t, start(t, preview.Options{}), filepath.Join(dir, name)), preview.Look{})
	for _, name := range []string{"words", "picture"} {
		data := <-w.events[name]
		for _, sign := range []string{"<", ">", "&"} { // all are \u003c and the like
			assert.NotContains(t, string(data), sign, name)
		}
		if name == "picture" {
			continue
		}
		var s said
		unmarshal(t, data, &s)
		assert.Equal(t, bad, s.Title, "as it was typed")
		assert.Equal(t, bad, s.Colourways[0].Title)
		assert.Equal(t, bad, s.Fabrics[0].Title)
	}
}

// Connections that say nothing, or not all of it, do not keep a page from being answered.
func TestIdleConnectionsKeepNobodyOut(t *testing.T) {
	_, host, path := guarded(t)
	for i := range 100 {
		c, err := net.Dial("tcp", host)
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		if i%2 == 1 {
			_, err = io.WriteString(c, "GET / HTTP/1.1\r\nHost:")
			require.NoError(t, err)
		}
	}
	c, err := net.Dial("tcp", host)
	require.NoError(t, err)
	defer c.Close()
	_, err = io.WriteString(c, "GET "+path+" HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n")
	require.NoError(t, err)
	// Well below the 10 s after which the server itself gives up on the idle ones.
	require.NoError(t, c.SetReadDeadline(time.Now().Add(6*time.Second)))
	answer, err := http.ReadResponse(bufio.NewReader(c), nil)
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, answer.StatusCode)
}
