package report

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"bucktail/qc"
	"bucktail/qc/drillup"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/paper"
	"bucktail/qc/sketch"
	"bucktail/qc/standing"
)

// Bench writes a part's numbers for the bench: its facts, drills, limits and tools, each hole with its
// position and boxes to tick, the preparation list and the order of riveting. It is used with dirty
// hands and no phone; what was ticked and written on it is entered later.
func Bench(ctx context.Context, w io.Writer, rec *Record, o Options) error {
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	if o.Units == "" {
		o.Units = qc.Millimetres
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	count := newWriter(ctx, rec, o)
	count.count()
	count.bench()
	bw := newWriter(ctx, rec, o)
	bw.sheet.pagesTotal = count.sheet.d.Pages()
	bw.bench()
	return bw.sheet.d.Save(w)
}

func (w *writer) bench() {
	s := w.sheet
	for i := range w.rec.Parts {
		p := &w.rec.Parts[i]
		s.part, s.drawing = p.Name, p.Drawing
		s.newPage()
		s.d.Bookmark(p.Name, 0)
		s.d.Tag(paper.Section, "", func() { w.benchPart(p) })
	}
	if len(w.rec.Parts) == 0 {
		s.newPage()
		s.heading1("Nothing for the bench", "This project has no parts yet.", 0)
	}
}

func (w *writer) benchPart(p *Part) {
	s := w.sheet
	s.heading1("For the bench: "+p.Name, join(" · ", p.Drawing, opt("limits: ", p.LimitSet), "record "+w.rec.Chain.Number, w.when.day(w.rec.Made)), 0)
	s.running = p.Name + ", for the bench, record " + w.rec.Chain.Number
	defer func() { s.running = "" }()
	s.para("Tick and write on this page; enter it in the app afterwards. "+layout.Caution, text)
	s.y += 2
	s.y = w.facts(margin, s.y+3, s.width(), w.partFacts(p)) - text.LeadMM() + 1
	w.benchDrills(p)
	w.benchRivets(p)
	w.benchTools(p)
	w.benchHoles(p)
	w.benchLists(p)
}

// benchDrills says what to drill with, what each hole may measure, and the least distances.
func (w *writer) benchDrills(p *Part) {
	s := w.sheet
	s.heading2("Drills and limits", 16)
	if p.Spec == nil {
		s.para("Nothing says yet which rivet is meant to stand here.", text)
		return
	}
	spec := *p.Spec
	spec.LimitSet, spec.Own = p.LimitSet, p.Own
	d, err := drillup.Plan(spec, w.u)
	if err != nil {
		s.para(upper(err.Error())+".", text)
	}
	for _, x := range d.Steps {
		s.para(fmt.Sprintf("%s: %s, hole %s to %s; calipers from its rim to the edge at least %s (%s; %s).", upper(string(x.Stage)), join(", ", x.Drill, w.u.Value(x.DrillMM)),
			w.u.Number(x.MinMM), w.u.Value(x.MaxMM), w.u.Value(x.RimMM), x.Source, x.From), text)
	}
	if d.CleanMM > 0 {
		s.para("A pilot hole in a second sheet that is off by at most "+w.u.Value(d.CleanMM)+" still cleans up.", text)
	}
	ls, _ := spec.Limits()
	for _, l := range ls {
		if q := l.Quantity; q == qc.EdgeDistance || q == qc.Pitch || q.Diameter() && spec.Kind != qc.Hole || q == qc.HeadHeight {
			s.para(fmt.Sprintf("%s: %s %s (%s; %s).", upper(l.Name), limitWords(l, w.u), string(w.u), l.Source, l.Provenance()), text)
		}
	}
}

// benchRivets says which rivet goes where, and, where a location has another fastener than the part,
// its drills and limits too.
func (w *writer) benchRivets(p *Part) {
	if len(p.Rivets) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Rivets", 12)
	for _, r := range p.Rivets {
		s.para(w.rivetWords(r), text)
		own := false
		for i := range p.Locations {
			l := &p.Locations[i]
			own = own || (l.Spec != nil || l.Limits != nil && l.Limits.Chosen == standing.ByLocation) && slices.Contains(r.Locations, l.ID)
		}
		if own {
			s.para(fmt.Sprintf("There: drill %s, pilot %s.", r.Card.Drill, r.Card.Pilot), text)
			for _, l := range r.Card.Limits {
				s.para(fmt.Sprintf("%s: %s %s (%s; %s).", upper(l.Name), limitWords(l.Limit, w.u), string(w.u), l.Source, l.From), text)
			}
		}
		for _, x := range r.CardIn(w.u).Inside {
			s.para(upper(x)+".", pale)
		}
	}
}

// rivetWords says which rivet goes where: its designation, the grip with the layers that make it, the
// locations, and what is still to be settled.
func (w *writer) rivetWords(r standing.Rivets) string {
	var of []string
	for _, l := range r.Layers {
		of = append(of, join(" ", l.Name, w.u.Number(l.ThicknessMM)))
	}
	name := r.Name
	if name == "" {
		name = "not settled"
	}
	return fmt.Sprintf("%s: %s, grip %s (%s)%s.", strings.Join(r.Tags, ", "), name, w.u.Value(r.GripMM), strings.Join(of, " + "), opt("; ", r.Ask))
}

func (w *writer) benchTools(p *Part) {
	if len(w.rec.Project.Tools) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Tools", 10)
	for _, t := range w.rec.Project.Tools {
		length := func(name string, mm float64) string {
			if mm == 0 {
				return ""
			}
			return name + " " + w.u.Value(mm)
		}
		s.para(join(", ", t.Name, length("nose", t.NoseMM), length("nose's length", t.LengthMM), length("body from the axis", t.BodyMM), length("throat", t.ReachMM))+".", text)
	}
}

// benchSteps are the boxes beside each hole.
var benchSteps = []string{"mark", "pilot", "final", "deburr", "prime", "set"}

// benchHoles is the table of positions with boxes to tick and room for two readings.
func (w *writer) benchHoles(p *Part) {
	s, d := w.sheet, w.sheet.d
	s.heading2("Holes", 24)
	if datum := datumWords(p); datum != "" {
		s.para(datum, pale)
	}
	unit := string(w.u)
	cols := []column{{"hole", 16, false}, {"along (" + unit + ")", 20, true}, {"across (" + unit + ")", 20, true}, {"in", 26, false}}
	for _, b := range benchSteps {
		cols = append(cols, column{b, 11.5, false})
	}
	cols = append(cols, column{"Ø", 11, false}, column{"edge", 10, false})
	box := func(x, y float64) {
		d.Artifact(func() { d.Stroke(new(paper.Path).Rect(x+1, y-3.6, 4.4, 4.4), thin) })
	}
	line := func(x, y float64) { d.Artifact(func() { d.Line(x, y+0.6, x+9, y+0.6, hairInk) }) }
	s.table(cols, func(t *table) {
		for i := range p.Locations {
			l := &p.Locations[i]
			if l.Out {
				continue
			}
			along, across, inches := w.position(p, l)
			note := ""
			if l.Stray {
				note = "a stray hole: nothing is riveted in it"
			}
			row := []cell{{text: l.Tag, style: strong}, {text: along, style: text}, {text: across, style: text}, {text: inches, style: small}}
			for range benchSteps {
				row = append(row, cell{draw: box, style: text})
			}
			t.row(note, append(row, cell{draw: line, style: text}, cell{draw: line, style: text})...)
		}
	})
	if len(p.Locations) == 0 {
		s.para("There are no locations yet.", text)
	}
}

// datumWords says where positions are measured from.
func datumWords(p *Part) string {
	l := p.Layout
	switch {
	case l == nil || l.WidthMM <= 0 || l.Photo != "":
		return "Positions are on the layout picture alone: it has no true scale."
	case l.Plan == nil:
		return "Positions from the upper left corner of the layout."
	case len(l.Plan.Legs) == 2:
		return "Along from where the outer sides meet, across from each leg's outer side."
	case l.Plan.Legs[0].Bend != nil:
		return "Along from the beginning of the leg, across from the outer face of the standing leg."
	}
	return "Along from the beginning, across from the edge at the datum."
}

// position is where a hole lies, in the chosen units, and in inches as the nearest 64th.
func (w *writer) position(p *Part, l *Location) (along, across, inches string) {
	d := p.Layout
	if d == nil || l.Pin == nil || d.WidthMM <= 0 || d.Photo != "" {
		return "–", "–", ""
	}
	x, y := l.Pin.X*d.WidthMM, l.Pin.Y*d.HeightMM
	if d.Plan != nil {
		x, y = onLeg(d, x, y)
	}
	x, y = math.Round(x*100)/100, math.Round(y*100)/100
	return w.u.Number(x), w.u.Number(y), qc.NearestFraction(x).String() + ", " + qc.NearestFraction(y).String()
}

// onLeg turns a place of the layout's drawing into one on its leg.
func onLeg(d *history.LayoutData, x, y float64) (along, across float64) {
	min := d.Plan.Outline().Min
	_, along, across = d.Plan.Place(sketch.XY{min[0] + x, min[1] + y})
	return along, across
}

// benchLists are the preparation list and the order of riveting, with boxes.
func (w *writer) benchLists(p *Part) {
	s, d := w.sheet, w.sheet.d
	tick := func(words string, done bool) {
		s.need(2 * text.LeadMM())
		y := s.y
		d.Artifact(func() {
			d.Stroke(new(paper.Path).Rect(margin, y-3.4, 4, 4), thin)
			if done {
				d.Stroke(new(paper.Path).Move(margin+0.8, y-1.5).Line(margin+1.8, y-0.4).Line(margin+3.4, y-2.8), fat)
			}
		})
		s.paraAt(margin+6.5, s.width()-6.5, words, text)
		s.y += 1
	}
	s.heading2("Preparation", 16)
	items := []history.PrepItem{}
	if p.Prep != nil {
		items = p.Prep.Items
	} else {
		for _, x := range drillup.Preparation("") {
			items = append(items, history.PrepItem{Text: x})
		}
	}
	for _, x := range items {
		tick(join(": ", upper(x.Text), x.Note), x.Done)
	}
	if p.Prep != nil {
		for _, c := range p.Prep.Coats {
			tick(join(", ", upper(c.What)+opt(" ", c.Name), opt("batch ", c.Batch), opt("cure ", c.Cure)), false)
		}
	}
	if len(p.Riveting.Rows) == 0 {
		return
	}
	s.heading2("Order of riveting", 12)
	var tags []string
	for _, r := range p.Riveting.Rows {
		tag := r.Tag
		if r.Check {
			tag += ", measure the shape"
		}
		tags = append(tags, tag)
	}
	s.para(strings.Join(tags, "; ")+" ("+p.Riveting.Source+").", text)
}
