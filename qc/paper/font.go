package paper

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
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

// glyphs tells whether all fonts have a character.
var glyphs = sync.OnceValue(func() map[rune]bool {
	has := map[rune]bool{}
	var b sfnt.Buffer
	for i, f := range fonts {
		parsed, err := sfnt.Parse(f.ttf)
		if err != nil {
			panic("paper: embedded font: " + err.Error()) // compiled in: a fault of this program
		}
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
