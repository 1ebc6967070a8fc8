package qc

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bucktail/qc/spec"
)

// Which says which drills may have made a hole.
type Which struct {
	Admits []spec.Drill `json:"admits"` // by diameter
	Not    []spec.Drill `json:"not"`    // the nearest number or letter drills on either side that it was not
	Text   string       `json:"text"`
}

// readMM is how finely diameters are shown: a drill whose holes only touch value ± U by less is none
// that it admits.
const readMM = 0.005

// WhichDrill names the drills whose holes, with the published tolerance of drilled holes, a reading of
// a hole's diameter admits: its mean, or else its least one. ok is false where no diameter was read.
func WhichDrill(readings []Reading, limits []Limit) (w Which, ok bool) {
	var r *Reading
	for _, q := range []Quantity{HoleDMean, HoleDMin} {
		if i := slices.IndexFunc(readings, func(x Reading) bool { return x.Quantity == q && !bad(x.ValueMM) && x.UMM > 0 }); i >= 0 && r == nil {
			r = &readings[i]
		}
	}
	if r == nil {
		return w, false
	}
	lo, hi := r.ValueMM-r.UMM, r.ValueMM+r.UMM
	var under, over spec.Drill
	for _, d := range slices.Concat(spec.Drills, spec.MetricDrills) {
		least, greatest := spec.Drilled(d.DiameterMM)
		named := d.Series == "number" || d.Series == "letter"
		switch {
		case greatest-lo <= readMM:
			if named && d.DiameterMM > under.DiameterMM {
				under = d
			}
		case hi-least <= readMM:
			if named && (over.Name == "" || d.DiameterMM < over.DiameterMM) {
				over = d
			}
		default:
			w.Admits = append(w.Admits, d)
		}
	}
	slices.SortStableFunc(w.Admits, func(a, b spec.Drill) int { return int(math.Round(1e4 * (a.DiameterMM - b.DiameterMM))) })
	var names, not []string
	for _, d := range w.Admits {
		names = append(names, d.Name)
	}
	for _, d := range []spec.Drill{under, over} {
		if d.Name != "" {
			w.Not, not = append(w.Not, d), append(not, "not a "+d.Name)
		}
	}
	switch len(names) {
	case 0:
		w.Text = "which drill: none of the tables makes a hole of " + Millimetres.WithU(r.ValueMM, r.UMM)
	case 1:
		w.Text = "which drill: " + names[0] + ", no other of the tables"
	default:
		w.Text = "which drill: can't tell: " + strings.Join(append(not, "may be "+strings.Join(names[:len(names)-1], ", ")+" or "+names[len(names)-1]), ", ")
	}
	w.Text += " (" + spec.CiteDrilled.Source + ")"
	if go_, noGo := band(limits); go_ > 0 && noGo > 0 && 2*r.UMM > noGo-go_ {
		w.Text += fmt.Sprintf("; the hole's band is finer than U: go and no-go pins of %s and %s settle it", pinWords(go_), pinWords(noGo))
	}
	return w, true
}

// band gives the limits of a final hole, 0 where there are none.
func band(limits []Limit) (least, greatest float64) {
	for _, l := range limits {
		switch l.Quantity {
		case HoleDMin:
			least = l.MinMM
		case HoleDMax:
			greatest = l.MaxMM
		}
	}
	return least, greatest
}

// Pin writes a pin's diameter to a thousandth of a millimetre, or a ten-thousandth of an inch: a band
// is a tenth of a millimetre wide.
func (u Units) Pin(mm float64) string {
	if u == Inches {
		return fmt.Sprintf("%.4f in", mm/MMPerInch)
	}
	return fmt.Sprintf("%.3f mm", mm)
}

// pinWords names a pin as either set of pins has it.
func pinWords(mm float64) string { return Millimetres.Pin(mm) + " (" + Inches.Pin(mm) + ")" }

// Pins are what a go and a no-go pin of a hole's band said, as readings of its least and greatest
// diameter: half the band wide where the one entered and the other did not. A pin that did not enter,
// or a no-go pin that did, says only that the hole is beyond it.
func Pins(goMM, noGoMM float64, goEnters, noGoEnters bool) ([]Reading, error) {
	if !(goMM > 0 && noGoMM > goMM && noGoMM < 100) {
		return nil, &Refusal{Code: "bad-pins", Text: fmt.Sprintf("pins of %s and %s are no band", pinWords(goMM), pinWords(noGoMM)), Do: "give the go pin's diameter and the no-go pin's, which is larger"}
	}
	if noGoEnters && !goEnters {
		return nil, &Refusal{Code: "bad-pins", Text: "the larger pin entered and the smaller one did not", Do: "try both again"}
	}
	half := (noGoMM - goMM) / 2
	mm, warn := goMM+half, "a pin shows the least diameter alone: an elongated hole shows on the photo, as out of round"
	switch {
	case noGoEnters:
		mm, warn = noGoMM+half, "wider than the no-go pin, by how much a pin does not say"
	case !goEnters:
		mm, warn = goMM-half, "narrower than the go pin, by how much a pin does not say"
	}
	word := map[bool]string{true: "entered", false: "did not enter"}
	r := Reading{ValueMM: mm, UMM: half * (1 - 1e-9), How: ByGauge, Warnings: []string{warn}, // the pins' own bounds are within
		Method: fmt.Sprintf("pins: go %s %s, no-go %s %s", pinWords(goMM), word[goEnters], pinWords(noGoMM), word[noGoEnters])}
	least, greatest := r, r
	least.Quantity, greatest.Quantity = HoleDMin, HoleDMax
	return []Reading{least, greatest}, nil
}
