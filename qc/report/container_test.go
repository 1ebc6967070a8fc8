package report

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"
)

// A file that was changed, with both lists as they were, is named and nothing else is blamed.
func TestChangedFileIsNamedAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	whole, _ := newDemo(14).bundle(t)
	z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if f.Name != csvFile && f.Name != formatFile {
			continue
		}
		at, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		bad := bytes.Clone(whole)
		bad[at+40] ^= 1
		v, err := Verify(bytes.NewReader(bad), int64(len(bad)))
		if err != nil {
			t.Fatal(err)
		}
		if len(v.Problems) != 1 || v.Problems[0].File != f.Name || v.Problems[0].Change != Changed || !strings.HasSuffix(v.Problems[0].Text, " was changed") {
			t.Errorf("%s: %s", f.Name, words(v))
		}
	}
}

// What stands behind the end of the zip file is no part of the bundle, and is told.
func TestBytesBehindTheEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	whole, _ := newDemo(14).bundle(t)
	for _, more := range []string{"x", "\x00\x00\x00\x00", "a letter to whoever looks"} {
		data := append(bytes.Clone(whole), more...)
		v, err := Verify(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		if len(v.Problems) != 1 || v.Problems[0].Change != Added || !strings.Contains(v.Problems[0].Text, "behind the end of the zip file") {
			t.Errorf("%q behind the end: %s", more, words(v))
		}
	}
}
