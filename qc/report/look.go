package report

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
	"bucktail/qc/spec"
)

// The inks: dark blue-black on white; a verdict is told by shape and word first.
var (
	ink       = paper.Colour{R: 18, G: 34, B: 45}
	ink2      = paper.Colour{R: 70, G: 87, B: 99}
	rule      = paper.Colour{R: 116, G: 134, B: 143}
	ruleSoft  = paper.Colour{R: 211, G: 220, B: 223}
	white     = paper.Colour{R: 255, G: 255, B: 255}
	green     = paper.Colour{R: 0, G: 102, B: 79}
	vermilion = paper.Colour{R: 179, G: 38, B: 30}
	ochre     = paper.Colour{R: 122, G: 78, B: 0}
	yellow    = paper.Colour{R: 242, G: 185, B: 43}
	pencil    = paper.Colour{R: 11, G: 79, B: 152}
)

var (
	h1     = paper.Style{Font: paper.Bold, SizePt: 22, Colour: ink}
	sub    = paper.Style{Font: paper.Regular, SizePt: 11, Colour: ink2}
	h2     = paper.Style{Font: paper.Bold, SizePt: 11.5, Colour: ink}
	text   = paper.Style{Font: paper.Regular, SizePt: 10, Colour: ink}
	strong = paper.Style{Font: paper.Bold, SizePt: 10, Colour: ink}
	pale   = paper.Style{Font: paper.Regular, SizePt: 10, Colour: ink2}
	label  = paper.Style{Font: paper.Regular, SizePt: 9, Colour: ink2}
	small  = paper.Style{Font: paper.Regular, SizePt: 8.5, Colour: ink2}
	mono   = paper.Style{Font: paper.Mono, SizePt: 8, Colour: ink}
	big    = paper.Style{Font: paper.Bold, SizePt: 19, Colour: ink}

	hair = paper.Pen{WidthMM: 0.15, Colour: ruleSoft}
	thin = paper.Pen{WidthMM: 0.25, Colour: ink}
	fat  = paper.Pen{WidthMM: 0.6, Colour: ink}
)

func inked(s paper.Style, c paper.Colour) paper.Style { s.Colour = c; return s }

func verdictColour(v qc.Verdict) paper.Colour {
	switch v {
	case qc.Within, qc.Unread:
		return green
	case qc.Out:
		return vermilion
	case qc.TooClose:
		return ochre
	}
	return ink2
}

// verdictShape draws the verdict's shape in a square of the given side about (x, y).
func verdictShape(d *paper.Doc, v qc.Verdict, x, y, side float64) {
	verdictShapeIn(d, v, x, y, side, verdictColour(v))
}

// verdictShapeIn draws it in a colour. The shapes draw the decision itself: upright strokes are
// limits, the round is the value.
func verdictShapeIn(d *paper.Doc, v qc.Verdict, x, y, side float64, c paper.Colour) {
	k := side / 24
	box := func(p *paper.Path, x0, y0, w, h float64) { p.Rect(x+(x0-12)*k, y+(y0-12)*k, w*k, h*k) }
	var p paper.Path
	switch v {
	case qc.Within:
		box(&p, 2, 2, 3, 20)
		box(&p, 19, 2, 3, 20)
		d.Fill(p.Circle(x, y, 5.6*k), c)
	case qc.Unread: // one limit is broken, the value is not whole
		box(&p, 2, 2, 3, 20)
		box(&p, 19, 2, 3, 5)
		box(&p, 19, 17, 3, 5)
		d.Fill(&p, c)
		d.Stroke(new(paper.Path).Circle(x, y, 4.6*k), paper.Pen{WidthMM: 1.8 * k, Colour: c})
	case qc.TooClose:
		box(&p, 10.5, 0, 3, 24)
		d.Fill(&p, c)
		d.Fill(new(paper.Path).LeftHalf(x, y, 7.8*k), c)
		d.Stroke(new(paper.Path).Circle(x, y, 6.8*k), paper.Pen{WidthMM: 2.4 * k, Colour: c})
	case qc.Out:
		box(&p, 1, 2, 3, 20)
		d.Fill(&p, c)
		pen := paper.Pen{WidthMM: 3.6 * k, Colour: c}
		d.Line(x-3.2*k, y-6*k, x+9.6*k, y+6*k, pen)
		d.Line(x+9.6*k, y-6*k, x-3.2*k, y+6*k, pen)
	default: // nothing judged: an empty ring with centre lines
		openShape(d, x, y, side)
	}
}

func openShape(d *paper.Doc, x, y, side float64) {
	k := side / 24
	p := new(paper.Path).Circle(x, y, 7.5*k)
	for _, s := range [][4]float64{{0, -12, 0, -8}, {0, 8, 0, 12}, {-12, 0, -8, 0}, {8, 0, 12, 0}} {
		p.Move(x+s[0]*k, y+s[1]*k).Line(x+s[2]*k, y+s[3]*k)
	}
	d.Stroke(p, paper.Pen{WidthMM: 2.2 * k, Colour: ink2})
}

func drilledShape(d *paper.Doc, x, y, side float64) {
	k := side / 24
	p := new(paper.Path).Circle(x, y, 9*k)
	for _, s := range [][4]float64{{-7.5, 2, 2.5, -7.5}, {-5.5, 6.5, 6.5, -5.5}, {-1, 8, 8, -1}} {
		p.Move(x+s[0]*k, y+s[1]*k).Line(x+s[2]*k, y+s[3]*k)
	}
	d.Stroke(p, paper.Pen{WidthMM: 2 * k, Colour: ink2})
}

// verdictWord names a verdict where there is no room for what was not read.
func verdictWord(v qc.Verdict) string {
	if v == qc.Unread {
		return "not all read"
	}
	return qc.Headline(v, 0)
}

// limitWords shows one side of a limit: "min 7.14", "max 8.33".
func limitWords(l qc.Limit, u qc.Units) string {
	switch {
	case l.MinMM > 0 && l.MaxMM > 0:
		return u.Number(l.MinMM) + " to " + u.Number(l.MaxMM)
	case l.MinMM > 0:
		return "min " + u.Number(l.MinMM)
	case l.MaxMM > 0:
		return "max " + u.Number(l.MaxMM)
	}
	return "no bound"
}

var kindWords = map[qc.Kind]string{
	qc.ShopHead: "shop head", qc.UniversalHead: "universal head", qc.PulledHead: "pulled head",
	qc.FlushHead: "flush head", qc.Hole: "hole",
}

// sizeWords names a nominal diameter: "-6 (3/16 in)", "3.20 mm".
func sizeWords(mm float64) string {
	if r, ok := spec.Solid(mm); ok {
		return fmt.Sprintf("-%d (%s in)", r.Dash, r.Fraction)
	}
	return qc.Millimetres.Value(mm)
}

// specWords names what is meant to stand at a location.
func specWords(s qc.Spec) string {
	kind := kindWords[s.Kind]
	if kind == "" {
		kind = string(s.Kind)
	}
	if s.Kind == qc.Hole && s.Pilot {
		kind = "pilot hole"
	}
	if s.Kind == qc.Hole {
		return kind + " for " + sizeWords(s.NominalMM)
	}
	return kind + " of " + sizeWords(s.NominalMM)
}

var workWords = map[history.WorkKind]string{
	history.WorkDrillOut: "drill out", history.WorkMeasure: "measure by hand", history.WorkSetRivet: "set a new rivet",
	history.WorkDecide: "decide: a new rivet does not cure it", history.WorkRefer: "waits for the designer",
	history.WorkDisagree: "inspectors disagree", history.WorkInspector: "inspector asks",
}

// clock writes times for people.
type clock struct{ zone *time.Location }

func (c clock) day(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.In(c.zone).Format("2 January 2006")
}

func (c clock) minute(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.In(c.zone).Format("2 January 2006, 15:04 MST")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// plurals is plural without the number.
func plurals(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// limitRule draws a value with its U against the limits of its quantity: limits as heavy
// strokes, forbidden sides hatched, the value a round with a bar. It returns false when
// there is nothing to draw. Half the width of the scale is spare on each side of limits and
// interval.
func limitRule(d *paper.Doc, checks []qc.Check, u qc.Units, x, y, w float64) bool {
	if len(checks) == 0 {
		return false
	}
	c := checks[0]
	lo, hi := c.Reading.ValueMM-c.UMM, c.Reading.ValueMM+c.UMM
	var least, greatest float64
	worst := c.Verdict
	for _, k := range checks {
		worst = qc.Worst(worst, k.Verdict)
		for _, v := range []float64{k.Limit.MinMM, k.Limit.MaxMM} {
			if v > 0 {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
		least, greatest = math.Max(least, k.Limit.MinMM), firstOr(greatest, k.Limit.MaxMM)
	}
	if least == 0 && greatest == 0 || !(hi > lo) {
		return false
	}
	span := hi - lo
	lo, hi = lo-0.25*span, hi+0.25*span
	at := func(mm float64) float64 { return x + (mm-lo)/(hi-lo)*w }
	hatch := paper.Pen{WidthMM: 0.12, Colour: rule}
	const half = 2.6
	stroke := paper.Pen{WidthMM: 0.7, Colour: ink}
	d.Line(x, y, x+w, y, thin)
	if least > 0 {
		d.Hatch(x, y-half, at(least)-x, 2*half, 1.3, hatch)
		d.Line(at(least), y-half-1, at(least), y+half+1.6, stroke)
		d.TextCentre(clamp(at(least), x+9, x+w-9), y+half+5.2, "min "+u.Number(least), label)
	}
	if greatest > 0 {
		d.Hatch(at(greatest), y-half, x+w-at(greatest), 2*half, 1.3, hatch)
		d.Line(at(greatest), y-half-1, at(greatest), y+half+1.6, stroke)
		d.TextCentre(clamp(at(greatest), x+9, x+w-9), y+half+5.2, "max "+u.Number(greatest), label)
	}
	col := verdictColour(worst)
	pen := paper.Pen{WidthMM: 0.8, Colour: col}
	a, b := at(c.Reading.ValueMM-c.UMM), at(c.Reading.ValueMM+c.UMM)
	d.Line(a, y, b, y, pen)
	d.Line(a, y-1.7, a, y+1.7, pen)
	d.Line(b, y-1.7, b, y+1.7, pen)
	d.Fill(new(paper.Path).Circle(at(c.Reading.ValueMM), y, 1.5), col)
	return true
}

func firstOr(a, b float64) float64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
