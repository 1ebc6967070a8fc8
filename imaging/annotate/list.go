package annotate

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// list is the verdicts below the photo: every value with its U, what decides, and by whose limit.
type list struct {
	lines  []listLine
	height float64
}

type listLine struct {
	y     float64 // baseline, from the list's top
	parts []listPart
	rule  bool // a thin line at y instead
	shape qc.Verdict
	at    vec // of the shape
}

type listPart struct {
	x    float64
	text string
	face faceKey
	col  color.NRGBA
}

const (
	margin   = 16
	wordAt   = 92 // where the verdict's word begins
	noteStep = 17
)

// kindWords name the kinds in a heading.
var kindWords = map[qc.Kind]string{
	qc.ShopHead: "shop heads", qc.UniversalHead: "universal heads", qc.PulledHead: "pulled heads",
	qc.FlushHead: "flush heads", qc.Hole: "holes",
}

// quantityWords stand before a value in a row.
var quantityWords = map[qc.Quantity]string{
	qc.HeadDMean: "head Ø", qc.HeadDMin: "least head Ø", qc.HeadDMax: "greatest head Ø",
	qc.HoleDMean: "hole Ø", qc.HoleDMin: "least hole Ø", qc.HoleDMax: "greatest hole Ø",
	qc.EdgeDistance: "edge", qc.Pitch: "pitch", qc.MandrelOff: "mandrel off",
	qc.OutOfRound: "out of round", qc.HeadHeight: "height",
}

func newList(doc *answer.Document, opt *Options) *list {
	l := &list{}
	size := ""
	if len(doc.Locations) > 0 {
		size = doc.Locations[0].Dash
	}
	l.y(22)
	l.note(margin, fmt.Sprintf("%s, rivet %s (%s) · %s, ± U at k = 2", kindWords[doc.Spec.Kind], size, opt.Units.Value(doc.Spec.NominalMM), opt.Units))
	l.y(9)
	for i := range doc.Locations {
		l.row(&doc.Locations[i], opt.tag(i), opt)
	}
	for _, n := range Notes(doc, opt.Tags) {
		l.lines = append(l.lines, listLine{y: l.height, rule: true})
		l.y(20)
		l.wrapped(margin, n.String(), inkColour)
		l.y(8)
	}
	for i := range doc.Problems {
		l.lines = append(l.lines, listLine{y: l.height, rule: true})
		l.y(22)
		l.wrapped(margin, "not measured: "+doc.Problems[i].Error(), pencilColour)
		l.y(8)
	}
	l.lines = append(l.lines, listLine{y: l.height, rule: true})
	l.y(20)
	l.wrapped(margin, qc.PhotoCaution, secondColour)
	l.y(12)
	return l
}

// y goes down by a step.
func (l *list) y(step float64) { l.height += step }

func (l *list) note(x float64, s string) {
	l.lines = append(l.lines, listLine{y: l.height, parts: []listPart{{x, s, noteFace, secondColour}}})
}

// unbroken keeps what belongs together on one line.
func unbroken(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

// wrapped writes a note over as many lines as it takes and stands on the last.
func (l *list) wrapped(x float64, s string, col color.NRGBA) {
	line := ""
	flush := func() {
		l.lines = append(l.lines, listLine{y: l.height, parts: []listPart{{x, line, noteFace, col}}})
	}
	for _, w := range strings.Split(s, " ") {
		next := strings.TrimPrefix(line+" "+w, " ")
		if line != "" && x+textWidth(next, noteFace) > frameWidth-margin {
			flush()
			l.y(noteStep)
			next = w
		}
		line = next
	}
	flush()
}

func (l *list) row(loc *answer.Location, tag string, opt *Options) {
	l.lines = append(l.lines, listLine{y: l.height, rule: true})
	l.y(25)
	line := listLine{y: l.height, parts: []listPart{{margin, tag, rowFace, inkColour}}}
	if loc.Ask != nil {
		line.parts = append(line.parts, listPart{wordAt - 26, "not measured", rowFace, pencilColour})
		l.lines = append(l.lines, line)
		l.y(noteStep + 1)
		l.wrapped(wordAt-26, loc.Ask.Error(), secondColour)
		l.y(11)
		return
	}
	var c qc.Check
	ok := loc.Governing >= 0
	if ok {
		c = loc.Checks[loc.Governing]
	}
	col := colourOf(loc.Whole)
	line.shape, line.at = loc.Whole, vec{X: wordAt - 18, Y: l.height - rowFace.size*capHeight/2}
	line.parts = append(line.parts, listPart{wordAt, loc.Headline, rowFace, col})
	if ok {
		value := right(opt, c)
		if wordAt+textWidth(loc.Headline, rowFace) > value[len(value)-1].x-margin/2 {
			l.lines = append(l.lines, line) // no room beside the word
			l.y(noteStep + 4)
			line = listLine{y: l.height}
		}
		line.parts = append(line.parts, value...)
	}
	l.lines = append(l.lines, line)
	if ok {
		l.y(noteStep + 1)
		l.wrapped(wordAt, unbroken(c.Limit.Text(opt.Units))+" · "+c.Limit.Source, secondColour)
	}
	if s := others(loc, c, opt); s != "" {
		l.y(noteStep + 1)
		l.wrapped(wordAt, s, inkColour)
	}
	for _, m := range loc.Missing {
		l.y(noteStep + 1)
		l.wrapped(wordAt, m.What+" not read: "+m.Do, secondColour)
	}
	l.y(11)
}

// right sets "edge 8.75 ± 0.07" against the right margin.
func right(opt *Options, c qc.Check) []listPart {
	s := strings.TrimSuffix(opt.Units.WithU(c.Reading.ValueMM, c.UMM), " "+string(opt.Units))
	value, u, _ := strings.Cut(s, " ")
	u = " " + u
	word := quantityWords[c.Reading.Quantity]
	x := frameWidth - margin - textWidth(u, unitFace)
	out := []listPart{{x, u, unitFace, secondColour}}
	x -= textWidth(value, rowFace)
	out = append(out, listPart{x, value, rowFace, inkColour})
	x -= 6 + textWidth(word, noteFace)
	return append(out, listPart{x, word, noteFace, secondColour})
}

// others lists the location's other main readings: mean diameter, nearest edge and pitch.
func others(loc *answer.Location, decided qc.Check, opt *Options) string {
	var out []string
	for _, q := range []qc.Quantity{qc.HeadDMean, qc.HoleDMean, qc.EdgeDistance, qc.Pitch, qc.MandrelOff} {
		least := math.Inf(1)
		for _, r := range loc.Readings {
			if r.Quantity != q || r.ValueMM >= least {
				continue
			}
			s := unbroken(quantityWords[q] + " " + strings.TrimSuffix(opt.Units.WithU(r.ValueMM, r.UMM), " "+string(opt.Units)))
			if least < math.Inf(1) {
				out[len(out)-1] = s
			} else {
				out = append(out, s)
			}
			least = r.ValueMM
		}
		// The reading that decides stands above already.
		if least < math.Inf(1) && q == decided.Reading.Quantity && least == decided.Reading.ValueMM {
			out = out[:len(out)-1]
		}
	}
	return strings.Join(out, " · ")
}

func (l *list) draw(c *canvas, top float64) {
	for _, n := range l.lines {
		y := top + n.y
		if n.rule {
			var s shape
			s.box(box{X0: margin, Y0: y - 0.5, X1: frameWidth - margin, Y1: y + 0.5})
			c.fill(s, softRule)
			continue
		}
		if n.shape != "" {
			c.fill(verdictShape(n.shape, vec{X: n.at.X, Y: top + n.at.Y}, shapeSide), colourOf(n.shape))
		}
		for _, p := range n.parts {
			c.text(vec{X: p.x, Y: y}, p.text, p.face, p.col)
		}
	}
}
