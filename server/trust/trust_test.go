package trust

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func testInfo() Info {
	return Info{
		Authority: `Bucktail on <workshop> & "co"`, Fingerprint: strings.TrimSuffix(strings.Repeat("AB:", 32), ":"),
		CertDER: bytes.Repeat([]byte{0x30, 1, 2, 3}, 100), ProfileID: "p-id", PayloadID: "c-id",
		Secure: []string{"https://workshop.local:8443/", "https://192.168.1.20:8443/", "https://[fd00::2]:8443/"},
		Host:   func(h string) bool { return h == "workshop.local" || h == "192.168.1.20" || h == "fd00::2" },
	}
}

func ask(t *testing.T, method, host, path string) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequest(method, path, nil)
	r.Host = host
	Handler(testInfo).ServeHTTP(w, r)
	return w
}

func TestPage(t *testing.T) {
	w := ask(t, "GET", "192.168.1.20:8444", "/")
	body := w.Body.String()
	if w.Code != 200 {
		t.Fatal(w.Code)
	}
	for _, want := range []string{
		"AB AB AB AB AB AB AB AB<br>", `href="/bucktail-workshop.crt"`, `href="/bucktail-workshop.mobileconfig"`, "Certificate Trust Settings", "Install anyway",
		`data-url="https://workshop.local:8443/"`, "Remove it", "Bucktail on &lt;workshop&gt;",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	for _, bad := range []string{"<workshop>", "<style", "style=", "onclick", "<form", "<input", "[fd00", "javascript:"} {
		if strings.Contains(body, bad) {
			t.Errorf("the page holds %s", bad)
		}
	}
	csp := w.Header().Get("Content-Security-Policy")
	if !strings.HasPrefix(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") || !strings.Contains(csp, "connect-src https://workshop.local:8443/ https://192.168.1.20:8443/;") {
		t.Errorf("policy %s", csp)
	}
	// What the page loads is there, and nothing else is on the network.
	for _, m := range regexp.MustCompile(`(?:href|src)="(/[^"]*)"`).FindAllStringSubmatch(body, -1) {
		if w := ask(t, "GET", "workshop.local", m[1]); w.Code != 200 || w.Body.Len() == 0 {
			t.Errorf("%s: %d", m[1], w.Code)
		}
	}
	for _, m := range regexp.MustCompile(`https?://[^/"<\s]+`).FindAllString(body, -1) {
		if !slices.Contains([]string{"https://workshop.local:8443", "https://192.168.1.20:8443"}, m) {
			t.Errorf("the page points to %s", m)
		}
	}
}

func TestNothingElse(t *testing.T) {
	for _, path := range []string{"/api/ping", "/api/me", "/join", "/index.html", "/ca.key", "/../ca.key", "/bucktail-workshop.crt/", "/sw.js", "//"} {
		if w := ask(t, "GET", "workshop.local:8444", path); w.Code != http.StatusNotFound {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "FOO"} {
		w := ask(t, method, "workshop.local", "/")
		if w.Code != http.StatusMethodNotAllowed || w.Header().Get("Allow") != "GET, HEAD" {
			t.Errorf("%s: %d", method, w.Code)
		}
	}
	for _, host := range []string{"evil.example", "evil.example:8444", "", "localhost", "workshop.local.evil.example"} {
		if w := ask(t, "GET", host, "/"); w.Code != http.StatusMisdirectedRequest {
			t.Errorf("host %q: %d", host, w.Code)
		}
	}
	if w := ask(t, "GET", "[fd00::2]:8444", "/"); w.Code != 200 {
		t.Errorf("an IPv6 host: %d", w.Code)
	}
}

func TestCertificateFiles(t *testing.T) {
	w := ask(t, "GET", "workshop.local", certPath)
	if w.Header().Get("Content-Type") != "application/x-x509-ca-cert" || !bytes.Equal(w.Body.Bytes(), testInfo().CertDER) {
		t.Errorf("%v", w.Header())
	}
	w = ask(t, "GET", "workshop.local", profilePath)
	if w.Header().Get("Content-Type") != "application/x-apple-aspen-config" {
		t.Errorf("%v", w.Header())
	}
	// The profile is well-formed XML with the keys that Apple's Configuration Profile Reference asks of a
	// certificate payload, and holds the certificate.
	text := map[string]string{}
	key, in := "", ""
	d := xml.NewDecoder(w.Body)
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local
		case xml.CharData:
			if in == "key" {
				key = string(tok)
			} else if s := strings.TrimSpace(string(tok)); s != "" {
				text[key] += s + "|"
			}
		case xml.EndElement:
			in = ""
		}
	}
	for k, want := range map[string]string{
		"PayloadType": "Configuration|com.apple.security.root|", "PayloadVersion": "1|1|", "PayloadUUID": "p-id|c-id|",
		"PayloadIdentifier": "local.bucktail.p-id|local.bucktail.p-id.root|", "PayloadDisplayName": testInfo().Authority + "|" + testInfo().Authority + "|",
	} {
		if text[k] != want {
			t.Errorf("%s: %q, want %q", k, text[k], want)
		}
	}
	der, err := base64.StdEncoding.DecodeString(strings.Join(strings.Fields(strings.TrimSuffix(text["PayloadContent"], "|")), ""))
	if err != nil || !bytes.Equal(der, testInfo().CertDER) {
		t.Errorf("the certificate in the profile: %v %q", err, text["PayloadContent"])
	}
}
