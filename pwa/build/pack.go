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

// budget is what the phone may have to download at most, by brotli, in bytes.
type budget struct {
	script int // in groups: the first screen waits for half of it
	bench  int // the bench's helpers: no other screen waits for them
	module int // measuring waits for it
	papers int // nothing waits for it until a file is made or something is laid out
}

var (
	bestBudget = budget{132_800, 24_200, 2_200_000, 2_310_000}
	// quickBudget is what files that keep to bestBudget come to by quickQuality: 1.15 times as much
	// for scripts, 1.27 and 1.31 times for WebAssembly. A test run packs in 3 s, not in 70.
	quickBudget = budget{152_000, 28_000, 2_794_000, 3_022_000}
)

const quickQuality = 4 // of brotli's 11

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

// pressed packs by brotli.
func pressed(b []byte, quick bool) ([]byte, error) {
	if quick {
		return brotliOf(b, quickQuality)
	}
	// At its best this takes 20 s for the bridge: what was packed once is kept in build/brotli.
	sum := sha256.Sum256(b)
	kept := filepath.Join("build", "brotli", hex.EncodeToString(sum[:16])+".br")
	if br, err := os.ReadFile(kept); err == nil && same(br, b) {
		return br, nil
	}
	br, err := brotliOf(b, brotli.BestCompression)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(kept), 0o755); err != nil {
		return nil, err
	}
	return br, os.WriteFile(kept, br, 0o644)
}

func brotliOf(b []byte, quality int) ([]byte, error) {
	var z bytes.Buffer
	w := brotli.NewWriterOptions(&z, brotli.WriterOptions{Quality: quality, LGWin: 24})
	if _, err := w.Write(b); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return z.Bytes(), nil
}

// same says whether a kept copy, which a stopped build may have cut, unpacks to the file.
func same(br, b []byte) bool {
	got, err := io.ReadAll(brotli.NewReader(bytes.NewReader(br)))
	return err == nil && bytes.Equal(got, b)
}

// report prints the sizes and holds them against the budget.
func (a *app) report(w io.Writer) error {
	var is budget
	may := bestBudget
	if a.quick {
		may = quickBudget
	}
	fmt.Fprintf(w, "%-28s %9s %9s %9s\n", "", "bytes", "gzip", "brotli")
	for _, s := range a.sizes {
		fmt.Fprintf(w, "%-28s %9d %9d %9d\n", s.name, s.raw, s.gzip, s.br)
		switch {
		case strings.HasPrefix(s.name, "part-bench-"):
			is.bench += s.br
		case strings.HasSuffix(s.name, ".js"):
			is.script += s.br
		case strings.HasPrefix(s.name, "papers-"):
			is.papers += s.br
		case strings.HasSuffix(s.name, ".wasm"):
			is.module += s.br
		}
	}
	fmt.Fprintf(w, "script %d of %d, for the bench %d of %d, WebAssembly %d of %d, for papers %d of %d\n",
		is.script, may.script, is.bench, may.bench, is.module, may.module, is.papers, may.papers)
	if is.script > may.script || is.bench > may.bench || is.module > may.module || is.papers > may.papers {
		return fmt.Errorf("the app is larger than its budget")
	}
	return nil
}
