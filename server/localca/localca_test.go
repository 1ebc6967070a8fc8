package localca

import (
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"errors"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

func open(t *testing.T, dir string) *CA {
	t.Helper()
	ca, err := Open(dir, "workshop", time.Now)
	if err != nil {
		t.Fatal(err)
	}
	return ca
}

var workshop = Names{Host: "workshop", Addrs: []netip.Addr{netip.MustParseAddr("192.168.1.20"), netip.MustParseAddr("fd00::20")}}

// dial shakes hands with a server that shows leaf, as a client that trusts the authority and
// asked for name.
func dial(t *testing.T, ca *CA, conf *tls.Config, name string) error {
	t.Helper()
	a, b := net.Pipe()
	defer a.Close()
	defer b.Close()
	go tls.Server(a, conf).Handshake()
	b.SetDeadline(time.Now().Add(10 * time.Second))
	pool := x509.NewCertPool()
	pool.AddCert(ca.root)
	return tls.Client(b, &tls.Config{RootCAs: pool, ServerName: name}).Handshake()
}

func TestClientAcceptsNamesAndAddresses(t *testing.T) {
	ca := open(t, t.TempDir())
	if _, err := ca.Refresh(workshop); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"workshop.local", "localhost", "127.0.0.1", "::1", "192.168.1.20", "fd00::20"} {
		if err := dial(t, ca, ca.TLSConfig(), name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"other.local", "192.168.1.21", "example.com"} {
		if err := dial(t, ca, ca.TLSConfig(), name); err == nil {
			t.Errorf("%s is not on the certificate and was accepted", name)
		}
	}
}

// Whoever steals the authority's key can't use it against other sites.
func TestClientRefusesLeafOutsideLimits(t *testing.T) {
	ca := open(t, t.TempDir())
	for _, c := range []struct {
		dns []string
		ip  string
	}{
		{[]string{"example.com"}, ""}, {[]string{"local.example.com"}, ""}, {[]string{"notlocal"}, ""},
		{[]string{"workshop.local", "example.com"}, ""},
		{[]string{"workshop.local"}, "8.8.8.8"}, {[]string{"workshop.local"}, "2001:db8::1"}, {[]string{"workshop.local"}, "172.32.0.1"},
	} {
		var ips []netip.Addr
		if c.ip != "" {
			ips = []netip.Addr{netip.MustParseAddr(c.ip)}
		}
		leaf, err := ca.Issue(c.dns, ips)
		if err != nil {
			t.Fatal(err)
		}
		err = dial(t, ca, &tls.Config{Certificates: []tls.Certificate{*leaf}}, c.dns[0])
		var bad x509.CertificateInvalidError
		if !errors.As(err, &bad) || bad.Reason != x509.CANotAuthorizedForThisName {
			t.Errorf("%v %s: %v", c.dns, c.ip, err)
		}
	}
}

// OpenSSL is a second reader of the same certificates.
func TestOpenSSLAgrees(t *testing.T) {
	openssl, err := exec.LookPath("openssl")
	if err != nil {
		t.Fatal("openssl is not installed: apt-get install openssl")
	}
	ca := open(t, t.TempDir())
	dir := t.TempDir()
	file := func(name string, b []byte) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, b, 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	root := file("ca.pem", pemCert(ca.root.Raw))
	verify := func(name string, dns []string, ips []netip.Addr, more ...string) string {
		leaf, err := ca.Issue(dns, ips)
		if err != nil {
			t.Fatal(err)
		}
		args := append([]string{"verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", root}, more...)
		out, _ := exec.Command(openssl, append(args, file(name, pemCert(leaf.Certificate[0])))...).CombinedOutput()
		return string(out)
	}
	if out := verify("good.pem", workshop.DNS(), workshop.IPs(), "-verify_ip", "192.168.1.20"); !strings.Contains(out, "good.pem: OK") {
		t.Errorf("the good leaf: %s", out)
	}
	for _, bad := range []string{verify("name.pem", []string{"example.com"}, nil), verify("ip.pem", []string{"workshop.local"}, []netip.Addr{netip.MustParseAddr("8.8.8.8")})} {
		if !strings.Contains(bad, "permitted subtree violation") {
			t.Errorf("a leaf outside the limits: %s", bad)
		}
	}
}

func TestCertificateForm(t *testing.T) {
	dir := t.TempDir()
	ca := open(t, dir)
	if _, err := ca.Refresh(workshop); err != nil {
		t.Fatal(err)
	}
	r := ca.root
	if !r.IsCA || !r.MaxPathLenZero || !r.PermittedDNSDomainsCritical || len(r.PermittedIPRanges) != len(permittedIP) || r.KeyUsage != x509.KeyUsageCertSign|x509.KeyUsageCRLSign {
		t.Errorf("the authority: %+v", r)
	}
	leaf := ca.leaf.Leaf
	if d := leaf.NotAfter.Sub(leaf.NotBefore); d > 398*24*time.Hour || d < 396*24*time.Hour {
		t.Errorf("the leaf lives %v", d)
	}
	if leaf.IsCA || len(leaf.ExtKeyUsage) != 1 || leaf.ExtKeyUsage[0] != x509.ExtKeyUsageServerAuth || leaf.SerialNumber.BitLen() < 64 {
		t.Errorf("the leaf: %+v", leaf)
	}
	sum := sha256.Sum256(ca.CertDER())
	if got := strings.ToLower(strings.ReplaceAll(ca.Fingerprint(), ":", "")); got != hex.EncodeToString(sum[:]) {
		t.Errorf("fingerprint %s", ca.Fingerprint())
	}
	if runtime.GOOS != "windows" {
		for _, name := range []string{"ca.key", "leaf.pem"} {
			st, err := os.Stat(filepath.Join(dir, name))
			if err != nil || st.Mode().Perm() != 0o600 {
				t.Errorf("%s: %v %v", name, st.Mode(), err)
			}
		}
	}
}

func TestAuthorityStaysAndLeafIsRenewed(t *testing.T) {
	dir := t.TempDir()
	clock := time.Date(2026, 11, 13, 9, 0, 0, 0, time.UTC)
	now := func() time.Time { return clock }
	refresh := func(n Names) (*CA, bool, string) {
		t.Helper()
		ca, err := Open(dir, "workshop", now)
		if err != nil {
			t.Fatal(err)
		}
		renewed, err := ca.Refresh(n)
		if err != nil {
			t.Fatal(err)
		}
		return ca, renewed, ca.leaf.Leaf.SerialNumber.String()
	}
	first, renewed, serial := refresh(workshop)
	if !renewed {
		t.Error("no leaf at first")
	}
	moved := Names{Host: "workshop", Addrs: []netip.Addr{netip.MustParseAddr("192.168.1.99")}}
	for _, c := range []struct {
		why   string
		names Names
		after time.Duration
		want  bool
	}{
		{"nothing changed", workshop, time.Hour, false},
		{"order of addresses alone", Names{Host: "workshop", Addrs: []netip.Addr{workshop.Addrs[1], workshop.Addrs[0]}}, 0, false},
		{"a new address", moved, 0, true},
		{"a new name", Names{Host: "bench", Addrs: moved.Addrs}, 0, true},
		{"back", workshop, 0, true},
		{"31 days left", workshop, 366*24*time.Hour - 2*time.Hour, false},
		{"29 days left", workshop, 2 * 24 * time.Hour, true},
		{"the clock was set back a year", workshop, -365 * 24 * time.Hour, true},
	} {
		clock = clock.Add(c.after)
		ca, renewed, s := refresh(c.names)
		if renewed != c.want || (s != serial) != c.want {
			t.Errorf("%s: renewed %v", c.why, renewed)
		}
		if !bytes.Equal(ca.CertDER(), first.CertDER()) {
			t.Fatalf("%s: the authority changed", c.why)
		}
		serial = s
	}
}

func TestDamagedFolderIsNotReplaced(t *testing.T) {
	for _, c := range []struct {
		name, want string
		damage     func(dir string) error
	}{
		{"key gone", "read the key", func(d string) error { return os.Remove(filepath.Join(d, "ca.key")) }},
		{"key readable by others", "others can read", func(d string) error { return os.Chmod(filepath.Join(d, "ca.key"), 0o644) }},
		{"certificate damaged", "holds no certificate", func(d string) error { return os.WriteFile(filepath.Join(d, "ca.pem"), []byte("x"), 0o644) }},
		{"key of another", "do not belong together", func(d string) error {
			other := filepath.Join(d, "other")
			if _, err := Open(other, "x", time.Now); err != nil {
				return err
			}
			return os.Rename(filepath.Join(other, "ca.key"), filepath.Join(d, "ca.key"))
		}},
	} {
		dir := t.TempDir()
		open(t, dir)
		if err := c.damage(dir); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(dir, "workshop", time.Now); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	dir := t.TempDir() // a first start cut short between key and certificate
	if err := os.WriteFile(filepath.Join(dir, "ca.key"), []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	open(t, dir)
}

func TestNames(t *testing.T) {
	for in, want := range map[string]string{"Workshop": "workshop", "ines-laptop.lan": "ines-laptop", "Ines's Mac Pro": "iness-mac-pro", "_": "bucktail", "": "bucktail", "日本": "bucktail"} {
		if got := Label(in); got != want {
			t.Errorf("%q: %q", in, got)
		}
	}
	for host, want := range map[string]bool{
		"workshop.local": true, "WORKSHOP.local.": true, "localhost": true, "127.0.0.1": true, "::1": true, "192.168.1.20": true, "::ffff:192.168.1.20": false,
		"workshop": false, "evil.example": false, "": false, "127.0.0.2": false, "workshop.local.evil.example": false, "fd00::20": true,
	} {
		if workshop.Has(host) != want {
			t.Errorf("%q: %v", host, !want)
		}
	}
	for a, want := range map[string]bool{"10.1.2.3": true, "172.31.0.1": true, "172.32.0.1": false, "8.8.8.8": false, "::ffff:10.0.0.1": true, "2001:db8::1": false, "fe80::1%eth0": true, "100.64.0.1": true} {
		if Private(netip.MustParseAddr(a)) != want {
			t.Errorf("%s: %v", a, !want)
		}
	}
	n, err := Current()
	if err != nil || n.Host == "" {
		t.Errorf("%+v %v", n, err)
	}
}
