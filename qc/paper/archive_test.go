package paper

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// archived is a document with all that a document may hold.
func archived(t *testing.T) []byte {
	t.Helper()
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 9, 5)), nil); err != nil {
		t.Fatal(err)
	}
	d := New(A4, Info{Title: "Inspection record: Łódź & <Ψ>", Author: "Ines Шпангоут", Subject: "record 1 · abcd", Made: time.Date(2026, 11, 13, 18, 30, 0, 0, time.UTC)})
	d.AddPage()
	d.Bookmark("first", 0)
	d.Bookmark("in it", 1)
	d.Bookmark("second", 0)
	d.Tag(Heading1, "", func() { d.Text(20, 20, "Holes, отверстия, οπές ½ ± −", Style{Font: Bold, SizePt: 12}) })
	d.Tag(Para, "", func() { d.Text(20, 30, "e79b", Style{Font: Mono, SizePt: 12}) })
	d.Tag(Figure, "grey", func() {
		if _, _, _, _, err := d.Picture(picture.Bytes(), 20, 40, 30, 30); err != nil {
			t.Fatal(err)
		}
	})
	var b bytes.Buffer
	if err := d.Save(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestArchive holds what is written against the rules of ISO 19005-2, level B, that a file of this
// program could break.
func TestArchive(t *testing.T) {
	pdf := archived(t)
	for rule, form := range map[string]string{
		"6.1.3: the trailer has an identifier": `trailer\n<<[^>]*/ID \[<[0-9A-F]{32}> <[0-9A-F]{32}>\]>>\nstartxref\n\d+\n%%EOF\n$`,
		"6.2.3: an output intent":              `/S /GTS_PDFA1 /OutputConditionIdentifier \(sRGB\)[^>]*/DestOutputProfile \d+ 0 R`,
		"6.6.2: metadata, not packed":          `<</Type /Metadata /Subtype /XML /Length \d+>>\nstream\n<\?xpacket begin="\x{FEFF}"`,
		"6.6.3: dates with their zone":         `/CreationDate \(D:20261113183000Z\)\n?[^>]*/ModDate \(D:20261113183000Z\)`,
		"6.6.4: the conformance":               `<pdfaid:part>2</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>`,
	} {
		if !regexp.MustCompile(form).Match(pdf) {
			t.Errorf("%s: not there", rule)
		}
	}
	// The bookmarks that show at first: two, with the third closed in the first.
	if !regexp.MustCompile(`<</Type /Outlines /First \d+ 0 R\n/Last \d+ 0 R /Count 2>>`).Match(pdf) {
		t.Error("the bookmarks are not counted")
	}
	if !regexp.MustCompile(`^%PDF-1\.[0-7]\n%`).Match(pdf) || bytes.IndexFunc(pdf[10:14], func(r rune) bool { return r < 128 }) >= 0 {
		t.Errorf("6.1.2: no comment of four bytes above 127 after the head: %q", pdf[:16])
	}
	for rule, word := range map[string]string{
		"6.1.3 nothing is encrypted": "/Encrypt", "6.1.7 no external streams": "/F (", "6.1.7 no LZW": "/LZWDecode", "6.2.10 nothing shines through": "/SMask",
		"6.2.8 pictures are not smoothed": "/Interpolate true", "6.5.1 no actions": "/OpenAction", "6.5.1 no scripts": "/JavaScript", "6.8 no files in it": "/EmbeddedFiles",
	} {
		where := pdf
		if word == "/EmbeddedFiles" { // the library's catalog is still there, and counts no more
			where = pdf[bytes.LastIndex(pdf, []byte("/Type /Catalog")):]
		}
		if bytes.Contains(where, []byte(word)) {
			t.Errorf("%s: %s", rule, word)
		}
	}
	if !bytes.Equal(pdf, archived(t)) {
		t.Error("made again it is another file")
	}
}

// TestTheCatalogNamesWhatAnArchiveNeeds: an output intent or metadata that the catalog does not point
// to are not those of the file (ISO 19005-2, 6.2.3 and 6.6.2).
func TestTheCatalogNamesWhatAnArchiveNeeds(t *testing.T) {
	pdf := archived(t)
	catalog := pdf[bytes.LastIndex(pdf, []byte("/Type /Catalog")):]
	catalog = catalog[:bytes.Index(catalog, []byte("endobj"))]
	for key, object := range map[string]string{
		`/OutputIntents \[(\d+) 0 R\]`: "<</Type /OutputIntent /S /GTS_PDFA1 ",
		`/Metadata (\d+) 0 R`:          "<</Type /Metadata /Subtype /XML ",
	} {
		m := regexp.MustCompile(key).FindSubmatch(catalog)
		if m == nil || !bytes.Contains(pdf, fmt.Appendf(nil, "\n%s 0 obj\n%s", m[1], object)) {
			t.Errorf("the catalog names no %s:\n%s", object, catalog)
		}
	}
}

// TestArchiveIsReadByOthers: programs of others read structure, metadata, colour profile and fonts.
func TestArchiveIsReadByOthers(t *testing.T) {
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("needs qpdf, exiftool and poppler: BUCKTAIL_TOOLS=1")
	}
	name := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(name, archived(t), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("qpdf", "--check", name).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	out, err := exec.Command("exiftool", "-json", "-G1", "-XMP:all", "-PDF:all", name).Output()
	var got []map[string]any
	if err != nil || json.Unmarshal(out, &got) != nil || len(got) != 1 {
		t.Fatalf("%v\n%s", err, out)
	}
	for tag, want := range map[string]any{
		"XMP-pdfaid:Part": 2.0, "XMP-pdfaid:Conformance": "B", "XMP-dc:Title": "Inspection record: Łódź & <Ψ>", "XMP-dc:Creator": "Ines Шпангоут",
		"XMP-dc:Description": "record 1 · abcd", "XMP-pdf:Producer": "Bucktail", "XMP-xmp:CreateDate": "2026:11:13 18:30:00Z",
		"PDF:Title": "Inspection record: Łódź & <Ψ>", "PDF:Author": "Ines Шпангоут", "PDF:Subject": "record 1 · abcd",
	} {
		if got[0][tag] != want {
			t.Errorf("%s is %v, not %v", tag, got[0][tag], want)
		}
	}
	fonts, err := exec.Command("pdffonts", name).Output()
	if lines := strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:]; err != nil || len(lines) != 3 {
		t.Errorf("fonts: %v\n%s", err, fonts)
	} else {
		for _, l := range lines { // of embedded, cut down, Unicode the first and the last
			if f := strings.Fields(l); len(f) < 9 || f[len(f)-5] != "yes" || f[len(f)-3] != "yes" {
				t.Errorf("not embedded, or without its characters: %s", l)
			}
		}
	}
	text, err := exec.Command("pdftotext", name, "-").Output()
	if err != nil || !strings.Contains(string(text), "Holes, отверстия, οπές ½ ± −") {
		t.Errorf("%v %q", err, text)
	}
	profile := filepath.Join(filepath.Dir(name), "p.icc")
	if err := os.WriteFile(profile, sRGB(), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("exiftool", "-s", "-ProfileDescription", "-ProfileClass", "-ColorSpaceData", "-RedMatrixColumn", "-Warning", "-Error", profile).Output()
	for _, want := range []string{"sRGB, IEC 61966-2-1", "Display Device Profile", "RGB", "0.43607 0.22249 0.01392"} {
		if err != nil || !strings.Contains(string(said), want) || strings.Contains(string(said), "Error") || strings.Contains(string(said), "Warning") {
			t.Errorf("the profile is read as\n%s", said)
		}
	}
}
