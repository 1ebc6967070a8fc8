package report

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/drawing"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// made is when the reports of the tests are made.
var made = time.Date(2026, 11, 13, 18, 30, 0, 0, time.UTC)

// demo is a record of the invented baggage-hatch frame with everything that a report shows:
// verdicts of each kind, several attempts, a gauge reading, dispositions, an inspector's
// decisions on a device and on paper, a sign-off that is outdated.
type demo struct {
	builder, inspector *histtest.Device
	entries            []history.Entry
	project            string
	parts              []string
	photos             map[string][]byte // by SHA-256 of the original
}

func (d *demo) put(dev *histtest.Device, at histtest.Place, k history.Kind, data any) history.Entry {
	if n := len(d.entries); n > 0 {
		dev.Saw(d.entries[n-1]) // the latest of all
	}
	if n := len(d.entries); n > 0 && dev.Clock.Before(d.entries[n-1].At) {
		dev.Clock = d.entries[n-1].At
	}
	e := dev.Put(at.Draft(k, data))
	d.entries = append(d.entries, e)
	return e
}

// photo makes a small picture that stands for a shot: a disc on a green sheet.
func (d *demo) photo(n int) (hash string, data []byte) {
	data = disc(64, 36, n) // poppler decodes it again for each text of its page
	hash = histtest.PhotoHash(data)
	d.photos[hash] = data
	return hash, data
}

// photoShot is a shot of a photo whose copy for others is as the photo itself.
func photoShot(data []byte, card string, locations ...string) history.ShotData {
	s := histtest.Shot(data, card, locations...)
	s.Copies = history.Copies{s.Photo: s.Photo}
	return s
}

func disc(w, h, n int) []byte {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	cx, cy, r := float64(w)/2+float64(n%40), float64(h)/2, float64(h)/5
	for y := range h {
		for x := range w {
			c := color.RGBA{uint8(120 + (x*7+y*3+n)%9), uint8(150 + (x+y)%7), 105, 255}
			if dist := math.Hypot(float64(x)-cx, float64(y)-cy); dist < r {
				c = color.RGBA{uint8(170 - dist/2), 175, 178, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 85}); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// newDemo writes it. n is the number of locations of the first part, 14 at least.
func newDemo(n int) *demo {
	d := &demo{photos: map[string][]byte{}, builder: histtest.NewDevice(1, "Ines K.", history.Builder), inspector: histtest.NewDevice(2, "M. Oduya", history.Inspector)}
	b, none := d.builder, histtest.Place{}
	d.put(b, none, history.KindDevice, history.DeviceData{Name: "Ines's phone"})
	p := d.put(b, none, history.KindProject, history.ProjectData{Name: "Tarn 2", Aircraft: "two-seat amphibian", Mark: "no. 7", Builder: "Ines K."})
	d.project = p.ID
	at := histtest.Place{Project: p.ID}
	card := d.put(b, at, history.KindCard, history.CardData{Sheet: "2", Paper: "a4", CheckNominalMM: 150, CheckAcrossMM: 149.9, CheckAlongMM: 150.1,
		CheckUMM: 0.2, ThicknessMM: 0.315, ThicknessUMM: 0.02, MeasuredWith: "calipers"})
	d.gusset(at, card.ID, n)
	d.angle(at)
	return d
}

func (d *demo) gusset(at histtest.Place, card string, n int) {
	b := d.builder
	spec := histtest.ShopHead()
	part := d.put(b, at, history.KindPart, history.PartData{Name: "Corner gusset, left", Drawing: "BH-112, sheet 2, rev C", Spec: &spec,
		Layers: []history.Layer{{Name: "gusset", Material: "2024-T3", ThicknessMM: 0.81}, {Name: "square tube", Material: "6061-T6", ThicknessMM: 1.6}}})
	d.parts = append(d.parts, part.ID)
	at.Part = part.ID
	d.put(b, at, history.KindLayout, history.LayoutData{WidthMM: 160, HeightMM: 140, StepMM: 10})
	var first history.Entry
	for i := range n {
		l := d.put(b, at, history.KindLocation, history.LocationData{Tag: fmt.Sprintf("R%d", i+1), Pin: pinAt(i, n)})
		here := at
		here.Location = l.ID
		f := d.rivet(here, card, i)
		if i == 7 {
			first = f
		}
	}
	_ = first
	ids, digest := history.Covers(part.ID, d.entries)
	d.put(d.inspector, at, history.KindSignOff, history.SignOffData{Covers: ids, Digest: digest, Name: "M. Oduya", Number: "INS-0417", Remark: "frame open, seen from both sides"})
	d.put(b, at, history.KindNote, history.NoteData{Text: "Deburred between gusset and tube before R8 was set again."})
}

func pinAt(i, n int) *history.Pin {
	if n <= 20 && i < 6 {
		return &history.Pin{X: 0.2 + 0.13*float64(i), Y: 0.15}
	}
	if n <= 20 {
		return &history.Pin{X: 0.2, Y: 0.15 + 0.095*float64(i-5)}
	}
	cols := int(math.Ceil(math.Sqrt(float64(n))))
	return &history.Pin{X: (float64(i%cols) + 0.5) / float64(cols), Y: (float64(i/cols) + 0.5) / float64(cols)}
}

// rivet writes what happened at a location: by its number within, too close, out, drilled out.
func (d *demo) rivet(here histtest.Place, card string, i int) history.Entry {
	b := d.builder
	look := func(width, edge float64) history.Entry {
		hash, data := d.photo(len(d.photos))
		shot := d.put(b, here, history.KindShot, photoShot(data, card, here.Location))
		return d.put(b, here, history.KindFinding, histtest.HeadFinding(shot.ID, hash, width, edge))
	}
	hole := func(width float64) {
		hash, data := d.photo(len(d.photos))
		shot := d.put(b, here, history.KindShot, photoShot(data, card, here.Location))
		d.put(b, here, history.KindFinding, histtest.HoleFinding(shot.ID, hash, width))
	}
	kind := i % 14
	if i >= 14 {
		kind = 7 // the many of a large record are all out
	}
	switch kind {
	case 3: // drilled out, waits for a new rivet
		f := look(6.3, 10.2)
		d.put(b, here, history.KindDisposition, history.DispositionData{Finding: f.ID, Action: qc.DrillOut})
		d.put(b, here, history.KindDrilledOut, history.DrilledOutData{Finding: f.ID, Reason: "underdriven", DrillMM: 4.76})
	case 4: // too close, settled by calipers
		f := look(6.62, 10.1)
		d.put(b, here, history.KindGauge, histtest.GaugeReading(f.ID, 6.62))
	case 6: // too close, waits
		return look(6.6, 9.56)
	case 7: // out three times, with all that belongs to it
		f := look(6.1, 10.1)
		d.put(b, here, history.KindDisposition, history.DispositionData{Finding: f.ID, Action: qc.DrillOut, Reason: "least head diameter under its limit"})
		d.put(b, here, history.KindDrilledOut, history.DrilledOutData{Finding: f.ID, Reason: "too flat on one side", DrillMM: 4.6})
		hole(4.91)
		f = look(6.3, 10.05)
		d.put(b, here, history.KindDrilledOut, history.DrilledOutData{Finding: f.ID, DrillMM: 4.76})
		f = look(6.45, 10.05)
		d.put(d.inspector, here, history.KindDecision, history.DecisionData{Finding: f.ID, Answer: qc.Rejected, Reason: "the head leans, and it is narrow: set it again", Name: "M. Oduya", Number: "INS-0417"})
		return f
	case 8:
		f := look(7.2, 10.3)
		d.put(b, here, history.KindDisposition, history.DispositionData{Finding: f.ID, Action: qc.Keep, Reason: "as drawn"})
		d.put(b, here, history.KindDecision, history.DecisionData{Finding: f.ID, Answer: qc.Confirmed, Name: "M. Oduya", Number: "INS-0417",
			OnPaper: &history.OnPaper{Photo: f.Hash().String(), Date: "13 November 2026", Page: "4"}})
	case 10, 11: // a hole
		hole(4.88)
	case 12, 13:
	default:
		return look(7.3, 10.4)
	}
	return history.Entry{}
}

func (d *demo) angle(at histtest.Place) {
	spec := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.2}
	part := d.put(d.builder, at, history.KindPart, history.PartData{Name: "Corner angle, aft", Drawing: "BH-115", Spec: &spec})
	d.parts = append(d.parts, part.ID)
	at.Part = part.ID
	for i := range 3 {
		d.put(d.builder, at, history.KindLocation, history.LocationData{Tag: fmt.Sprintf("A%d", i+1)})
	}
}

func (d *demo) record(t testing.TB, parts ...string) *Record {
	t.Helper()
	rec, err := Build(history.StateOf(d.entries), Scope{d.project, parts}, made)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// crossed is one of everything that may be drawn over a photo.
func crossed(widthMM float64) *drawing.Drawing {
	k := widthMM / 100
	at := func(x, y float64) drawing.Point { return drawing.Point{X: x * k, Y: y * k} }
	return &drawing.Drawing{Width: widthMM, Height: 60 * k, TextSize: 4 * k,
		Lines: []drawing.Line{
			{Role: drawing.Outline, Points: drawing.Path{at(20, 20), at(40, 20), at(40, 40), at(20, 40)}, Closed: true, Dashed: true, Width: 0.5 * k, Halo: 1.5 * k, Ink: drawing.Pencil},
			{Role: drawing.Dimension, Points: drawing.Path{at(30, 30), at(130, 30)}, Width: 0.4 * k, Halo: 1.4 * k, Ink: drawing.Of(qc.Out)},
			{Role: drawing.Arrow, Points: drawing.Path{at(70, 30), at(67, 31), at(67, 29)}, Closed: true, Halo: k, Ink: drawing.Of(qc.Out)},
		},
		Values: []drawing.Value{{Box: drawing.Box{X0: 70 * k, Y0: 27 * k, X1: 95 * k, Y1: 33 * k}, Text: "6.99 ± 0.06", Ink: drawing.Of(qc.Out)}},
		Tags:   []drawing.Tag{{Box: drawing.Box{X0: 2 * k, Y0: 2 * k, X1: 18 * k, Y1: 10 * k}, Text: "R7", TextX: 10 * k, Verdict: qc.Out, ShapeX: 6 * k, Ink: drawing.Of(qc.Out)}},
	}
}

// picture stands for a photo with its drawing.
func (d *demo) picture(_ context.Context, r PictureRequest) (Picture, error) {
	data, ok := d.photos[r.Finding.Photo]
	if !ok {
		return Picture{}, fmt.Errorf("photo %.12s is not in the store", r.Finding.Photo)
	}
	return Picture{data, crossed}, nil
}
