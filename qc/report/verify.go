package report

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"bucktail/qc/history"
)

// Change says what happened to a piece of a bundle.
type Change string

// The changes.
const (
	Changed   Change = "changed"
	LeftOut   Change = "left out"
	Added     Change = "added"
	Reordered Change = "reordered"
	Broken    Change = "broken" // a chain, or the form of something
)

// Problem is one thing that is not as it was exported.
type Problem struct {
	Change Change `json:"change"`
	File   string `json:"file,omitempty"`
	Entry  string `json:"entry,omitempty"` // id, where it is an entry
	Text   string `json:"text"`            // whole sentence without full stop
}

// Verdict is what [Verify] found.
type Verdict struct {
	Problems []Problem `json:"problems,omitempty"`
	Notes    []string  `json:"notes,omitempty"` // what is to be known, and no fault of the bundle
	Number   string    `json:"number"`          // of the record, as the entries give it
	Sum      string    `json:"sum"`             // SHA-256 of SHA256SUMS: stands for the bundle
	Entries  int       `json:"entries"`
	Files    int       `json:"files"`

	Signers  []Signer      `json:"signers,omitempty"`
	Unsigned int           `json:"unsigned,omitempty"` // entries from before their devices had keys
	SignOffs []SignOffCode `json:"sign_offs,omitempty"`
}

// Signer is a device whose entries are signed.
type Signer struct {
	Device      string       `json:"device"`
	Name        string       `json:"name"`
	By          string       `json:"by"` // who wrote last with it
	Role        history.Role `json:"role"`
	Fingerprint string       `json:"fingerprint"` // of its key, as its own screen shows it
	Entries     int          `json:"entries"`     // signed ones
	Vouched     bool         `json:"vouched"`     // the laptop entered that this device told it this key
}

// SignOffCode is a sign-off by the short code that its inspector keeps.
type SignOffCode struct {
	Code    string `json:"code"`
	Part    string `json:"part"`
	Name    string `json:"name"`
	Current bool   `json:"current"`
}

// Whole says whether all is as it was exported.
func (v *Verdict) Whole() bool { return len(v.Problems) == 0 }

func (v *Verdict) add(c Change, file, entry, format string, args ...any) {
	if len(v.Problems) < maxProblems {
		v.Problems = append(v.Problems, Problem{c, file, entry, fmt.Sprintf(format, args...)})
	}
}

// Limits on what is read of a bundle from outside. Bundles are stored without compression, so
// that no file can be larger than the bundle itself; a repacked one is held to these.
const (
	maxFiles     = 200_000
	maxManifest  = 256 << 20
	maxOneFile   = 2 << 30
	maxExpansion = 100 // a packed file may not grow by more
	maxProblems  = 1000
)

// Verify checks a bundle by itself: no store, no network, nothing is unpacked to disk. It
// looks at everything, so that it names all that was changed and not only the first. The
// error says that this is no bundle at all or can't be read; a damaged bundle is no error,
// its damage stands in the verdict.
//
// Who writes the whole bundle anew makes a bundle that is whole, under another record number
// or another sum: compare these with what was told another way.
func Verify(r io.ReaderAt, size int64) (*Verdict, error) {
	z, err := zip.NewReader(r, size)
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, fmt.Errorf("this is no zip file that can be read, or its end is missing: %w", err)
	}
	if len(z.File) > maxFiles {
		return nil, fmt.Errorf("the zip file lists %d files, more than %d", len(z.File), maxFiles)
	}
	c := checker{v: &Verdict{}, zip: z, files: map[string]*zip.File{}}
	c.list()
	if c.files[manifestFile] == nil && c.files[sumsFile] == nil && c.files[entriesFile] == nil {
		return nil, errors.New("the zip file is no bundle: it holds neither manifest.json, SHA256SUMS nor entries.jsonl")
	}
	c.manifest()
	c.hashes()
	c.order()
	c.entries()
	c.tables()
	c.texts()
	c.unmade()
	if c.v.Whole() {
		c.container(r, size)
	}
	return c.v, nil
}

type checker struct {
	v       *Verdict
	zip     *zip.Reader
	files   map[string]*zip.File
	m       *Manifest
	sums    map[string]string // by SHA256SUMS; nil where it is not there
	damaged map[string]bool   // files whose content is not as listed
	trusted bool              // the manifest is the one that SHA256SUMS lists
	state   *history.State
}

// list takes the files by name and names those that stand there twice or by a strange name.
func (c *checker) list() {
	c.damaged = map[string]bool{}
	for _, f := range c.zip.File {
		if c.files[f.Name] != nil {
			c.v.add(Added, f.Name, "", "%q is in the bundle twice", f.Name)
			continue
		}
		c.files[f.Name] = f
	}
	c.v.Files = len(c.files)
}

// open gives a file's content, bounded.
func (c *checker) open(f *zip.File, most int64) (io.ReadCloser, error) {
	if f.UncompressedSize64 > uint64(most) {
		return nil, fmt.Errorf("it says it is %d bytes long, more than %d", f.UncompressedSize64, most)
	}
	if f.UncompressedSize64 > 1<<20 && f.UncompressedSize64/maxExpansion > f.CompressedSize64 {
		return nil, fmt.Errorf("it would grow from %d to %d bytes", f.CompressedSize64, f.UncompressedSize64)
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	return struct {
		io.Reader
		io.Closer
	}{io.LimitReader(r, most+1), r}, nil
}

func (c *checker) read(name string, most int64) ([]byte, error) {
	f := c.files[name]
	if f == nil {
		return nil, ErrNoFile
	}
	r, err := c.open(f, most)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data, err := io.ReadAll(r)
	if err == nil && int64(len(data)) > most {
		err = fmt.Errorf("it is longer than %d bytes", most)
	}
	if errors.Is(err, zip.ErrChecksum) {
		err = nil // its content is wrong; the hash will say so, and the rest is still to be looked at
	}
	return data, err
}

// ErrNoFile says that a bundle lacks a file.
var ErrNoFile = errors.New("it is not in the bundle")

// manifest reads the two lists, and finds out which one is to be believed where they differ.
func (c *checker) manifest() {
	if data, err := c.read(sumsFile, maxManifest); err == nil {
		c.v.Sum = sha(data)
		c.sums = map[string]string{}
		for i, line := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
			sum, name, ok := strings.Cut(line, "  ")
			if !ok || !history.IsPhotoHash(sum) {
				c.v.add(Changed, sumsFile, "", "line %d of SHA256SUMS was changed: it is no sum and name", i+1)
				continue
			}
			c.sums[name] = sum
		}
	} else {
		c.gone(sumsFile, err)
	}
	data, err := c.read(manifestFile, maxManifest)
	if err != nil {
		c.gone(manifestFile, err)
		return
	}
	c.trusted = c.sums == nil || c.sums[manifestFile] == sha(data)
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		c.v.add(Changed, manifestFile, "", "manifest.json was changed: it can't be read any more (%v)", err)
		return
	}
	switch {
	case m.Format != BundleFormat:
		c.v.add(Changed, manifestFile, "", "manifest.json was changed: it calls itself %q", short(m.Format))
		return
	case m.Version > BundleVersion:
		c.v.add(Broken, manifestFile, "", "the bundle was made by a newer version (format %d): check it with that one", m.Version)
		return
	}
	c.m = &m
}

func (c *checker) gone(name string, err error) {
	if errors.Is(err, ErrNoFile) {
		c.v.add(LeftOut, name, "", "%s was left out", name)
		return
	}
	c.v.add(Changed, name, "", "%s can't be read: %v", name, err)
	c.damaged[name] = true
}

// hashes holds each file against both lists. A file that fits one list and not the other shows
// that the other list was changed; but where SHA256SUMS vouches for the manifest, that the file was,
// by somebody who mended its sum.
func (c *checker) hashes() {
	listed := map[string]string{} // by the manifest
	if c.m != nil {
		for _, f := range c.m.Files {
			listed[f.Name] = f.SHA256
		}
	}
	manifestWrong, sumsWrong := false, false
	for _, f := range c.zip.File { // in their order, so that a verdict is the same each time
		if c.files[f.Name] != f || f.Name == sumsFile || f.Name == manifestFile {
			continue
		}
		got, err := c.sum(f)
		if err != nil {
			c.v.add(Changed, f.Name, "", "%s can't be read: %v", what(f.Name), err)
			c.damaged[f.Name] = true
			continue
		}
		s, m := c.sums[f.Name], listed[f.Name]
		switch {
		case !ofBundle(f.Name):
			c.v.add(Added, f.Name, "", "%s was added: a bundle has no such file", what(f.Name))
		case s == "" && m == "" && c.sums == nil && c.m == nil:
		case s == "" && m == "":
			c.v.add(Added, f.Name, "", "%s was added", what(f.Name))
		case s != got && m != got:
			c.v.add(Changed, f.Name, "", "%s was changed", what(f.Name))
			c.damaged[f.Name] = true
		case c.m != nil && c.sums != nil && c.trusted && m == "":
			c.v.add(Added, f.Name, "", "%s was added, and a line in SHA256SUMS with it", what(f.Name))
		case c.m != nil && c.sums != nil && c.trusted && m != got:
			c.v.add(Changed, f.Name, "", "%s was changed, and its line in SHA256SUMS with it", what(f.Name))
			c.damaged[f.Name] = true
		case c.m != nil && m != got:
			manifestWrong = true
		case c.sums != nil && s != got:
			sumsWrong = true
		}
	}
	c.lists(manifestWrong, sumsWrong)
	c.absent()
}

// lists names a list that was changed: one that does not fit the files, or a manifest that
// SHA256SUMS has another sum for.
func (c *checker) lists(manifestWrong, sumsWrong bool) {
	either := false
	if c.m != nil && !c.trusted && !manifestWrong && !sumsWrong {
		again, err := json.MarshalIndent(c.m, "", " ")
		data, _ := c.read(manifestFile, maxManifest)
		manifestWrong = err != nil || !bytes.Equal(append(again, '\n'), data)
		either = !manifestWrong
	}
	if manifestWrong {
		c.trusted = false
		c.v.add(Changed, manifestFile, "", "manifest.json was changed")
	}
	if sumsWrong {
		c.v.add(Changed, sumsFile, "", "SHA256SUMS was changed")
	}
	if either {
		c.v.add(Changed, manifestFile, "", "manifest.json was changed, or its line in SHA256SUMS")
	}
}

// absent names files that a list has and the bundle lacks.
func (c *checker) absent() {
	told := map[string]bool{manifestFile: true, sumsFile: true}
	tell := func(name string) {
		if c.files[name] == nil && !told[name] {
			told[name] = true
			c.v.add(LeftOut, name, "", "%s was left out", what(name))
			c.damaged[name] = true
		}
	}
	if c.m != nil {
		for _, f := range c.m.Files {
			tell(f.Name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.sums)) {
		tell(name)
	}
}

func (c *checker) sum(f *zip.File) (string, error) {
	r, err := c.open(f, maxOneFile)
	if err != nil {
		return "", err
	}
	defer r.Close()
	h := sha256.New()
	n, err := io.Copy(h, r)
	if n > maxOneFile {
		return "", fmt.Errorf("it is longer than %d bytes", int64(maxOneFile))
	}
	if err != nil && !errors.Is(err, zip.ErrChecksum) {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// order holds the order of the files against the manifest's.
func (c *checker) order() {
	if c.m == nil {
		return
	}
	var want []string
	for _, f := range c.m.Files {
		if c.files[f.Name] != nil {
			want = append(want, f.Name)
		}
	}
	want = append(want, manifestFile, sumsFile)
	listed := map[string]bool{}
	for _, n := range want {
		listed[n] = true
	}
	i := 0
	for _, f := range c.zip.File {
		if !listed[f.Name] || c.files[f.Name] != f {
			continue
		}
		for i < len(want) && c.files[want[i]] == nil {
			i++
		}
		if i < len(want) && want[i] != f.Name {
			c.v.add(Reordered, f.Name, "", "%s stands where %s stood: the files were reordered", what(f.Name), what(want[i]))
			return
		}
		i++
	}
}
