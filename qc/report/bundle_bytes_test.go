//go:build !js

package report

// Not in the browser build's tests: some hundred bundles are verified, which takes minutes
// there, and it is the same code.

import (
	"archive/zip"
	"bytes"
	"context"
	"slices"
	"testing"

	"bucktail/qc/history"
)

// TestOneByteAnywhere flips a bit in bytes all over the bundle: each local header and the
// central directory whole, the rest in steps. No change may pass, and none may be blamed on
// a file that it is not in.
func TestOneByteAnywhere(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	whole, _ := d.bundle(t, d.parts[0])
	z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	type span struct {
		name     string
		from, to int
	}
	var spans []span
	flip := map[int]bool{}
	for i, f := range z.File {
		at, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		spans = append(spans, span{f.Name, int(at), int(at) + int(f.CompressedSize64)})
		if i == 0 || i == len(z.File)-1 {
			for p := int(at) - 30 - len(f.Name); p < int(at); p++ {
				flip[p] = true
			}
		}
		step := max(1, int(f.CompressedSize64)/2)
		if i > 8 && i < len(z.File)-2 {
			continue // photos are all alike
		}
		for p := int(at); p < int(at)+int(f.CompressedSize64); p += step {
			flip[p] = true
		}
	}
	end := spans[len(spans)-1].to
	for p := end; p < len(whole); p += 1 + (len(whole)-end)/60 {
		flip[p] = true
	}
	for p := len(whole) - 22; p < len(whole); p++ {
		flip[p] = true
	}
	for p := range flip {
		bad := bytes.Clone(whole)
		bad[p] ^= 0x10
		v, err := Verify(bytes.NewReader(bad), int64(len(bad)))
		if err != nil {
			continue // the container can't be read, which is said
		}
		if v.Whole() {
			t.Errorf("byte %d changed and the bundle is still whole", p)
			continue
		}
		for _, s := range spans {
			if p >= s.from && p < s.to && s.name != manifestFile && s.name != sumsFile &&
				!slices.ContainsFunc(v.Problems, func(q Problem) bool { return q.File == s.name }) {
				t.Errorf("byte %d of %s changed, but it is not named:\n%s", p-s.from, s.name, words(v))
			}
		}
	}
}

// TestBundleProgress: one step after the other over the report and the photos, to the end.
func TestBundleProgress(t *testing.T) {
	d := newDemo(14)
	last, total := 0, 0
	o := BundleOptions{Options: Options{Picture: d.picture, Progress: func(done, n int) {
		if done != last+1 || total != 0 && n != total {
			t.Errorf("progress %d of %d after %d of %d", done, n, last, total)
		}
		last, total = done, n
	}}}
	if _, err := Bundle(context.Background(), &bytes.Buffer{}, history.StateOf(d.entries), Scope{Project: d.project}, made, o); err != nil {
		t.Fatal(err)
	}
	if last < len(d.photos) || last != total {
		t.Errorf("ended at %d of %d with %d photos", last, total, len(d.photos))
	}
}
