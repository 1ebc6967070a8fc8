// Package localca is the workshop's own certificate authority.
//
// A phone gives a page its camera, installation and offline work only over a connection that
// it trusts, and no public authority signs names of a home network. So the first start makes
// an authority that is good for this workshop alone: its certificate is limited to local names
// and private addresses, and its key never leaves the data folder. Each phone installs the
// authority once; the server's own certificate is made from it and renewed without anybody.
//
// Start with [Open], which makes or loads the authority, and [CA.TLSConfig], which serves with
// a certificate for the names and addresses that the machine has now.
package localca

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Lifetimes. A root has no limit on phones, and a new one means installing it again on each of
// them; 10 years outlast the building of an aircraft. Apple refuses leaves of more than 825
// days from private authorities and 398 from public ones; 397 is under both
// (support.apple.com/103769).
const (
	rootLife  = 10 * 365 * 24 * time.Hour
	leafLife  = 397 * 24 * time.Hour
	renewLeft = 30 * 24 * time.Hour
	// backdate lets a phone whose clock is a little behind accept a new certificate.
	backdate = time.Hour
)

// CA is one authority and the leaf in use. It is safe for use by several goroutines.
type CA struct {
	root *x509.Certificate
	key  *ecdsa.PrivateKey
	now  func() time.Time
	dir  string

	mu      sync.Mutex
	leaf    *tls.Certificate
	names   Names
	renewed time.Time
}

// Open loads the authority kept in dir, or makes one there. host is the machine's name: it
// only goes into the authority's own name, so that the builder recognises it among a phone's
// certificates. A damaged or half-written folder is an error, never a reason to make a new
// authority: all phones would have to install it again.
func Open(dir, host string, now func() time.Time) (*CA, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder of the certificate authority: %w", err)
	}
	certPath, keyPath := filepath.Join(dir, "ca.pem"), filepath.Join(dir, "ca.key")
	certPEM, certErr := os.ReadFile(certPath)
	keyPEM, keyErr := os.ReadFile(keyPath)
	switch {
	case errors.Is(certErr, fs.ErrNotExist):
		// The certificate is written last: without it the authority was never in use, and a key
		// alone is what a first start left that was cut short.
		return create(dir, host, now)
	case certErr != nil:
		return nil, fmt.Errorf("read the certificate authority: %w", certErr)
	case keyErr != nil:
		return nil, fmt.Errorf("read the key of the certificate authority: %w", keyErr)
	}
	if err := ownerOnly(keyPath); err != nil {
		return nil, err
	}
	ca := &CA{now: now, dir: dir}
	var err error
	if ca.root, err = parseCert(certPEM); err != nil {
		return nil, fmt.Errorf("certificate authority %s: %w", certPath, err)
	}
	if ca.key, err = parseKey(keyPEM); err != nil {
		return nil, fmt.Errorf("key of the certificate authority %s: %w", keyPath, err)
	}
	if !ca.key.PublicKey.Equal(ca.root.PublicKey) {
		return nil, fmt.Errorf("certificate authority %s and its key %s do not belong together", certPath, keyPath)
	}
	if now().After(ca.root.NotAfter) {
		return nil, fmt.Errorf("the certificate authority %s ended on %s: remove the folder, start again and install the new one on the phones",
			certPath, ca.root.NotAfter.Format("2 January 2006"))
	}
	ca.loadLeaf()
	return ca, nil
}

func create(dir, host string, now func() time.Time) (*CA, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make the authority's key: %w", err)
	}
	serial, err := newSerial()
	if err != nil {
		return nil, err
	}
	t := now()
	tmpl := &x509.Certificate{
		SerialNumber: serial,
		Subject: pkix.Name{
			CommonName:   clip(fmt.Sprintf("Bucktail on %s, %s", host, t.Format("2 Jan 2006"))),
			Organization: []string{"Bucktail workshop authority"},
		},
		NotBefore: t.Add(-backdate), NotAfter: t.Add(rootLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
	}
	constrain(tmpl)
	der, err := x509.CreateCertificate(rand.Reader, tmpl, tmpl, &key.PublicKey, key)
	if err != nil {
		return nil, fmt.Errorf("sign the authority's certificate: %w", err)
	}
	root, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, fmt.Errorf("read back the authority's certificate: %w", err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, fmt.Errorf("encode the authority's key: %w", err)
	}
	if err := writeFile(filepath.Join(dir, "ca.key"), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), 0o600); err != nil {
		return nil, err
	}
	if err := writeFile(filepath.Join(dir, "ca.pem"), pemCert(der), 0o644); err != nil {
		return nil, err
	}
	return &CA{root: root, key: key, now: now, dir: dir}, nil
}

// Name is what phones show for the authority.
func (ca *CA) Name() string { return ca.root.Subject.CommonName }

// CertDER gives the authority's certificate, for phones to install.
func (ca *CA) CertDER() []byte { return ca.root.Raw }

// Fingerprint is the SHA-256 of the authority's certificate as phones show it: "7B:2E:…".
func (ca *CA) Fingerprint() string { return colons(sha256.Sum256(ca.root.Raw)) }

func colons(sum [sha256.Size]byte) string {
	var b strings.Builder
	for i, v := range sum {
		if i > 0 {
			b.WriteByte(':')
		}
		fmt.Fprintf(&b, "%02X", v)
	}
	return b.String()
}

// UUIDs derives two fixed UUIDs from the certificate, for the parts of a configuration profile:
// the same authority gives the same profile, so that a phone replaces it instead of adding one.
func (ca *CA) UUIDs() (profile, payload string) {
	sum := sha256.Sum256(ca.root.Raw)
	return uuid8(sum[:16]), uuid8(sum[16:])
}

// uuid8 writes 16 bytes as a UUID of version 8 (RFC 9562: free use).
func uuid8(b []byte) string {
	u := [16]byte(b)
	u[6], u[8] = u[6]&0x0f|0x80, u[8]&0x3f|0x80
	h := hex.EncodeToString(u[:])
	return strings.Join([]string{h[:8], h[8:12], h[12:16], h[16:20], h[20:]}, "-")
}

func newSerial() (*big.Int, error) {
	// 20 octets at most and positive (RFC 5280, 4.1.2.2): 159 random bits.
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 159))
	if err != nil {
		return nil, fmt.Errorf("random source: %w", err)
	}
	return n.Add(n, big.NewInt(1)), nil
}

// clip keeps a common name within 64 characters (RFC 5280, ub-common-name).
func clip(s string) string {
	if r := []rune(s); len(r) > 64 {
		return string(r[:64])
	}
	return s
}
