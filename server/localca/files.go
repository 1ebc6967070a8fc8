package localca

import (
	"crypto/ecdsa"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

func pemCert(der []byte) []byte {
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
}

// block finds the first block of a type in a PEM file.
func block(b []byte, typ string) ([]byte, error) {
	for {
		p, rest := pem.Decode(b)
		if p == nil {
			return nil, fmt.Errorf("holds no %s", strings.ToLower(typ))
		}
		if p.Type == typ {
			return p.Bytes, nil
		}
		b = rest
	}
}

func parseCert(b []byte) (*x509.Certificate, error) {
	der, err := block(b, "CERTIFICATE")
	if err != nil {
		return nil, err
	}
	return x509.ParseCertificate(der)
}

func parseKey(b []byte) (*ecdsa.PrivateKey, error) {
	der, err := block(b, "PRIVATE KEY")
	if err != nil {
		return nil, err
	}
	k, err := x509.ParsePKCS8PrivateKey(der)
	if err != nil {
		return nil, err
	}
	key, ok := k.(*ecdsa.PrivateKey)
	if !ok {
		return nil, errors.New("holds a key of another kind")
	}
	return key, nil
}

// ownerOnly refuses a key that others on this machine can read.
func ownerOnly(path string) error {
	if runtime.GOOS == "windows" {
		return nil // the user's folder is private there, and mode bits say nothing
	}
	st, err := os.Stat(path)
	if err != nil {
		return err
	}
	if st.Mode().Perm()&0o077 != 0 {
		return fmt.Errorf("others can read %s (mode %04o): if nobody has, run 'chmod 600 %s'", path, st.Mode().Perm(), path)
	}
	return nil
}

// writeFile writes to a temporary name, syncs and renames, so that there is the whole file or
// none.
func writeFile(path string, data []byte, mode os.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*") // made with mode 0600
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer os.Remove(f.Name()) // of no effect once renamed
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}

func cutLocal(name string) (string, bool) { return strings.CutSuffix(name, ".local") }
