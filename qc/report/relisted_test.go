//go:build !js

package report

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestBothListsAnew lets a forger who knows the format change a bundle and write both lists
// anew. What [Verify] finds then, the checker in testdata/check.py finds too, which was written
// from FORMAT.txt alone and in another language; what neither can find, FORMAT.txt says.
func TestBothListsAnew(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	data, _ := d.bundle(t)
	photo := func(fs []file, n int) *file {
		for i := range fs {
			if strings.HasPrefix(fs[i].name, photoFolder) {
				if n--; n < 0 {
					return &fs[i]
				}
			}
		}
		t.Fatal("no photo")
		return nil
	}
	slip := func(fs []file, name string, data []byte) []file { // into both lists too
		at := len(fs) - 2
		fs = slices.Insert(fs, at, file{name, data})
		manifestOf(t, fs, func(m *Manifest) { m.Files = append(m.Files, FileSum{name, int64(len(data)), sha(data)}) })
		return fs
	}
	stranger := photoFolder + strings.Repeat("f", 64) + ".jpg"
	for _, tt := range []struct {
		what   string
		change func(fs []file) []file
		want   string // "": whole
		text   string // of FORMAT.txt, where it is whole
	}{
		{what: "nothing", change: func(fs []file) []file { return fs }},
		{what: "a file more", change: func(fs []file) []file { return slip(fs, "note.txt", []byte("hello")) }, want: "note.txt was added"},
		{what: "a photo more", change: func(fs []file) []file { return slip(fs, stranger, []byte("\xff\xd8\xff")) }, want: "no entry of what was exported names it"},
		{what: "a photo changed", change: func(fs []file) []file { photo(fs, 0).data[200] ^= 1; return fs }, want: "not as the manifest's list of photos says"},
		{what: "two photos exchanged", change: func(fs []file) []file {
			a, b := photo(fs, 0), photo(fs, 1)
			a.data, b.data = b.data, a.data
			return fs
		}, want: "not as the manifest's list of photos says"},
		{what: "two photos exchanged, and in the list of photos", change: func(fs []file) []file {
			a, b := photo(fs, 0), photo(fs, 1)
			a.data, b.data = b.data, a.data
			manifestOf(t, fs, func(m *Manifest) { m.Photos[0].SHA256, m.Photos[1].SHA256 = m.Photos[1].SHA256, m.Photos[0].SHA256 })
			return fs
		}, want: "is another picture than the one that entry"},
		{what: "a photo less", change: func(fs []file) []file {
			name := photo(fs, 0).name
			fs = slices.DeleteFunc(fs, func(f file) bool { return f.name == name })
			manifestOf(t, fs, func(m *Manifest) {
				m.Files = slices.DeleteFunc(m.Files, func(f FileSum) bool { return f.Name == name })
				m.Photos = m.Photos[1:]
			})
			return fs
		}, want: "is named by the entries and was left out"},
		{what: "an entry in another form", change: func(fs []file) []file {
			e := get(t, fs, entriesFile)
			i := bytes.LastIndexByte(e.data[:len(e.data)-1], '\n') + 1
			was := sha(e.data[i : len(e.data)-1])
			e.data = slices.Insert(slices.Clone(e.data), i+1, ' ')
			is := sha(e.data[i : len(e.data)-1])
			m := get(t, fs, manifestFile)
			m.data = bytes.ReplaceAll(m.data, []byte(was), []byte(is))
			return fs
		}, want: "is no entry in its canonical form"},
		{what: "the report", change: func(fs []file) []file { get(t, fs, reportFile).data[500] ^= 1; return fs },
			text: "report.pdf and the texts are held by the lists alone"},
		{what: "the text", change: func(fs []file) []file { get(t, fs, formatFile).data[500] ^= 1; return fs },
			text: "and with another SHA256SUMS"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			forged := pack(t, reseal(t, tt.change(unpack(t, data))))
			v := verify(t, forged)
			if tt.want == "" && !v.Whole() || tt.want != "" && !strings.Contains(words(v), tt.want) {
				t.Errorf("not %q: %s", tt.want, words(v))
			}
			if !strings.Contains(string(FormatText), tt.text) {
				t.Errorf("FORMAT.txt does not say %q", tt.text)
			}
			if os.Getenv("BUCKTAIL_TOOLS") != "1" {
				return
			}
			out, err := exec.Command("python3", filepath.Join("testdata", "check.py"), save(t, "out.zip", forged)).CombinedOutput()
			if (err == nil) != v.Whole() || v.Whole() && !strings.Contains(string(out), v.Number) || bytes.Contains(out, []byte("Traceback")) {
				t.Errorf("the checker from FORMAT.txt says: %v\n%s", err, out)
			}
		})
	}
}

// manifestOf changes the manifest in place.
func manifestOf(t *testing.T, fs []file, change func(m *Manifest)) {
	t.Helper()
	f := get(t, fs, manifestFile)
	var m Manifest
	if err := json.Unmarshal(f.data, &m); err != nil {
		t.Fatal(err)
	}
	change(&m)
	b, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	f.data = append(b, '\n')
}

// TestSumMended: who mends a file's line in SHA256SUMS and leaves the manifest alone hides nothing:
// the file is named, not the manifest, and which entries were changed, moved or left out.
func TestSumMended(t *testing.T) {
	d := newDemo(14)
	data, _ := d.bundle(t)
	lines := func(change func(l [][]byte) [][]byte) func([]byte) []byte {
		return func(b []byte) []byte { return bytes.Join(change(bytes.SplitAfter(b, []byte("\n"))), nil) }
	}
	for _, tt := range []struct {
		what, name string
		change     func([]byte) []byte
		want       []string
	}{
		{"a value", entriesFile, func(b []byte) []byte { return bytes.Replace(b, []byte("6.1"), []byte("7.1"), 1) }, []string{"was changed", "finding at R8 by Ines K."}},
		{"an entry less", entriesFile, lines(func(l [][]byte) [][]byte { return slices.Delete(l, 5, 6) }), []string{"was left out"}},
		{"two exchanged", entriesFile, lines(func(l [][]byte) [][]byte { l[5], l[9] = l[9], l[5]; return l }), []string{"stands in another place"}},
		{"the table", csvFile, func(b []byte) []byte { return append(b, '\n') }, nil},
	} {
		t.Run(tt.what, func(t *testing.T) {
			fs := unpack(t, data)
			f, sums := get(t, fs, tt.name), get(t, fs, sumsFile)
			was := sha(f.data)
			if f.data = tt.change(slices.Clone(f.data)); sha(f.data) == was {
				t.Fatal("nothing was changed")
			}
			sums.data = bytes.Replace(sums.data, []byte(was), []byte(sha(f.data)), 1)
			v := verify(t, pack(t, fs))
			said := words(v)
			for _, want := range append(tt.want, tt.name+" was changed, and its line in SHA256SUMS with it") {
				if !strings.Contains(said, want) {
					t.Errorf("not %q: %s", want, said)
				}
			}
			if strings.Contains(said, "manifest.json was") {
				t.Errorf("the manifest is as it was: %s", said)
			}
		})
	}
}
