// Package demo fills a record with an invented aircraft's work, to be looked at before the first
// photo of one's own: the baggage-hatch frame of the two-seat amphibian Tarn 2, its gussets and
// corner angles at all stages, with what went wrong on the way.
//
// What a camera read is read by the program itself, from photos that were rendered and lie in
// photos (imaging/synth, hatch_test.go); what people did and read by hand is told in story.go.
// Start with [Fill].
package demo

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"fmt"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
	"bucktail/server/demo/photos"
	"bucktail/store"
)

// Clock is the laptop's in the story: the record that is filled must be opened with it.
type Clock struct{ at time.Time }

// NewClock stands at the story's beginning; it ends the evening before now.
func NewClock(now time.Time) *Clock { return &Clock{now.AddDate(0, 0, -19)} }

// Now is the time in the story.
func (c *Clock) Now() time.Time { return c.at }

// Fill writes the story into an empty record that was opened with the clock.
func Fill(ctx context.Context, s *store.Store, laptop *Clock) error {
	d := &teller{ctx: ctx, store: s, state: history.StateOf(nil), laptop: laptop, clock: laptop.at,
		keys: map[*history.Maker]*ecdsa.PrivateKey{}, named: map[*history.Maker]history.DeviceData{}}
	d.phone = d.device("Ines's phone", "Ines K.", history.Builder)
	d.inspector = d.device("E. Salo's phone", "E. Salo", history.Inspector)
	d.tell()
	d.flush()
	return d.err
}

// teller writes entry after entry. After the first error it does nothing any more.
type teller struct {
	ctx   context.Context
	store *store.Store
	state *history.State
	clock time.Time // of the devices

	laptop *Clock

	phone, inspector *history.Maker
	keys             map[*history.Maker]*ecdsa.PrivateKey
	named            map[*history.Maker]history.DeviceData
	labels           map[string]*history.Identity // of the instruments
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
	if d.failed("let a device in", err) {
		return &history.Maker{}
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if d.failed("make a device's key", err) {
		return &history.Maker{}
	}
	public, err := history.PublicKey(key)
	if err == nil {
		_, err = d.store.TellKey(d.ctx, id, public)
	}
	d.failed("tell a device's key", err)
	w := &history.Maker{Device: id, By: by, Role: role}
	d.keys[w], d.named[w] = key, history.DeviceData{Name: name, Key: public}
	return w
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
	if e, err = e.Signed(d.keys[w], rand.Reader); d.failed("sign an entry", err) {
		return ""
	}
	w.Prev = e.Hash()
	d.state.Add(e)
	d.wait = append(d.wait, e.Bytes())
	return e.ID
}

// later begins another day's work: the phones came home in the evening.
func (d *teller) later(after time.Duration) {
	d.flush()
	d.clock = d.clock.Add(after)
}

// flush hands in what was written.
func (d *teller) flush() {
	d.laptop.at = d.clock.Add(time.Minute)
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

// shoot takes a photo of a part, measures it and keeps what was found; what the photo asks about
// instead stays open. seen answers the visual questions.
func (d *teller) shoot(p *part, name string, spec qc.Spec, seen qc.Seen) {
	if d.err != nil {
		return
	}
	s, err := photos.Measure(name, spec)
	if d.failed("measure "+name, err) {
		return
	}
	if d.photo(s.Data, s.Doc.SHA256); d.err != nil {
		return
	}
	data := s.Shot(d.card, p.at)
	data.TakenAt = d.clock.Add(5 * time.Minute).UTC().Format("2006:01:02 15:04:05") // in the story
	shot := d.put(d.phone, 7*time.Minute, p.draft(history.KindShot, "", data))
	for i, tag := range s.Tags {
		if tag < 0 {
			continue
		}
		var hole []qc.Reading
		if v, ok := standing.Of(d.state, p.at[tag]); ok && spec.Kind != qc.Hole {
			hole = v.Hole
		}
		f, err := s.Finding(i, shot, p.at, hole, seen)
		if d.failed("judge "+name, err) {
			return
		}
		d.put(d.phone, 20*time.Second, p.draft(history.KindFinding, p.at[tag], f))
	}
}

// photo keeps a photo's bytes.
func (d *teller) photo(data []byte, hash string) {
	_, _, err := d.store.PutPhoto(d.ctx, bytes.NewReader(data), hash, int64(len(data)))
	d.failed("keep a photo", err)
}

// noteWith keeps words with a photo, about a location or, where that is "", the whole part.
func (d *teller) noteWith(p *part, id, text, name string) {
	note, data, err := photos.Note(text, name)
	if d.failed("read "+name, err) {
		return
	}
	if d.photo(data, note.Photos[0]); d.err == nil {
		d.put(d.phone, 5*time.Minute, p.draft(history.KindNote, id, note))
	}
}

// identity is what stands on an instrument's label: calibrated so long before the story begins, for
// so long.
func (d *teller) identity(number string, ago, holds time.Duration) *history.Identity {
	at := d.clock.Add(-ago)
	return &history.Identity{Number: number, Calibrated: at.Format(time.DateOnly), Due: at.Add(holds).Format(time.DateOnly)}
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
	d.put(d.phone, time.Minute, p.draft(history.KindGauge, id, history.GaugeData{Finding: h.Finding, Spec: h.Spec, Instrument: instrument, Identity: d.labels[instrument], Readings: readings, Result: h.Result}))
}
