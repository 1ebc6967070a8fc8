package localca

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Refresh makes sure that the leaf fits the names and has 30 days left, and says whether it
// made a new one. The phones need nothing new: they trust the authority.
func (ca *CA) Refresh(n Names) (renewed bool, err error) {
	n.sort()
	ca.mu.Lock()
	defer ca.mu.Unlock()
	if ca.leaf != nil && ca.names.equal(n) && ca.leaf.Leaf.NotAfter.Sub(ca.now()) > renewLeft && !ca.now().Before(ca.leaf.Leaf.NotBefore) {
		return false, nil
	}
	leaf, err := ca.Issue(n.DNS(), n.IPs())
	if err != nil {
		return false, err
	}
	if err := ca.keepLeaf(leaf); err != nil {
		return false, err
	}
	ca.leaf, ca.names, ca.renewed = leaf, n, ca.now()
	return true, nil
}

// Names gives what the leaf in use was made for.
func (ca *CA) Names() Names {
	ca.mu.Lock()
	defer ca.mu.Unlock()
	return Names{ca.names.Host, slices.Clone(ca.names.Addrs)}
}

// Renewed gives when the leaf in use was made.
func (ca *CA) Renewed() time.Time {
	ca.mu.Lock()
	defer ca.mu.Unlock()
	return ca.renewed
}

// TLSConfig serves with the leaf in use at each handshake, so that a renewed one needs no new
// start. TLS 1.2 is the oldest version taken; every phone that installs web apps has it.
func (ca *CA) TLSConfig() *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS12,
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
			ca.mu.Lock()
			defer ca.mu.Unlock()
			if ca.leaf == nil {
				return nil, fmt.Errorf("no certificate has been made yet")
			}
			return ca.leaf, nil
		},
	}
}

// Issue signs a server certificate for names and addresses. It does not ask whether they lie
// inside the authority's limits: clients do, and a certificate outside is refused by them.
func (ca *CA) Issue(dns []string, ips []netip.Addr) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make the server's key: %w", err)
	}
	serial, err := newSerial()
	if err != nil {
		return nil, err
	}
	t := ca.now()
	tmpl := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: clip(dns[0]), Organization: []string{"Bucktail workshop server"}},
		NotBefore:    t.Add(-backdate), NotAfter: t.Add(leafLife - backdate),
		KeyUsage:              x509.KeyUsageDigitalSignature,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
		DNSNames:              dns,
	}
	if tmpl.NotAfter.After(ca.root.NotAfter) {
		tmpl.NotAfter = ca.root.NotAfter
	}
	for _, a := range ips {
		tmpl.IPAddresses = append(tmpl.IPAddresses, net.IP(a.AsSlice()))
	}
	der, err := x509.CreateCertificate(rand.Reader, tmpl, ca.root, &key.PublicKey, ca.key)
	if err != nil {
		return nil, fmt.Errorf("sign the server's certificate: %w", err)
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, fmt.Errorf("read back the server's certificate: %w", err)
	}
	// The authority goes along, so that a phone can show which one to install.
	return &tls.Certificate{Certificate: [][]byte{der, ca.root.Raw}, PrivateKey: key, Leaf: leaf}, nil
}

// keepLeaf writes the leaf and its key into one file, so that no stop in between can leave two
// that do not belong together.
func (ca *CA) keepLeaf(leaf *tls.Certificate) error {
	keyDER, err := x509.MarshalPKCS8PrivateKey(leaf.PrivateKey)
	if err != nil {
		return fmt.Errorf("encode the server's key: %w", err)
	}
	b := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER})
	return writeFile(filepath.Join(ca.dir, "leaf.pem"), append(b, pemCert(leaf.Certificate[0])...), 0o600)
}

// loadLeaf takes up the kept leaf if it is one of this authority's; if not, Refresh makes one.
func (ca *CA) loadLeaf() {
	path := filepath.Join(ca.dir, "leaf.pem")
	b, err := os.ReadFile(path)
	if err != nil || ownerOnly(path) != nil {
		return
	}
	key, err := parseKey(b)
	if err != nil {
		return
	}
	cert, err := parseCert(b)
	if err != nil || !key.PublicKey.Equal(cert.PublicKey) || cert.CheckSignatureFrom(ca.root) != nil || len(cert.DNSNames) == 0 {
		return
	}
	var n Names
	n.Host, _ = cutLocal(cert.DNSNames[0])
	for _, ip := range cert.IPAddresses {
		if a, ok := netip.AddrFromSlice(ip); ok && !a.Unmap().IsLoopback() {
			n.Addrs = append(n.Addrs, a.Unmap())
		}
	}
	n.sort()
	ca.leaf = &tls.Certificate{Certificate: [][]byte{cert.Raw, ca.root.Raw}, PrivateKey: key, Leaf: cert}
	ca.names, ca.renewed = n, cert.NotBefore.Add(backdate)
}
