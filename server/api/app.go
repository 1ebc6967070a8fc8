package api

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"regexp"
	"strings"
	"time"

	"bucktail/server/look"
)

//go:embed pages
var pageFiles embed.FS

var pages = template.Must(template.ParseFS(pageFiles, "pages/*.html"))

// scripts are the files of the server's own pages.
var scripts = map[string]string{"/join.js": "pages/join.js", "/laptop.js": "pages/laptop.js"}

// page serves everything outside /api: the server's own pages and the app. All of it is program,
// none of it data, so strangers may load it; what they would see in it comes from /api.
func (s *Server) page(w http.ResponseWriter, r *http.Request) error {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		return wrongMethod.with("%.20q", r.Method)
	}
	switch p := r.URL.Path; p {
	case "/join", "/laptop":
		return s.ownPage(w, r, http.StatusOK, strings.TrimPrefix(p, "/")+".html")
	case "/look.css":
		return content(w, r, "text/css; charset=utf-8", look.CSS)
	case "/join.js", "/laptop.js":
		b, err := pageFiles.ReadFile(scripts[p])
		if err != nil {
			return err
		}
		return content(w, r, "text/javascript; charset=utf-8", b)
	default:
		return s.app(w, r, p)
	}
}

// pageData is what the server's own pages show. Nothing of the record and no secret.
type pageData struct {
	Secure string // address to use instead of the loopback one, for browsers that keep no cookie there
}

func (s *Server) ownPage(w http.ResponseWriter, r *http.Request, status int, name string) error {
	var d pageData
	if reach := s.Reach(); len(reach.URLs) > 0 {
		d.Secure = reach.URLs[0]
	}
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, d); err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if status != http.StatusOK {
		w.WriteHeader(status)
		_, _ = w.Write(b.Bytes())
		return nil
	}
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b.Bytes()))
	return nil
}

func content(w http.ResponseWriter, r *http.Request, media string, b []byte) error {
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Content-Type", media)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
	return nil
}

// hashed are files whose name holds a hash of their content, made by the build: they never
// change.
var hashed = regexp.MustCompile(`[-.][0-9A-Za-z]{8,64}\.[a-z0-9]+$`)

// app serves a file of the app; a path without a file that looks like a page gets the app's
// page, which shows what belongs there.
func (s *Server) app(w http.ResponseWriter, r *http.Request, p string) error {
	if s.App == nil {
		if path.Ext(p) != "" || strings.Contains(p, "/.") {
			return nothingHere.with("")
		}
		return s.ownPage(w, r, http.StatusServiceUnavailable, "unbuilt.html")
	}
	name := strings.TrimPrefix(p, "/")
	if name == "" || path.Ext(name) == "" {
		name = "index.html"
	}
	if !fs.ValidPath(name) || strings.HasSuffix(name, ".gz") || strings.HasSuffix(name, ".br") || strings.Contains(p, "/.") {
		return nothingHere.with("")
	}
	h := w.Header()
	h.Set("Content-Type", mediaOf(name))
	h.Set("Cache-Control", "no-cache")
	if hashed.MatchString(name) {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	b, coding, err := s.packed(name, r.Header.Get("Accept-Encoding"))
	if err != nil {
		return nothingHere.with("")
	}
	if coding != "" {
		h.Set("Content-Encoding", coding)
	}
	h.Set("Vary", "Accept-Encoding")
	h.Set("ETag", `"`+etag(b)+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
	return nil
}

// packed gives a file in the smallest form that the build has made of it and the browser takes.
func (s *Server) packed(name, accept string) (b []byte, coding string, err error) {
	for _, c := range []struct{ coding, ext string }{{"br", ".br"}, {"gzip", ".gz"}} {
		if !accepts(accept, c.coding) {
			continue
		}
		if b, err := fs.ReadFile(s.App, name+c.ext); err == nil {
			return b, c.coding, nil
		}
	}
	b, err = fs.ReadFile(s.App, name)
	return b, "", err
}

// accepts says whether a browser names a coding without refusing it (RFC 9110, 12.5.3). Browsers
// name all that they take, so "*" is not looked at.
func accepts(header, coding string) bool {
	for v := range strings.SplitSeq(header, ",") {
		name, weight, _ := strings.Cut(v, ";")
		if strings.EqualFold(strings.TrimSpace(name), coding) {
			q := strings.TrimLeft(strings.ReplaceAll(weight, " ", ""), "qQ=")
			return strings.Trim(q, "0.") != "" || q == ""
		}
	}
	return false
}

// mediaOf does not ask the system's table, which differs between machines and may lack what the
// browser insists on.
func mediaOf(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".json":
		return "application/json"
	case ".webmanifest":
		return "application/manifest+json"
	case ".svg":
		return "image/svg+xml"
	case ".png":
		return "image/png"
	case ".jpg":
		return "image/jpeg"
	case ".txt":
		return "text/plain; charset=utf-8"
	}
	if m := mime.TypeByExtension(path.Ext(name)); m != "" {
		return m
	}
	return "application/octet-stream"
}

func etag(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:12])
}
