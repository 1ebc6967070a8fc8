package paper

import (
	"bytes"
	"crypto/sha256"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/font/gofont/goregular"
)

var plain = Style{Font: Regular, SizePt: 10}

func saved(t *testing.T, draw func(d *Doc)) []byte {
	t.Helper()
	d := New(A4, Info{Title: "Test Ø", Made: time.Date(2026, 11, 13, 0, 0, 0, 0, time.UTC)})
	d.AddPage()
	draw(d)
	var b bytes.Buffer
	if err := d.Save(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestFontsStayWhole: the PDF library writes into the font bytes that it is given. The second
// of two documents with the same text must be the same, and the font's bytes untouched.
func TestFontsStayWhole(t *testing.T) {
	before := sha256.Sum256(goregular.TTF)
	draw := func(d *Doc) { d.Text(10, 10, "é ü Ø ± äbc ½", plain) }
	if !bytes.Equal(saved(t, draw), saved(t, draw)) {
		t.Error("two documents made alike differ")
	}
	if sha256.Sum256(goregular.TTF) != before {
		t.Error("the embedded font was changed")
	}
}

func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                  "plain",
		"6.99 ± 0.06 mm, −3 × Ø": "6.99 ± 0.06 mm, −3 × Ø",
		"шпангоут Ω":             "шпангоут Ω",
		"a\tb\nc":                "a b c",
		"a\x00b\u202ec":          "abc",
		"中":                      "[U+4E2D]",
		"🛩":                      "[U+1F6E9]",
		"🛩\ufe0f":                "[U+1F6E9]",
		"Z\u0307o\u0301\u0142":   "Żół", // as file names on some systems write it
		"✓":                      "[U+2713]",
		"\xff":                   "\ufffd",
	} {
		if got := Printable(in); got != want {
			t.Errorf("%q becomes %q, not %q", in, got, want)
		}
	}
}

func TestDigitsAreOfOneWidth(t *testing.T) {
	d := New(A4, Info{})
	for _, f := range []Font{Regular, Bold, Mono} {
		s := Style{Font: f, SizePt: 10}
		for _, r := range "123456789" {
			if math.Abs(d.Width(string(r), s)-d.Width("0", s)) > 1e-9 {
				t.Errorf("font %d: %c is not as wide as 0", f, r)
			}
		}
	}
}

// Widths without a document are those with one, as far as the PDF library's thousandths tell.
func TestAdvance(t *testing.T) {
	d := New(A4, Info{})
	for _, f := range []Font{Regular, Bold, Mono} {
		for _, text := range []string{"Ø max 8.31 ± 0.06", "9/32 − 0.002", "R7", "Żół"} {
			if got, want := Advance(text, f)*10*MMPerPt, d.Width(text, Style{Font: f, SizePt: 10}); math.Abs(got-want) > 0.001*10*MMPerPt*float64(len(text)) {
				t.Errorf("font %d: %q is %v mm wide, with a document %v", f, text, got, want)
			}
		}
	}
}

func TestWrap(t *testing.T) {
	d := New(A4, Info{})
	text := "Drill into the head with a #22 drill, to the depth of the head and no deeper. " + strings.Repeat("W", 80) + "\nnext line"
	lines := d.Wrap(text, 40, plain)
	for _, l := range lines {
		if d.Width(l, plain) > 40 {
			t.Errorf("%q is %.1f mm wide", l, d.Width(l, plain))
		}
	}
	if got := strings.ReplaceAll(strings.Join(lines, ""), " ", ""); got != strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "\n", "") {
		t.Errorf("words were lost: %q", got)
	}
	if lines[len(lines)-1] != "next line" {
		t.Errorf("the line end was lost: %q", lines)
	}
	if f := d.Fit(text, 30, plain); d.Width(f, plain) > 30 || !strings.HasSuffix(f, "…") {
		t.Errorf("%q", f)
	}
	if got := d.Wrap("hatch-frame-1a2b3c", 16, plain); len(got) < 2 || !strings.HasSuffix(got[0], "-") || strings.Join(got, "") != "hatch-frame-1a2b3c" {
		t.Errorf("a long name is cut into %q, not behind a hyphen", got)
	}
	if got := d.Wrap("", 40, plain); len(got) != 1 || got[0] != "" {
		t.Errorf("nothing becomes %q", got)
	}
}

// TestTagsBalance: each marked content is closed on its page, and each has its place in the
// structure.
func TestTagsBalance(t *testing.T) {
	pdf := saved(t, func(d *Doc) {
		d.pdf.SetCompression(false)
		d.Text(10, 10, "furniture", plain)
		d.Tag(Section, "", func() {
			d.Tag(Heading1, "", func() { d.Text(10, 20, "title", plain); d.Text(40, 20, "more", plain) })
			d.Tag(Figure, "a disc", func() { d.Fill(new(Path).Circle(50, 50, 10), Colour{}) })
			d.AddPage()
			d.Tag(Para, "", func() { d.Text(10, 20, "second page", plain) })
			d.Artifact(func() { d.Line(0, 0, 10, 10, Pen{WidthMM: 0.2}) })
		})
		d.Line(0, 0, 10, 10, Pen{WidthMM: 0.2})
	})
	opens := len(regexp.MustCompile(`(BDC|BMC)\n`).FindAll(pdf, -1))
	closes := len(regexp.MustCompile(`\nEMC\n`).FindAll(pdf, -1))
	if opens != closes || opens != 6 {
		t.Errorf("%d marked contents begin, %d end", opens, closes)
	}
	for _, want := range []string{"/StructTreeRoot", "/MarkInfo <</Marked true>>", "/S /H1", "/Alt <FEFF006100200064006900730063>", "/StructParents 1", "/ParentTree"} {
		if !bytes.Contains(pdf, []byte(want)) {
			t.Errorf("the file has no %s", want)
		}
	}
}

func TestPictures(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 30, 20))
	for i := range m.Pix {
		m.Pix[i] = 200
	}
	var jp, pn, gr bytes.Buffer
	if err := jpeg.Encode(&jp, m, nil); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&pn, m); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&gr, image.NewGray(image.Rect(0, 0, 5, 5)), nil); err != nil {
		t.Fatal(err)
	}
	pdf := saved(t, func(d *Doc) {
		for _, b := range [][]byte{jp.Bytes(), pn.Bytes(), gr.Bytes(), jp.Bytes()} {
			if _, _, w, h, err := d.Picture(b, 10, 10, 60, 60); err != nil || w > 60 || h > 60 || w < 59.9 {
				t.Errorf("%v, %v by %v", err, w, h)
			}
		}
	})
	if n := bytes.Count(pdf, []byte("/Subtype /Image")); n != 3 {
		t.Errorf("%d pictures in the file, not each once", n)
	}
	if !bytes.Contains(pdf, jp.Bytes()) || !bytes.Contains(pdf, []byte("/DeviceGray")) {
		t.Error("a JPEG is not embedded as it is")
	}
	d := New(A4, Info{})
	d.AddPage()
	for name, b := range map[string][]byte{"nothing": nil, "text": []byte("hello"), "half a head": jp.Bytes()[:10], "half a PNG": pn.Bytes()[:60], "too many bytes": make([]byte, maxPictureBytes+1)} {
		if _, _, _, _, err := d.Picture(b, 0, 0, 10, 10); err == nil {
			t.Errorf("%s was taken for a picture", name)
		}
	}
}

func TestParseSize(t *testing.T) {
	for in, want := range map[string]Size{"a4": A4, " A4 ": A4, "Letter": Letter} {
		if got, err := ParseSize(in); err != nil || got != want {
			t.Errorf("%q: %v %v", in, got, err)
		}
	}
	if _, err := ParseSize("a3"); err == nil || !strings.Contains(err.Error(), "a4 or letter") {
		t.Errorf("%v", err)
	}
}

// TestDraft: a draft breaks lines and pages as the document does, and widths are the PDF
// library's.
func TestDraft(t *testing.T) {
	for _, words := range []string{"Edge distance 7.10 ± 0.11 mm, min 9.53", "шпангоут Ω ½ “quoted” – dash…", "中 [x]", "", " two  spaces "} {
		var laid [2][]string
		for i, draft := range []bool{true, false} {
			d := New(A4, Info{})
			if draft {
				d.Draft()
			}
			d.AddPage()
			for _, f := range []Font{Regular, Bold, Mono} {
				s := Style{Font: f, SizePt: 8.25}
				d.Tag(Para, "", func() { d.Text(10, 10, words, s) })
				d.TextUp(10, 10, words, s)
				laid[i] = append(laid[i], d.Wrap(strings.Repeat(words+" ", 4), 37, s)...)
				d.pdf.SetFont(fonts[f].name, "", s.SizePt)
				if got, want := d.Width(words, s), d.pdf.GetStringWidth(Printable(words)); math.Abs(got-want) > 1e-9 {
					t.Errorf("%q in font %d is %v mm wide, by the library %v", words, f, got, want)
				}
				d.sizePt = 0 // the font was set beside it
				d.AddPage()
			}
			if d.Pages() != 4 {
				t.Errorf("draft %v: %d pages", draft, d.Pages())
			}
		}
		if strings.Join(laid[0], "\n") != strings.Join(laid[1], "\n") {
			t.Errorf("%q\nbecomes in a draft\n%q", laid[1], laid[0])
		}
	}
}
