package outgoing

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/metrics"
	"sync/atomic"
	"testing"
	"time"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// BenchmarkReport500 is the report of 500 locations on ten parts, each with a page and with the
// photo that it was measured on; every fourth was drilled out and set again, every twentieth
// twice. Each photo shows the four or five fasteners that the bundled one shows ("shared"), or
// is of one location alone ("own"); and the record of twice as many, for what grows faster than
// it should.
func BenchmarkReport500(b *testing.B) {
	shots := measured(b)
	for _, c := range []struct {
		name      string
		locations int
		own       bool
	}{{"shared", 500, false}, {"own", 500, true}, {"shared, 1000", 1000, false}} {
		b.Run(c.name, func(b *testing.B) {
			w := newWorkshop(shots, c.locations, c.own)
			st := history.StateOf(w.entries)
			b.ReportAllocs()
			for b.Loop() {
				m := &Maker{State: st, Photo: w.photo, Now: w.dev.Clock}
				var out printed
				if name := os.Getenv("BUCKTAIL_REPORT"); name != "" { // to be looked at
					f, err := os.Create(name)
					if err != nil {
						b.Fatal(err)
					}
					defer f.Close()
					out.to = f
				}
				most := watch()
				if err := m.Make(context.Background(), &out, ReportPDF, Ask{}); err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(most())/1e6, "MB-peak")
				b.ReportMetric(float64(out.bytes)/1e6, "MB")
				b.ReportMetric(float64(out.pages), "pages")
				b.ReportMetric(float64(len(w.bytes)), "photos")
			}
		})
	}
}

// printed counts the bytes and pages of a report, and keeps none of it.
type printed struct {
	bytes, pages int
	tail         []byte // too little of a page's mark
	to           io.Writer
}

func (p *printed) Write(b []byte) (int, error) {
	p.bytes += len(b)
	mark := []byte("/StructParents ")
	all := append(p.tail, b...)
	p.pages += bytes.Count(all, mark)
	p.tail = bytes.Clone(all[max(0, len(all)-len(mark)+1):])
	if p.to != nil {
		return p.to.Write(b)
	}
	return len(b), nil
}

// watch gives the most memory that the program held from now on, bytes, as its runtime counts
// it: all that it has from the system less what it gave back.
func watch() (most func() uint64) {
	runtime.GC()
	var peak atomic.Uint64
	held := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for {
			metrics.Read(held)
			peak.Store(max(peak.Load(), held[0].Value.Uint64()-held[1].Value.Uint64()))
			select {
			case <-stop:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() uint64 {
		close(stop)
		<-done
		return peak.Load()
	}
}

// measuredShot is a bundled photo with what was read on it.
type measuredShot struct {
	data []byte
	doc  *answer.Document
	read []int // locations of doc
}

// measured reads the bundled photos. Limits of the builder's own let nearly everything be out,
// so that it gets its page.
func measured(tb testing.TB) (out []measuredShot) {
	tb.Helper()
	own := &qc.OwnLimits{Name: "hatch frame", Reference: "BH-112", Limits: []qc.OwnLimit{{Quantity: "edge_distance", MinD: 3.9}}}
	for _, s := range []struct {
		name string
		spec qc.Spec
	}{
		{"dev-03", qc.Spec{Kind: qc.UniversalHead, NominalMM: 4.7625, Own: own}},
		{"dev-08", qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625, Own: own}},
		{"dev-13", qc.Spec{Kind: qc.Hole, NominalMM: 3.96875, Own: own}},
		{"dev-16", qc.Spec{Kind: qc.ShopHead, NominalMM: 2.38125, Own: own}},
	} {
		data, err := os.ReadFile("../../testdata/photos/" + s.name + ".jpg")
		if err != nil {
			tb.Fatal(err)
		}
		doc, err := answer.Measure(data, answer.Options{Spec: s.spec})
		if err != nil {
			tb.Fatal(err)
		}
		m := measuredShot{data: data, doc: doc}
		for i := range doc.Locations {
			if l := &doc.Locations[i]; doc.Places(i) != nil && (l.Verdict == qc.Out || l.Verdict == qc.TooClose) {
				m.read = append(m.read, i)
			}
		}
		if len(m.read) < 3 {
			tb.Fatalf("%s: %d fasteners were read that need a page", s.name, len(m.read))
		}
		out = append(out, m)
	}
	return out
}

// workshop is a record with its photos.
type workshop struct {
	dev     *histtest.Device
	entries []history.Entry
	bytes   map[string][]byte // by hash; the same bytes may have several
	shots   []measuredShot
	card    string
}

func newWorkshop(shots []measuredShot, locations int, own bool) *workshop {
	w := &workshop{dev: histtest.NewDevice(1, "Ines K.", history.Builder), bytes: map[string][]byte{}, shots: shots}
	at := histtest.Place{Project: w.put(histtest.Place{}, history.KindProject, history.ProjectData{Name: "Tarn 2", Aircraft: "two-seat amphibian", Builder: "Ines K."}).ID}
	w.card = w.put(at, history.KindCard, history.CardData{Sheet: "2", Paper: "a4", CheckNominalMM: 150, CheckAcrossMM: 149.9, CheckAlongMM: 150.1,
		CheckUMM: 0.2, ThicknessMM: 0.31, ThicknessUMM: 0.02, MeasuredWith: "calipers"}).ID
	for n, shot := 0, 0; n < locations; shot++ {
		of := &shots[shot%len(shots)]
		if n/50 >= len(w.parts()) {
			at.Part = w.put(at, history.KindPart, history.PartData{Name: fmt.Sprintf("Hatch frame, bay %d", n/50+1), Drawing: "BH-112", Spec: &of.doc.Spec}).ID
		}
		var here []histtest.Place
		for range min(len(of.read), locations-n) {
			p := at
			p.Location = w.put(at, history.KindLocation, history.LocationData{Tag: fmt.Sprintf("R%d", n+1), Spec: &of.doc.Spec}).ID
			here = append(here, p)
			n++
		}
		w.attempt(of, here, own, n)
	}
	return w
}

func (w *workshop) parts() (ids []string) {
	for _, e := range w.entries {
		if e.Kind == history.KindPart {
			ids = append(ids, e.ID)
		}
	}
	return ids
}

// attempt has the fasteners measured, and again what was drilled out: of the last of n
// locations every fourth, of the attempts after it every fifth.
func (w *workshop) attempt(of *measuredShot, here []histtest.Place, own bool, n int) {
	first := n - len(here)
	again := map[int]string{}
	var shot history.Entry
	for k, at := range here {
		if k == 0 || own {
			shot = w.shot(of, at)
		}
		f := w.finding(of, k, at, shot)
		if (first+k)%4 == 3 {
			again[k] = f
		}
	}
	for try := 2; len(again) > 0; try++ {
		begun := false
		for k, at := range here {
			f, ok := again[k]
			if !ok {
				continue
			}
			delete(again, k)
			w.put(at, history.KindDrilledOut, history.DrilledOutData{Finding: f, Reason: "head too narrow", DrillMM: 4.6})
			if !begun || own {
				shot, begun = w.shot(of, at), true
			}
			f = w.finding(of, k, at, shot)
			if try == 2 && (first+k)%20 == 3 {
				again[k] = f
			}
		}
	}
}

func (w *workshop) put(at histtest.Place, k history.Kind, data any) history.Entry {
	e := w.dev.Put(at.Draft(k, data))
	w.entries = append(w.entries, e)
	return e
}

// shot takes the photo once more, under a hash of its own.
func (w *workshop) shot(of *measuredShot, at histtest.Place) history.Entry {
	hash := histtest.PhotoHash(fmt.Append(nil, "photo ", len(w.bytes)))
	w.bytes[hash] = of.data
	at.Location = ""
	return w.put(at, history.KindShot, history.ShotData{Photo: hash, Bytes: int64(len(of.data)), Media: "image/jpeg", WidthPx: of.doc.Width, HeightPx: of.doc.Height,
		Calibration: w.card, Layout: of.doc.Scale.Layout, Camera: "phone"})
}

// finding writes what was read of the k-th fastener on a shot.
func (w *workshop) finding(of *measuredShot, k int, at histtest.Place, shot history.Entry) string {
	i := of.read[k]
	l := &of.doc.Locations[i]
	s, err := history.DataOf[history.ShotData](shot)
	if err != nil {
		panic(err)
	}
	d := history.FindingData{Shot: shot.ID, Spec: of.doc.Spec, Method: of.doc.Method, Places: of.doc.Places(i),
		Result: qc.Result{Checks: l.Checks, Unread: l.Unread, Notes: l.Notes, Verdict: l.Verdict}}
	for _, r := range l.Readings {
		r.Photo = s.Photo
		d.Readings = append(d.Readings, r.Reading)
	}
	return w.put(at, history.KindFinding, d).ID
}

func (w *workshop) photo(_ context.Context, hash string) ([]byte, error) {
	if data, ok := w.bytes[hash]; ok {
		return data, nil
	}
	return nil, fmt.Errorf("there is no photo %.12s", hash)
}
