//go:build training

// Package training prepares what the networks are trained on; it is built with -tags training
// only. See testdata/training/README.md.
package training

import (
	"fmt"
	"math"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/synth"
	"bucktail/qc"
)

// Kinds names the fasteners as the rest of the program does.
var Kinds = map[synth.Kind]qc.Kind{synth.ShopHead: qc.ShopHead, synth.Universal: qc.UniversalHead,
	synth.Pulled: qc.PulledHead, synth.Flush: qc.FlushHead, synth.Hole: qc.Hole}

// Scene draws the scene of a number: of four, three are like workshop photographs and one is of
// the cleaner drawing, with the round things that are seen and the contours of the fasteners.
func Scene(seed int) (*synth.Scene, []synth.Round, map[string]synth.Contour) {
	if seed%4 != 3 {
		s := synth.DrawWorkshop(uint64(seed))
		s.Harden()
		return s, s.Rounds(), s.Contours()
	}
	s := synth.Draw(uint64(seed) + 3_000_000)
	s.Seed = uint64(seed)
	rounds, contours := things(s)
	return s, rounds, contours
}

// things lists the round things of a scene of Draw.
func things(s *synth.Scene) (rounds []synth.Round, contours map[string]synth.Contour) {
	contours = map[string]synth.Contour{}
	px := func(poly []geom.SheetPoint) (px []geom.PxPoint) {
		for _, p := range poly {
			px = append(px, s.Camera.Project(p, 0))
		}
		return px
	}
	add := func(r synth.Round, outline []geom.SheetPoint) {
		r.OutlinePx, r.OnTop, r.Visible = px(outline), true, 1
		for _, p := range r.OutlinePx {
			r.CentrePx.U += p.U / float64(len(r.OutlinePx))
			r.CentrePx.V += p.V / float64(len(r.OutlinePx))
		}
		if c := r.CentrePx; c.U >= 0 && c.V >= 0 && c.U < float64(s.Width) && c.V < float64(s.Height) {
			rounds = append(rounds, r)
		}
	}
	for i := range s.Fasteners {
		f := &s.Fasteners[i]
		o, p, h, rim := TrueOutline(f)
		id := fmt.Sprint(i)
		seen := o.Contour(&p, h, &s.Camera, 128)
		c := synth.Contour{SilhouettePx: px(seen)}
		if rim > 0 {
			c.FlatPx = px(FlatRim(o, h, rim, &s.Camera))
		}
		contours[id] = c
		add(synth.Round{ID: id, Kind: f.Kind, NominalMM: f.NominalMM, AtMM: o.Centre, MeanDMM: 2 * o.RMM}, seen)
	}
	for i, c := range s.Clutter {
		o := outline.Outline{Centre: c.AtMM, RMM: c.DMM / 2}
		add(synth.Round{ID: fmt.Sprint("clutter ", i), Kind: synth.OtherHole, AtMM: c.AtMM, MeanDMM: c.DMM}, o.Contour(&outline.Profile{FootR: 1, TopR: 1}, 0, &s.Camera, 64))
	}
	return rounds, contours
}

// TrueOutline is the outline of a fastener of Draw, its profile, height and rim ratio.
func TrueOutline(f *synth.Fastener) (outline.Outline, outline.Profile, float64, float64) {
	k := Kinds[f.Kind]
	p := outline.ProfileOf(k)
	if k == qc.Hole {
		a, e := f.LongDeg*math.Pi/180, f.LongMM/4
		return outline.Outline{Centre: f.AxisMM, RMM: f.BoreMM/2 + f.LongMM/4, A2: e * math.Cos(2*a), B2: e * math.Sin(2*a)}, p, 0, 0
	}
	a, e := f.AngleDeg*math.Pi/180, (f.MaxDMM-f.MinDMM)/4
	o := outline.Outline{Centre: f.AxisMM, RMM: (f.MaxDMM + f.MinDMM) / 4, A2: e * math.Cos(2*a), B2: e * math.Sin(2*a)}
	if k != qc.ShopHead {
		return o, p, p.HeightD * f.NominalMM, 0
	}
	p.Widest = f.WidestMM / f.HeightMM
	lean := math.Tan(f.TiltDeg*math.Pi/180) * f.WidestMM
	sn, cs := math.Sincos(f.TiltAzimuthDeg * math.Pi / 180)
	o.Centre = f.FootMM.Add(geom.SheetPoint{X: lean * cs, Y: lean * sn})
	return o, p, f.HeightMM, f.RimRatio
}

// FlatRim is the rim of a driven head's flat as it is seen, on the sheet's face.
func FlatRim(o outline.Outline, heightMM, rim float64, cam *geom.Camera) []geom.SheetPoint {
	_, _, cz := cam.Centre()
	top := outline.Outline{Centre: o.Centre.Add(cam.ViewSlope(o.Centre).Scale(heightMM)), RMM: o.RMM * rim * (1 + heightMM/cz), A2: o.A2 * rim, B2: o.B2 * rim}
	return top.Contour(&outline.Profile{FootR: 1, TopR: 1}, 0, cam, 256)
}
