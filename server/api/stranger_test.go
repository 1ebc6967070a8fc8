package api

import (
	"bytes"
	"crypto/rand"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
)

// Every route that is not for anyone refuses whoever has no token, a made-up one or a revoked one.
func TestEveryRouteWithoutToken(t *testing.T) {
	w := newWorkshop(t)
	gone := w.pair(history.Builder, false)
	if _, err := w.store.RevokeDevice(t.Context(), gone.id); err != nil {
		t.Fatal(err)
	}
	forged := w.stranger()
	forged.cookie = &http.Cookie{Name: cookieName, Value: strings.Repeat("A", 43)}
	odd := w.stranger()
	odd.cookie = &http.Cookie{Name: cookieName, Value: "' OR 1=1 --"}
	for _, rt := range w.api.routes() {
		if rt.need == anyone {
			continue
		}
		var body any
		if rt.method != "GET" {
			body = map[string]string{}
		}
		for who, d := range map[string]*device{"none": w.stranger(), "forged": forged, "odd": odd} {
			t.Run(rt.method+" "+rt.path+" "+who, func(t *testing.T) {
				d.do(rt.method, pathOf(rt.path), body).want(http.StatusUnauthorized, "no-token")
			})
		}
		gone.do(rt.method, pathOf(rt.path), body).want(http.StatusUnauthorized, "device-revoked")
	}
	// Only these are for strangers.
	open := ""
	for _, rt := range w.api.routes() {
		if rt.need == anyone {
			open += rt.method + " " + rt.path + "\n"
		}
	}
	if open != "GET /api/ping\nGET /api/problems/{code:[a-z0-9-]{1,60}}\nPOST /api/pairings/redeem\n" {
		t.Errorf("open to strangers:\n%s", open)
	}
	w.stranger().do("GET", "/api/ping", nil).want(200, "")
}

// What a stranger can see holds nothing of the record.
func TestStrangerSeesNoData(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	entries, project, part, _ := b.part(2)
	b.push(entries...).want(200, "")
	for _, path := range []string{"/", "/join", "/laptop", "/parts/" + part, "/api/ping", "/api/problems/no-token", "/look.css", "/sw.js", "/manifest.webmanifest"} {
		a := w.stranger().do("GET", path, nil)
		a.want(200, "")
		for _, secret := range []string{"amphibian", "gusset", "Ines K.", project, b.id, w.store.ID(), b.cookie.Value} {
			if bytes.Contains(a.body, []byte(secret)) {
				t.Errorf("%s shows %q", path, secret)
			}
		}
		if len(a.Cookies()) > 0 {
			t.Errorf("%s sets a cookie", path)
		}
	}
}

func TestInspectorsLimits(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	inspector := w.pair(history.Inspector, false)
	other := w.pair(history.Inspector, false)
	entries, project, part, loc := owner.part(1)
	owner.push(entries...).want(200, "")

	for _, rt := range w.api.routes() {
		if rt.need == builder {
			var body any
			if rt.method != "GET" {
				body = map[string]string{"role": "builder"}
			}
			inspector.do(rt.method, pathOf(rt.path), body).want(http.StatusForbidden, "not-allowed")
		}
	}
	inspector.do("POST", "/api/devices/"+owner.id+"/revoke", map[string]string{}).want(http.StatusForbidden, "not-allowed")
	inspector.do("PATCH", "/api/devices/"+other.id, map[string]string{"name": "x"}).want(http.StatusForbidden, "not-allowed")
	var list struct{ Devices []deviceView }
	a := inspector.do("GET", "/api/devices", nil)
	a.read(&list)
	if len(list.Devices) != 1 || list.Devices[0].ID != inspector.id {
		t.Errorf("an inspector sees %+v", list.Devices)
	}

	// Entries of a builder, under any pretence.
	stage := history.Draft{Kind: history.KindStage, Project: project, Part: part, Location: loc[0], Data: history.StageData{Stage: "pilot hole"}}
	asBuilder := *inspector.maker
	asBuilder.Role = history.Builder
	e, err := asBuilder.Make(stage, w.clock(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	inspector.push(e).want(http.StatusForbidden, "not-allowed")
	made := owner.write(stage)
	inspector.push(made).want(http.StatusForbidden, "not-allowed") // another's chain
	note := inspector.write(history.Draft{Kind: history.KindNote, Project: project, Data: history.NoteData{Text: "Looked at R1"}})
	other.push(note).want(http.StatusForbidden, "not-allowed")
	inspector.push(note, made).want(http.StatusForbidden, "not-allowed") // nothing is kept of it
	var chain struct{ Seq int }
	inspector.do("GET", "/api/chains/"+inspector.id, nil).read(&chain)
	if chain.Seq != 0 {
		t.Errorf("%d entries of a refused request were kept", chain.Seq)
	}
	inspector.do("POST", "/api/entries?handed-in=yes", map[string]any{"entries": []any{note}}).want(http.StatusForbidden, "not-allowed")

	inspector.push(note).want(200, "")
	inspector.do("GET", "/api/parts/"+part, nil).want(200, "")
	inspector.do("PATCH", "/api/devices/"+inspector.id, map[string]string{"name": "E. Salo"}).want(200, "")
	inspector.do("POST", "/api/devices/"+inspector.id+"/revoke", map[string]string{}).want(200, "")
	inspector.do("GET", "/api/me", nil).want(http.StatusUnauthorized, "device-revoked")
}

// A builder's phone can't take the laptop's own browser off the list, nor an entry from a file in.
func TestOwnersLimits(t *testing.T) {
	w := newWorkshop(t)
	owner, phone, second := w.pair(history.Builder, true), w.pair(history.Builder, false), w.pair(history.Builder, false)
	phone.do("POST", "/api/devices/"+owner.id+"/revoke", map[string]string{}).want(http.StatusForbidden, "not-allowed")
	phone.do("PATCH", "/api/devices/"+owner.id, map[string]string{"name": "x"}).want(http.StatusForbidden, "not-allowed")
	entries, _, _, _ := second.part(1)
	phone.do("POST", "/api/entries?handed-in=yes", map[string]any{"entries": entries}).want(http.StatusForbidden, "not-allowed")
	phone.push(entries...).want(http.StatusForbidden, "not-allowed")
	owner.do("POST", "/api/entries?handed-in=yes", map[string]any{"entries": entries}).want(200, "")
	owner.do("POST", "/api/devices/"+phone.id+"/revoke", map[string]string{}).want(200, "")
	phone.do("GET", "/api/me", nil).want(http.StatusUnauthorized, "device-revoked")
}

func TestOtherOrigin(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	header := func(k, v string) func(*http.Request) { return func(r *http.Request) { r.Header.Set(k, v) } }
	for _, rt := range w.api.routes() {
		if rt.method == "GET" {
			continue
		}
		for _, h := range []func(*http.Request){
			header("Origin", "https://evil.example"), header("Sec-Fetch-Site", "cross-site"), header("Sec-Fetch-Site", "same-site"),
			header("Origin", "null"), header("Origin", "http://"+lanHost[:len(lanHost)-1]+"4"),
		} {
			b.do(rt.method, pathOf(rt.path), map[string]string{}, h).want(http.StatusForbidden, "other-origin")
		}
	}
	// A form of another site can't make JSON.
	a := b.do("POST", "/api/pairings", strings.NewReader("role=builder"), media("application/x-www-form-urlencoded"))
	a.want(http.StatusUnsupportedMediaType, "wrong-media")
	b.do("POST", "/api/pairings", map[string]string{"role": "builder"}, header("Sec-Fetch-Site", "same-origin")).want(201, "")
	// Reading across origins gives nothing away either: no answer allows it.
	a = b.do("GET", "/api/me", nil, header("Origin", "https://evil.example"))
	for k := range a.Header {
		if strings.HasPrefix(k, "Access-Control-") {
			t.Errorf("%s: %s", k, a.Header.Get(k))
		}
	}
}

// DNS rebinding: another name that leads here.
func TestForeignHost(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	for _, host := range []string{"evil.example", "evil.example:8443", "workshop.local.evil.example", "192.168.1.21:8443", "", "localhost", "[::1]:8443", "workshop.local:8443@evil.example", "workshop.local evil"} {
		for _, path := range []string{"/", "/api/me", "/api/ping", "/join"} {
			a := raw(t, w, "GET "+path+" HTTP/1.1\r\nHost: "+host+"\r\nOrigin: https://"+host+"\r\nCookie: "+b.cookie.Name+"="+b.cookie.Value+"\r\nConnection: close\r\n\r\n")
			if !strings.HasPrefix(a, "HTTP/1.1 421 ") && !strings.HasPrefix(a, "HTTP/1.1 400 ") {
				t.Errorf("host %q, %s: %.80q", host, path, a)
			}
		}
	}
	for _, host := range []string{"workshop.local", "WORKSHOP.local:8443", "192.168.1.20:1"} {
		if a := raw(t, w, "GET /api/ping HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n"); !strings.HasPrefix(a, "HTTP/1.1 200 ") {
			t.Errorf("host %q: %.80q", host, a)
		}
	}
	// The loopback door knows loopback names alone.
	for host, want := range map[string]bool{"localhost:8442": true, "127.0.0.1": true, "[::1]:8442": true, "workshop.local": false, "localhost.evil.example": false, "0.0.0.0": false} {
		if w.api.allows(Loopback, hostOf(host)) != want {
			t.Errorf("loopback door and %q: %v", host, !want)
		}
	}
}

// raw sends bytes as they are and gives what comes back.
func raw(t *testing.T, w *workshop, request string) string {
	t.Helper()
	c, err := net.Dial("tcp", w.door.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	c.SetDeadline(time.Now().Add(20 * time.Second))
	if _, err := io.WriteString(c, request); err != nil {
		return "" // refused before all was read
	}
	b, _ := io.ReadAll(c)
	return string(b)
}

func TestPathTricks(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	hash := strings.Repeat("a", 64)
	for _, p := range []string{
		"/../etc/passwd", "/..%2f..%2fetc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/api/photos/../../bucktail.db", "/api/photos/%2e%2e%2fbucktail.db",
		"/api/photos/" + hash + "/../../../bucktail.db", "/api//photos/" + hash, "//api/me", "/api/photos/" + hash + "%00.jpg", "/..\\..\\bucktail.db",
		"/api/photos/" + hash + "%5c..%5c", "/./sw.js", "/api/../sw.js", "/%252e%252e/bucktail.db", "/a/..", "/.", "/%c0%ae%c0%ae/bucktail.db",
		"/api/photos/" + strings.ToUpper(hash), "/api/photos/" + hash[:63], "/api/photos/" + hash + "0", "/api/parts/' OR 1=1", "/bucktail.db", "/authority/ca.key",
		"/.git/config", "/app-0123abcd.js.gz", "/" + strings.Repeat("a", 2000), "/api/exports/../entries.json", "/api/problems/../me",
	} {
		a := raw(t, w, "GET "+strings.ReplaceAll(p, " ", "%20")+" HTTP/1.1\r\nHost: workshop.local\r\nCookie: "+b.cookie.Name+"="+b.cookie.Value+"\r\nConnection: close\r\n\r\n")
		if !strings.HasPrefix(a, "HTTP/1.1 400 ") && !strings.HasPrefix(a, "HTTP/1.1 404 ") {
			t.Errorf("%s: %.60q", p, a)
		}
		if strings.Contains(a, "SQLite format") || strings.Contains(a, "PRIVATE KEY") || strings.Contains(a, "root:") {
			t.Errorf("%s: a file came out", p)
		}
	}
	// No page of ours is asked for in these spellings: each is told so, whatever stands there.
	for _, p := range []string{"/sw%2ejs", "/sw%2Ejs", "/api%2fme", "/api%5cme", "/sw%252ejs"} {
		a := raw(t, w, "GET "+p+" HTTP/1.1\r\nHost: workshop.local\r\nCookie: "+b.cookie.Name+"="+b.cookie.Value+"\r\nConnection: close\r\n\r\n")
		if !strings.HasPrefix(a, "HTTP/1.1 400 ") {
			t.Errorf("%s: %.60q", p, a)
		}
	}
	// Whole addresses in the request line, and methods that are none.
	for _, line := range []string{"GET http://evil.example/api/me HTTP/1.1", "CONNECT workshop.local:443 HTTP/1.1", "OPTIONS * HTTP/1.1", "TRACE /api/me HTTP/1.1", "FOO /api/me HTTP/1.1", "GET /api/me\x00 HTTP/1.1"} {
		a := raw(t, w, line+"\r\nHost: workshop.local\r\nConnection: close\r\n\r\n")
		if strings.HasPrefix(a, "HTTP/1.1 2") || strings.HasPrefix(a, "HTTP/1.1 3") || strings.HasPrefix(a, "HTTP/1.1 5") {
			t.Errorf("%s: %.60q", line, a)
		}
	}
	a := b.do("DELETE", "/api/me", nil)
	a.want(http.StatusMethodNotAllowed, "wrong-method")
	if a.Header.Get("Allow") != "GET, HEAD" {
		t.Errorf("Allow: %q", a.Header.Get("Allow"))
	}
}

func TestHeadersOnEveryAnswer(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	for _, path := range []string{"/", "/join", "/api/me", "/api/nothing", "/sw.js"} {
		a := b.do("GET", path, nil)
		for k, want := range map[string]string{
			"Content-Security-Policy": "default-src 'self'", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
			"Referrer-Policy": "no-referrer", "Cross-Origin-Opener-Policy": "same-origin", "Permissions-Policy": "camera=(self)",
		} {
			if !strings.Contains(a.Header.Get(k), want) {
				t.Errorf("%s: %s is %q", path, k, a.Header.Get(k))
			}
		}
		if csp := a.Header.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe-inline") || strings.Contains(csp, "'unsafe-eval'") {
			t.Errorf("%s: %s", path, csp)
		}
		if strings.HasPrefix(path, "/api/") && a.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%s may be kept: %s", path, a.Header.Get("Cache-Control"))
		}
	}
	// The pages have no script or style of their own inside, which the policy would stop.
	for _, path := range []string{"/join", "/laptop"} {
		page := string(b.do("GET", path, nil).body)
		for _, inline := range []string{"<style", "style=", "onclick", "javascript:"} {
			if strings.Contains(page, inline) {
				t.Errorf("%s holds %s", path, inline)
			}
		}
		if strings.Count(page, "<script") != strings.Count(page, "<script src=") {
			t.Errorf("%s holds a script", path)
		}
	}
}

// No token, code or file name gets into the log.
func TestLogHoldsNoSecrets(t *testing.T) {
	w := newWorkshop(t)
	_, code, typed, err := w.api.book.invite("", history.Builder, false, "")
	if err != nil {
		t.Fatal(err)
	}
	d := w.stranger()
	d.do("POST", "/api/pairings/redeem", map[string]string{"code": "ZZZZ-ZZZZ-ZZZZ", "name": "x"}).want(403, "code-wrong")
	a := d.do("POST", "/api/pairings/redeem", map[string]string{"code": code, "name": "phone"})
	a.want(201, "")
	d.cookie = a.Cookies()[0]
	d.do("GET", "/api/me?secret=hidden-thing", nil).want(200, "")
	d.do("GET", "/hidden-thing", nil)
	log := w.log.String()
	for _, s := range []string{code, typed, strings.ReplaceAll(typed, "-", ""), d.cookie.Value, "hidden-thing", "ZZZZ"} {
		if strings.Contains(log, s) {
			t.Errorf("the log holds %q", s)
		}
	}
	if !strings.Contains(log, "route=/api/me") || !strings.Contains(log, "status=403") || !strings.Contains(log, "a device joined") {
		t.Errorf("the log does not tell what happened:\n%s", log)
	}
}
