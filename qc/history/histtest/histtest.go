// Package histtest writes records for tests and benchmarks: devices with clocks and random
// sources that can be set, and an invented baggage-hatch frame to work on. Everything comes
// from the seed, so a record can be had again.
package histtest

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Start is when the clocks of new devices begin.
var Start = time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC)

// Device writes one chain.
type Device struct {
	*history.Maker
	Clock time.Time
	Rand  *rand.ChaCha8
	Num   *rand.Rand
	Wrote []history.Entry
}

// NewDevice makes a device; the seed gives its id and everything that it writes at random.
func NewDevice(seed uint64, by string, role history.Role) *Device {
	src := rand.NewChaCha8(sha256.Sum256(fmt.Appendf(nil, "device %d", seed)))
	id, err := history.NewID(Start.UnixMilli(), src)
	if err != nil {
		panic(err)
	}
	return &Device{
		Maker: &history.Maker{Device: id, By: by, Role: role},
		Clock: Start, Rand: src, Num: rand.New(src),
	}
}

// Saw tells the device of entries that came from elsewhere, so that what it writes next sorts
// after them.
func (d *Device) Saw(entries ...history.Entry) {
	for _, e := range entries {
		d.Latest = max(d.Latest, e.ID)
	}
}

// Try writes an entry, a minute after the last.
func (d *Device) Try(draft history.Draft) (history.Entry, error) {
	d.Clock = d.Clock.Add(time.Minute)
	e, err := d.Make(draft, d.Clock, d.Rand)
	if err == nil {
		d.Wrote = append(d.Wrote, e)
	}
	return e, err
}

// Put writes an entry that must be good.
func (d *Device) Put(draft history.Draft) history.Entry {
	e, err := d.Try(draft)
	if err != nil {
		panic(fmt.Sprintf("%s: %v", draft.Kind, err))
	}
	return e
}

// Place says where on the aircraft something happens.
type Place struct{ Project, Part, Location string }

// Draft begins an entry about the place.
func (p Place) Draft(k history.Kind, data any) history.Draft {
	return history.Draft{Kind: k, Project: p.Project, Part: p.Part, Location: p.Location, Data: data}
}

// PhotoHash gives the SHA-256 of some bytes, as entries name photos.
func PhotoHash(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }

// ShopHead is a shop head of a 3/16 in rivet.
func ShopHead() qc.Spec { return qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625} }

// HoleFor is the hole of a rivet.
func HoleFor(s qc.Spec) qc.Spec { s.Kind = qc.Hole; return s }

// Reading is a reading with a budget of the usual length.
func Reading(q qc.Quantity, mm, u float64, photo string) qc.Reading {
	return qc.Reading{Quantity: q, ValueMM: mm, UMM: u, How: qc.ByPhoto, Method: "m1", Photo: photo,
		Contributions: []qc.Contribution{
			{Label: "head height", UMM: 0.70 * u / 2}, {Label: "outline", UMM: 0.50 * u / 2},
			{Label: "camera", UMM: 0.40 * u / 2}, {Label: "card print", UMM: 0.30 * u / 2},
		}}
}

// HeadFinding judges a shop head of the given width as a finding would be.
func HeadFinding(shot, photo string, widthMM, edgeMM float64) history.FindingData {
	s := ShopHead()
	rs := []qc.Reading{
		Reading(qc.HeadDMean, widthMM, 0.06, photo), Reading(qc.HeadDMin, widthMM-0.05, 0.07, photo),
		Reading(qc.HeadDMax, widthMM+0.05, 0.07, photo), Reading(qc.EdgeDistance, edgeMM, 0.07, photo),
		Reading(qc.Pitch, 19.2, 0.05, photo),
	}
	return judged(shot, s, rs)
}

// HoleFinding judges a final hole of the given width.
func HoleFinding(shot, photo string, widthMM float64) history.FindingData {
	rs := []qc.Reading{Reading(qc.HoleDMin, widthMM-0.01, 0.02, photo), Reading(qc.HoleDMax, widthMM+0.01, 0.02, photo),
		Reading(qc.EdgeDistance, 12.0, 0.05, photo)}
	return judged(shot, HoleFor(ShopHead()), rs)
}

func judged(shot string, s qc.Spec, rs []qc.Reading) history.FindingData {
	res, err := qc.JudgeLocation(s, rs, nil)
	if err != nil {
		panic(err)
	}
	f := history.FindingData{Shot: shot, Spec: s, Readings: rs, Result: res, Method: "m1",
		Crop: &history.Crop{X: 100, Y: 100, W: 300, H: 300}}
	for _, q := range qc.QuestionsFor(s.Kind) {
		f.Answers = append(f.Answers, qc.Answer{Question: q.ID, Seen: qc.No})
	}
	f.AnswersVerdict = qc.AnswersVerdict(f.Answers)
	return f
}

// GaugeReading is what calipers read of a head.
func GaugeReading(finding string, widthMM float64) history.GaugeData {
	s := ShopHead()
	r := qc.Reading{Quantity: qc.HeadDMin, ValueMM: widthMM, UMM: 0.03, How: qc.ByGauge, Method: "calipers"}
	r2 := r
	r2.Quantity = qc.HeadDMax
	res, err := qc.JudgeHand(s, []qc.Reading{r, r2}, nil)
	if err != nil {
		panic(err)
	}
	return history.GaugeData{Finding: finding, Spec: s, Instrument: "calipers 150 mm", Readings: []qc.Reading{r, r2}, Result: res}
}

// HeightReading is the height of a driven head by hand gauge: 1.9 to 2.86 mm are within.
func HeightReading(finding string, heightMM float64) history.GaugeData {
	s := ShopHead()
	r := qc.Reading{Quantity: qc.HeadHeight, ValueMM: heightMM, UMM: 0.05, How: qc.ByGauge, Method: "calipers"}
	res, err := qc.JudgeHand(s, []qc.Reading{r}, nil)
	if err != nil {
		panic(err)
	}
	return history.GaugeData{Finding: finding, Spec: s, Instrument: "calipers 150 mm", Readings: []qc.Reading{r}, Result: res}
}

// Shot is the entry data of a photo.
func Shot(photo []byte, calibration string, locations ...string) history.ShotData {
	return history.ShotData{Photo: PhotoHash(photo), Bytes: int64(len(photo)), Media: "image/jpeg", WidthPx: 4000, HeightPx: 3000,
		Calibration: calibration, Layout: "corner", Locations: locations, Camera: "phone"}
}
