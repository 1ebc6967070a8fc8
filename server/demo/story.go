package demo

import (
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/server/demo/photos"
)

// part is one assembly of the frame while its story is told.
type part struct {
	id string
	at []string // its locations' ids, by tag
}

func (p *part) draft(k history.Kind, location string, data any) history.Draft {
	return history.Draft{Kind: k, Part: p.id, Location: location, Data: data}
}

const (
	eighth     = 25.4 / 8      // mm: a -4 rivet
	threeInto  = 25.4 * 3 / 32 // mm: a -3 rivet
	calipers   = "calipers 150 mm"
	pinGauges  = "pin gauges, steps of 0.01 mm"
	gaugeBlock = "head height gauge"
)

func heads(nominalMM float64) qc.Spec { return qc.Spec{Kind: qc.ShopHead, NominalMM: nominalMM} }
func holes(nominalMM float64) qc.Spec {
	return qc.Spec{Kind: qc.Hole, NominalMM: nominalMM, Rivet: qc.Solid}
}

const (
	day  = 24 * time.Hour
	hour = time.Hour
)

// bar are the places on a corner angle, as [photos.Gusset] are on a gusset.
var (
	gusset = photos.Gusset
	bar    = [][2]float64{{14, 9}, {27, 9}, {40, 5.4}, {53, 9}, {66, 9}}
)

// grid gives n places in rows of seven.
func grid(n int) (out [][2]float64) {
	for i := range n {
		out = append(out, [2]float64{12 + 13*float64(i%7), 10 + 13*float64(i/7)})
	}
	return out
}

// assembly makes a part with its layout and locations.
func (d *teller) assembly(name, drawing string, spec qc.Spec, wideMM, highMM float64, places [][2]float64, layers ...history.Layer) *part {
	p := &part{}
	p.id = d.put(d.phone, 10*time.Minute, history.Draft{Kind: history.KindPart, Data: history.PartData{Name: name, Drawing: drawing, Spec: &spec, Layers: layers}})
	d.put(d.phone, time.Minute, p.draft(history.KindLayout, "", history.LayoutData{WidthMM: wideMM, HeightMM: highMM, StepMM: 10}))
	for i, at := range places {
		pin := history.Pin{X: at[0] / wideMM, Y: 1 - at[1]/highMM}
		p.at = append(p.at, d.put(d.phone, 10*time.Second, p.draft(history.KindLocation, "", history.LocationData{Tag: photos.Tag(i), Pin: &pin})))
	}
	return p
}

// stage says what stands at locations now.
func (d *teller) stage(p *part, s qc.Stage, ids ...string) {
	for _, id := range ids {
		d.put(d.phone, 30*time.Second, p.draft(history.KindStage, id, history.StageData{Stage: s}))
	}
}

// set says that rivets were set.
func (d *teller) set(p *part, tool string, ids ...string) {
	for _, id := range ids {
		d.put(d.phone, time.Minute, p.draft(history.KindAttempt, id, history.AttemptData{Tool: tool}))
	}
}

func (d *teller) note(p *part, id, text string) {
	d.put(d.phone, 5*time.Minute, p.draft(history.KindNote, id, history.NoteData{Text: text}))
}

// findings gives the locations of a part whose finding has the verdict, in the order of tags.
func (d *teller) findings(p *part, v qc.Verdict) (out []history.Location) {
	for _, id := range p.at {
		if l, _ := d.state.Location(id); l.Finding != "" && l.Verdict == v {
			out = append(out, l)
		}
	}
	return out
}

// dispose decides about a location's finding.
func (d *teller) dispose(p *part, l history.Location, what qc.Disposition, why string) {
	d.put(d.phone, 2*time.Minute, p.draft(history.KindDisposition, l.ID, history.DispositionData{Finding: l.Finding, Action: what, Reason: why}))
}

// decide is the inspector's decision about a location's finding.
func (d *teller) decide(p *part, l history.Location, answer qc.Disposition, why string) {
	d.put(d.inspector, time.Minute, p.draft(history.KindDecision, l.ID, history.DecisionData{Finding: l.Finding, Answer: answer, Reason: why, Name: "E. Salo", Number: "I-0417"}))
}

// heights reads how far heads stand above the sheet, which no photo from above shows.
func (d *teller) heights(p *part, ids ...string) {
	for i, id := range ids {
		d.gauge(p, id, gaugeBlock, qc.Reading{Quantity: qc.HeadHeight, ValueMM: 1.52 + 0.03*float64(i%3), UMM: 0.04})
	}
}

// pins reads holes by go and no-go pins: between a and b.
func (d *teller) pins(p *part, a, b float64, ids ...string) {
	for _, id := range ids {
		d.gauge(p, id, pinGauges, qc.Reading{Quantity: qc.HoleDMin, ValueMM: a, UMM: 0.01}, qc.Reading{Quantity: qc.HoleDMax, ValueMM: b, UMM: 0.01})
	}
}

func (d *teller) tell() {
	d.put(d.phone, 0, history.Draft{Kind: history.KindDevice, Data: d.named[d.phone]})
	d.project = d.put(d.phone, time.Minute, history.Draft{Kind: history.KindProject, Data: history.ProjectData{
		Name: "Tarn 2 (demonstration)", Aircraft: "two-seat amphibian", Mark: "build 07", Builder: "Ines K."}})
	d.put(d.phone, time.Minute, history.Draft{Kind: history.KindSettings, Data: history.SettingsData{Units: qc.Millimetres, Paper: "a4"}})
	// The height gauge runs out of its calibration while the story is told.
	d.labels = map[string]*history.Identity{
		calipers: d.identity("C-3", 100*day, 365*day), pinGauges: d.identity("P-11", 200*day, 730*day), gaugeBlock: d.identity("H-2", 365*day, 365*day)}
	sheet := photos.Sheet
	sheet.Identity = d.labels[calipers]
	d.card = d.put(d.phone, 10*time.Minute, history.Draft{Kind: history.KindCard, Data: sheet})
	frame := history.Layer{Name: "hatch frame", Material: "2024-T3", ThicknessMM: 1.02}
	plate := history.Layer{Name: "gusset", Material: "2024-T3", ThicknessMM: 0.81}
	angle := history.Layer{Name: "angle", Material: "2024-T3", ThicknessMM: 1.02}
	forwardLeft := d.assembly("Corner gusset, forward left", "BH-112 sheet 2", heads(eighth), 92, 92, gusset, plate, frame)
	forwardRight := d.assembly("Corner gusset, forward right", "BH-113 sheet 2", heads(eighth), 92, 92, gusset, plate, frame)
	aftLeft := d.assembly("Corner gusset, aft left", "BH-114 sheet 2", heads(eighth), 92, 92, gusset, plate, frame)
	aftRight := d.assembly("Corner gusset, aft right", "BH-115 sheet 2", heads(eighth), 92, 92, gusset, plate, frame)
	angleLeft := d.assembly("Corner angle, left", "BH-121", heads(eighth), 130, 58, bar, angle, frame)
	angleRight := d.assembly("Corner angle, right", "BH-122", heads(eighth), 130, 58, bar, angle, frame)
	hinge := d.assembly("Hinge doubler", "BH-131", heads(threeInto), 110, 92, append(append([][2]float64{}, gusset...), grid(14)[8:]...), plate, frame)
	latch := d.assembly("Latch plate", "BH-132", heads(threeInto), 110, 40, grid(14), plate, frame)
	if d.err != nil {
		return
	}

	// The sound one: holes by photo and pin, rivets by two photos and the height gauge.
	d.later(day)
	d.stage(forwardLeft, qc.FinalHole, forwardLeft.at...)
	d.shoot(forwardLeft, "forward-left-holes", holes(eighth), "")
	d.pins(forwardLeft, 3.27, 3.28, forwardLeft.at...)
	d.set(forwardLeft, "hand squeezer", forwardLeft.at...)
	d.shoot(forwardLeft, "forward-left-a", heads(eighth), qc.No)
	d.shoot(forwardLeft, "forward-left-b", heads(eighth), qc.No)
	d.heights(forwardLeft, forwardLeft.at...)
	d.noteWith(forwardLeft, "", "As it came off the bench.", "forward-left-b")

	// One too narrow, drilled out and set again.
	d.later(2 * day)
	d.stage(forwardRight, qc.FinalHole, forwardRight.at...)
	d.set(forwardRight, "gun and bar", forwardRight.at...)
	d.note(forwardRight, forwardRight.at[2], "The bar slipped while this one was driven.")
	d.shoot(forwardRight, "forward-right", heads(eighth), qc.No)
	d.noteWith(forwardRight, forwardRight.at[2], "What the slip left of it.", "forward-right")
	for _, l := range d.findings(forwardRight, qc.Out) {
		d.dispose(forwardRight, l, qc.DrillOut, "head too narrow")
		d.put(d.phone, hour, forwardRight.draft(history.KindDrilledOut, l.ID, history.DrilledOutData{Finding: l.Finding, Reason: "head too narrow", DrillMM: 3.25}))
		d.pins(forwardRight, 3.29, 3.31, l.ID)
		d.set(forwardRight, "hand squeezer", l.ID)
	}
	d.shoot(forwardRight, "forward-right-again", heads(eighth), qc.No)
	d.heights(forwardRight, forwardRight.at[:3]...)

	// The inspector's first visit: everything on the sound one, one question on the other.
	d.later(3 * day)
	d.put(d.inspector, 0, history.Draft{Kind: history.KindDevice, Data: d.named[d.inspector]})
	for _, id := range forwardLeft.at {
		if l, _ := d.state.Location(id); l.Finding != "" {
			d.decide(forwardLeft, l, qc.Confirmed, "")
		}
	}
	if l, _ := d.state.Location(forwardRight.at[2]); l.Finding != "" {
		d.decide(forwardRight, l, qc.ReMeasure, "its height too, please: it was set twice")
	}
	covers, digest := history.Covers(forwardLeft.id, d.state.Entries())
	d.put(d.inspector, 5*time.Minute, forwardLeft.draft(history.KindSignOff, "", history.SignOffData{Covers: covers, Digest: digest, Name: "E. Salo", Number: "I-0417",
		Remark: "seen on the bench"}))

	// Holes alone, one of them too wide; an angle with a rivet too near its edge.
	d.later(2 * day)
	d.stage(aftRight, qc.FinalHole, aftRight.at...)
	d.shoot(aftRight, "aft-right-holes", holes(eighth), "")
	d.pins(aftRight, 3.27, 3.29, aftRight.at[:4]...)
	d.pins(aftRight, 3.54, 3.57, aftRight.at[4])
	for _, l := range d.findings(aftRight, qc.Out) {
		d.dispose(aftRight, l, qc.Refer, "the drill walked; next size up?")
	}
	d.stage(angleLeft, qc.FinalHole, angleLeft.at...)
	d.set(angleLeft, "hand squeezer", angleLeft.at...)
	d.shoot(angleLeft, "angle-left", heads(eighth), qc.No)
	d.stage(angleRight, qc.PilotHole, angleRight.at[:3]...)
	d.stage(angleRight, qc.Marked, angleRight.at[3:]...)

	// Small rivets, one driven too little and drilled out, its new one not set yet.
	d.later(3 * day)
	d.stage(hinge, qc.FinalHole, hinge.at[:6]...)
	d.set(hinge, "hand squeezer", hinge.at[:6]...)
	d.shoot(hinge, "hinge-doubler", heads(threeInto), qc.No)
	for _, l := range d.findings(hinge, qc.Out) {
		d.dispose(hinge, l, qc.DrillOut, "head too narrow")
		d.put(d.phone, hour, hinge.draft(history.KindDrilledOut, l.ID, history.DrilledOutData{Finding: l.Finding, Reason: "head too narrow", DrillMM: 2.4}))
	}
	d.stage(hinge, qc.PilotHole, hinge.at[6:]...)
	d.stage(latch, qc.PilotHole, latch.at[:5]...)
	d.stage(latch, qc.Marked, latch.at[5:]...)

	// What the inspector signed is touched once more: the sign-off is outdated.
	d.later(2 * day)
	d.note(forwardLeft, forwardLeft.at[3], "Primer touched up round the head.")

	// Last night's work, nothing decided yet.
	d.later(3 * day)
	d.stage(aftLeft, qc.FinalHole, aftLeft.at...)
	d.set(aftLeft, "gun and bar", aftLeft.at...)
	d.shoot(aftLeft, "aft-left", heads(eighth), "")
}
