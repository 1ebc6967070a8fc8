package workshop

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
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
	o        Options
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

func options(t *testing.T) Options {
	p := freePorts(t, 3)
	return Options{Data: filepath.Join(t.TempDir(), "record"), Addr: p[0], TLSAddr: p[1], TrustAddr: p[2], Names: testNames}
}

func startRun(t *testing.T, o Options) *run {
	t.Helper()
	r := &run{t: t, o: o, done: make(chan error, 1)}
	in, write := io.Pipe()
	r.input = write
	ctx, stop := context.WithCancel(context.Background())
	r.stop = stop
	go func() { r.done <- Serve(ctx, Terminal{in, &r.out, &r.err}, o) }()
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
	return join(r.t, trusting(r.t, r.o), "https://"+r.o.TLSAddr, ms[len(ms)-1][1])
}

func trusting(t testing.TB, o Options) *http.Client {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(o.Data, "authority", "ca.pem"))
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
