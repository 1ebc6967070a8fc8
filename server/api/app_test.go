package api

import (
	"net/http"
	"strings"
	"testing"
)

func TestAppIsServed(t *testing.T) {
	w := newWorkshop(t)
	gzip := func(r *http.Request) { r.Header.Set("Accept-Encoding", "deflate, gzip") }
	br := func(r *http.Request) { r.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd") }
	noBr := func(r *http.Request) { r.Header.Set("Accept-Encoding", "gzip;q=0.5, br;q=0") }
	plain := func(r *http.Request) { r.Header.Set("Accept-Encoding", "identity") }
	for _, c := range []struct {
		path, media, cache, encoding, body string
		how                                func(*http.Request)
	}{
		{"/", "text/html; charset=utf-8", "no-cache", "", "<title>app", plain},
		// A redirect here would end up in the app's cache, where it kills the next start without a network.
		{"/index.html", "text/html; charset=utf-8", "no-cache", "", "<title>app", plain},
		{"/parts/01928f00-0000-7000-8000-000000000000", "text/html; charset=utf-8", "no-cache", "", "<title>app", plain},
		{"/sw.js", "text/javascript; charset=utf-8", "no-cache", "", "worker", plain},
		{"/app-0123abcd.js", "text/javascript; charset=utf-8", "immutable", "", "// app", plain},
		{"/app-0123abcd.js", "text/javascript; charset=utf-8", "immutable", "gzip", "gzip of app", gzip},
		{"/measure-89abcdef.wasm", "application/wasm", "immutable", "gzip", "gzip of wasm", gzip},
		{"/measure-89abcdef.wasm", "application/wasm", "immutable", "br", "brotli of wasm", br},
		{"/measure-89abcdef.wasm", "application/wasm", "immutable", "gzip", "gzip of wasm", noBr},
		{"/app-0123abcd.js", "text/javascript; charset=utf-8", "immutable", "gzip", "gzip of app", br},
		{"/measure-89abcdef.wasm", "application/wasm", "immutable", "", "asm", plain},
		{"/manifest.webmanifest", "application/manifest+json", "no-cache", "", "{}", gzip},
		{"/icons/icon-192.png", "image/png", "no-cache", "", "png", plain},
	} {
		a := w.stranger().do("GET", c.path, nil, c.how)
		if a.StatusCode != 200 || a.Header.Get("Content-Type") != c.media || !strings.Contains(a.Header.Get("Cache-Control"), c.cache) ||
			a.Header.Get("Content-Encoding") != c.encoding || !strings.Contains(string(a.body), c.body) {
			t.Errorf("%s: %d %v %.80q", c.path, a.StatusCode, a.Header, a.body)
		}
		w.stranger().do("GET", c.path, nil, c.how, func(r *http.Request) { r.Header.Set("If-None-Match", a.Header.Get("ETag")) }).want(304, "")
	}
	w.stranger().do("GET", "/no-such.js", nil).want(404, "not-found")
	w.stranger().do("POST", "/", map[string]string{}).want(405, "wrong-method")
	w.stranger().do("GET", "/api", nil).want(404, "not-found")
	w.stranger().do("GET", "/api/no-such", nil).want(404, "not-found")
}

func TestAppThatIsNotBuilt(t *testing.T) {
	w := newWorkshop(t, func(c *Config) { c.App = nil })
	a := w.stranger().do("GET", "/", nil)
	if a.StatusCode != http.StatusServiceUnavailable || !strings.Contains(string(a.body), "make run") {
		t.Errorf("%d %s", a.StatusCode, a.body)
	}
	w.stranger().do("GET", "/laptop", nil).want(200, "")
	w.stranger().do("GET", "/sw.js", nil).want(404, "not-found")
}
