package report

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// bundle exports the demo; a photo of a decision on paper is not in its store.
func (d *demo) bundle(t testing.TB, parts ...string) (data []byte, sum string) {
	t.Helper()
	var b bytes.Buffer
	o := BundleOptions{Options: Options{Picture: d.picture}, Photo: func(_ context.Context, h string) ([]byte, error) {
		if p, ok := d.photos[h]; ok {
			return p, nil
		}
		return nil, fmt.Errorf("photo %s: %w", h, ErrNoPhoto)
	}}
	sum, err := Bundle(context.Background(), &b, history.StateOf(d.entries), Scope{d.project, parts}, made, o)
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), sum
}

func verify(t testing.TB, data []byte) *Verdict {
	t.Helper()
	v, err := Verify(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// file is one file of a bundle that a test takes apart.
type file struct {
	name string
	data []byte
}

func unpack(t testing.TB, data []byte) []file {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var out []file
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, file{f.Name, b})
	}
	return out
}

func pack(t testing.TB, files []file) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		if err := storeFile(z, f.name, f.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func get(t testing.TB, files []file, name string) *file {
	t.Helper()
	for i := range files {
		if files[i].name == name || strings.HasSuffix(name, "/") && strings.HasPrefix(files[i].name, name) {
			return &files[i]
		}
	}
	t.Fatalf("no %s in the bundle", name)
	return nil
}

// reseal makes both lists fit the files again, as a forger would who knows the format.
func reseal(t testing.TB, files []file) []file {
	t.Helper()
	var m Manifest
	mf := get(t, files, manifestFile)
	if err := json.Unmarshal(mf.data, &m); err != nil {
		t.Fatal(err)
	}
	for i := range m.Files {
		m.Files[i].SHA256 = sha(get(t, files, m.Files[i].Name).data)
		m.Files[i].Bytes = int64(len(get(t, files, m.Files[i].Name).data))
	}
	data, err := json.MarshalIndent(&m, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	mf.data = append(data, '\n')
	get(t, files, sumsFile).data = sumsOf(append(m.Files, FileSum{manifestFile, 0, sha(mf.data)}))
	return files
}

func TestBundleIsWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	d := newDemo(14)
	for _, parts := range [][]string{nil, {d.parts[0]}, {d.parts[1]}} {
		data, sum := d.bundle(t, parts...)
		v := verify(t, data)
		if !v.Whole() {
			t.Fatalf("parts %v: %v", parts, v.Problems)
		}
		if v.Sum != sum || v.Entries != len(d.entries) || v.Number != d.record(t).Chain.Number {
			t.Errorf("verdict names sum %s, %d entries, record %q", v.Sum, v.Entries, v.Number)
		}
		if !slices.ContainsFunc(v.Notes, func(n string) bool {
			return strings.Contains(n, "sign-off of Corner gusset, left by M. Oduya is outdated: 1 entry since")
		}) {
			t.Errorf("the outdated sign-off is not told: %q", v.Notes)
		}
	}
	again, _ := d.bundle(t)
	if first, _ := d.bundle(t); !bytes.Equal(first, again) {
		t.Error("two exports of one record differ")
	}
}

// TestVerifyNames changes a bundle in each way that the format can be changed and looks
// whether the verdict names it.
func TestVerifyNames(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	d := newDemo(14)
	whole, _ := d.bundle(t)
	finding := d.entries[slices.IndexFunc(d.entries, func(e history.Entry) bool { return e.Kind == history.KindFinding })]
	last := d.entries[len(d.entries)-1]
	lines := func(fs []file) [][]byte { return bytes.SplitAfter(get(t, fs, entriesFile).data, []byte("\n")) }
	setLines := func(fs []file, l [][]byte) []file {
		get(t, fs, entriesFile).data = bytes.Join(l, nil)
		return fs
	}
	at := func(e history.Entry, l [][]byte) int {
		return slices.IndexFunc(l, func(b []byte) bool { return bytes.Contains(b, []byte(`"id":"`+e.ID+`"`)) })
	}
	without := func(fs []file, name string) []file {
		f := get(t, fs, name)
		return slices.DeleteFunc(fs, func(g file) bool { return g.name == f.name })
	}
	tests := []struct {
		name   string
		change func(fs []file) []file
		want   Change
		says   string // of one problem
		entry  string
	}{
		{"one digit of a reading", func(fs []file) []file {
			l := lines(fs)
			i := at(finding, l)
			l[i] = bytes.Replace(l[i], []byte(`"value_mm":7.3`), []byte(`"value_mm":7.4`), 1)
			return setLines(fs, l)
		}, Changed, "finding at R1 by Ines K.", finding.ID},
		{"one digit of a reading, sums made to fit", func(fs []file) []file {
			l := lines(fs)
			i := at(finding, l)
			l[i] = bytes.Replace(l[i], []byte(`"value_mm":7.3`), []byte(`"value_mm":7.4`), 1)
			return reseal(t, setLines(fs, l))
		}, Changed, "finding at R1 by Ines K.", finding.ID},
		{"an entry's id", func(fs []file) []file {
			l := lines(fs)
			i := at(finding, l)
			l[i] = bytes.Replace(l[i], []byte(`"id":"0`), []byte(`"id":"1`), 1)
			return setLines(fs, l)
		}, Changed, finding.ID, finding.ID},
		{"an entry that is no JSON any more", func(fs []file) []file {
			l := lines(fs)
			l[at(finding, l)][0] = 'x'
			return setLines(fs, l)
		}, Changed, finding.ID, finding.ID},
		{"white space in an entry", func(fs []file) []file {
			l := lines(fs)
			i := at(finding, l)
			l[i] = bytes.Replace(l[i], []byte(`{"at"`), []byte(`{ "at"`), 1)
			return setLines(fs, l)
		}, Changed, finding.ID, finding.ID},
		{"entry left out", func(fs []file) []file {
			l := lines(fs)
			return setLines(fs, slices.Delete(l, at(finding, l), at(finding, l)+1))
		}, LeftOut, finding.ID, finding.ID},
		{"entry left out, sums made to fit", func(fs []file) []file {
			l := lines(fs)
			return reseal(t, setLines(fs, slices.Delete(l, at(finding, l), at(finding, l)+1)))
		}, LeftOut, finding.ID, finding.ID},
		{"last entry left out", func(fs []file) []file {
			l := lines(fs)
			return setLines(fs, slices.Delete(l, at(last, l), at(last, l)+1))
		}, LeftOut, last.ID, last.ID},
		{"entry added", func(fs []file) []file {
			m := *d.builder.Maker
			more := &histtest.Device{Maker: &m, Clock: d.builder.Clock, Rand: d.builder.Rand, Num: d.builder.Num}
			e := more.Put(histtest.Place{Project: d.project}.Draft(history.KindNote, history.NoteData{Text: "slipped in"}))
			return setLines(fs, append(lines(fs), append(e.Bytes(), '\n')))
		}, Added, "note by Ines K.", ""},
		{"entry twice", func(fs []file) []file {
			l := lines(fs)
			return setLines(fs, append(l, l[at(finding, l)]))
		}, Added, "stands there twice", finding.ID},
		{"entries reordered", func(fs []file) []file {
			l := lines(fs)
			i := at(finding, l)
			moved := l[i]
			return setLines(fs, slices.Insert(slices.Delete(l, i, i+1), i+20, moved))
		}, Reordered, "finding at R1", finding.ID},
		{"photo swapped for another", func(fs []file) []file {
			a, b := &fs[6], &fs[7]
			a.data, b.data = b.data, a.data
			return fs
		}, Changed, "photo ", ""},
		{"photo left out", func(fs []file) []file { return without(fs, photoFolder) }, LeftOut, "photo ", ""},
		{"photo left out of the lists too", func(fs []file) []file {
			name := get(t, fs, photoFolder).name
			fs = without(fs, photoFolder)
			var m Manifest
			if err := json.Unmarshal(get(t, fs, manifestFile).data, &m); err != nil {
				t.Fatal(err)
			}
			m.Files = slices.DeleteFunc(m.Files, func(f FileSum) bool { return f.Name == name })
			m.Photos = slices.DeleteFunc(m.Photos, func(f PhotoSum) bool { return f.Name == name })
			get(t, fs, manifestFile).data, _ = json.Marshal(&m)
			return reseal(t, fs)
		}, LeftOut, "is named by the entries and was left out", ""},
		{"file added", func(fs []file) []file { return append(fs, file{"photos/extra.jpg", disc(8, 8, 1)}) }, Added, "photo extra.jpg", ""},
		{"file with a path", func(fs []file) []file { return append(fs, file{"../../etc/cron.d/x", nil}) }, Added, `"../../etc/cron.d/x"`, ""},
		{"file twice", func(fs []file) []file { return append(fs, *get(t, fs, csvFile)) }, Added, "readings.csv\" is in the bundle twice", ""},
		{"report changed", func(fs []file) []file { get(t, fs, reportFile).data[500] ^= 1; return fs }, Changed, "report.pdf", ""},
		{"table changed, sums made to fit", func(fs []file) []file {
			f := get(t, fs, csvFile)
			f.data = bytes.Replace(f.data, []byte(",out,"), []byte(",within,"), 1)
			return reseal(t, fs)
		}, Changed, "readings.csv does not say what the entries say", ""},
		{"record changed, sums made to fit", func(fs []file) []file {
			f := get(t, fs, recordFile)
			f.data = bytes.Replace(f.data, []byte(`"verdict": "out"`), []byte(`"verdict": "within"`), 1)
			return reseal(t, fs)
		}, Changed, "record.json does not say what the entries say", ""},
		{"files reordered", func(fs []file) []file { fs[1], fs[2] = fs[2], fs[1]; return fs }, Reordered, "readings.csv stands where report.pdf stood", ""},
		{"manifest left out", func(fs []file) []file { return without(fs, manifestFile) }, LeftOut, manifestFile, ""},
		{"manifest: an entry's hash", func(fs []file) []file {
			f := get(t, fs, manifestFile)
			f.data = bytes.Replace(f.data, []byte(finding.Hash().String()), []byte(strings.Repeat("0", 64)), 1)
			return fs
		}, Changed, manifestFile, ""},
		{"manifest: a file's sum", func(fs []file) []file {
			f := get(t, fs, manifestFile)
			f.data = bytes.Replace(f.data, []byte(sha(get(t, fs, reportFile).data)), []byte(strings.Repeat("0", 64)), 1)
			return fs
		}, Changed, manifestFile, ""},
		{"manifest: no JSON", func(fs []file) []file { get(t, fs, manifestFile).data[0] = 'x'; return fs }, Changed, manifestFile, ""},
		{"SHA256SUMS left out", func(fs []file) []file { return without(fs, sumsFile) }, LeftOut, sumsFile, ""},
		{"SHA256SUMS: a sum", func(fs []file) []file { get(t, fs, sumsFile).data[3] ^= 1; return fs }, Changed, sumsFile, ""},
		{"SHA256SUMS: a name", func(fs []file) []file {
			f := get(t, fs, sumsFile)
			f.data = bytes.Replace(f.data, []byte("FORMAT.txt"), []byte("FORMAS.txt"), 1)
			return fs
		}, Changed, sumsFile, ""},
		{"entries file left out", func(fs []file) []file { return without(fs, entriesFile) }, LeftOut, entriesFile, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v := verify(t, pack(t, tt.change(unpack(t, whole))))
			if !slices.ContainsFunc(v.Problems, func(p Problem) bool {
				return p.Change == tt.want && strings.Contains(p.Text, tt.says) && (tt.entry == "" || p.Entry == tt.entry)
			}) {
				t.Errorf("no problem %q that says %q:\n%s", tt.want, tt.says, words(v))
			}
			if len(v.Problems) > 8 {
				t.Errorf("%d problems for one change:\n%s", len(v.Problems), words(v))
			}
		})
	}
}

func words(v *Verdict) string {
	var b strings.Builder
	for _, p := range v.Problems {
		fmt.Fprintf(&b, "%s: %s\n", p.Change, p.Text)
	}
	return b.String()
}

// TestRepacked: other programs pack otherwise; the content is whole and that is said.
func TestRepacked(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	d := newDemo(14)
	whole, _ := d.bundle(t)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range unpack(t, whole) {
		w, err := z.Create(f.name) // deflated
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(f.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	v := verify(t, b.Bytes())
	if len(v.Problems) != 1 || !strings.Contains(v.Problems[0].Text, "packed anew by another program; the files in it are whole") {
		t.Errorf("%s", words(v))
	}
}

// TestHostileZip: a packed bomb, a lie about sizes, no zip, a zip of something else.
func TestHostileZip(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, _ := z.Create(entriesFile)
	zero := make([]byte, 1<<20)
	for range 40 { // 40 MB of zeros in 40 kB
		if _, err := w.Write(zero); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	v := verify(t, b.Bytes())
	if !slices.ContainsFunc(v.Problems, func(p Problem) bool { return strings.Contains(p.Text, "would grow from") }) {
		t.Errorf("the bomb is not named:\n%s", words(v))
	}
	for name, data := range map[string][]byte{"text": []byte("no zip at all"), "empty": nil, "other zip": pack(t, []file{{"readme", []byte("x")}})} {
		if _, err := Verify(bytes.NewReader(data), int64(len(data))); err == nil {
			t.Errorf("%s was taken for a bundle", name)
		}
	}
}

func FuzzVerify(f *testing.F) {
	d := newDemo(14)
	var b bytes.Buffer
	st := history.StateOf(d.entries[:3]) // device, project, card: a small bundle is tried more often
	if _, err := Bundle(context.Background(), &b, st, Scope{Project: d.project}, made, BundleOptions{}); err != nil {
		f.Fatal(err)
	}
	small := slices.DeleteFunc(unpack(f, b.Bytes()), func(g file) bool { return g.name == reportFile || g.name == schemaFile || g.name == formatFile })
	f.Add(pack(f, small))
	f.Add(pack(f, small[len(small)-2:]))
	f.Fuzz(func(_ *testing.T, data []byte) {
		_, _ = Verify(bytes.NewReader(data), int64(len(data))) // must not panic or hang
	})
}

// TestOldBundles: what was exported once can be verified for good.
func TestOldBundles(t *testing.T) {
	names, err := filepath.Glob("testdata/bundle-*.zip")
	if err != nil || len(names) < BundleVersion {
		t.Fatalf("%d bundles for %d formats: %v", len(names), BundleVersion, err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if v := verify(t, data); !v.Whole() || v.Entries == 0 {
			t.Errorf("%s is not whole any more:\n%s", name, words(v))
		}
	}
}

// TestFormatTextNamesTheFiles holds the description against a bundle: the files, in order.
func TestFormatTextNamesTheFiles(t *testing.T) {
	d := newDemo(14)
	data, _ := d.bundle(t)
	at := 0
	for _, f := range unpack(t, data) {
		name := f.name
		if strings.HasPrefix(name, photoFolder) {
			name = "photos/HASH.jpg"
		}
		i := strings.Index(string(FormatText), "    "+name+" ")
		if i < at {
			t.Errorf("FORMAT.txt does not name %s in its place", name)
		}
		at = i
	}
}
