package standing

import (
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Came is what one finding or hand reading came to by itself, for lists and plots of many.
type Came struct {
	Whole   qc.Verdict `json:"whole"`
	NotRead int        `json:"not_read"`
	// Points are its marks in plots; none for what counts no more.
	Points map[Plot]Point `json:"points,omitempty"`
}

// Plot is what a plot shows over time or over the part.
type Plot string

// The plots.
const (
	HeadPlot Plot = "head" // mean diameters of heads
	HolePlot Plot = "hole" // mean diameters of holes
	EdgePlot Plot = "edge" // the nearest edge
)

// Plots lists them.
var Plots = []Plot{HeadPlot, HolePlot, EdgePlot}

// Point is one mark in a plot: a value with its uncertainty, the limits that apply, and the verdict
// on them.
type Point struct {
	MM  float64 `json:"mm"`
	UMM float64 `json:"U_mm"`
	// Verdict is that of the quantity's checks, "unread" where these are within and the location was
	// not all read, "" where nothing was judged.
	Verdict qc.Verdict `json:"verdict"`
	MinMM   float64    `json:"min_mm,omitempty"`
	MaxMM   float64    `json:"max_mm,omitempty"`
}

// CameTo tells what each finding and hand reading of a part came to by itself, by its entry's id.
func CameTo(st *history.State, part string) map[string]Came {
	counts := map[string]bool{}
	for _, l := range st.Locations(part) {
		for _, a := range l.Attempts {
			for _, id := range a.Findings {
				counts[id] = true
			}
		}
	}
	out := map[string]Came{}
	for _, e := range st.Concerning(part) {
		x, ok := read(e)
		if !ok || x.Filed {
			continue
		}
		s := x.summary()
		c := Came{Whole: s.Whole, NotRead: len(s.Missing)}
		if counts[e.ID] {
			c.Points = x.points()
		}
		out[e.ID] = c
	}
	return out
}

func (e entry) points() map[Plot]Point {
	out := map[Plot]Point{}
	for _, p := range Plots {
		if m, ok := e.point(p); ok {
			out[p] = m
		}
	}
	return out
}

// point gives the plot's mark: of several readings the smallest, with the checks of its quantity.
// The limits of a diameter are on its least and greatest, a mark shows the mean.
func (e entry) point(p Plot) (Point, bool) {
	of := map[Plot]qc.Quantity{HeadPlot: qc.HeadDMean, HolePlot: qc.HoleDMean, EdgePlot: qc.EdgeDistance}[p]
	var least *qc.Reading
	for i, r := range e.Readings {
		if r.Quantity == of && (least == nil || r.ValueMM < least.ValueMM) {
			least = &e.Readings[i]
		}
	}
	if least == nil {
		return Point{}, false
	}
	m := Point{MM: least.ValueMM, UMM: least.UMM}
	family := strings.TrimSuffix(string(of), "_mean")
	for _, c := range e.Result.Checks {
		if !strings.HasPrefix(string(c.Limit.Quantity), family) {
			continue
		}
		if p != EdgePlot || c.Reading.Same(*least) {
			m.Verdict = qc.Worst(m.Verdict, c.Verdict)
		}
		if m.MinMM == 0 {
			m.MinMM = c.Limit.MinMM
		}
		if m.MaxMM == 0 {
			m.MaxMM = c.Limit.MaxMM
		}
	}
	m.Verdict = qc.Whole(m.Verdict, e.Result.Unread)
	return m, true
}
