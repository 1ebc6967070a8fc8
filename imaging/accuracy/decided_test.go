//go:build training

package accuracy

// This file tells how often a rivet or a hole is decided that was made to the middle of its limits,
// by size and distance. It renders a hundred photos, on 32 cores in minutes:
//
//	go test -tags training -run Decided -timeout 9h -v ./imaging/accuracy
//
// and prints the table that stands in README.md.

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/synth"
	"bucktail/qc"
)

// decided counts the fasteners of one cell of the table.
type decided struct{ all, read, width, whole int }

func TestHowOftenItIsDecided(t *testing.T) {
	dashes, distances := []string{"3", "4", "5", "6"}, []float64{8, 12, 16, 20} // px per mm
	const photos = 3
	type job struct {
		kind         synth.Kind
		dash         string
		pxPerMM      float64
		seed         uint64
		cell, number int
	}
	var jobs []job
	for _, kind := range []synth.Kind{synth.ShopHead, synth.Hole} {
		for _, dash := range dashes {
			for _, d := range distances {
				for n := range photos {
					jobs = append(jobs, job{kind, dash, d, 990500 + uint64(len(jobs)/len(distances)/photos*photos+n), len(jobs) / photos, n})
				}
			}
		}
	}
	cells := make([]decided, len(jobs)/photos)
	found := make([]decided, len(jobs))
	if _, err := together(len(jobs), func(i int) (*score, error) {
		j := jobs[i]
		var err error
		found[i], err = decide(j.kind, j.dash, j.pxPerMM, j.seed)
		if err != nil {
			err = fmt.Errorf("%s -%s at %g px/mm, seed %d: %w", j.kind, j.dash, j.pxPerMM, j.seed, err)
		}
		return nil, err
	}); err != nil {
		t.Fatal(err)
	}
	for i, f := range found {
		c := &cells[jobs[i].cell]
		c.all, c.read, c.width, c.whole = c.all+f.all, c.read+f.read, c.width+f.width, c.whole+f.whole
	}
	var b strings.Builder
	for i := 0; i < len(cells); i += len(distances) {
		j := jobs[i*photos]
		fmt.Fprintf(&b, "| %s of a -%s |", map[synth.Kind]string{synth.ShopHead: "driven head", synth.Hole: "hole"}[j.kind], j.dash)
		for _, c := range cells[i : i+len(distances)] {
			fmt.Fprintf(&b, " %.0f %%, %.0f %% |", 100*float64(c.width)/float64(c.all), 100*float64(c.whole)/float64(c.all))
		}
		b.WriteByte('\n')
	}
	t.Logf("of %d fasteners a cell: diameter decided, whole location decided\n%s", cells[0].all, b.String())
}

// decide photographs a gusset of six that were made to the middle of their limits, and counts those
// that the program calls within, by their diameter and as a whole.
func decide(kind synth.Kind, dash string, pxPerMM float64, seed uint64) (decided, error) {
	said := said{kind: kindOf[kind], dash: dash}
	nominal, err := said.nominalMM()
	if err != nil {
		return decided{}, err
	}
	spec := qc.Spec{Kind: said.kind, NominalMM: nominal}
	least, greatest := qc.HeadDMin, qc.HeadDMax
	if kind == synth.Hole {
		least, greatest = qc.HoleDMin, qc.HoleDMax
	}
	limits, err := spec.Limits()
	if err != nil {
		return decided{}, err
	}
	var middle float64
	for _, l := range limits {
		if l.Quantity == least {
			middle += l.MinMM / 2
		}
		if l.Quantity == greatest {
			middle += l.MaxMM / 2
		}
	}
	s := synth.DrawPlanned(seed, gusset(kind, dash, nominal, middle))
	u := s.Project(s.Fasteners[0].AxisMM, 0)
	v := s.Project(s.Fasteners[0].AxisMM.Add(geom.SheetPoint{X: 10}), 0)
	s = s.Scaled(int(float64(s.Width) * pxPerMM / (v.Sub(u).Norm() / 10)))
	picture, _ := s.Render()
	var photo bytes.Buffer
	if err := s.Encode(&photo, picture); err != nil {
		return decided{}, err
	}
	doc, err := answer.Measure(photo.Bytes(), answer.Options{Spec: spec, Size: dash,
		Measure: measure.Options{ScaleX: s.Card.PrintScale[0], ScaleY: s.Card.PrintScale[1], ThicknessMM: s.Card.ThicknessMM}})
	if err != nil {
		return decided{}, err
	}
	out := decided{all: len(s.Fasteners)}
	for _, l := range doc.Locations {
		if len(l.Readings) == 0 {
			continue
		}
		out.read++
		width := true
		for _, c := range l.Checks {
			if q := c.Limit.Quantity; q == least || q == greatest {
				width = width && c.Verdict == qc.Within
			}
		}
		if width {
			out.width++
		}
		if l.Verdict == qc.Within {
			out.whole++
		}
	}
	return out, nil
}

// gusset has four along its lower edge and two up its side, 4 D apart and 2.75 D from the edges.
func gusset(kind synth.Kind, dash string, nominalMM, diameterMM float64) synth.Planned {
	p := synth.Planned{Layout: "corner", Card: synth.CardPlacement{PrintScale: [2]float64{1.002, 0.999}, ThicknessMM: 0.25, InkGainMM: 0.005},
		Sheet: synth.Sheet{Finish: synth.Bare, ThicknessMM: 0.813, BevelMM: 0.1, Grain: 0.03, Streak: 0.01, Tone: 0.6, Pits: 0.1, Rough: 0.15, Cloud: 0.2,
			PolygonMM: [][2]float64{{0, 0}, {92, 0}, {92, 40}, {40, 92}, {0, 92}}, RadiiMM: []float64{3, 3, 3, 3, 3},
			Under: "none", Bench: "wood", BenchMM: 9}}
	for i := range 6 {
		at := geom.SheetPoint{X: nominalMM * (2.75 + 4*float64(i)), Y: 2.75 * nominalMM}
		if i > 3 {
			at = geom.SheetPoint{X: 2.75 * nominalMM, Y: nominalMM * (2.75 + 4*float64(i-3))}
		}
		f := synth.Planted{AtMM: at, Dash: dash, Kind: kind, DMM: diameterMM}
		if kind == synth.ShopHead {
			f.Oval, f.OffMM = 0.012, 0.05
		}
		p.Fasteners = append(p.Fasteners, f)
	}
	return p
}
