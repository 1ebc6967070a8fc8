package workshop

import (
	"io"
	"net"
	"net/netip"
	"net/url"
	"strings"
	"testing"
	"time"

	"bucktail/server/localca"
)

// A port that is taken is an error that says so; no other is taken instead.
func TestTakenPort(t *testing.T) {
	for flag, set := range map[string]func(*Options, string){
		"--tls-addr":   func(o *Options, a string) { o.TLSAddr = a },
		"--trust-addr": func(o *Options, a string) { o.TrustAddr = a },
		"--addr":       func(o *Options, a string) { o.Addr = a },
	} {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		o := options(t)
		set(&o, l.Addr().String())
		err = Serve(t.Context(), Terminal{strings.NewReader(""), io.Discard, io.Discard}, o)
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

// Who may come in at which door: phones from private networks, the laptop itself by plain HTTP.
func TestDoorsTakeTheirOwn(t *testing.T) {
	names, _ := testNames()
	network, err := listenLAN("--tls-addr", "127.0.0.1:0", names)
	if err != nil {
		t.Fatal(err)
	}
	defer network.Close()
	own, err := listenLoopback("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer own.Close()
	for addr, may := range map[string][2]bool{ // at the network's door, at the laptop's own
		"127.0.0.1": {true, true}, "192.168.1.20": {true, false}, "10.1.2.3": {true, false}, "fd00::20": {true, false},
		"8.8.8.8": {false, false}, "172.32.0.1": {false, false}, "2001:db8::1": {false, false},
	} {
		a := netip.MustParseAddr(addr)
		if got := [2]bool{network.(*fairListener).from(a), own.(*fairListener).from(a)}; got != may {
			t.Errorf("%s may come in at the network's and the laptop's door: %v, want %v", addr, got, may)
		}
	}
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
