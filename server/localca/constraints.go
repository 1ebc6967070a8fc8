package localca

import (
	"crypto/x509"
	"net"
	"net/netip"
)

// permittedDNS: names that no public authority gives out. RFC 6762 (local), RFC 8375
// (home.arpa), ICANN's reservation of 2024 (internal), RFC 6761 (localhost); lan is common
// practice of home routers.
var permittedDNS = []string{"localhost", "local", "lan", "home.arpa", "internal"}

// permittedIP: addresses that are routed nowhere. RFC 1918, RFC 3927 (link-local), RFC 6598
// (behind a provider's NAT), RFC 4193 (unique local), RFC 4291 (link-local), and loopback.
var permittedIP = []netip.Prefix{
	netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("172.16.0.0/12"), netip.MustParsePrefix("192.168.0.0/16"),
	netip.MustParsePrefix("169.254.0.0/16"), netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("100.64.0.0/10"),
	netip.MustParsePrefix("::1/128"), netip.MustParsePrefix("fc00::/7"), netip.MustParsePrefix("fe80::/10"),
}

// constrain limits an authority's certificate to the workshop. The limits are critical: whoever
// does not understand them must refuse the certificate. Some clients do not hold to limits of
// an authority installed by hand, so they are a second fence; the first is the key's file mode.
func constrain(t *x509.Certificate) {
	t.PermittedDNSDomainsCritical = true
	t.PermittedDNSDomains = permittedDNS
	for _, p := range permittedIP {
		bits := 32
		if p.Addr().Is6() {
			bits = 128
		}
		t.PermittedIPRanges = append(t.PermittedIPRanges, &net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), bits)})
	}
}

// Private says whether an address is one of the workshop's: private, link-local or loopback.
func Private(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	for _, p := range permittedIP {
		if p.Contains(a) {
			return true
		}
	}
	return false
}
