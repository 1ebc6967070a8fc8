// Package trust is the page that lets a phone trust the workshop's laptop: the certificate of
// its authority, how to install it, and a check that it worked.
//
// It is the only thing that the server gives out over plain HTTP on the network, because a phone
// can't use the secure address before it has the certificate. So it holds no login, no data and
// no app, takes no input, and never changes anything. Start with [Handler].
package trust

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"slices"
	"strings"

	"bucktail/server/look"
)

// Info is what the page says about this workshop.
type Info struct {
	Authority   string   // name that the phone shows: "Bucktail on workshop, 13 Nov 2026"
	Fingerprint string   // SHA-256 of the certificate, "7B:2E:…"
	CertDER     []byte   // the authority's certificate
	ProfileID   string   // UUID of the configuration profile
	PayloadID   string   // UUID of the certificate in it
	Secure      []string // secure addresses, the best first: "https://workshop.local:8443/"
	// Host says whether a request may name this host, without port and brackets.
	Host func(string) bool
}

//go:embed trust.html
var pageHTML string

//go:embed trust.js
var pageJS []byte

//go:embed profile.xml
var profileXML string

var (
	page    = template.Must(template.New("trust").Parse(pageHTML))
	profile = template.Must(template.New("profile").Parse(profileXML))
)

// Names of the two files to install.
const (
	certPath    = "/bucktail-workshop.crt"
	profilePath = "/bucktail-workshop.mobileconfig"
)

// Handler serves the page and its files, nothing else. info is asked at each request, because
// addresses change.
func Handler(info func() Info) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		i := info()
		headers(w, i)
		if !i.Host(hostOf(r.Host)) {
			http.Error(w, "This page is not served under that name. Use the address that the laptop shows.", http.StatusMisdirectedRequest)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "This page can only be read.", http.StatusMethodNotAllowed)
			return
		}
		switch r.URL.Path {
		case "/":
			send(w, "text/html; charset=utf-8", func(b *bytes.Buffer) error { return page.Execute(b, i) })
		case "/look.css":
			send(w, "text/css; charset=utf-8", func(b *bytes.Buffer) error { b.Write(look.CSS); return nil })
		case "/trust.js":
			send(w, "text/javascript; charset=utf-8", func(b *bytes.Buffer) error { b.Write(pageJS); return nil })
		case certPath:
			w.Header().Set("Content-Disposition", `attachment; filename="bucktail-workshop.crt"`)
			send(w, "application/x-x509-ca-cert", func(b *bytes.Buffer) error { b.Write(i.CertDER); return nil })
		case profilePath:
			w.Header().Set("Content-Disposition", `attachment; filename="bucktail-workshop.mobileconfig"`)
			send(w, "application/x-apple-aspen-config", func(b *bytes.Buffer) error { return profile.Execute(b, i) })
		default:
			http.Error(w, "There is nothing here. Use the address that the laptop shows.", http.StatusNotFound)
		}
	})
}

// send makes the whole answer first, so that a fault never leaves half a certificate.
func send(w http.ResponseWriter, media string, make func(*bytes.Buffer) error) {
	var b bytes.Buffer
	if err := make(&b); err != nil {
		http.Error(w, "The page could not be made.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Length", fmt.Sprint(b.Len()))
	w.Write(b.Bytes())
}

func headers(w http.ResponseWriter, i Info) {
	h := w.Header()
	connect := strings.Join(i.Testable(), " ")
	if connect == "" {
		connect = "'none'"
	}
	h.Set("Content-Security-Policy", "default-src 'none'; img-src data:; style-src 'self'; script-src 'self'; connect-src "+connect+
		"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cache-Control", "no-store")
}

// hostOf takes the port and brackets off a Host header.
func hostOf(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		return h
	}
	return strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
}

// CertBase64 gives the certificate for the profile, in lines of 52.
func (i Info) CertBase64() string {
	s := base64.StdEncoding.EncodeToString(i.CertDER)
	var b strings.Builder
	for len(s) > 52 {
		b.WriteString(s[:52] + "\n")
		s = s[52:]
	}
	return b.String() + s
}

// Testable gives the addresses that the page can try. A policy for content can't name an IPv6
// address (Content Security Policy Level 3, grammar of host-source), so those are left out.
func (i Info) Testable() []string {
	return slices.DeleteFunc(slices.Clone(i.Secure), func(u string) bool { return strings.Contains(u, "[") })
}

// Best is the address to open when all is done.
func (i Info) Best() string {
	if len(i.Secure) == 0 {
		return ""
	}
	return i.Secure[0]
}

// Lines gives the fingerprint in four lines of eight pairs, as people compare it.
func (i Info) Lines() []string {
	pairs := strings.Split(i.Fingerprint, ":")
	var out []string
	for len(pairs) > 8 {
		out = append(out, strings.Join(pairs[:8], " "))
		pairs = pairs[8:]
	}
	return append(out, strings.Join(pairs, " "))
}
