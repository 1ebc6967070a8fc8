package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// Draw makes up a scene from a seed: a sheet on a bench, fasteners in it, a card beside
// them, a light and a phone. The ranges are those of an ordinary workshop (common practice)
// and of the rendered example photos' truth files.
func Draw(seed uint64) *Scene {
	fixed := newRandom(seed) // what must not depend on how easily it is placed
	layout, zoomed := even(fixed, "window", "window", "corner", "corner", "strip"), fixed.chance(0.1)
	kind := pick(fixed, []float64{50, 20, 11, 6, 13}, ShopHead, Universal, Pulled, Flush, Hole)
	for try := uint64(0); ; try++ {
		d := &drawing{r: newRandom(seed*1000 + try), layout: layout, zoomed: zoomed, kind: kind, s: &Scene{Seed: seed, Orientation: 1, Zoom: 1, Effort: Effort{2, 12, 32}}}
		d.drawSheet()
		d.drawFasteners()
		if d.drawCard() && d.drawCamera() {
			d.drawMarks()
			d.drawLight()
			d.drawSensor()
			return d.s
		}
	}
}

// drawing is a scene in the making.
type drawing struct {
	r      *random
	s      *Scene
	layout string
	zoomed bool
	kind   Kind
	stage  string // "gusset", "tube", "edge" or "angle"
}

func (d *drawing) say(condition string) { d.s.Conditions = append(d.s.Conditions, condition) }

// pick chooses one of the options by weight.
func pick[T any](r *random, weights []float64, options ...T) T {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	k := r.unit() * sum
	for i, w := range weights {
		if k -= w; k < 0 {
			return options[i]
		}
	}
	return options[len(options)-1]
}

func even[T any](r *random, options ...T) T { return options[r.intn(len(options))] }

func (d *drawing) drawSheet() {
	r, sh := d.r, &d.s.Sheet
	sh.Finish = pick(r, []float64{58, 16, 16, 10}, Bare, Green, Grey, Alclad)
	sh.ThicknessMM = even(r, 0.635, 0.813, 1.016)
	sh.BevelMM = r.span(0.06, 0.132)
	sh.BrushDeg = even(r, 0.0, 90.0) + 3*r.normal()
	sh.Grain, sh.Streak = r.span(0.015, 0.06), r.span(0, 0.025)
	sh.Tone, sh.Pits = r.span(0.45, 0.8), r.span(0.07, 0.17)
	sh.Rough, sh.Cloud = r.span(0.11, 0.22), r.span(0.15, 0.4)
	sh.Bench = even(r, "wood", "board", "dark")
	sh.BenchGrainDeg = r.span(0, 180)
	corner := func() float64 { return even(r, 0.6, 0.6, 3.0, 8.0) }
	d.stage = pick(r, []float64{6, 5, 5, 4}, "gusset", "tube", "edge", "angle")
	sh.Under = "none"
	switch d.stage {
	case "edge":
		x0 := even(r, -200.0, 0.0)
		x1 := x0 + 420
		sh.PolygonMM = [][2]float64{{x0, 0}, {x1, 0}, {x1, 330}, {x0, 330}}
		sh.RadiiMM = []float64{even(r, 0.6, 5.0), 0.6, 0.6, 0.6}
		sh.BenchMM = sh.ThicknessMM + r.span(0.3, 14)
	case "angle":
		x1, y := r.span(115, 150), r.span(50, 66)
		sh.Leg = &StandingLeg{Y: y, X0: 0, X1: x1, R: r.span(2.5, 4), H: r.span(19, 26)}
		sh.PolygonMM = [][2]float64{{0, 0}, {x1, 0}, {x1, y + sh.ThicknessMM}, {0, y + sh.ThicknessMM}}
		sh.RadiiMM = []float64{even(r, 0.6, 3, 6), even(r, 0.6, 3, 6), 0.6, 0.6}
		sh.BenchMM = sh.ThicknessMM + r.span(0.05, 8)
	default:
		wide, high := r.span(72, 126), r.span(60, 116)
		sh.PolygonMM = [][2]float64{{0, 0}, {wide, 0}, {wide, high}, {0, high}}
		if d.stage == "gusset" && r.chance(0.6) {
			cutX, cutY := r.span(0.3, 0.7)*wide, r.span(0.25, 0.6)*high
			sh.PolygonMM = [][2]float64{{0, 0}, {wide, 0}, {wide, cutY}, {cutX, high}, {0, high}}
		}
		for range sh.PolygonMM {
			sh.RadiiMM = append(sh.RadiiMM, corner())
		}
		sh.RadiiMM[0] = even(r, 0.6, 0.6, 3.0, 6.0)
		if d.stage == "gusset" {
			sh.Under = "sheet"
			sh.BenchMM = sh.ThicknessMM + 1.2 + r.span(0.1, 20)
			a := 0.12 * r.normal()
			s, c := math.Sincos(a)
			x0, y0, w, h := -r.span(4, 90), -r.span(6, 60), r.span(150, 330), r.span(140, 300)
			for _, p := range [][2]float64{{x0, y0}, {x0 + w, y0}, {x0 + w, y0 + h}, {x0, y0 + h}} {
				sh.UnderMM = append(sh.UnderMM, [2]float64{p[0]*c - p[1]*s, p[0]*s + p[1]*c})
			}
		} else {
			sh.Under = "tube"
			sh.Tube = Tube{AngleDeg: even(r, 0.0, 90.0) + 0.8*r.normal(), WidthMM: even(r, 19.05, 25.4, 31.75), RoundMM: r.span(1.2, 2.6)}
			edge := r.span(-4, 1)
			if math.Abs(sh.Tube.AngleDeg) < 45 {
				sh.Tube.Y = edge + sh.Tube.WidthMM/2
			} else {
				sh.Tube.X = edge + sh.Tube.WidthMM/2
			}
			sh.BenchMM = sh.ThicknessMM + sh.Tube.WidthMM + 0.02
		}
	}
}

var dashes = []struct {
	dash, drill string
	d, hole     float64
}{{"3", "#40", 2.381, 2.489}, {"4", "#30", 3.175, 3.264}, {"5", "#21", 3.969, 4.039}, {"6", "#11", 4.763, 4.851}}

func (d *drawing) drawFasteners() {
	r := d.r
	size := dashes[pick(r, []float64{2, 2, 3, 4}, 0, 1, 2, 3)]
	kind := d.kind
	flaws := flaw{oval: r.chance(0.45), tilted: r.chance(0.14), off: r.chance(0.12), long: r.chance(0.3), burr: r.chance(0.3)}
	mixed := kind == ShopHead && r.chance(0.15)
	finish := d.s.Sheet.Finish
	switch {
	case finish == Bare || finish == Alclad || r.chance(0.55):
		finish = pick(r, []float64{78, 22}, Bare, Alodine)
	}
	for i, p := range d.places(size.d) {
		k := kind
		if mixed && r.chance(0.4) {
			k = Hole
		}
		f := Fastener{ID: fmt.Sprintf("r%d", i+1), Kind: k, Dash: size.dash, NominalMM: size.d, AxisMM: p, FootMM: p, Finish: finish}
		if k == Hole {
			f.ID, f.Drill, f.Finish = fmt.Sprintf("h%d", i+1), size.drill, ""
			d.drawHole(&f, size.hole, flaws)
		} else {
			if finish == d.s.Sheet.Finish && finish != Bare && r.chance(0.12) {
				f.Finish = Alodine
			}
			d.drawHead(&f, flaws)
		}
		d.s.Fasteners = append(d.s.Fasteners, f)
	}
	if kind == ShopHead && flaws.oval {
		d.say("oval head")
	}
	if kind == ShopHead && flaws.tilted {
		d.say("tilted head")
	}
	if kind == ShopHead && flaws.off {
		d.say("off-centre head")
	}
	if kind == Hole && flaws.long {
		d.say("elongated hole")
	}
	if kind == Hole && flaws.burr {
		d.say("burred hole")
	}
	if r.chance(0.55) {
		at := geom.SheetPoint{X: r.span(4, 80), Y: r.span(14, 62)}
		dmm := even(r, 2.489, 3.264, 4.039, 6.35)
		if d.free(at, dmm/2+2) && newOutline(d.s.Sheet.PolygonMM, d.s.Sheet.RadiiMM).dist(at.X, at.Y) < -6 && !d.onLeg(at, 8) {
			d.s.Clutter = append(d.s.Clutter, ClutterHole{at, dmm})
		}
	}
}

type flaw struct{ oval, tilted, off, long, burr bool }

// free tells whether a disc of the given radius stays clear of all fasteners.
func (d *drawing) free(p geom.SheetPoint, radius float64) bool {
	for _, f := range d.s.Fasteners {
		if p.Sub(f.AxisMM).Norm() < radius+max(f.MaxDMM, f.BoreMM)/2 {
			return false
		}
	}
	return true
}

func (d *drawing) onLeg(p geom.SheetPoint, margin float64) bool {
	l := d.s.Sheet.Leg
	return l != nil && p.Y > l.Y-l.R-margin
}

// places lays out one to six locations near the edge y = 0, or near the corner at (0, 0).
func (d *drawing) places(size float64) []geom.SheetPoint {
	r := d.r
	edge, pitch := size*r.span(1.45, 2.4), size*r.span(2.9, 4.6)
	jit := func() float64 { return 0.13 * r.normal() }
	x := edge * r.span(0.9, 1.3)
	if d.stage == "angle" || d.stage == "edge" && d.s.Sheet.PolygonMM[0][0] < -1 {
		x = r.span(8, 40)
	}
	var out []geom.SheetPoint
	put := func(px, py float64) { out = append(out, geom.SheetPoint{X: px + jit(), Y: py + jit()}) }
	switch n := 2 + r.intn(5); pick(r, []float64{5, 2, 2, 1}, "row", "corner", "zigzag", "one") {
	case "row":
		for i := range n {
			put(x+float64(i)*pitch, edge)
		}
	case "corner":
		put(x, edge)
		put(x+pitch, edge)
		put(x, edge+pitch)
		if r.chance(0.4) {
			put(x, edge+2*pitch)
		}
	case "zigzag":
		for i := range max(n, 3) {
			put(x+float64(i)*pitch*0.75, edge+float64(i%2)*pitch)
		}
	default:
		put(x, edge)
	}
	return out
}

func (d *drawing) drawHead(f *Fastener, flaws flaw) {
	r, n := d.r, f.NominalMM
	f.TiltDeg, f.TiltAzimuthDeg = r.span(0, 0.7), r.span(0, 360)
	f.AngleDeg = r.span(0, 180)
	mean, oval := 0.0, 0.0
	switch f.Kind {
	case ShopHead:
		mean = n * r.span(1.31, 1.71)
		f.HeightMM = n * r.span(0.37, 0.605)
		f.WidestMM = f.HeightMM * r.span(0.34, 0.48)
		f.RimRatio = r.span(0.865, 0.90)
		oval = r.span(0.002, 0.013) * mean
		f.TiltDeg = r.span(0, 1)
		f.FootMM = geom.SheetPoint{X: f.AxisMM.X + 0.028*r.normal(), Y: f.AxisMM.Y + 0.028*r.normal()}
		if flaws.oval && r.chance(0.5) {
			oval = r.span(0.05, 0.125) * mean
		}
		if flaws.tilted && r.chance(0.5) {
			f.TiltDeg = r.span(2, 5)
		}
		if flaws.off {
			a, b := r.span(0.03, 0.13)*n, r.span(0, 2*math.Pi)
			f.FootMM = f.AxisMM.Add(geom.SheetPoint{X: a * math.Cos(b), Y: a * math.Sin(b)})
		}
	case Universal:
		mean, oval = n*r.span(1.965, 2.04), r.span(0.001, 0.006)*2*n
		f.HeightMM, f.WidestMM = n*r.span(0.409, 0.432), lipMM
	case Pulled:
		mean, oval = n*r.span(1.96, 2.04), r.span(0.001, 0.006)*2*n
		f.HeightMM, f.WidestMM = n*r.span(0.30, 0.385), lipMM
		f.MandrelHoleMM = n * r.span(0.51, 0.60)
		f.StemTopMM = f.HeightMM + r.span(-0.5, 0.45)
	case Flush:
		mean, oval = n*r.span(1.76, 1.81), 0.002
		f.HeightMM, f.GapMM = r.span(-0.02, 0.045), r.span(0.02, 0.05)
		f.WidestMM = f.HeightMM - 0.04
		f.TiltDeg = r.span(0, 0.15)
	}
	f.MaxDMM, f.MinDMM = mean+oval/2, mean-oval/2
}

func (d *drawing) drawHole(f *Fastener, drill float64, flaws flaw) {
	r := d.r
	f.BoreMM, f.ChamferMM = drill+r.span(-0.005, 0.06), even(r, 0.03, 0.05, 0.12)
	if flaws.long && r.chance(0.3) {
		f.LongMM, f.LongDeg = r.span(0.25, 0.7), r.span(0, 180)
	}
	f.Burred = flaws.burr && r.chance(0.6)
}
