// Package paper makes PDF pages in true millimetres: the printed scale card and the report.
// It knows sizes, ink, text and pictures, and nothing of rivets. Start with [New] and
// [Doc.Save].
//
// Places are millimetres from the page's top left corner, x right, y down; text stands on
// its baseline. The same calls with the same [Info] give the same bytes: there is no clock,
// the date is passed in. All text is real text in fonts that are embedded.
//
// Pages are tagged (ISO 32000-1, 14.7 and 14.8): what is drawn inside [Doc.Tag] belongs to an
// element with a role, pictures carry an alternative text, and what is drawn outside is an
// artifact that a screen reader skips. The PDF library writes no tags, so they are added
// behind its output as an incremental update (7.5.6). No conformance to PDF/UA is claimed; to
// PDF/A-2b it is (archive.go).
package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Size is a sheet of paper, upright.
type Size struct {
	Name              string // "a4", "letter"
	WidthMM, HeightMM float64
}

// The sizes: ISO 216 A4; ANSI A, 8.5 by 11 in.
var (
	A4     = Size{"a4", 210, 297}
	Letter = Size{"letter", 215.9, 279.4}
)

// ParseSize reads "a4" or "letter".
func ParseSize(s string) (Size, error) {
	for _, z := range []Size{A4, Letter} {
		if strings.EqualFold(strings.TrimSpace(s), z.Name) {
			return z, nil
		}
	}
	return Size{}, fmt.Errorf("paper %q is not known: write a4 or letter", s)
}

// Info describes a document.
type Info struct {
	Title, Author, Subject string
	Made                   time.Time // also its modification date; the zero time becomes 1 January 1980
	TrueSize               bool      // asks viewers to print without scaling
}

// Doc is a document in the making. What goes wrong in the PDF library shows when it is saved.
type Doc struct {
	Size  Size
	pdf   *fpdf.Fpdf
	tags  tree
	pages int
	pics  map[[32]byte]int // places in tags.pictures, by SHA-256

	named bool // see Named
	draft bool // see Draft

	font   Font // the current one
	sizePt float64
	widths [3]glyphWidths // by font
}

// New begins a document without pages.
func New(size Size, info Info) *Doc {
	made := info.Made
	if made.IsZero() {
		made = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	d := &Doc{Size: size, pics: map[[32]byte]int{}}
	d.pdf = fpdf.NewCustom(&fpdf.InitType{
		OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: size.WidthMM, Ht: size.HeightMM},
	})
	p := d.pdf
	p.SetCatalogSort(true) // else maps decide the order of fonts and pictures
	p.SetCreationDate(made.UTC())
	p.SetModificationDate(made.UTC())
	p.SetTitle(Printable(info.Title), true)
	p.SetAuthor(Printable(info.Author), true)
	p.SetSubject(Printable(info.Subject), true)
	p.SetCreator("Bucktail", true)
	p.SetProducer("Bucktail", true)
	p.SetLang("en")
	p.SetMargins(0, 0, 0)
	p.SetCellMargin(0)
	p.SetAutoPageBreak(false, 0)
	for _, f := range fonts {
		// A copy: the library writes into the bytes that it is given when it cuts the font
		// down, and the next document would get wrong glyphs.
		p.AddUTF8FontFromBytes(f.name, "", bytes.Clone(f.ttf))
	}
	for f := range d.widths {
		w := &d.widths[f]
		w.more = map[rune]int{}
		for r := ' '; int(r) < len(w.ascii); r++ {
			w.ascii[r] = int16(d.glyph(Font(f), r))
		}
	}
	d.tags.begin()
	info.Made = made
	d.tags.info = info
	return d
}

// Draft makes a document without pages one that is only laid out, in a third of the time: it
// counts pages and knows how wide texts are, and has nothing on its pages. It is not saved.
func (d *Doc) Draft() { d.draft = true }

// AddPage begins a new page. It can't be called inside a tag that holds content.
func (d *Doc) AddPage() {
	if d.tags.inLeaf {
		panic("paper: a page begins inside tagged content")
	}
	d.pages++
	if d.draft {
		return
	}
	d.closeArtifact()
	d.pdf.AddPage()
	d.sizePt = 0 // no font is current on a new page
	d.tags.page()
}

// Pages tells how many pages there are so far.
func (d *Doc) Pages() int { return d.pages }

// Named tells whether a character has been named so far instead of shown, see [Printable].
func (d *Doc) Named() bool { return d.named }

// Bookmark sets an outline entry to the top of the current page; level 0 is the outermost.
func (d *Doc) Bookmark(text string, level int) {
	if d.draft {
		return
	}
	d.use(Regular, 10) // the library writes Unicode titles only under such a font
	d.pdf.Bookmark(Printable(text), level, 0)
}

// Save writes the document. A document is saved once.
func (d *Doc) Save(w io.Writer) error {
	if d.draft {
		panic("paper: a draft is saved")
	}
	d.closeArtifact()
	var b bytes.Buffer
	if err := d.pdf.Output(&b); err != nil {
		return fmt.Errorf("write PDF: %w", err)
	}
	if err := d.tags.update(w, b.Bytes()); err != nil {
		return fmt.Errorf("write PDF: %w", err)
	}
	return nil
}
