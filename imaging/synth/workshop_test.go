package synth

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
)

// bench is a workshop scene in the making: a wide grey sheet 1 mm thick, seen square from
// above at 20 px per mm with its origin in the middle of the picture.
func bench(seed uint64) *workshopDrawing {
	const focal, dist, side = 6000, 300, 440
	d := &workshopDrawing{r: newRandom(seed), s: &Scene{Seed: seed, Width: side, Height: side, Orientation: 1}, k: &workshop{noise: newNoise(3)},
		half: 11, long: 11, dist: dist, main: dashes[1]}
	d.s.workshop = d.k
	d.s.Camera = lookAt(geom.SheetPoint{}, dist, 0, 0, 0)
	d.s.Camera.FocalPx, d.s.Camera.CxPx, d.s.Camera.CyPx = focal, (side-1)/2.0, (side-1)/2.0
	d.s.Ambient = [3]float64{1, 1, 1}
	p := rectangle(-200, -200, 200, 200)
	d.addLevel(p, make([]float64, 4), 0, 1, 0.05, coat{tone: rgb{0.3, 0.3, 0.3}, bx: 1})
	d.sheets, d.k.floorZ = 1, -80
	return d
}

// worstOutline gives the greatest distance in pixels, over the outline's directions, between
// the true outline and the farthest place nearby that shows the round thing number n: for a hole
// that is where the eye looks through or at the wall, for all else where it does not see the
// bare sheet.
func (d *workshopDrawing) worstOutline(n int) float64 {
	d.k.settle()
	w := newWorld(d.s)
	t := d.s.Rounds()[n]
	hole := t.Kind == Hole || t.Kind == OtherHole || t.Kind == DoubleHole || t.Kind == OblongHole
	shown := func(u, v float64) bool {
		x, y := w.ray(u, v)
		m := w.meet(w.eye, w.axes[0].mul(x).add(w.axes[1].mul(y)).add(w.axes[2]), 1e-5, farMM)
		if hole {
			return m.on != onPlate || m.head != 0 || m.n.z < 0.3
		}
		return m.on != onPlate || m.head != 0 || m.zone != zoneFlat
	}
	worst := 0.0
	for _, v := range t.OutlinePx {
		p := v.Sub(t.CentrePx)
		far, last := p.Norm(), 0.0
		for r := math.Max(0, far-6); r < far+6; r += 0.1 {
			if shown(t.CentrePx.U+p.U/far*r, t.CentrePx.V+p.V/far*r) {
				last = r
			}
		}
		worst = math.Max(worst, math.Abs(last-far))
	}
	return worst
}

// What the truth calls the outline of a round thing is where the picture shows its border,
// within a pixel: for fasteners of every kind and make, and for what is none of ours.
func TestOutlinesAreWhereThePictureShowsThem(t *testing.T) {
	origin := geom.SheetPoint{}
	check := func(name string, seed uint64, put func(d *workshopDrawing) bool) {
		d := bench(seed)
		if !put(d) {
			t.Fatalf("%s: no room on an empty sheet", name)
		}
		if px := d.worstOutline(0); px > 1 {
			t.Errorf("%s, seed %d: outline is %.2f px off", name, seed, px)
		}
	}
	for seed := range uint64(6) {
		for _, k := range []Kind{ShopHead, Universal, Pulled, Flush} {
			check(string(k), seed, func(d *workshopDrawing) bool {
				w := d.drawWork(k, 0, d.main)
				w.gap = 0.001
				return d.setHead(w, origin)
			})
		}
		for _, k := range []Kind{Hole, OtherHole, OblongHole, DoubleHole} {
			check(string(k), seed, func(d *workshopDrawing) bool {
				w := d.drawWork(Hole, 0, d.main)
				w.hole.chatter, w.hole.ragged, w.hole.flags = 0, 0, 0 // burrs and the steep flanks of a chattered chamfer look like the wall
				return d.setHole(w, origin, k, d.main.hole)
			})
		}
		for name, set := range map[string]func(d *workshopDrawing) bool{
			"dimple":      func(d *workshopDrawing) bool { return d.setDimple(0, origin) },
			"countersink": func(d *workshopDrawing) bool { return d.setCountersink(0, origin) },
			"washer":      func(d *workshopDrawing) bool { return d.setWasher(0, origin) },
			"bolt or nut": func(d *workshopDrawing) bool { return d.setBolt(0, origin) },
			"socket":      func(d *workshopDrawing) bool { return d.setSocket(0, origin) },
			"screw":       func(d *workshopDrawing) bool { return d.setScrew(0, origin) },
			"cleco":       func(d *workshopDrawing) bool { return d.setCleco(0, origin) },
			"tail":        func(d *workshopDrawing) bool { return d.setTail(0, origin) },
			"grommet":     func(d *workshopDrawing) bool { return d.setGrommet(0, origin) },
			"drop":        func(d *workshopDrawing) bool { return d.setDrop(0, origin) },
			"punch mark":  func(d *workshopDrawing) bool { return d.setPunch(0, origin) },
			"rivet nut":   func(d *workshopDrawing) bool { return d.setThreaded(0, origin) },
		} {
			check(name, seed, set)
		}
	}
}

// A circle drawn with a pen is where the truth has it: outside it there is no ink, just
// inside it there is.
func TestDrawnCircleIsWhereTheTruthHasIt(t *testing.T) {
	d := bench(1)
	p := &pen{tone: rgb{0.02, 0.02, 0.02}}
	const width = 0.8
	p.circle(geom.SheetPoint{X: 1, Y: -2}, 4, 0, 0, 2*math.Pi, width, 1, 0)
	d.noteDrawn(geom.SheetPoint{X: 1, Y: -2}, 4+width/2)
	d.layInk(p)
	for _, v := range d.k.rounds[0].outline {
		u := v.sub(d.k.rounds[0].at).unit()
		for _, c := range []struct {
			off  float64
			inky bool
		}{{0.12, false}, {-0.12, true}, {-width - 0.12, false}} {
			q := v.at(u, c.off)
			if got := d.k.inks[0].cover.at(q.x, q.y) > 0.5; got != c.inky {
				t.Errorf("%.2f mm outside at (%.1f, %.1f): ink %v", c.off, q.x, q.y, got)
			}
		}
	}
}

// The mirror image of a round lamp is where the truth has it: a ray from the eye to a point
// of the outline, mirrored by the sheet, meets the lamp's rim.
func TestReflectionIsWhereTheTruthHasIt(t *testing.T) {
	d := bench(2)
	d.k.levels[0].coat = coat{metal: true, tone: aluminium, rough: 0.03, bx: 1}
	at := vec{40, -30, 900}
	d.addRoundLamp(at)
	r := d.k.rounds[0]
	if r.kind != Reflection || len(r.outline) != outlinePoints {
		t.Fatalf("no reflection: %+v", r)
	}
	w := newWorld(d.s)
	lamp := d.k.room.screens[0]
	for _, v := range r.outline {
		way := v.sub(w.eye)
		p := w.eye.at(way, -w.eye.z/way.z)
		up := vec{way.x, way.y, -way.z}
		q := p.at(up, (at.z-p.z)/up.z).sub(at)
		if rim := math.Hypot(q.dot(lamp.u), q.dot(lamp.v)); math.Abs(rim-1) > 1e-6 {
			t.Errorf("meets the lamp's plane at %.4f of its radius", rim)
		}
	}
}

// Random workshop scenes hold together whatever the seed: nothing panics, everything that
// a label writer needs is there, and all kinds of things come up.
func TestWorkshopScenesHoldTogether(t *testing.T) {
	const seeds = 70
	kinds, carded := map[Kind]int{}, 0
	for seed := range uint64(seeds) {
		s := DrawWorkshop(seed)
		if s.Card != nil {
			carded++
		}
		for _, r := range s.Rounds() {
			kinds[r.Kind]++
			if len(r.OutlinePx) != outlinePoints || !(r.MeanDMM > 0.2) || r.Visible < 0 || r.Visible > 1 {
				t.Errorf("seed %d %s %s: %d points, %.2f mm, %.2f visible", seed, r.ID, r.Kind, len(r.OutlinePx), r.MeanDMM, r.Visible)
			}
			for _, p := range r.OutlinePx {
				if math.IsNaN(p.U + p.V) {
					t.Errorf("seed %d %s %s: an outline point is no number", seed, r.ID, r.Kind)
				}
			}
		}
		for i, f := range s.Fasteners {
			for _, g := range s.Fasteners[:i] {
				if gap := f.AxisMM.Sub(g.AxisMM).Norm() - (math.Max(f.MaxDMM, f.BoreMM)+math.Max(g.MaxDMM, g.BoreMM))/2; gap < 0 {
					t.Errorf("seed %d: %s and %s overlap by %.2f mm", seed, f.ID, g.ID, -gap)
				}
			}
			if s.Card != nil && s.Card.Covers(f.AxisMM) {
				t.Errorf("seed %d: %s lies under the card", seed, f.ID)
			}
		}
		if !(s.Processing.Gain > 0) || math.IsInf(s.Processing.Gain, 0) {
			t.Errorf("seed %d: gain %g", seed, s.Processing.Gain)
		}
		if seed < 20 {
			if _, err := json.Marshal(s.Truth()); err != nil {
				t.Errorf("seed %d: %v", seed, err)
			}
		}
	}
	if fraction := float64(carded) / float64(seeds); fraction < 0.5 || fraction > 0.82 {
		t.Errorf("%.0f %% of the scenes have a card, want two thirds", 100*fraction)
	}
	for _, k := range []Kind{ShopHead, Universal, Pulled, Flush, Hole, OtherHole, DoubleHole, OblongHole, Threaded, Dimple, Countersink, Bolt, Nut,
		SocketScrew, Screw, Washer, Cleco, PulledTail, NutplateRivet, Grommet, Drawn, PunchMark, Corner, Reflection, Drop} {
		if kinds[k] == 0 {
			t.Errorf("no %s in %d scenes", k, seeds)
		}
	}
}

// A window shows the same part of the sheet as the whole picture does, and a scaled scene
// the same view: outlines move by just the window's corner or the scale.
func TestWindowsAndScaledScenesKeepTheirTruth(t *testing.T) {
	s := DrawWorkshop(3)
	by := map[string]Round{}
	for _, r := range s.Rounds() {
		by[r.ID] = r
	}
	k := float64(s.Width/4) / float64(s.Width)
	for name, v := range map[string]struct {
		s      *Scene
		du, dv float64
		k      float64
	}{
		"window": {s.Window(100, 60, s.Width-100, s.Height-60), 100, 60, 1},
		"scaled": {s.Scaled(s.Width / 4), 0.5/k - 0.5, 0.5/k - 0.5, k},
	} {
		n := 0
		for _, r := range v.s.Rounds() {
			o := by[r.ID]
			for i, p := range r.OutlinePx {
				n++
				want := geom.PxPoint{U: (o.OutlinePx[i].U - v.du) * v.k, V: (o.OutlinePx[i].V - v.dv) * v.k}
				if e := p.Sub(want).Norm(); e > 0.01 {
					t.Fatalf("%s: %s is %.3f px off", name, r.ID, e)
				}
			}
		}
		if n == 0 {
			t.Errorf("%s: nothing to compare", name)
		}
	}
}

// A workshop picture is the same each time it is rendered, and its file keeps what a maker
// says of digital zoom, or nothing when it has been stripped.
func TestWorkshopFileSaysWhatThePhoneSays(t *testing.T) {
	d := bench(4)
	if !d.setHead(d.drawWork(Pulled, 0, d.main), geom.SheetPoint{}) {
		t.Fatal("no room on an empty sheet")
	}
	d.s.Ambient = [3]float64{1, 1, 1}
	d.k.settle()
	s := d.s.Window(160, 160, 96, 64)
	s.Effort, s.Sensor.WhiteGain, s.Sensor.JPEGQuality = Effort{2, 2, 4}, [3]float64{1, 1, 1}, 90
	s.Processing = Processing{Gain: 1, Shrunk: 1, Denoise: 0.02, Local: 0.2, Saturation: 1, HaloPx: 1, Halo: 0.5, Earlier: []int{80}}
	s.FocalMM, s.Focal35MM, s.DigitalZoom = 5.4, 26, 2
	img, _ := s.Render()
	again, _ := s.Render()
	if !bytes.Equal(img.Pix, again.Pix) {
		t.Error("two renderings of one scene differ")
	}
	for _, stripped := range []bool{false, true} {
		s.Stripped = stripped
		var b bytes.Buffer
		if err := s.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		p, err := photo.Decode(b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Focal35MM == 26; got == stripped {
			t.Errorf("stripped %v: 35 mm figure %g", stripped, p.Focal35MM)
		}
		if got := bytes.Contains(b.Bytes()[:400], []byte{0x04, 0xa4, 5, 0}); got == stripped {
			t.Errorf("stripped %v: digital zoom is there: %v", stripped, got)
		}
	}
}
