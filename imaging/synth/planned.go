package synth

import (
	"fmt"
	"math"
	"slices"

	"bucktail/imaging/geom"
)

// Planned is a part as somebody built it, to be photographed: the demonstration's parts are
// told so, where [Draw] makes up its own.
type Planned struct {
	Layout    string        // of the card that lies beside the work
	Card      CardPlacement // how that was printed; where it lies is left open
	Sheet     Sheet
	Fasteners []Planted
}

// Planted is one thing that stands in the sheet: a set rivet's shop head or a pulled rivet's head
// of the given mean width, or a drilled hole.
type Planted struct {
	AtMM  geom.SheetPoint
	Dash  string
	Kind  Kind
	DMM   float64 // width of the head, or of the hole
	Oval  float64 // of a head: how much wider than narrow, as a fraction of its width
	OffMM float64 // of a head: how far it stands off its shank, along x
}

// spoilt are the conditions of a photo that nobody would call good.
var spoilt = []string{"swarf", "motion blur", "underexposed", "phone flash near the lens", "raking work lamp", "strong tilt", "2x crop", "shallow depth of field"}

// DrawPlanned photographs a part from near, in good light; another seed is another photo of it.
func DrawPlanned(seed uint64, p Planned) *Scene {
	for try := uint64(0); ; try++ {
		d := &drawing{r: newRandom(seed*1000 + try), layout: p.Layout, stage: "gusset", s: &Scene{Seed: seed, Orientation: 1, Zoom: 1, Effort: Effort{2, 12, 32}}}
		d.s.Sheet = p.Sheet
		for i, f := range p.Fasteners {
			d.s.Fasteners = append(d.s.Fasteners, d.planted(i, f, p.Sheet.Finish))
		}
		if !d.drawCard() {
			continue
		}
		d.s.Card.PrintScale, d.s.Card.ThicknessMM, d.s.Card.InkGainMM = p.Card.PrintScale, p.Card.ThicknessMM, p.Card.InkGainMM
		if !d.drawCamera() || d.s.Camera.TiltDeg() > 12 || d.s.Orientation != 1 {
			continue
		}
		if _, _, z := d.s.Camera.Centre(); z > 150 {
			continue
		}
		d.drawMarks()
		d.drawLight()
		d.drawSensor()
		if !slices.ContainsFunc(d.s.Conditions, func(c string) bool { return slices.Contains(spoilt, c) }) {
			return d.s
		}
	}
}

func (d *drawing) planted(i int, p Planted, finish Finish) Fastener {
	r := d.r
	f := Fastener{ID: fmt.Sprintf("r%d", i+1), Kind: p.Kind, Dash: p.Dash, AxisMM: p.AtMM, FootMM: p.AtMM, Finish: Bare}
	for _, size := range dashes {
		if size.dash == p.Dash {
			f.NominalMM, f.Drill = size.d, size.drill
		}
	}
	if p.Kind == Hole {
		f.Finish, f.BoreMM, f.ChamferMM = "", p.DMM, 0.05
		return f
	}
	f.Drill = ""
	d.drawHead(&f, flaw{})
	if p.Kind == ShopHead {
		f.HeightMM = f.NominalMM * r.span(0.45, 0.55)
		f.WidestMM = f.HeightMM * 0.42
	}
	f.MaxDMM, f.MinDMM = p.DMM*(1+p.Oval/2), p.DMM*(1-p.Oval/2)
	s, c := math.Sincos(2 * math.Pi * r.unit())
	f.FootMM = p.AtMM.Add(geom.SheetPoint{X: p.OffMM * c, Y: p.OffMM * s})
	return f
}
