package workshop

import (
	"crypto/tls"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bucktail/server/localca"
)

func needBrowser(t *testing.T) {
	if os.Getenv("BUCKTAIL_BROWSER") == "" {
		t.Skip("runs in make test: BUCKTAIL_BROWSER=1")
	}
}

// workerApp is a page with a service worker.
var workerApp = fstest.MapFS{
	"index.html": {Data: []byte(`<!doctype html><title>app</title><script src="/app.js"></script>`)},
	"app.js":     {Data: []byte(`window.worker = () => navigator.serviceWorker.register("/sw.js").then(() => navigator.serviceWorker.ready).then(() => "registered", String);`)},
	"sw.js":      {Data: []byte(`addEventListener("install", (e) => e.waitUntil(fetch("/app.js", { cache: "no-cache" })));`)},
}

func TestChromiumTrustsAndRegistersWorker(t *testing.T) {
	needBrowser(t)
	o := options(t)
	o.App = workerApp
	r := startRun(t, o)
	_, port, _ := net.SplitHostPort(o.TLSAddr)
	_, trustPort, _ := net.SplitHostPort(o.TrustAddr)
	name, number := "https://workshop.local:"+port+"/", "https://127.0.0.1:"+port+"/"

	b := chromium(t, filepath.Join(o.Data, "authority", "ca.pem"))
	for _, url := range []string{name, number} {
		if e := b.open(url); e != "" {
			t.Fatalf("%s: %s", url, e)
		}
		if got := b.waitFor("typeof window.worker", "function"); got != "function" {
			t.Errorf("%s: the page's script did not run", url)
		}
		if got := b.eval(`worker()`); got != "registered" {
			t.Errorf("%s: worker %s", url, got)
		}
		if got := b.eval(`isSecureContext && !!navigator.mediaDevices && !!crypto.subtle`); got != "true" {
			t.Errorf("%s: no secure context", url)
		}
	}

	// The trust page's test, pressed as a person does it.
	b.open("http://workshop.local:" + trustPort + "/")
	b.eval(`document.getElementById("test").click()`)
	if got := b.waitFor(`document.querySelector("#results b").textContent`, "trusted"); got != "trusted" {
		t.Errorf("the trust page says %q", got)
	}
	if got := b.eval(`document.getElementById("open").href`); got != name {
		t.Errorf("the trust page leads to %s", got)
	}

	// Joining with the link's code, as the laptop's browser does, and with a typed one.
	link := ownerLink.FindString(r.out.String())
	b.open(link)
	b.waitFor(`document.getElementById("name").value`, "This laptop")
	b.eval(`document.getElementById("join").click()`)
	if got := b.waitFor(`document.getElementById("done").hidden`, "false"); got != "false" {
		t.Errorf("joining: %s", b.eval(`document.body.innerText`))
	}
	if got := b.eval(`location.href`); strings.Contains(got, "#") {
		t.Errorf("the code stays in the browser's history: %s", got)
	}
	b.open(strings.Split(link, "join#")[0] + "laptop")
	b.waitFor(`document.getElementById("all").hidden`, "false")
	b.eval(`document.getElementById("as-inspector").click()`)
	b.waitFor(`document.getElementById("code").hidden`, "false")
	typed := b.eval(`document.getElementById("typed").textContent`)
	if len(typed) != 14 || b.eval(`document.querySelectorAll(".qr svg").length`) != "2" {
		t.Fatalf("the laptop's page: %s", b.eval(`document.body.innerText`))
	}
	b.open(name + "join")
	b.eval(`document.getElementById("code").value = "` + strings.ToLower(typed) + `"; document.getElementById("name").value = "E. Salo"; document.getElementById("join").click()`)
	if got := b.waitFor(`document.getElementById("done").hidden`, "false"); got != "false" {
		t.Errorf("joining by a typed code: %s", b.eval(`document.body.innerText`))
	}
	if got := b.eval(`fetch("/api/me").then((r) => r.json()).then((m) => m.device.role + ", " + m.device.name)`); got != "inspector, E. Salo" {
		t.Errorf("joined as %s", got)
	}

	// A browser that does not know the authority shows nothing of the page.
	if e := chromium(t, "").open(name); e != "net::ERR_CERT_AUTHORITY_INVALID" {
		t.Errorf("without the authority: %q", e)
	}
	r.end()
}

// A leaf that the authority signs outside its limits is refused, by name and by address.
func TestChromiumRefusesLeafOutsideLimits(t *testing.T) {
	needBrowser(t)
	dir := t.TempDir()
	ca, err := localca.Open(dir, "workshop", time.Now)
	if err != nil {
		t.Fatal(err)
	}
	b := chromium(t, filepath.Join(dir, "ca.pem"))
	for _, c := range []struct{ host, ip, want string }{
		{"workshop.local", "127.0.0.1", ""},
		{"example.com", "127.0.0.1", "net::ERR_CERT_INVALID"},
		{"workshop.local", "8.8.8.8", "net::ERR_CERT_INVALID"},
	} {
		leaf, err := ca.Issue([]string{c.host}, []netip.Addr{netip.MustParseAddr(c.ip)})
		if err != nil {
			t.Fatal(err)
		}
		l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{Certificates: []tls.Certificate{*leaf}})
		if err != nil {
			t.Fatal(err)
		}
		srv := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "shown") })}
		go srv.Serve(l)
		if got := b.open("https://" + net.JoinHostPort(c.host, port(l.Addr())) + "/"); got != c.want {
			t.Errorf("%s, %s: %q, want %q", c.host, c.ip, got, c.want)
		}
		srv.Close()
	}
}
