package api

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"bucktail/imaging/photo"
	"bucktail/qc/history"
	"bucktail/store"
)

// workshop is a server as `bucktail serve` makes it, on a port of its own, in plain HTTP: doors
// differ in the hosts that they take, not in the transport.
type workshop struct {
	t     *testing.T
	api   *Server
	store *store.Store
	door  *httptest.Server // as a phone reaches it
	log   *lockedBuffer
	mu    sync.Mutex
	now   time.Time
}

const lanHost = "workshop.local:8443"

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func (w *workshop) clock() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.now
}

func (w *workshop) later(d time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.now = w.now.Add(d)
}

var testApp = fstest.MapFS{
	"index.html":               {Data: []byte("<!doctype html><title>app</title>")},
	"sw.js":                    {Data: []byte("// worker")},
	"app-0123abcd.js":          {Data: []byte("// app")},
	"app-0123abcd.js.gz":       {Data: []byte("gzip of app")},
	"measure-89abcdef.wasm.br": {Data: []byte("brotli of wasm")},
	"measure-89abcdef.wasm":    {Data: []byte("\x00asm")},
	"manifest.webmanifest":     {Data: []byte("{}")},
	"icons/icon-192.png":       {Data: []byte("png")},
	"measure-89abcdef.wasm.gz": {Data: []byte("gzip of wasm")},
}

// testMeasure decodes for real and answers with what it saw, so that refusals are the photo's own.
func testMeasure(_ context.Context, data []byte, q url.Values, phone string) (any, error) {
	p, err := photo.Decode(data)
	if err != nil {
		return nil, err
	}
	return map[string]any{"width": p.Width, "height": p.Height, "photo": p.SHA256, "what": q.Get("what"), "camera": phone,
		"method": "none", "spec": map[string]any{}, "scale": nil, "locations": []any{}, "warnings": []any{}, "problems": []any{}}, nil
}

func newWorkshop(t *testing.T, change ...func(*Config)) *workshop {
	t.Helper()
	w := &workshop{t: t, log: &lockedBuffer{}, now: time.Date(2026, 11, 13, 9, 0, 0, 0, time.UTC)}
	st, err := store.Open(t.TempDir(), store.Options{Now: w.clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	c := Config{
		Store: st, Log: slog.New(slog.NewTextHandler(w.log, &slog.HandlerOptions{Level: slog.LevelDebug})), Now: w.clock,
		App: fs.FS(testApp), Measure: testMeasure, CacheDir: t.TempDir(),
		Reach: func() Reach {
			return Reach{LAN: true, Loopback: "http://localhost:8442/", URLs: []string{"https://" + lanHost + "/"}, Fingerprint: "AA:BB",
				Host: func(h string) bool { return h == "workshop.local" || h == "192.168.1.20" }}
		},
		Exports: []Export{{"entries.json", "All entries", "application/json", func(_ context.Context, to io.Writer, q ExportQuery) error {
			if len(q.Parts) > 1 {
				return badValue.with("one part only")
			}
			_, err := io.WriteString(to, "{}")
			return err
		}}},
	}
	for _, f := range change {
		f(&c)
	}
	if w.api, err = New(c); err != nil {
		t.Fatal(err)
	}
	w.store = st
	w.door = httptest.NewUnstartedServer(w.api.Handler(LAN))
	w.door.Config.DisableGeneralOptionsHandler = true // as serve has it
	w.door.Start()
	t.Cleanup(w.door.Close)
	return w
}

// device is somebody at the door.
type device struct {
	w      *workshop
	cookie *http.Cookie
	id     string
	maker  *history.Maker
}

func (w *workshop) stranger() *device { return &device{w: w} }

// pair lets a device in by the book's own code.
func (w *workshop) pair(role history.Role, owner bool) *device {
	w.t.Helper()
	_, code, _, err := w.api.book.invite("", role, owner, "")
	if err != nil {
		w.t.Fatal(err)
	}
	d := w.stranger()
	a := d.do("POST", "/api/pairings/redeem", map[string]string{"code": code, "name": string(role) + "'s phone"})
	a.want(http.StatusCreated, "")
	for _, c := range a.Cookies() {
		d.cookie = c
	}
	if d.cookie == nil {
		w.t.Fatal("no cookie")
	}
	var me meView
	a.read(&me)
	d.id = me.Device.ID
	d.maker = &history.Maker{Device: d.id, By: "Ines K.", Role: role}
	return d
}

// answer is a response whose body has been read and which was held against openapi.yaml.
type answer struct {
	*http.Response
	t    *testing.T
	body []byte
}

func (d *device) request(method, path string, body any, change ...func(*http.Request)) *http.Request {
	d.w.t.Helper()
	var r io.Reader
	media := ""
	switch b := body.(type) {
	case nil:
	case []byte:
		r, media = bytes.NewReader(b), "image/jpeg"
	case io.Reader:
		r, media = b, "image/jpeg"
	default:
		j, err := json.Marshal(b)
		if err != nil {
			d.w.t.Fatal(err)
		}
		r, media = bytes.NewReader(j), "application/json"
	}
	req, err := http.NewRequest(method, d.w.door.URL+path, r)
	if err != nil {
		d.w.t.Fatal(err)
	}
	req.Host = lanHost
	if media != "" {
		req.Header.Set("Content-Type", media)
	}
	if d.cookie != nil {
		req.AddCookie(&http.Cookie{Name: d.cookie.Name, Value: d.cookie.Value})
	}
	for _, f := range change {
		f(req)
	}
	return req
}

func (d *device) do(method, path string, body any, change ...func(*http.Request)) answer {
	d.w.t.Helper()
	req := d.request(method, path, body, change...)
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	resp, err := client.Do(req)
	if err != nil {
		d.w.t.Fatalf("%s %s: %v", method, path, err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		d.w.t.Fatalf("%s %s: %v", method, path, err)
	}
	a := answer{resp, d.w.t, b}
	described.check(d.w.t, req, a)
	return a
}

// want holds an answer against its status and, for a problem, its code.
func (a answer) want(status int, code string) {
	a.t.Helper()
	var p Problem
	_ = json.Unmarshal(a.body, &p)
	if a.StatusCode != status || p.Code != code && code != "" {
		a.t.Errorf("%s %s: %d %q, want %d %q: %.300s", a.Request.Method, a.Request.URL.Path, a.StatusCode, p.Code, status, code, a.body)
	}
	if status >= 400 && code != "" && a.Request.Method != http.MethodHead {
		if ct := a.Header.Get("Content-Type"); ct != "application/problem+json" {
			a.t.Errorf("%s: problem sent as %q", a.Request.URL.Path, ct)
		}
	}
}

func (a answer) read(v any) {
	a.t.Helper()
	if err := json.Unmarshal(a.body, v); err != nil {
		a.t.Fatalf("%s: %v: %.200s", a.Request.URL.Path, err, a.body)
	}
}

// write makes the device's next entry.
func (d *device) write(draft history.Draft) history.Entry {
	d.w.t.Helper()
	e, err := d.maker.Make(draft, d.w.clock(), rand.Reader)
	if err != nil {
		d.w.t.Fatal(err)
	}
	return e
}

// part writes a project, a part and locations, and gives their ids.
func (d *device) part(locations int) (entries []history.Entry, project, part string, ids []string) {
	d.w.t.Helper()
	p := d.write(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2, two-seat amphibian"}})
	a := d.write(history.Draft{Kind: history.KindPart, Project: p.ID, Data: history.PartData{Name: "Corner gusset, left", Drawing: "BH-112"}})
	entries = append(entries, p, a)
	for i := range locations {
		l := d.write(history.Draft{Kind: history.KindLocation, Project: p.ID, Part: a.ID, Data: history.LocationData{Tag: fmt.Sprintf("R%d", i+1)}})
		entries, ids = append(entries, l), append(ids, l.ID)
	}
	return entries, p.ID, a.ID, ids
}

func (d *device) push(entries ...history.Entry) answer {
	return d.do("POST", "/api/entries", map[string]any{"entries": entries})
}

// statuses lists the results of a push.
func (a answer) statuses() []store.Status {
	a.t.Helper()
	var v struct{ Results []store.Result }
	a.read(&v)
	var out []store.Status
	for _, r := range v.Results {
		out = append(out, r.Status)
	}
	return out
}

// shot makes a JPEG of w × h pixels and gives it with its name.
func shot(t testing.TB, w, h int) (data []byte, hash string) {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetGray(x, y, color.Gray{uint8(x*7 ^ y*13)})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), name(b.Bytes())
}

func name(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

func media(m string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set("Content-Type", m) }
}

// pathOf fills a route's variables.
func pathOf(pattern string) string {
	p := strings.NewReplacer(idVar, "01928f00-0000-7000-8000-000000000000", hashVar, strings.Repeat("a", 64)).Replace(pattern)
	if i := strings.Index(p, "{"); i >= 0 {
		p = p[:i] + "some-name"
	}
	return p
}
