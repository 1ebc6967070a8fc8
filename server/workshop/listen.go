package workshop

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"syscall"

	"bucktail/server/localca"
)

// ErrAddress says of an address to listen at that it is none.
var ErrAddress = errors.New("is not host:port")

// maxPerAddress bounds the open connections of one address, so that no device can take them all.
// A browser opens six for a page, or one with HTTP/2.
const maxPerAddress = 64

// listenLoopback opens the door for the laptop's own browser.
func listenLoopback(addr string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, fmt.Errorf("--addr %q %w", addr, ErrAddress)
	}
	if a, err := netip.ParseAddr(host); host != "localhost" && (err != nil || !a.IsLoopback()) {
		return nil, fmt.Errorf("--addr %q: plain http is for this laptop alone; use localhost or 127.0.0.1", addr)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, portTaken("--addr", addr, err)
	}
	return fair(l, netip.Addr.IsLoopback), nil
}

// listenLAN opens a door on the network. Without a host it takes all IPv4 addresses, or all there
// are where there is no IPv4: the name under which phones find the laptop may also give a public
// IPv6 address, and a phone goes on to the next address only if the first one refuses. What
// comes from outside the private networks is turned away.
func listenLAN(flag, addr string, n localca.Names) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, fmt.Errorf("%s %q %w", flag, addr, ErrAddress)
	}
	network := "tcp"
	if host == "" && slices.ContainsFunc(n.Addrs, netip.Addr.Is4) {
		network = "tcp4"
	}
	l, err := net.Listen(network, addr)
	if err != nil {
		return nil, portTaken(flag, addr, err)
	}
	return fair(l, localca.Private), nil
}

func portTaken(flag, addr string, err error) error {
	if !errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("%s %s: %w", flag, addr, err)
	}
	return fmt.Errorf("%s %s is taken by another program, or by another Bucktail. "+
		"What a phone keeps belongs to the address with its port, so Bucktail takes no other by itself: "+
		"stop that program, or choose another port with %s before any phone is paired", flag, addr, flag)
}

// fairListener turns away connections from where none should come, and more than one address may
// have at once.
type fairListener struct {
	net.Listener
	from func(netip.Addr) bool
	mu   sync.Mutex
	open map[netip.Addr]int
}

func fair(l net.Listener, from func(netip.Addr) bool) net.Listener {
	return &fairListener{Listener: l, from: from, open: map[netip.Addr]int{}}
}

func (l *fairListener) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		a := remoteAddr(c)
		if !l.from(a) || !l.take(a) {
			c.Close()
			continue
		}
		return &fairConn{Conn: c, leave: sync.OnceFunc(func() { l.leave(a) })}, nil
	}
}

func remoteAddr(c net.Conn) netip.Addr {
	ap, err := netip.ParseAddrPort(c.RemoteAddr().String())
	if err != nil {
		return netip.Addr{}
	}
	return ap.Addr().Unmap().WithZone("")
}

func (l *fairListener) take(a netip.Addr) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open[a] >= maxPerAddress {
		return false
	}
	l.open[a]++
	return true
}

func (l *fairListener) leave(a netip.Addr) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open[a]--; l.open[a] <= 0 {
		delete(l.open, a)
	}
}

type fairConn struct {
	net.Conn
	leave func()
}

func (c *fairConn) Close() error {
	c.leave()
	return c.Conn.Close()
}

// port gives the port of an address.
func port(a net.Addr) string {
	_, p, _ := net.SplitHostPort(a.String())
	return p
}

// usual gives the address that the machine would go out by, which is the one that phones in the
// same network reach: connecting a UDP socket asks the routing table and sends nothing. Without
// a network it is the invalid address.
func usual() netip.Addr {
	c, err := net.Dial("udp4", "192.0.2.1:9") // TEST-NET-1, RFC 5737: nobody's
	if err != nil {
		return netip.Addr{}
	}
	defer c.Close()
	ap, err := netip.ParseAddrPort(c.LocalAddr().String())
	if err != nil {
		return netip.Addr{}
	}
	return ap.Addr()
}

// urls writes the addresses of a door, the usual one first among the numbers. IPv6 ones are left
// out where there are IPv4 ones: see listenLAN.
func urls(scheme string, n localca.Names, port string, first netip.Addr, nameFirst bool) []string {
	var numbers []string
	four := slices.ContainsFunc(n.Addrs, netip.Addr.Is4)
	for _, a := range n.Addrs {
		if four && !a.Is4() {
			continue
		}
		u := fmt.Sprintf("%s://%s/", scheme, net.JoinHostPort(a.String(), port))
		if a == first {
			numbers = append([]string{u}, numbers...)
		} else {
			numbers = append(numbers, u)
		}
	}
	name := fmt.Sprintf("%s://%s/", scheme, net.JoinHostPort(n.Local(), port))
	if nameFirst {
		return append([]string{name}, numbers...)
	}
	return append(numbers, name)
}

// pairs writes a fingerprint in lines of eight pairs, as people compare it.
func pairs(fingerprint string) []string {
	p := strings.Split(fingerprint, ":")
	var lines []string
	for len(p) > 0 {
		n := min(8, len(p))
		lines, p = append(lines, strings.Join(p[:n], " ")), p[n:]
	}
	return lines
}
