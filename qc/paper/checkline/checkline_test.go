package checkline

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc"
)

func TestJudge(t *testing.T) {
	for _, tt := range []struct {
		name             string
		across, along, u float64
		says             string // of the refusal; empty: none
	}{
		{"true", 150, 150, 0.1, ""},
		{"usual printer", 149.7, 150.4, 0.2, ""},
		{"at the bound", 151.5, 151.5, 0.4, ""},
		{"the printer scaled", 141, 141, 0.2, "the printer scaled the page"},
		{"fitted to Letter", 150 * 0.94, 150 * 0.94, 0.2, "a scale of 94 %"},
		{"one line scaled", 150, 141, 0.2, "the line along is 141.0 mm"},
		{"two per cent off", 147, 147, 0.2, "2.0 % off"},
		{"lines differ", 148.6, 151.4, 0.1, "the lines differ"},
		{"inches", 5.906, 5.906, 0.2, "looks like inches"},
		{"centimetres", 15.0, 15.0, 0.2, "looks like centimetres"},
		{"nothing", 0, 150, 0.2, "has no length"},
		{"no number", math.NaN(), 150, 0.2, "has no length"},
		{"infinite", math.Inf(1), 150, 0.2, "can't be the check line"},
		{"another line", 300, 150, 0.2, "can't be the check line"},
		{"no uncertainty", 150, 150, 0, "uncertainty"},
		{"rough", 150, 150, 1, "uncertainty"},
	} {
		s, err := Judge(tt.across, tt.along, tt.u)
		if tt.says == "" {
			if err != nil || math.Abs(s.Across*150-tt.across) > 1e-9 || math.Abs(s.Along*150-tt.along) > 1e-9 ||
				math.Abs(s.U*150-tt.u) > 1e-9 {
				t.Errorf("%s: %+v, %v", tt.name, s, err)
			}
			continue
		}
		var r *qc.Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Text, tt.says) || r.Do == "" {
			t.Errorf("%s: %v does not say %q and what to do", tt.name, err, tt.says)
		}
	}
}

func TestJudgeThickness(t *testing.T) {
	for _, tt := range []struct {
		mm, u float64
		ok    bool
	}{{0.1, 0.02, true}, {0.3, 0.05, true}, {1.8, 0.05, true}, {0.01, 0.01, false}, {25, 0.1, false}, {0.3, 0, false}, {0.3, 2, false}, {math.NaN(), 0.1, false}} {
		if err := JudgeThickness(tt.mm, tt.u); (err == nil) != tt.ok {
			t.Errorf("%v ± %v: %v", tt.mm, tt.u, err)
		}
	}
	var r *qc.Refusal
	if err := JudgeThickness(0.0098, 0.02); !errors.As(err, &r) || !strings.Contains(r.Text, "inches") || !strings.Contains(r.Do, "0.25") {
		t.Errorf("0.0098: %v", err)
	}
}
