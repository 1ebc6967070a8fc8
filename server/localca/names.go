package localca

import (
	"fmt"
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
)

// Names are what the machine is called on its networks: what a leaf is made for, and the only
// hosts that requests may name.
type Names struct {
	Host  string       // "workshop": the machine's name, one label, lower case
	Addrs []netip.Addr // private addresses, in order, loopback ones left out
}

// Current asks the system. A machine without a network has no addresses, which is no error.
func Current() (Names, error) {
	host, err := os.Hostname()
	if err != nil {
		return Names{}, fmt.Errorf("ask for the machine's name: %w", err)
	}
	n := Names{Host: Label(host)}
	ifs, err := net.Interfaces()
	if err != nil {
		return n, fmt.Errorf("ask for the network addresses: %w", err)
	}
	for _, i := range ifs {
		if i.Flags&net.FlagUp == 0 || i.Flags&net.FlagLoopback != 0 {
			continue
		}
		addrs, err := i.Addrs()
		if err != nil {
			continue // the interface went away in between
		}
		for _, a := range addrs {
			p, err := netip.ParsePrefix(a.String())
			if err != nil || !Private(p.Addr()) {
				continue
			}
			// A link-local IPv6 address needs the name of the interface on the phone's side.
			if a := p.Addr().Unmap().WithZone(""); !(a.Is6() && a.IsLinkLocalUnicast()) {
				n.Addrs = append(n.Addrs, a)
			}
		}
	}
	n.sort()
	return n, nil
}

// sort puts IPv4 first, because people can read it, and drops repetitions.
func (n *Names) sort() {
	slices.SortFunc(n.Addrs, netip.Addr.Compare)
	n.Addrs = slices.Compact(n.Addrs)
}

// Label makes one DNS label out of a machine's name: its first part, lower case, letters,
// digits and hyphens. A name without any becomes "bucktail".
func Label(host string) string {
	host, _, _ = strings.Cut(strings.ToLower(host), ".")
	var b strings.Builder
	for _, r := range host {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			b.WriteRune(r)
		case r == '_' || r == ' ':
			b.WriteByte('-')
		}
	}
	l := strings.Trim(b.String(), "-")
	if len(l) > 63 {
		l = strings.TrimRight(l[:63], "-")
	}
	if l == "" {
		return "bucktail"
	}
	return l
}

// Local is the name that phones use: "workshop.local".
func (n Names) Local() string { return n.Host + ".local" }

// DNS lists the names of a leaf.
func (n Names) DNS() []string { return []string{n.Local(), "localhost"} }

// IPs lists the addresses of a leaf: the machine's own and the loopback ones.
func (n Names) IPs() []netip.Addr {
	return append([]netip.Addr{netip.MustParseAddr("127.0.0.1"), netip.MustParseAddr("::1")}, n.Addrs...)
}

// Has says whether a request's host (without its port, IPv6 without brackets) is one of the
// names or addresses. A final dot is the same name.
func (n Names) Has(host string) bool {
	if a, err := netip.ParseAddr(host); err == nil {
		return slices.Contains(n.IPs(), a)
	}
	return slices.Contains(n.DNS(), strings.ToLower(strings.TrimSuffix(host, ".")))
}

func (n Names) equal(m Names) bool { return n.Host == m.Host && slices.Equal(n.Addrs, m.Addrs) }
