package paper

import "strings"

// Colour is a colour of ink, 8 bits each.
type Colour struct{ R, G, B uint8 }

// Style is how text looks.
type Style struct {
	Font   Font
	SizePt float64
	Colour Colour
}

// MMPerPt is a typographic point: 1/72 in.
const MMPerPt = 25.4 / 72

// LeadMM is the usual distance between baselines.
func (s Style) LeadMM() float64 { return s.SizePt * 1.35 * MMPerPt }

// set makes a style the current one.
func (d *Doc) set(s Style) {
	d.use(s.Font, s.SizePt)
	d.pdf.SetTextColor(int(s.Colour.R), int(s.Colour.G), int(s.Colour.B))
}

// use makes a font the current one. The library writes it into the page each time it is told.
func (d *Doc) use(f Font, sizePt float64) {
	if d.font != f || d.sizePt != sizePt {
		d.font, d.sizePt = f, sizePt
		d.pdf.SetFont(fonts[f].name, "", sizePt)
	}
}

// Width is the length of a line of text in millimetres.
func (d *Doc) Width(text string, s Style) float64 {
	return s.wide(d.units(Printable(text), s.Font))
}

// wide turns thousandths of the size into millimetres.
func (s Style) wide(units int) float64 { return float64(units) * s.SizePt * MMPerPt / 1000 }

// units is the length of a printable text in thousandths of its size.
func (d *Doc) units(text string, f Font) (n int) {
	known := &d.widths[f]
	for _, r := range text {
		if uint32(r) < uint32(len(known.ascii)) {
			n += int(known.ascii[r])
			continue
		}
		w, ok := known.more[r]
		if !ok {
			w = d.glyph(f, r)
			known.more[r] = w
		}
		n += w
	}
	return n
}

// glyphWidths are the widths of a font's characters as the PDF library has them, which takes
// longer to ask.
type glyphWidths struct {
	ascii [0x7f]int16
	more  map[rune]int
}

func (d *Doc) glyph(f Font, r rune) int {
	d.use(f, 10)
	return d.pdf.GetStringSymbolWidth(string(r))
}

// Text writes one line, its left end at x, its baseline at y.
func (d *Doc) Text(x, y float64, text string, s Style) {
	if text = Printable(text); text == "" {
		return
	}
	d.named = d.named || strings.Contains(text, "[U+")
	if d.draft {
		return
	}
	d.open()
	d.set(s)
	if d.tags.leafText && text[0] != ' ' { // else a reader would run the pieces of an element together
		d.pdf.Text(x-s.wide(d.units(" ", s.Font)), y, " "+text)
	} else {
		d.pdf.Text(x, y, text)
	}
	d.tags.leafText = d.tags.inLeaf
}

// TextRight writes one line that ends at x.
func (d *Doc) TextRight(x, y float64, text string, s Style) {
	d.Text(x-d.Width(text, s), y, text, s)
}

// TextCentre writes one line about x.
func (d *Doc) TextCentre(x, y float64, text string, s Style) {
	d.Text(x-d.Width(text, s)/2, y, text, s)
}

// Wrap breaks a text into lines no wider than width. Line ends of the text are kept, and a
// word that is too long by itself is cut.
func (d *Doc) Wrap(text string, widthMM float64, s Style) []string {
	var lines []string
	for _, para := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		line, units := "", 0
		space := d.units(" ", s.Font)
		for _, word := range strings.Fields(Printable(para)) {
			for {
				own := d.units(word, s.Font)
				try, all := word, own
				if line != "" {
					try, all = line+" "+word, units+space+own
				}
				if s.wide(all) <= widthMM {
					line, units = try, all
					break
				}
				if line != "" {
					lines, line = append(lines, line), ""
					continue
				}
				head, tail := d.cut(word, widthMM, s)
				if tail == "" {
					line, units = head, own
					break
				}
				lines, word = append(lines, head), tail
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// cut splits a word so that its first part fits, behind a hyphen or a stroke where its second
// half has one; the first part has at least one character.
func (d *Doc) cut(word string, widthMM float64, s Style) (head, tail string) {
	rs := []rune(word)
	n := len(rs)
	for n > 1 && d.Width(string(rs[:n]), s) > widthMM {
		n--
	}
	for i := n; n < len(rs) && i > n/2; i-- {
		if strings.ContainsRune("-/_", rs[i-1]) {
			n = i
			break
		}
	}
	return string(rs[:n]), string(rs[n:])
}

// Fit shortens a line to a width, with an ellipsis where something was left out.
func (d *Doc) Fit(text string, widthMM float64, s Style) string {
	text = Printable(text)
	if d.Width(text, s) <= widthMM {
		return text
	}
	rs := []rune(text)
	for len(rs) > 0 && d.Width(string(rs)+"…", s) > widthMM {
		rs = rs[:len(rs)-1]
	}
	return strings.TrimRight(string(rs), " ") + "…"
}

// TextUp writes one line from bottom to top: its left end at (x, y), its baseline to the right.
func (d *Doc) TextUp(x, y float64, text string, s Style) {
	if d.draft {
		return
	}
	d.open()
	d.pdf.TransformBegin()
	d.pdf.TransformRotate(90, x, y)
	d.Text(x, y, text, s)
	d.pdf.TransformEnd()
	d.sizePt = 0 // the font is the former one again
}
