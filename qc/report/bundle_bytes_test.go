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
	"bucktail/qc/history/histtest"
)

// TestOneByteAnywhere flips a bit in bytes all over a bundle: in its files in steps, and of one
// without photos, which is read in a moment, in the first and the last local header, every byte, in
// the central directory and its end. No change may pass, and none may be blamed on a file that it is
// not in.
func TestOneByteAnywhere(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	whole, _ := d.bundle(t, d.parts[0])
	flipEach(t, whole, func(spans []span) (at []int) {
		for i, s := range spans {
			if i > 8 && i < len(spans)-2 {
				continue // photos are all alike
			}
			for p := s.from; p < s.to; p += max(1, (s.to-s.from)/2) {
				at = append(at, p)
			}
		}
		return at
	})
	bare := &demo{photos: map[string][]byte{}, builder: histtest.NewDevice(1, "Ines K.", history.Builder)}
	bare.project = bare.put(bare.builder, histtest.Place{}, history.KindProject, history.ProjectData{Name: "Tarn 2"}).ID
	bare.angle(histtest.Place{Project: bare.project})
	small, _ := bare.bundle(t)
	flipEach(t, small, func(spans []span) (at []int) {
		for _, s := range []span{spans[0], spans[len(spans)-1]} {
			for p := s.from - 30 - len(s.name); p < s.from; p++ {
				at = append(at, p)
			}
		}
		end := spans[len(spans)-1].to
		for p := end; p < len(small); p += 1 + (len(small)-end)/60 {
			at = append(at, p)
		}
		for p := len(small) - 22; p < len(small); p++ {
			at = append(at, p)
		}
		return at
	})
}

// span is where a file's bytes stand in a bundle.
type span struct {
	name     string
	from, to int
}

// flipEach flips a bit in each of the bytes that choose gives, by itself.
func flipEach(t *testing.T, whole []byte, choose func([]span) []int) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	var spans []span
	for _, f := range z.File {
		at, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		spans = append(spans, span{f.Name, int(at), int(at) + int(f.CompressedSize64)})
	}
	for _, p := range choose(spans) {
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
