package workshop

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bucktail/server/localca"
)

func TestServeFromFirstStartToStop(t *testing.T) {
	o := options(t)
	r := startRun(t, o)
	c := r.browser()
	_, port, _ := net.SplitHostPort(o.TLSAddr)
	for _, base := range []string{"https://" + o.TLSAddr, "https://workshop.local:" + port} {
		if status, body := get(t, c, base+"/api/ping"); status != 200 {
			t.Errorf("%s: %d %s", base, status, body)
		}
	}
	if status, _ := get(t, c, "https://"+o.TLSAddr+"/api/me"); status != 200 {
		t.Errorf("me: %d", status)
	}
	// A browser without the authority refuses.
	if _, err := (&http.Client{}).Get("https://" + o.TLSAddr + "/api/ping"); err == nil || !strings.Contains(err.Error(), "certificate") {
		t.Errorf("without the authority: %v", err)
	}
	// What the terminal says: every address, the fingerprint, the code, what to do.
	out := r.out.String()
	ca, err := localca.Open(filepath.Join(o.Data, "authority"), "", time.Now)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range append(pairs(ca.Fingerprint()), "https://workshop.local:"+port+"/", "https://"+o.TLSAddr+"/", "http://"+o.TrustAddr+"/", o.Data, "Press Enter", "Ctrl+C") {
		if !strings.Contains(out, want) {
			t.Errorf("the terminal does not show %q:\n%s", want, out)
		}
	}
	// Enter makes another link; the first was used up, so only the new one is good.
	fmt.Fprintln(r.input)
	for range 100 {
		if len(ownerLink.FindAllString(r.out.String(), -1)) == 2 {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if r.browser() == nil {
		t.Error("no second browser")
	}
	// A second start on the same record says so and leaves the first alone.
	second := options(t)
	second.Data = o.Data
	var e buffer
	err = Serve(t.Context(), Terminal{strings.NewReader(""), io.Discard, &e}, second)
	if err == nil || !strings.Contains(err.Error(), "in use") || !strings.Contains(err.Error(), o.Data) {
		t.Errorf("second start: %v", err)
	}
	if status, _ := get(t, c, "https://"+o.TLSAddr+"/api/me"); status != 200 {
		t.Error("the first server is gone")
	}
	r.end()
	if !strings.Contains(r.out.String(), "The record is closed") {
		t.Errorf("it does not say that it stopped:\n%s", r.out.String())
	}
	if left, _ := filepath.Glob(filepath.Join(o.Data, "*-wal")); len(left) > 0 {
		t.Errorf("the database was not closed clean: %v", left)
	}
	// Started again, the browser is still in and the authority is the same.
	r = startRun(t, o)
	if status, _ := get(t, c, "https://"+o.TLSAddr+"/api/me"); status != 200 {
		t.Error("the browser has to join again")
	}
	if strings.Contains(r.err.String(), "join#") {
		t.Error("a code is in the log")
	}
	r.end()
}

func TestNoLAN(t *testing.T) {
	o := options(t)
	o.NoLAN = true
	r := startRun(t, o)
	for _, addr := range []string{o.TLSAddr, o.TrustAddr} {
		if c, err := net.Dial("tcp", addr); err == nil {
			c.Close()
			t.Errorf("%s is open", addr)
		}
	}
	if _, err := os.Stat(filepath.Join(o.Data, "authority")); err == nil {
		t.Error("an authority was made that nobody needs")
	}
	status, body := get(t, http.DefaultClient, "http://"+o.Addr+"/api/me")
	if status != 401 {
		t.Errorf("local without a token: %d %s", status, body)
	}
	if out := r.out.String(); !strings.Contains(out, "Nothing is served on the network") || strings.Contains(out, "ON A PHONE") {
		t.Errorf("%s", out)
	}
	r.end()
}

// The trust page is all that the network gets in plain HTTP.
func TestPlainDoorsGiveNothing(t *testing.T) {
	o := options(t)
	r := startRun(t, o)
	for _, path := range []string{"/api/ping", "/api/me", "/join", "/laptop", "/sw.js", "/api/pairings/redeem", "/authority/ca.key"} {
		if status, body := get(t, http.DefaultClient, "http://"+o.TrustAddr+path); status != 404 {
			t.Errorf("%s: %d %.80s", path, status, body)
		}
	}
	status, body := get(t, http.DefaultClient, "http://"+o.TrustAddr+"/bucktail-workshop.crt")
	cert, err := x509.ParseCertificate([]byte(body))
	if status != 200 || err != nil || !cert.IsCA {
		t.Errorf("the certificate: %d %v", status, err)
	}
	b, err := os.ReadFile(filepath.Join(o.Data, "authority", "ca.pem"))
	if p, _ := pem.Decode(b); err != nil || !bytes.Equal(p.Bytes, []byte(body)) {
		t.Error("it is not the authority's")
	}
	// Plain HTTP on the TLS port, and TLS on the plain one.
	if status, body := get(t, http.DefaultClient, "http://"+o.TLSAddr+"/api/ping"); status != 400 || strings.Contains(body, "ok") {
		t.Errorf("plain on the secure port: %d %s", status, body)
	}
	// The loopback door under the workshop's name.
	req, _ := http.NewRequest("GET", "http://"+o.Addr+"/api/ping", nil)
	req.Host = "workshop.local"
	if resp, err := http.DefaultClient.Do(req); err != nil || resp.StatusCode != 421 {
		t.Errorf("the loopback door under another name: %v %v", resp, err)
	}
	r.end()
}

// When the router gives the laptop another address, the certificate follows while the server
// runs; phones that trust the authority need nothing new.
func TestNewAddressIsFollowed(t *testing.T) {
	o := options(t)
	addr := netip.MustParseAddr("127.0.0.1")
	o.Names = func() (localca.Names, error) { return localca.Names{Host: "workshop", Addrs: []netip.Addr{addr}}, nil }
	s, err := start(Terminal{strings.NewReader(""), io.Discard, io.Discard}, o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c := trusting(t, o)
	// The new address, as a client would ask for it at the same door.
	at := func(addr string) error {
		conn, err := tls.Dial("tcp", o.TLSAddr, &tls.Config{RootCAs: c.Transport.(*http.Transport).TLSClientConfig.RootCAs, ServerName: addr})
		if err == nil {
			conn.Close()
		}
		return err
	}
	if err := at("192.168.7.7"); err == nil {
		t.Fatal("an address that the laptop does not have was accepted")
	}
	var out buffer
	s.refresh(&out)
	if out.String() != "" {
		t.Errorf("nothing has changed, yet it says %q", out.String())
	}
	addr = netip.MustParseAddr("192.168.7.7")
	s.refresh(&out)
	if err := at("192.168.7.7"); err != nil {
		t.Errorf("the new address: %v", err)
	}
	if !strings.Contains(out.String(), "https://192.168.7.7:") || !s.reach().Host("192.168.7.7") || s.reach().Host("192.168.7.8") {
		t.Errorf("it says %q, reach %v", out.String(), s.reach().URLs)
	}
}

// Requests that are under way when the stop comes end, and what they brought is kept.
func TestGracefulStop(t *testing.T) {
	o := options(t)
	r := startRun(t, o)
	c := r.browser()
	data, hash := photoOf(t, 320, 240, 1)
	slow := &slowReader{data: data, wait: 800 * time.Millisecond, begun: make(chan bool)}
	req, err := http.NewRequest("PUT", "https://"+o.TLSAddr+"/api/photos/"+hash, slow)
	if err != nil {
		t.Fatal(err)
	}
	req.ContentLength = int64(len(data))
	req.Header.Set("Content-Type", "image/jpeg")
	status := make(chan int, 1)
	go func() {
		resp, err := c.Do(req)
		if err != nil {
			t.Error(err)
			status <- 0
			return
		}
		resp.Body.Close()
		status <- resp.StatusCode
	}()
	<-slow.begun
	time.Sleep(100 * time.Millisecond) // the first half is on its way
	r.end()
	if s := <-status; s != 201 {
		t.Fatalf("the photo under way got %d", s)
	}
	r = startRun(t, o)
	if s, _ := get(t, c, "https://"+o.TLSAddr+"/api/photos/"+hash); s != 200 {
		t.Errorf("the photo is not there: %d", s)
	}
	r.end()
}

type slowReader struct {
	data  []byte
	wait  time.Duration
	begun chan bool
	n     int
}

func (s *slowReader) Read(p []byte) (int, error) {
	if s.n == len(s.data) {
		return 0, io.EOF
	}
	half := len(s.data) / 2
	if s.n == half {
		close(s.begun)
		time.Sleep(s.wait)
	}
	end := len(s.data)
	if s.n < half {
		end = half
	}
	n := copy(p, s.data[s.n:end])
	s.n += n
	return n, nil
}
