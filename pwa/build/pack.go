package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/andybalholm/brotli"
	"golang.org/x/sync/errgroup"
)

// What the phone may have to download at most, by brotli, in bytes.
const (
	scriptBudget = 130_000   // in groups: the first screen waits for half of it
	benchBudget  = 24_000    // the bench's helpers: no other screen waits for them
	moduleBudget = 2_200_000 // measuring waits for it
	papersBudget = 2_300_000 // nothing waits for it until a file is made or something is laid out
)

// size is what a file costs to download.
type size struct {
	name          string
	raw, gzip, br int
}

// packed are the kinds of files that gain by it; pictures are packed already.
var packed = []string{".js", ".css", ".html", ".svg", ".json", ".webmanifest", ".wasm"}

// pack puts a .gz and a .br beside each file that gains by it, on all processors.
func (a *app) pack() error {
	var names []string
	err := filepath.WalkDir(a.dir, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && slices.Contains(packed, path.Ext(name)) {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		return err
	}
	a.sizes = make([]size, len(names))
	var each errgroup.Group
	each.SetLimit(runtime.GOMAXPROCS(0))
	for i, name := range names {
		each.Go(func() (err error) {
			a.sizes[i], err = packFile(name, a.quick)
			return err
		})
	}
	return each.Wait()
}

func packFile(name string, quick bool) (size, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return size{}, err
	}
	var z bytes.Buffer
	level := gzip.BestCompression
	if quick {
		level = gzip.BestSpeed
	}
	w, err := gzip.NewWriterLevel(&z, level)
	if err != nil {
		return size{}, err
	}
	if _, err := w.Write(b); err != nil {
		return size{}, err
	}
	if err := w.Close(); err != nil {
		return size{}, err
	}
	br, err := pressed(b, quick)
	if err != nil {
		return size{}, err
	}
	if err := os.WriteFile(name+".gz", z.Bytes(), 0o644); err != nil {
		return size{}, err
	}
	return size{filepath.Base(name), len(b), z.Len(), len(br)}, os.WriteFile(name+".br", br, 0o644)
}

// pressed packs by brotli at its best, which takes 20 s for the bridge: what was packed once is
// kept in build/brotli.
func pressed(b []byte, quick bool) ([]byte, error) {
	sum := sha256.Sum256(b)
	kept := filepath.Join("build", "brotli", hex.EncodeToString(sum[:16])+".br")
	if br, err := os.ReadFile(kept); err == nil && same(br, b) {
		return br, nil
	}
	var z bytes.Buffer
	o := brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24}
	if quick {
		o.Quality = 1
	}
	w := brotli.NewWriterOptions(&z, o)
	if _, err := w.Write(b); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if quick {
		return z.Bytes(), nil
	}
	if err := os.MkdirAll(filepath.Dir(kept), 0o755); err != nil {
		return nil, err
	}
	return z.Bytes(), os.WriteFile(kept, z.Bytes(), 0o644)
}

// same says whether a kept copy, which a stopped build may have cut, unpacks to the file.
func same(br, b []byte) bool {
	got, err := io.ReadAll(brotli.NewReader(bytes.NewReader(br)))
	return err == nil && bytes.Equal(got, b)
}

// report prints the sizes and holds them against the budgets.
func (a *app) report(w io.Writer) error {
	script, bench, module, papers := 0, 0, 0, 0
	fmt.Fprintf(w, "%-28s %9s %9s %9s\n", "", "bytes", "gzip", "brotli")
	for _, s := range a.sizes {
		fmt.Fprintf(w, "%-28s %9d %9d %9d\n", s.name, s.raw, s.gzip, s.br)
		switch {
		case strings.HasPrefix(s.name, "part-bench-"):
			bench += s.br
		case strings.HasSuffix(s.name, ".js"):
			script += s.br
		case strings.HasPrefix(s.name, "papers-"):
			papers += s.br
		case strings.HasSuffix(s.name, ".wasm"):
			module += s.br
		}
	}
	fmt.Fprintf(w, "script %d of %d, for the bench %d of %d, WebAssembly %d of %d, for papers %d of %d\n", script, scriptBudget, bench, benchBudget, module, moduleBudget, papers, papersBudget)
	if script > scriptBudget || bench > benchBudget || module > moduleBudget || papers > papersBudget {
		return fmt.Errorf("the app is larger than its budget")
	}
	return nil
}
