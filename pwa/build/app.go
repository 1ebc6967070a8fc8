package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// app is the app while it is made. Names are relative to dir, with slashes.
type app struct {
	dir    string
	quick  bool
	files  []file
	module string // name of the WebAssembly file that measures
	papers string // of the one that makes what leaves the house
	worker string
	script string
	style  string
	sizes  []size
}

// file is one that the service worker keeps: its address on the server and its hash.
type file struct {
	path string // from the root: "/" is the page
	sum  string
}

// add writes a file. One that is hashed gets its hash into its name and may be kept by browsers
// for good.
func (a *app) add(name string, data []byte, hashed bool) (string, error) {
	sum := sha256.Sum256(data)
	h := hex.EncodeToString(sum[:])
	if hashed {
		ext := path.Ext(name)
		name = strings.TrimSuffix(name, ext) + "-" + h[:12] + ext
	}
	to := filepath.Join(a.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return "", err
	}
	if err := os.WriteFile(to, data, 0o644); err != nil {
		return "", err
	}
	at := "/" + name
	if name == "index.html" {
		at = "/" // /index.html is never asked for: file servers redirect it, which a cached page must not be
	}
	a.files = append(a.files, file{at, h})
	return name, nil
}

// unhurried are packages that no measuring waits for. They are compiled without inlining, which
// saves a twentieth of the download.
var unhurried = []string{
	"bucktail/qc/...", "bucktail/pwa/wasm/...", "bucktail/imaging/aim", "bucktail/imaging/answer", "bucktail/imaging/dimension", "bucktail/imaging/fastener/outline", "bucktail/imaging/together", "bucktail/imaging/measure", "bucktail/imaging/photo", "bucktail/imaging/roundref",
	"archive/...", "bufio", "bytes", "compress/...", "context", "encoding/...", "errors", "fmt", "hash/...", "image/gif", "image/png",
	"io/...", "math/rand/...", "math/big", "crypto/ecdsa", "crypto/elliptic", "crypto/x509/...", "internal/poll", "internal/reflectlite", "internal/strconv", "os", "path/...", "reflect", "regexp/...", "sort", "strconv", "strings", "sync/...", "syscall/...", "time", "unicode/...",
	"codeberg.org/...", "github.com/...", "golang.org/x/...",
}

// modules builds the Go side, two programs for the browser, in one go: most of their packages are
// the same.
func (a *app) modules() error {
	tmp, err := os.MkdirTemp("", "bucktail-wasm-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	args := []string{"build", "-trimpath", "-ldflags=-s -w", "-o", tmp + string(filepath.Separator)}
	for _, pkg := range unhurried {
		args = append(args, "-gcflags="+pkg+"=-l")
	}
	cmd := exec.Command("go", append(args, "./pwa/wasm", "./pwa/wasm/papers")...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	cmd.Stderr = os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("build ./pwa/wasm and its papers: %w", err)
	}
	if a.module, err = a.wasm("bucktail", filepath.Join(tmp, "wasm")); err != nil {
		return err
	}
	a.papers, err = a.wasm("papers", filepath.Join(tmp, "papers"))
	return err
}

// wasm takes a built program in and gives its file's name.
func (a *app) wasm(name, from string) (string, error) {
	b, err := os.ReadFile(from)
	if err != nil {
		return "", err
	}
	return a.add(name+".wasm", b, true)
}

// publicFiles copies pwa/public as it is, and the photo of the sample part.
func (a *app) publicFiles() error {
	const root = "pwa/public"
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		_, err = a.add(filepath.ToSlash(rel), b, false)
		return err
	})
	if err != nil {
		return err
	}
	b, err := os.ReadFile("testdata/photos/dev-08.jpg")
	if err != nil {
		return err
	}
	_, err = a.add("sample/heads.jpg", b, false)
	return err
}

// page makes index.html from its template.
func (a *app) page() error {
	t, err := template.ParseFiles("pwa/src/index.html")
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, map[string]string{"Script": "/" + a.script, "Style": "/" + a.style, "Module": "/" + a.module}); err != nil {
		return err
	}
	_, err = a.add("index.html", b.Bytes(), false)
	return err
}

// serviceWorker is made last: it holds the list of all other files. The name of its cache is the
// hash of that list, so that files change together or not at all.
func (a *app) serviceWorker() error {
	slices.SortFunc(a.files, func(x, y file) int { return strings.Compare(x.path, y.path) })
	h := sha256.New()
	paths := []string{}
	for _, f := range a.files {
		fmt.Fprintf(h, "%s %s\n", f.sum, f.path)
		if !strings.HasPrefix(f.path, "/screenshots/") { // for the shop window of an install, not for work
			paths = append(paths, f.path)
		}
	}
	list, err := json.Marshal(paths)
	if err != nil {
		return err
	}
	version, err := json.Marshal(hex.EncodeToString(h.Sum(nil))[:16])
	if err != nil {
		return err
	}
	out, err := bundle("pwa/src/sw/sw.ts", map[string]string{"__FILES__": string(list), "__VERSION__": string(version)})
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(a.dir, "sw.js"), out["sw.js"], 0o644)
}
