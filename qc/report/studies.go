package report

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/gaugestudy"
	"bucktail/qc/history"
)

// phonesOf lists the devices that measured a part's locations from photos.
func (b *builder) phonesOf(entries []history.Entry) map[string]bool {
	out := map[string]bool{}
	for _, e := range entries {
		if e.Kind == history.KindFinding && len(e.Photos()) > 0 {
			out[b.st.Phone(e.Device)] = true
		}
	}
	return out
}

// studies are the gauge studies of the phones whose readings the part shows, and those phones that have
// none.
func (w *writer) studies(p *Part) {
	if len(p.Phones) == 0 || len(w.rec.Project.Studies) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Gauge studies of these phones", 22)
	ww := s.width()
	cols := []column{{"phone, date", 0.24 * ww, false}, {"what, sheet, card", 0.23 * ww, false}, {"of", 0.09 * ww, false}, {"bias", 0.15 * ww, true},
		{"repeats", 0.1 * ww, true}, {"U stated", 0.1 * ww, true}, {"U", 0.09 * ww, true}}
	proven := map[string]bool{}
	var notes []string
	s.table(cols, func(t *table) {
		for _, st := range w.rec.Project.Studies {
			if !p.Phones[st.Phone] {
				continue
			}
			r := st.Result
			holds := "holds"
			switch r.Verdict {
			case gaugestudy.Worse:
				holds = fmt.Sprintf("× %.2f", r.Factor)
			case gaugestudy.TooFew:
				holds = "too few"
			}
			proven[st.Phone] = proven[st.Phone] || r.Verdict != gaugestudy.TooFew
			bias, repeats, stated := "", "", ""
			if r.Verdict != gaugestudy.TooFew {
				bias, repeats, stated = w.bias(r), w.u.Value(r.RepeatMM), w.u.Value(r.MeanUMM)
			}
			t.row("", cell{text: join(", ", w.deviceName(st.Phone), st.Camera, w.when.day(st.At)), style: text},
				cell{text: join(", ", studied(st.Kind)+opt(" ", st.Size), opt("sheet ", st.Sheet), st.Layout, st.Light), style: text},
				cell{text: fmt.Sprintf("%d × %d", r.Objects, r.Photos), style: text}, cell{text: bias, style: text}, cell{text: repeats, style: text},
				cell{text: stated, style: text}, cell{text: holds, style: strong})
			for _, n := range r.Notes {
				notes = append(notes, w.when.day(st.At)+": "+n)
			}
		}
	})
	for _, d := range w.rec.Chain.Devices {
		if p.Phones[d.ID] && !proven[d.ID] {
			s.para(w.deviceName(d.ID)+" has no gauge study.", text)
		}
	}
	for _, n := range notes {
		s.para(upper(n)+".", pale)
	}
	s.para("Objects of known size, each on several photos with the phone put down between (two-factor analysis of variance; ISO 5725-3, JCGM 100 F.2.4.5). "+
		"Where U did not hold, later readings of that phone have the larger U.", pale)
}

func studied(k qc.Kind) string {
	if k == qc.PrintedCircles {
		return "printed circles (optics alone)"
	}
	return kindWords[k]
}

// bias shows a signed mean error with its U; what rounds to nothing has no sign.
func (w *writer) bias(r gaugestudy.Result) string {
	sign := ""
	if r.BiasMM <= -0.005 {
		sign = "−"
	} else if r.BiasMM >= 0.005 {
		sign = "+"
	}
	return sign + w.u.WithU(math.Abs(r.BiasMM), r.BiasUMM)
}

// deviceName is what a device is called, or the beginning of its id.
func (w *writer) deviceName(id string) string {
	for _, d := range w.rec.Chain.Devices {
		if d.ID == id && d.Name != "" {
			return d.Name
		}
	}
	return "device " + id[:min(8, len(id))]
}
