package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"encoding/pem"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"bucktail/server/localca"
)

// buffer is a terminal that can be read while it is written.
type buffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *buffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *buffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

// run is a server in this process.
type run struct {
	t        *testing.T
	o        serveOptions
	out, err buffer
	input    *io.PipeWriter
	stop     context.CancelFunc
	done     chan error
}

func testNames() (localca.Names, error) {
	return localca.Names{Host: "workshop", Addrs: []netip.Addr{netip.MustParseAddr("127.0.0.1")}}, nil
}

// freePorts gives ports that were free a moment ago.
func freePorts(t *testing.T, n int) []string {
	t.Helper()
	var out []string
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		out = append(out, l.Addr().String())
	}
	return out
}

func options(t *testing.T) serveOptions {
	p := freePorts(t, 3)
	return serveOptions{data: filepath.Join(t.TempDir(), "record"), addr: p[0], tlsAddr: p[1], trustAddr: p[2], names: testNames}
}

func startRun(t *testing.T, o serveOptions) *run {
	t.Helper()
	r := &run{t: t, o: o, done: make(chan error, 1)}
	in, write := io.Pipe()
	r.input = write
	ctx, stop := context.WithCancel(context.Background())
	r.stop = stop
	go func() { r.done <- runServe(ctx, console{in, &r.out, &r.err}, o) }()
	t.Cleanup(func() { stop(); write.Close() })
	for range 200 {
		if strings.Contains(r.out.String(), "Stop with Ctrl+C") {
			return r
		}
		select {
		case err := <-r.done:
			t.Fatalf("it did not start: %v\n%s", err, r.err.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	t.Fatalf("it did not say that it runs:\n%s%s", r.out.String(), r.err.String())
	return nil
}

var ownerLink = regexp.MustCompile(`http://localhost:\d+/join#(\S+)`)

// browser gives a client that trusts the data folder's authority and has joined by the link in
// the terminal.
func (r *run) browser() *http.Client {
	r.t.Helper()
	ms := ownerLink.FindAllStringSubmatch(r.out.String(), -1)
	if ms == nil {
		r.t.Fatal("no link was printed")
	}
	return join(r.t, trusting(r.t, r.o), "https://"+r.o.tlsAddr, ms[len(ms)-1][1])
}

func trusting(t testing.TB, o serveOptions) *http.Client {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(o.data, "authority", "ca.pem"))
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AppendCertsFromPEM(b)
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: time.Minute, Transport: &http.Transport{
		TLSClientConfig: &tls.Config{RootCAs: pool}, ForceAttemptHTTP2: true, MaxIdleConnsPerHost: 8,
		DialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
			if host, port, _ := net.SplitHostPort(addr); host == "workshop.local" { // what the network's name service would do
				addr = net.JoinHostPort("127.0.0.1", port)
			}
			return (&net.Dialer{}).DialContext(ctx, network, addr)
		},
	}}
}

// join redeems a code and gives the client back, with its cookie.
func join(t testing.TB, c *http.Client, base, code string) *http.Client {
	t.Helper()
	body, _ := json.Marshal(map[string]string{"code": code, "name": "test"})
	resp, err := c.Post(base+"/api/pairings/redeem", "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != 201 {
		b, _ := io.ReadAll(resp.Body)
		t.Fatalf("join: %d %s", resp.StatusCode, b)
	}
	return c
}

func get(t testing.TB, c *http.Client, url string) (int, string) {
	t.Helper()
	resp, err := c.Get(url)
	if err != nil {
		return 0, err.Error()
	}
	defer resp.Body.Close()
	b, _ := io.ReadAll(resp.Body)
	return resp.StatusCode, string(b)
}

func (r *run) end() {
	r.t.Helper()
	r.stop()
	select {
	case err := <-r.done:
		if err != nil {
			r.t.Errorf("stopping: %v", err)
		}
	case <-time.After(30 * time.Second):
		r.t.Error("it does not stop")
	}
}

func TestServeFromFirstStartToStop(t *testing.T) {
	o := options(t)
	r := startRun(t, o)
	c := r.browser()
	_, port, _ := net.SplitHostPort(o.tlsAddr)
	for _, base := range []string{"https://" + o.tlsAddr, "https://workshop.local:" + port} {
		if status, body := get(t, c, base+"/api/ping"); status != 200 {
			t.Errorf("%s: %d %s", base, status, body)
		}
	}
	if status, _ := get(t, c, "https://"+o.tlsAddr+"/api/me"); status != 200 {
		t.Errorf("me: %d", status)
	}
	// A browser without the authority refuses.
	if _, err := (&http.Client{}).Get("https://" + o.tlsAddr + "/api/ping"); err == nil || !strings.Contains(err.Error(), "certificate") {
		t.Errorf("without the authority: %v", err)
	}
	// What the terminal says: every address, the fingerprint, the code, what to do.
	out := r.out.String()
	ca, err := localca.Open(filepath.Join(o.data, "authority"), "", time.Now)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range append(pairs(ca.Fingerprint()), "https://workshop.local:"+port+"/", "https://"+o.tlsAddr+"/", "http://"+o.trustAddr+"/", o.data, "Press Enter", "Ctrl+C") {
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
	second.data = o.data
	var e buffer
	err = runServe(t.Context(), console{strings.NewReader(""), io.Discard, &e}, second)
	if err == nil || !strings.Contains(err.Error(), "in use") || !strings.Contains(err.Error(), o.data) {
		t.Errorf("second start: %v", err)
	}
	if status, _ := get(t, c, "https://"+o.tlsAddr+"/api/me"); status != 200 {
		t.Error("the first server is gone")
	}
	r.end()
	if !strings.Contains(r.out.String(), "The record is closed") {
		t.Errorf("it does not say that it stopped:\n%s", r.out.String())
	}
	if left, _ := filepath.Glob(filepath.Join(o.data, "*-wal")); len(left) > 0 {
		t.Errorf("the database was not closed clean: %v", left)
	}
	// Started again, the browser is still in and the authority is the same.
	r = startRun(t, o)
	if status, _ := get(t, c, "https://"+o.tlsAddr+"/api/me"); status != 200 {
		t.Error("the browser has to join again")
	}
	if strings.Contains(r.err.String(), "join#") {
		t.Error("a code is in the log")
	}
	r.end()
}

// A port that is taken is an error that says so; no other is taken instead.
func TestTakenPort(t *testing.T) {
	for flag, set := range map[string]func(*serveOptions, string){
		"--tls-addr":   func(o *serveOptions, a string) { o.tlsAddr = a },
		"--trust-addr": func(o *serveOptions, a string) { o.trustAddr = a },
		"--addr":       func(o *serveOptions, a string) { o.addr = a },
	} {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		o := options(t)
		set(&o, l.Addr().String())
		err = runServe(t.Context(), console{strings.NewReader(""), io.Discard, io.Discard}, o)
		if err == nil || !strings.Contains(err.Error(), flag+" "+l.Addr().String()+" is taken") {
			t.Errorf("%s: %v", flag, err)
		}
		l.Close()
		// Everything that was opened before is closed again.
		r := startRun(t, o)
		r.end()
	}
}

func TestAddressesThatAreRefused(t *testing.T) {
	for _, addr := range []string{":8442", "0.0.0.0:8442", "192.168.1.20:8442", "example.com:8442", "8442"} {
		if l, err := listenLoopback(addr); err == nil {
			l.Close()
			t.Errorf("%s was opened in plain http", addr)
		}
	}
}

func TestNoLAN(t *testing.T) {
	o := options(t)
	o.noLAN = true
	r := startRun(t, o)
	for _, addr := range []string{o.tlsAddr, o.trustAddr} {
		if c, err := net.Dial("tcp", addr); err == nil {
			c.Close()
			t.Errorf("%s is open", addr)
		}
	}
	if _, err := os.Stat(filepath.Join(o.data, "authority")); err == nil {
		t.Error("an authority was made that nobody needs")
	}
	status, body := get(t, http.DefaultClient, "http://"+o.addr+"/api/me")
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
		if status, body := get(t, http.DefaultClient, "http://"+o.trustAddr+path); status != 404 {
			t.Errorf("%s: %d %.80s", path, status, body)
		}
	}
	status, body := get(t, http.DefaultClient, "http://"+o.trustAddr+"/bucktail-workshop.crt")
	cert, err := x509.ParseCertificate([]byte(body))
	if status != 200 || err != nil || !cert.IsCA {
		t.Errorf("the certificate: %d %v", status, err)
	}
	b, err := os.ReadFile(filepath.Join(o.data, "authority", "ca.pem"))
	if p, _ := pem.Decode(b); err != nil || !bytes.Equal(p.Bytes, []byte(body)) {
		t.Error("it is not the authority's")
	}
	// Plain HTTP on the TLS port, and TLS on the plain one.
	if status, body := get(t, http.DefaultClient, "http://"+o.tlsAddr+"/api/ping"); status != 400 || strings.Contains(body, "ok") {
		t.Errorf("plain on the secure port: %d %s", status, body)
	}
	// The loopback door under the workshop's name.
	req, _ := http.NewRequest("GET", "http://"+o.addr+"/api/ping", nil)
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
	o.names = func() (localca.Names, error) { return localca.Names{Host: "workshop", Addrs: []netip.Addr{addr}}, nil }
	s, err := startServe(console{strings.NewReader(""), io.Discard, io.Discard}, o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c := trusting(t, o)
	// The new address, as a client would ask for it at the same door.
	at := func(addr string) error {
		conn, err := tls.Dial("tcp", o.tlsAddr, &tls.Config{RootCAs: c.Transport.(*http.Transport).TLSClientConfig.RootCAs, ServerName: addr})
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
	req, err := http.NewRequest("PUT", "https://"+o.tlsAddr+"/api/photos/"+hash, slow)
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
	if s, _ := get(t, c, "https://"+o.tlsAddr+"/api/photos/"+hash); s != 200 {
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

// Connections from outside the private networks are turned away, and one address can't take all.
func TestFairListener(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	from := func(a netip.Addr) bool { return a == netip.MustParseAddr("127.0.0.1") }
	f := fair(l, from).(*fairListener)
	accepted := make(chan net.Conn, 200)
	go func() {
		for {
			c, err := f.Accept()
			if err != nil {
				return
			}
			accepted <- c
		}
	}()
	for range maxPerAddress + 20 {
		c, err := net.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
	}
	time.Sleep(200 * time.Millisecond)
	if n := len(accepted); n != maxPerAddress {
		t.Errorf("%d connections of one address, want %d", n, maxPerAddress)
	}
	for range 10 { // those that end make room
		(<-accepted).Close()
	}
	for range 10 {
		c, err := net.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
	}
	time.Sleep(200 * time.Millisecond)
	if n := len(accepted); n != maxPerAddress {
		t.Errorf("%d connections after ten made room, want %d", n, maxPerAddress)
	}
	f.from = func(netip.Addr) bool { return false }
	c, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	c.SetReadDeadline(time.Now().Add(5 * time.Second))
	if _, err := c.Read(make([]byte, 1)); err == nil || strings.Contains(err.Error(), "timeout") {
		t.Errorf("a connection from elsewhere: %v", err)
	}
}

func TestAddressesAreOrdered(t *testing.T) {
	n := localca.Names{Host: "workshop"}
	for _, a := range []string{"10.0.0.5", "172.17.0.1", "192.168.1.20", "fd00::20"} {
		n.Addrs = append(n.Addrs, netip.MustParseAddr(a))
	}
	got := strings.Join(urls("https", n, "8443", netip.MustParseAddr("192.168.1.20"), true), " ")
	if want := "https://workshop.local:8443/ https://192.168.1.20:8443/ https://10.0.0.5:8443/ https://172.17.0.1:8443/"; got != want {
		t.Errorf("%s", got)
	}
	got = strings.Join(urls("http", localca.Names{Host: "workshop", Addrs: n.Addrs[3:]}, "8444", netip.Addr{}, false), " ")
	if want := "http://[fd00::20]:8444/ http://workshop.local:8444/"; got != want {
		t.Errorf("%s", got)
	}
	for _, u := range strings.Fields(got) {
		if _, err := url.Parse(u); err != nil {
			t.Error(err)
		}
	}
}
