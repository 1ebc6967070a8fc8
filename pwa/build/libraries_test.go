package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// packageOf makes an archive as npm's registry has them.
func packageOf(t *testing.T, files map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	w := tar.NewWriter(z)
	for name, text := range files {
		if err := w.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: int64(len(text)), Typeflag: tar.TypeReg}); err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func sumOf(b []byte) string {
	sum := sha512.Sum512(b)
	return "sha512-" + base64.StdEncoding.EncodeToString(sum[:])
}

// lockFor makes a project whose lock file names @shop/line 1.2.0 with a sum, and a test's library.
func lockFor(t *testing.T, sum string) string {
	t.Helper()
	root := t.TempDir()
	lock := fmt.Sprintf(`{"packages": {"": {}, "node_modules/@shop/line": {"version": "1.2.0", "integrity": %q},
		"node_modules/tester": {"version": "3.0.0", "integrity": "sha512-x", "dev": true}}}`, sum)
	if err := os.WriteFile(filepath.Join(root, "package-lock.json"), []byte(lock), 0o644); err != nil {
		t.Fatal(err)
	}
	return root
}

func serveRegistry(t *testing.T, archive []byte) (asked *[]string) {
	t.Helper()
	asked = new([]string)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		*asked = append(*asked, r.URL.Path)
		_, _ = w.Write(archive)
	}))
	t.Cleanup(s.Close)
	t.Setenv("npm_config_registry", s.URL+"/")
	return asked
}

func TestLibrariesAreFetchedOnce(t *testing.T) {
	archive := packageOf(t, map[string]string{"package/package.json": `{"version": "1.2.0"}`, "package/dist/line.js": "export {}"})
	root := lockFor(t, sumOf(archive))
	asked := serveRegistry(t, archive)
	for range 2 {
		if err := libraries(root, io.Discard); err != nil {
			t.Fatal(err)
		}
	}
	if got := strings.Join(*asked, " "); got != "/@shop/line/-/line-1.2.0.tgz" {
		t.Errorf("asked for %q, want the one library once and none of the tests'", got)
	}
	if b, err := os.ReadFile(filepath.Join(root, "node_modules/@shop/line/dist/line.js")); err != nil || string(b) != "export {}" {
		t.Errorf("line.js is %q, %v", b, err)
	}
}

// A library that is there in another version is replaced, files of the old one and all.
func TestAnotherVersionIsReplaced(t *testing.T) {
	archive := packageOf(t, map[string]string{"package/package.json": `{"version": "1.2.0"}`})
	root := lockFor(t, sumOf(archive))
	serveRegistry(t, archive)
	old := filepath.Join(root, "node_modules/@shop/line")
	if err := os.MkdirAll(old, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"package.json": `{"version": "1.1.9"}`, "gone.js": ""} {
		if err := os.WriteFile(filepath.Join(old, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := libraries(root, io.Discard); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(old, "gone.js")); err == nil || installed(old) != "1.2.0" {
		t.Errorf("version %q, the old file is there: %v", installed(old), err == nil)
	}
}

func TestLibrariesAreHeldAgainstTheirSums(t *testing.T) {
	archive := packageOf(t, map[string]string{"package/package.json": `{"version": "1.2.0"}`})
	root := lockFor(t, sumOf([]byte("something else")))
	serveRegistry(t, archive)
	if err := libraries(root, io.Discard); err == nil || !strings.Contains(err.Error(), "its sum is") {
		t.Errorf("an archive with another sum: %v", err)
	}
	if _, err := os.Stat(filepath.Join(root, "node_modules")); err == nil {
		t.Error("something of it was unpacked")
	}
}

func TestNoLibraryWritesOutsideItself(t *testing.T) {
	for _, name := range []string{"package/../../evil.js", "package//etc/evil.js"} {
		root := t.TempDir()
		if err := unpack(packageOf(t, map[string]string{name: "x"}), filepath.Join(root, "a", "b")); err == nil {
			t.Errorf("%s was taken", name)
		}
		if left, _ := filepath.Glob(filepath.Join(root, "*")); len(left) > 1 {
			t.Errorf("%s: left %q", name, left)
		}
	}
}
