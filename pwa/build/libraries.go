package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// What the app itself needs are a few libraries without install scripts, so that Node is not
// needed to build it: they are fetched from npm's registry, as pwa/package-lock.json has them.

// locked is one package of the lock file.
type locked struct {
	Version   string
	Integrity string // "sha512-" and the archive's sum in base 64
	Dev       bool   // for tests alone
}

// maxLibrary bounds what one library's archive may hold, in bytes.
const maxLibrary = 64 << 20

// libraries puts those that are missing, or there in another version, into root/node_modules.
func libraries(root string, say io.Writer) error {
	b, err := os.ReadFile(filepath.Join(root, "package-lock.json"))
	if err != nil {
		return err
	}
	var lock struct{ Packages map[string]locked }
	if err := json.Unmarshal(b, &lock); err != nil {
		return fmt.Errorf("read the lock file: %w", err)
	}
	for place, l := range lock.Packages {
		name, ok := strings.CutPrefix(place, "node_modules/")
		if !ok || l.Dev {
			continue
		}
		to := filepath.Join(root, filepath.FromSlash(place))
		if installed(to) == l.Version {
			continue
		}
		fmt.Fprintf(say, "  fetching %s %s\n", name, l.Version)
		archive, err := fetch(name, l)
		if err != nil {
			return fmt.Errorf("fetch %s %s: %w", name, l.Version, err)
		}
		if err := unpack(archive, to); err != nil {
			return fmt.Errorf("unpack %s %s: %w", name, l.Version, err)
		}
	}
	return nil
}

// installed gives the version of the package in a folder, "" without one.
func installed(dir string) string {
	b, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return ""
	}
	var p struct{ Version string }
	if json.Unmarshal(b, &p) != nil {
		return ""
	}
	return p.Version
}

// fetch gets a package's archive and holds it against its sum.
func fetch(name string, l locked) ([]byte, error) {
	registry := "https://registry.npmjs.org"
	if other := os.Getenv("npm_config_registry"); other != "" { // as npm has it
		registry = strings.TrimSuffix(other, "/")
	}
	client := http.Client{Timeout: 2 * time.Minute}
	res, err := client.Get(registry + "/" + name + "/-/" + path.Base(name) + "-" + l.Version + ".tgz")
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		return nil, errors.New(res.Status)
	}
	b, err := io.ReadAll(io.LimitReader(res.Body, maxLibrary))
	if err != nil {
		return nil, err
	}
	return b, holds(b, l.Integrity)
}

// holds says whether an archive has the sum that the lock file names.
func holds(archive []byte, integrity string) error {
	sum := sha512.Sum512(archive)
	if got := "sha512-" + base64.StdEncoding.EncodeToString(sum[:]); got != integrity {
		return fmt.Errorf("its sum is %s and not %s", got, integrity)
	}
	return nil
}

// unpack puts a package's archive in the place of a folder. A package has one folder at its top,
// whatever its name.
func unpack(archive []byte, to string) error {
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(to), ".fetched-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	z, err := gzip.NewReader(bytes.NewReader(archive))
	if err != nil {
		return err
	}
	r := tar.NewReader(io.LimitReader(z, maxLibrary))
	for {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		_, name, _ := strings.Cut(h.Name, "/")
		if h.Typeflag != tar.TypeReg {
			continue
		}
		if !filepath.IsLocal(filepath.FromSlash(name)) {
			return fmt.Errorf("it has a file %q outside itself", h.Name)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			return err
		}
		file := filepath.Join(tmp, "package", filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, b, 0o644); err != nil {
			return err
		}
	}
	if err := os.RemoveAll(to); err != nil {
		return err
	}
	return os.Rename(filepath.Join(tmp, "package"), to)
}
