package history_test

import (
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// A finding of several photos names their shots, its own among them, and no reading stands on more of
// them than there are. One of a single photo has none, as all that were written before.
func TestFindingNamesTheShotsThatItStandsOn(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	at := histtest.Place{Project: project(d).ID}
	at.Part = d.Put(at.Draft(history.KindPart, history.PartData{Name: "Angle"})).ID
	at.Location = d.Put(at.Draft(history.KindLocation, history.LocationData{Tag: "R1"})).ID
	shot := func(photo string) string {
		return d.Put(at.Draft(history.KindShot, histtest.Shot([]byte(photo), "", at.Location))).ID
	}
	a, b := shot("a"), shot("b")
	for _, tt := range []struct {
		what  string
		views []history.View
		stand int    // photos that a reading stands on
		fault string // "" where all is well
	}{
		{"one photo", nil, 0, ""},
		{"two", []history.View{{Shot: a, Used: true}, {Shot: b, Used: true}}, 2, ""},
		{"two, of which one was left out", []history.View{{Shot: b, Why: "blurred"}, {Shot: a, Used: true}}, 1, ""},
		{"one alone", []history.View{{Shot: a, Used: true}}, 1, "measured together"},
		{"others", []history.View{{Shot: b, Used: true}, {Shot: b, Used: true}}, 2, "own shot"},
		{"more than there are", []history.View{{Shot: a, Used: true}, {Shot: b, Used: true}}, 3, "stands on 3 of 2 shots"},
		{"more than none", nil, 2, "stands on 2 of 0 shots"},
		{"no shot", []history.View{{Shot: a, Used: true}, {Shot: "b", Used: true}}, 2, "shot measured together"},
	} {
		f := histtest.HeadFinding(a, histtest.PhotoHash([]byte("a")), 7.3, 10.4)
		f.Views = tt.views
		f.Readings[0].Views = tt.stand
		e, err := d.Try(at.Draft(history.KindFinding, f))
		if tt.fault != "" {
			if err == nil || !strings.Contains(err.Error(), tt.fault) {
				t.Errorf("%s: %v, want %q", tt.what, err, tt.fault)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		if tt.views == nil && strings.Contains(string(e.Bytes()), "views") {
			t.Errorf("%s: its bytes are not those of a finding as it was: %s", tt.what, e.Bytes())
		}
		for _, v := range tt.views {
			if !strings.Contains(string(e.Bytes()), v.Shot) {
				t.Errorf("%s: %s is not named", tt.what, v.Shot)
			}
		}
	}
}
