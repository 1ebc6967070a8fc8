// Package demo fills a record with an invented aircraft's work, to be looked at before the first
// photo of one's own: the baggage-hatch frame of the two-seat amphibian Tarn 2, its gussets and
// corner angles at all stages, with what went wrong on the way.
//
// What a camera read is read by the program itself, from photos that were rendered and lie in
// photos (imaging/synth, hatch_test.go); what people did and read by hand is told in story.go.
// Start with [Fill].
package demo

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"bucktail/imaging/answer"
	"bucktail/imaging/measure"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
	"bucktail/store"
)

//go:embed photos
var photos embed.FS

// Photo gives one of the demonstration's photos by its name without ".jpg".
func Photo(name string) ([]byte, error) { return photos.ReadFile("photos/" + name + ".jpg") }

// Fill writes the story into an empty record. It ends the evening before now.
func Fill(ctx context.Context, s *store.Store, now time.Time) error {
	b, err := photos.ReadFile("photos/places.json")
	if err != nil {
		return err
	}
	d := &teller{ctx: ctx, store: s, state: &history.State{}, clock: now.AddDate(0, 0, -19)}
	d.state = history.StateOf(nil)
	if err := json.Unmarshal(b, &d.places); err != nil {
		return fmt.Errorf("places of the demonstration: %w", err)
	}
	d.phone = d.device("Ines's phone", "Ines K.", history.Builder)
	d.inspector = d.device("E. Salo's phone", "E. Salo", history.Inspector)
	d.tell()
	d.flush()
	return d.err
}

// teller writes entry after entry. After the first error it does nothing any more.
type teller struct {
	ctx    context.Context
	store  *store.Store
	state  *history.State
	clock  time.Time
	places map[string][][2]float64 // of each photo: where its fasteners show, in the order of their tags

	phone, inspector *history.Maker
	project, card    string
	wait             [][]byte // entries that are not handed in yet
	err              error
}

// failed keeps the first error.
func (d *teller) failed(doing string, err error) bool {
	if err != nil && d.err == nil {
		d.err = fmt.Errorf("tell the demonstration: %s: %w", doing, err)
	}
	return d.err != nil
}

// device lets a device in, as a scanned code would.
func (d *teller) device(name, by string, role history.Role) *history.Maker {
	id, err := history.NewID(d.clock.UnixMilli(), rand.Reader)
	if d.failed("name a device", err) {
		return &history.Maker{}
	}
	var token store.TokenHash // of a token that nobody has
	if _, err := rand.Read(token[:]); d.failed("let a device in", err) {
		return &history.Maker{}
	}
	_, err = d.store.Join(d.ctx, store.Device{ID: id, Name: name, Role: role}, token, false)
	d.failed("let a device in", err)
	return &history.Maker{Device: id, By: by, Role: role}
}

// put writes an entry a while after the last one and gives its id.
func (d *teller) put(w *history.Maker, after time.Duration, draft history.Draft) string {
	if d.err != nil {
		return ""
	}
	d.clock = d.clock.Add(after)
	if draft.Kind != history.KindDevice {
		draft.Project = d.project
	}
	w.Latest = max(w.Latest, d.state.Latest())
	e, err := w.Make(draft, d.clock, rand.Reader)
	if d.failed(string(draft.Kind), err) {
		return ""
	}
	d.state.Add(e)
	d.wait = append(d.wait, e.Bytes())
	return e.ID
}

// flush hands in what was written.
func (d *teller) flush() {
	for len(d.wait) > 0 && d.err == nil {
		n := min(len(d.wait), 50)
		got, err := d.store.PutEntries(d.ctx, store.Sender{Device: d.phone.Device, Role: history.Builder, Any: true}, d.wait[:n])
		d.failed("hand entries in", err)
		for _, r := range got {
			if r.Status == store.Refused {
				d.failed("hand an entry in", r.Refusal)
			}
		}
		d.wait = d.wait[n:]
	}
}

// What was measured on the sheet that the scale cards were cut from: the rendered card has
// exactly this.
var sheet = history.CardData{Sheet: "1", Paper: "a4", CheckNominalMM: 150, CheckAcrossMM: 150.3, CheckAlongMM: 149.85, CheckUMM: 0.1,
	ThicknessMM: 0.25, ThicknessUMM: 0.02, MeasuredWith: "calipers 150 mm"}

// Options are what a photo of the demonstration is measured with.
func Options(spec qc.Spec) answer.Options {
	x, y := sheet.Scale()
	return answer.Options{Spec: spec, Measure: measure.Options{ScaleX: x, ScaleY: y, ScaleU: sheet.CheckUMM / sheet.CheckNominalMM / 2,
		ThicknessMM: sheet.ThicknessMM, ThicknessU: sheet.ThicknessUMM / 2}}
}

// nearPx is how far from its place a fastener may be found to be the one of that tag.
const nearPx = 40

// shoot takes a photo of some locations of a part, measures it and keeps what was found; what
// the photo asks about instead stays open. seen are answers to the visual questions.
func (d *teller) shoot(p *part, name string, spec qc.Spec, seen qc.Seen) {
	if d.err != nil {
		return
	}
	data, err := Photo(name)
	if d.failed("photo "+name, err) {
		return
	}
	doc, err := answer.Measure(data, Options(spec))
	if d.failed("measure "+name, err) {
		return
	}
	if _, _, err := d.store.PutPhoto(d.ctx, reader(data), doc.SHA256, int64(len(data))); d.failed("keep "+name, err) {
		return
	}
	shown := map[int]string{} // location ids by index in doc
	var ids []string
	for n, place := range d.places[name] {
		for i, l := range doc.Locations {
			if math.Hypot(l.CentrePx[0]-place[0], l.CentrePx[1]-place[1]) < nearPx && l.Ask == nil {
				shown[i] = p.at[n]
				ids = append(ids, p.at[n])
			}
		}
	}
	shot := d.put(d.phone, 7*time.Minute, p.draft(history.KindShot, "", history.ShotData{Photo: doc.SHA256, Bytes: int64(len(data)), Media: "image/jpeg",
		WidthPx: doc.Width, HeightPx: doc.Height, Calibration: d.card, Layout: doc.Scale.Layout, Locations: ids, TakenAt: doc.Taken}))
	for i := range doc.Locations {
		if id, ok := shown[i]; ok {
			d.find(p, id, shot, doc, i, shown, seen)
		}
	}
}

// find keeps what a photo says of one location.
func (d *teller) find(p *part, id, shot string, doc *answer.Document, i int, shown map[int]string, seen qc.Seen) {
	l := &doc.Locations[i]
	var hole []qc.Reading
	if v, ok := standing.Of(d.state, id); ok && doc.Spec.Kind != qc.Hole {
		hole = v.Hole
	}
	var readings []qc.Reading
	for _, r := range l.Readings {
		if r.To != nil && shown[*r.To] != "" {
			to, _ := d.state.Location(shown[*r.To])
			r.Of = &qc.Target{Location: to.ID, Name: to.Tag}
		}
		readings = append(readings, r.Reading)
	}
	res, err := qc.JudgeLocation(doc.Spec, readings, hole)
	if d.failed("judge", err) {
		return
	}
	f := history.FindingData{Shot: shot, Spec: doc.Spec, Readings: readings, Result: res, Method: doc.Method, Places: doc.Places(i)}
	r := 60.0
	for _, o := range l.OutlinePx {
		r = max(r, math.Hypot(o[0]-l.CentrePx[0], o[1]-l.CentrePx[1]))
	}
	r *= 1.9 // as the app cuts it
	f.Crop = &history.Crop{X: l.CentrePx[0] - r, Y: l.CentrePx[1] - r, W: 2 * r, H: 2 * r}
	if seen != "" {
		for _, q := range qc.QuestionsFor(doc.Spec.Kind) {
			f.Answers = append(f.Answers, qc.Answer{Question: q.ID, Seen: seen})
		}
		f.AnswersVerdict = qc.AnswersVerdict(f.Answers)
	}
	d.put(d.phone, 20*time.Second, p.draft(history.KindFinding, id, f))
}

// gauge keeps what a hand gauge read at a location.
func (d *teller) gauge(p *part, id, instrument string, readings ...qc.Reading) {
	if d.err != nil {
		return
	}
	v, ok := standing.Of(d.state, id)
	if !ok {
		d.failed("gauge", fmt.Errorf("there is no location %s", id))
		return
	}
	for i := range readings {
		readings[i].How, readings[i].Method = qc.ByGauge, instrument
	}
	h, err := v.ByHand(readings)
	if d.failed("judge by hand", err) {
		return
	}
	d.put(d.phone, time.Minute, p.draft(history.KindGauge, id, history.GaugeData{Finding: h.Finding, Spec: h.Spec, Instrument: instrument, Readings: readings, Result: h.Result}))
}
