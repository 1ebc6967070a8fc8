package cli_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/report"
	"bucktail/qc/standing"
)

// One record goes through every outlet: view, record.json, tables, report, form, and, by the kept
// file, the app's bridge. Each must name the same governing check, the same headline and the same
// limits. Photo answers have none of the record, and are compared among themselves.

var update = flag.Bool("update", false, "write testdata/wire/outlets.json anew")

const outletsFile = "../../testdata/wire/outlets.json"

// stands is what every outlet says of a location.
type stands struct {
	Tag      string     `json:"tag"`
	ID       string     `json:"id"`
	Whole    qc.Verdict `json:"whole"`
	Headline string     `json:"headline"`
	NotRead  []string   `json:"not_read"`

	Quantity qc.Quantity `json:"quantity"` // of the check that governs
	ValueMM  float64     `json:"value_mm"`
	UMM      float64     `json:"U_mm"`
	Verdict  qc.Verdict  `json:"verdict"`
	MinMM    float64     `json:"min_mm"`
	MaxMM    float64     `json:"max_mm"`
	Source   string      `json:"source"`

	Set    string          `json:"set"` // the limits in force
	Own    string          `json:"own"`
	Chosen standing.Origin `json:"chosen"`
}

// check fills in the check that governs.
func (s *stands) check(c qc.Check) {
	s.Quantity, s.ValueMM, s.UMM, s.Verdict = c.Reading.Quantity, c.Reading.ValueMM, c.UMM, c.Verdict
	s.MinMM, s.MaxMM, s.Source = c.Limit.MinMM, c.Limit.MaxMM, c.Limit.Source
}

// workshop is the record of the test: two parts, and locations that stand in every way.
type workshop struct {
	t    *testing.T
	d    *histtest.Device
	at   histtest.Place
	tags []string
}

func (w *workshop) put(k history.Kind, data any) string { return w.d.Put(w.at.Draft(k, data)).ID }

// location makes the next location and gives how it stands there.
func (w *workshop) location(rs ...qc.Reading) (finding string) {
	w.at.Location = ""
	w.tags = append(w.tags, fmt.Sprintf("R%d", len(w.tags)+1))
	w.at.Location = w.put(history.KindLocation, history.LocationData{Tag: w.tags[len(w.tags)-1],
		Pin: &history.Pin{X: 0.1 + 0.08*float64(len(w.tags)), Y: 0.4}})
	if len(rs) == 0 {
		return ""
	}
	return w.finding(nil, rs...)
}

func (w *workshop) view() standing.View {
	v, ok := standing.Of(history.StateOf(w.d.Wrote), w.at.Location)
	if !ok {
		w.t.Fatal("the location is not there")
	}
	return v
}

// finding judges what a photo read as the app would: by the limits in force, with the hole.
func (w *workshop) finding(spec *qc.Spec, rs ...qc.Reading) string {
	v := w.view()
	if spec == nil {
		spec = v.Spec
	}
	var hole []qc.Reading
	if spec.Kind != qc.Hole {
		hole = v.Hole
	}
	res, err := qc.JudgeLocation(*spec, rs, hole)
	if err != nil {
		w.t.Fatal(err)
	}
	return w.put(history.KindFinding, history.FindingData{Spec: *spec, Readings: rs, Result: res, Method: "m1"})
}

// gauge enters hand readings.
func (w *workshop) gauge(rs ...qc.Reading) {
	v := w.view()
	h, err := v.ByHand(rs)
	if err != nil {
		w.t.Fatal(err)
	}
	w.put(history.KindGauge, history.GaugeData{Finding: h.Finding, Spec: h.Spec, Instrument: "calipers 150 mm", Readings: rs, Result: h.Result})
	if after := w.view(); after.Current().Headline != h.Then.Headline {
		w.t.Errorf("%s: %q before, %q after saving", v.Location.Tag, h.Then.Headline, after.Current().Headline)
	}
}

func head(width, edge, pitch float64) []qc.Reading {
	photo := histtest.PhotoHash([]byte(fmt.Sprint(width, edge, pitch)))
	r := func(q qc.Quantity, mm, u float64) qc.Reading { return histtest.Reading(q, mm, u, photo) }
	return []qc.Reading{r(qc.HeadDMean, width, 0.06), r(qc.HeadDMin, width-0.05, 0.07), r(qc.HeadDMax, width+0.05, 0.07),
		r(qc.EdgeDistance, edge, 0.07), r(qc.EdgeDistance, edge+4, 0.07), r(qc.Pitch, pitch, 0.05)}
}

func byHand(q qc.Quantity, mm, u float64) qc.Reading {
	return qc.Reading{Quantity: q, ValueMM: mm, UMM: u, How: qc.ByGauge, Method: "calipers"}
}

// newWorkshop writes the record. A -6 rivet's limits: edge 9.525, pitch 14.288; wide 7.144 and high
// 2.381 by the rule of thumb, 6.191 and 1.905 by the military specification.
func newWorkshop(t *testing.T) *workshop {
	w := &workshop{t: t, d: histtest.NewDevice(7, "Ines K.", history.Builder)}
	spec := histtest.ShopHead()
	w.at.Project = w.put(history.KindProject, history.ProjectData{Name: "Tarn 2"})
	w.put(history.KindSettings, history.SettingsData{LimitSet: "rule"})
	w.at.Part = w.put(history.KindPart, history.PartData{Name: "Corner gusset, left", Spec: &spec})

	w.location(head(7.4, 12, 19.2)...) // R1: within, its height by gauge
	w.gauge(byHand(qc.HeadHeight, 2.6, 0.05))
	w.location(head(7.4, 12, 19.2)...) // R2: within, but the height was not read
	w.location(head(7.2, 12, 19.2)...) // R3: too close until the gauge agreed
	w.gauge(byHand(qc.HeadDMin, 7.2, 0.03))
	w.location(head(7.4, 9.8, 19.2)...) // R4: too close by what the shank may stand off
	w.location(head(6.5, 12, 19.2)...)  // R5: out
	w.location(head(7.4, 9.7, 14.5)...) // R6: the edge gauged at the shank, the pitch not
	edge := byHand(qc.EdgeDistance, 9.75, 0.05)
	edge.FromShank = true
	w.gauge(edge)
	near := head(7.4, 12, 19.2)
	near[5].LessMM = 16
	w.location(near...) // R7: a neighbour that is asked about may be the nearest

	w.at.Location, w.at.Part = "", ""
	w.at.Part = w.put(history.KindPart, history.PartData{Name: "Frame 4", Spec: &spec})
	w.put(history.KindLimits, history.LimitsData{Set: "mil"})
	w.location(head(6.6, 12, 19.2)...) // R8: by the part's limits
	w.location()                       // R9: by its own, and not measured yet
	own := &qc.OwnLimits{Name: "hatch", Reference: "BH-112, note 5", Limits: []qc.OwnLimit{{Quantity: "edge_distance", MinMM: 13}}}
	w.put(history.KindLimits, history.LimitsData{Set: "handbook", Own: own})
	w.location() // R10: by its own, the hole's edge before the head's
	w.put(history.KindLimits, history.LimitsData{Set: "handbook", Own: own})
	hole := qc.Spec{Kind: qc.Hole, NominalMM: spec.NominalMM, LimitSet: "handbook", Own: own}
	photo := histtest.PhotoHash([]byte("hole"))
	w.finding(&hole, histtest.Reading(qc.HoleDMin, 4.85, 0.02, photo), histtest.Reading(qc.HoleDMax, 4.87, 0.02, photo),
		histtest.Reading(qc.EdgeDistance, 12.2, 0.05, photo), histtest.Reading(qc.Pitch, 19, 0.05, photo))
	w.finding(nil, head(7.4, 12, 19.2)...)
	return w
}

// stand is how each location stands by its view.
func (w *workshop) stand() []stands {
	st := history.StateOf(w.d.Wrote)
	var out []stands
	for _, part := range st.Parts(w.at.Project) {
		for _, l := range st.Locations(part) {
			v, _ := standing.Of(st, l.ID)
			s := stands{Tag: l.Tag, ID: l.ID, Headline: qc.Headline("", 0), NotRead: []string{}, Set: v.Spec.LimitSet, Chosen: v.Origin}
			if v.Spec.Own != nil {
				s.Own = v.Spec.Own.Name
			}
			if now := v.Current(); now != nil {
				s.Whole, s.Headline = now.Whole, now.Headline
				for _, m := range now.Missing {
					s.NotRead = append(s.NotRead, m.What)
				}
				s.check(now.Checks[now.Governing])
			}
			out = append(out, s)
		}
	}
	return out
}

func TestEveryOutletSaysTheSame(t *testing.T) {
	w := newWorkshop(t)
	want := w.stand()
	expect := []struct {
		tag, headline string
		governs       qc.Quantity
		set, own      string
		chosen        standing.Origin
	}{
		{"R1", "within", qc.HeadDMin, "rule", "", standing.ByProject},
		{"R2", "within, 1 not read", qc.HeadDMin, "rule", "", standing.ByProject},
		{"R3", "within, 1 not read", qc.HeadDMin, "rule", "", standing.ByProject},
		{"R4", "can't tell", qc.EdgeDistance, "rule", "", standing.ByProject},
		{"R5", "out", qc.HeadDMin, "rule", "", standing.ByProject},
		{"R6", "can't tell", qc.Pitch, "rule", "", standing.ByProject},
		{"R7", "can't tell", qc.Pitch, "rule", "", standing.ByProject},
		{"R8", "within, 1 not read", qc.HeadDMin, "mil", "", standing.ByPart},
		{"R9", "open", "", "handbook", "hatch", standing.ByLocation},
		{"R10", "out", qc.EdgeDistance, "handbook", "hatch", standing.ByLocation},
	}
	for i, e := range expect {
		s := want[i]
		if s.Tag != e.tag || s.Headline != e.headline || s.Quantity != e.governs || s.Set != e.set || s.Own != e.own || s.Chosen != e.chosen {
			t.Errorf("%s, want %+v", brief(s), e)
		}
	}
	rec, err := report.Build(history.StateOf(w.d.Wrote), report.Scope{Project: w.at.Project}, time.Date(2026, 11, 9, 14, 20, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	t.Run("record.json", func(t *testing.T) { inRecord(t, rec, want) })
	t.Run("readings.csv", func(t *testing.T) { inTable(t, rec, want) })
	t.Run("report", func(t *testing.T) {
		text := pdfText(t, func(b *bytes.Buffer) error {
			return report.PDF(context.Background(), b, rec, report.Options{Units: qc.Millimetres})
		})
		inReport(t, text, want)
	})
	t.Run("form", func(t *testing.T) {
		text := pdfText(t, func(b *bytes.Buffer) error {
			return report.Form(context.Background(), b, rec, report.Options{Units: qc.Millimetres})
		})
		inForm(t, text, want)
	})
	t.Run("app", func(t *testing.T) { w.kept(t, want) })
}

func brief(s stands) string {
	return fmt.Sprintf("%s %q by %s %.2f (%s), limits %s %s by %s", s.Tag, s.Headline, s.Quantity, s.ValueMM, s.Verdict, s.Set, s.Own, s.Chosen)
}
