// Package places finds where on a sheet round things stand, and of what kind they look: a
// small network looks once at the sheet as it is seen square from above. In go a picture (px), the
// camera over the sheet and a nominal diameter (mm) that gives the grain; out come places on the
// sheet (mm) with a rough radius (mm) and how much each looks like a head of each kind, a hole, or
// a round thing that is neither. It measures nothing. Start with [Find].
package places

import (
	_ "embed"
	"math"
	"sort"
	"sync"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/rectified/look"
	"bucktail/qc"
)

// Class is what a round thing looks like.
type Class int

// The classes, in the order in which the network tells them.
const (
	ShopHead Class = iota
	Dome
	FlushHead
	Hole
	Other // a washer, a bolt, a dimple, a drawn circle
	Classes
)

// ClassOf gives the class of a kind.
func ClassOf(k qc.Kind) Class {
	switch k {
	case qc.ShopHead:
		return ShopHead
	case qc.UniversalHead, qc.PulledHead:
		return Dome
	case qc.FlushHead:
		return FlushHead
	}
	return Hole
}

// Place is where something round stands.
type Place struct {
	At       geom.SheetPoint
	RadiusMM float64          // rough
	P        [Classes]float64 // how likely it is of each class, 0 to 1, each for itself
}

// Likeliest is the class that the place looks most like, and how much.
func (p *Place) Likeliest() (Class, float64) {
	best := Class(0)
	for c := range p.P {
		if p.P[c] > p.P[best] {
			best = Class(c)
		}
	}
	return best, p.P[best]
}

// stepD is the grain of what the network looks at, in nominal diameters, and usualSteps the radius
// about which it tells its logarithm: as in training (testdata/training).
const (
	stepD      = 0.1
	usualSteps = 10
)

//go:embed places.weights
var weights []byte

var (
	once sync.Once
	net  *convnet.Map
)

// network reads the network when it is first asked for; a program that never looks leaves it out.
func network() *convnet.Map {
	once.Do(func() {
		n, err := convnet.ReadMap(weights)
		if err != nil {
			panic("places: the embedded network is damaged: " + err.Error())
		}
		net = n
	})
	return net
}

// Find looks at the part of the sheet that the picture shows within around (mm), at a grain that
// fits things of nominal diameter nominalMM, and gives the places that look like something round
// with more than least, the likeliest first. skip leaves places out; it may be nil.
func Find(pic *raster.Picture, cam *geom.Camera, around rectified.Box, nominalMM, least float64, skip func(geom.SheetPoint) bool) []Place {
	v := rectified.NewView(pic, cam, rectified.SeenBox(pic, cam, around, 0), stepD*nominalMM)
	if v.W < 8 || v.H < 8 {
		return nil
	}
	ws := convnet.Borrow()
	defer ws.Return()
	out := network().See(ws, look.Planes(ws, v))
	var ps []Place
	for _, p := range peaks(out, least) {
		q := Place{At: v.Sheet(p.u, p.v), RadiusMM: p.r * v.StepMM, P: p.p}
		if skip == nil || !skip(q.At) {
			ps = append(ps, q)
		}
	}
	sort.SliceStable(ps, func(a, b int) bool {
		_, x := ps[a].Likeliest()
		_, y := ps[b].Likeliest()
		return x > y
	})
	return ps
}

// peak is a place in steps of the view.
type peak struct {
	u, v, r float64
	p       [Classes]float64
}

// peaks reads the network's answer: cells that look more like something round than their
// neighbours, each with its offset and radius.
func peaks(out *convnet.Planes, least float64) (ps []peak) {
	rows, cols := out.Size()
	top := make([]float32, rows*cols) // logit of the likeliest class
	for j := range rows {
		for c := range int(Classes) {
			for i, x := range out.Row(c, j) {
				if c == 0 || x > top[j*cols+i] {
					top[j*cols+i] = x
				}
			}
		}
	}
	bound := float32(math.Log(least / (1 - least)))
	for j := range rows {
		for i := range cols {
			if top[j*cols+i] <= bound || !isPeak(top, rows, cols, j, i) {
				continue
			}
			var p peak
			for c := range p.p {
				p.p[c] = 1 / (1 + fit.Exp(-float64(out.Row(c, j)[i])))
			}
			at := func(c int) float64 { return float64(out.Row(int(Classes)+c, j)[i]) }
			const mid = (convnet.MapCell - 1) / 2.0
			p.u = (float64(i)+min(max(at(0), -1), 1))*convnet.MapCell + mid
			p.v = (float64(j)+min(max(at(1), -1), 1))*convnet.MapCell + mid
			p.r = usualSteps * fit.Exp(min(max(at(2), -2), 2))
			ps = append(ps, p)
		}
	}
	return ps
}

// isPeak tells whether no cell about (j, i) is greater, and none before it as great.
func isPeak(top []float32, rows, cols, j, i int) bool {
	x := top[j*cols+i]
	for y := max(j-1, 0); y <= min(j+1, rows-1); y++ {
		for k := max(i-1, 0); k <= min(i+1, cols-1); k++ {
			if o := top[y*cols+k]; o > x || o == x && y*cols+k < j*cols+i {
				return false
			}
		}
	}
	return true
}
