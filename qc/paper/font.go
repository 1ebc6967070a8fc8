package paper

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Font names one of the embedded fonts.
type Font int

// The fonts. Their digits are all of one width, so that figures stand under each other.
const (
	Regular Font = iota
	Bold
	Mono // for hashes
)

// fonts are the Go fonts (Bigelow & Holmes, BSD licence): Latin, Greek and Cyrillic.
var fonts = []struct {
	name string
	ttf  []byte
}{{"go", goregular.TTF}, {"gobold", gobold.TTF}, {"gomono", gomono.TTF}}

// parsed are the fonts, read.
var parsed = sync.OnceValue(func() (all []*sfnt.Font) {
	for _, f := range fonts {
		p, err := sfnt.Parse(f.ttf)
		if err != nil {
			panic("paper: embedded font: " + err.Error()) // compiled in: a fault of this program
		}
		all = append(all, p)
	}
	return all
})

// Advance is the width of a line of text in units of its size, where there is no document yet.
func Advance(text string, f Font) (width float64) {
	font := parsed()[f]
	const em = 1 << 11 // finer than the fonts' own units
	var b sfnt.Buffer
	for _, r := range Printable(text) {
		g, err := font.GlyphIndex(&b, r)
		if err != nil {
			continue
		}
		if a, err := font.GlyphAdvance(&b, g, fixed.I(em), xfont.HintingNone); err == nil {
			width += float64(a) / 64 / em
		}
	}
	return width
}

// glyphs tells whether all fonts have a character.
var glyphs = sync.OnceValue(func() map[rune]bool {
	has := map[rune]bool{}
	var b sfnt.Buffer
	for i, parsed := range parsed() {
		for r := rune(0x20); r <= 0xfffd; r++ {
			g, err := parsed.GlyphIndex(&b, r)
			if ok := err == nil && g != 0; i == 0 && ok {
				has[r] = true
			} else if !ok {
				delete(has, r)
			}
		}
	}
	return has
})

// Printable gives a text as the embedded fonts can show it: line ends and tabs become
// spaces, control characters and variation selectors go, and a character without a glyph is named ("[U+4E2D]")
// instead of shown as an empty box. Words in scripts that are written from the right are
// named too.
func Printable(s string) string {
	plain := true
	for _, r := range s {
		plain = plain && r >= ' ' && r < 0x7f
	}
	if plain {
		return s
	}
	has := glyphs()
	var b strings.Builder
	// The fonts have letters with their accents, and no accents to be set upon letters.
	for _, r := range norm.NFC.String(s) {
		switch {
		case r == '\n' || r == '\t' || r == '\u00a0':
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Variation_Selector):
		case has[r]:
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}
