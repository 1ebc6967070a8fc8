package history_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// Places come from outside and are drawn: what lies nowhere near a photo is refused.
func TestPlacesThatCannotBeDrawnAreRefused(t *testing.T) {
	good := func() *history.Places {
		return &history.Places{WidthPx: 4000, HeightPx: 3000, CentrePx: history.PxPair{2400, 1400}, SheetMM: [2]float64{30, 9}, RadiusMM: 3.75,
			Camera:    history.Camera{FocalPx: 3000, CxPx: 2000, CyPx: 1500, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 150}},
			OutlinePx: []history.PxPair{{2475, 1400}}, Spans: []history.ReadingPlace{{Reading: 3, EdgePx: &[2]history.PxPair{{1, 2}, {3, 4}}}}}
	}
	if err := good().Valid(5); err != nil {
		t.Fatal(err)
	}
	for want, spoil := range map[string]func(p *history.Places){
		"a photo of 0":          func(p *history.Places) { p.WidthPx = 0 },
		"1000 points":           func(p *history.Places) { p.OutlinePx = make([]history.PxPair, 1000) },
		"no camera":             func(p *history.Places) { p.Camera.FocalPx = 0 },
		"took a photo":          func(p *history.Places) { p.Camera.R[1][2] = 1e300 },
		"reading 5 of 5":        func(p *history.Places) { p.Spans[0].Reading = 5 },
		"a place at [1e+300":    func(p *history.Places) { p.Spans[0].EdgePx[1][0] = 1e300 },
		"a place at [NaN":       func(p *history.Places) { p.OutlinePx[0][0] = math.NaN() },
		"a radius of 0 mm":      func(p *history.Places) { p.RadiusMM = 0 },
		"at [30 1e+09] mm":      func(p *history.Places) { p.SheetMM[1] = 1e9 },
		"a place at [2400 -1e+": func(p *history.Places) { p.CentrePx[1] = -1e99 },
	} {
		p := good()
		spoil(p)
		if err := p.Valid(5); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
		f := histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 12)
		f.Places = p
		if _, err := json.Marshal(f); err != nil {
			continue // NaN can't be written at all
		}
		at := histtest.Place{Project: histtest.NewDevice(2, "", history.Builder).Device, Part: histtest.NewDevice(3, "", history.Builder).Device}
		at.Location = histtest.NewDevice(4, "", history.Builder).Device
		if _, err := histtest.NewDevice(1, "Bo", history.Builder).Try(at.Draft(history.KindFinding, f)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("an entry with it: %v, not %q", err, want)
		}
	}
}
