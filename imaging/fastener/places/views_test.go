//go:build training

package places

// This file writes the views that the places network is trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_SEEDS=0:2000 go test -tags training -run WriteViews -timeout 9h ./imaging/fastener/places

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/convnet"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/rectified/look"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
)

// A view is side × side steps and lists as many things at most.
const (
	side = 192
	most = 64
)

var classes = map[synth.Kind]Class{synth.ShopHead: ShopHead, synth.Universal: Dome, synth.Pulled: Dome, synth.Flush: FlushHead,
	synth.Hole: Hole, synth.OtherHole: Hole}

func TestWriteViews(t *testing.T) {
	out := training.Create(t, os.Getenv("BUCKTAIL_PATCHES"))
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		if err := writeViews(out, seed); err != nil {
			t.Fatal(err)
		}
	}
}

// writeViews writes two views of a scene, at grains of their own. Scenes whose number leaves 3 over
// 4 are of the older, cleaner drawing.
func writeViews(out *bufio.Writer, seed int) error {
	rng := rand.New(rand.NewSource(int64(seed)))
	s, things, _ := training.Scene(seed)
	d := 0.0 // of the fasteners
	for i := range things {
		if things[i].NominalMM > 0 && things[i].OnTop {
			d = things[i].NominalMM
		}
	}
	if d == 0 {
		d = 2.4 + 3*rng.Float64()
	}
	for range 2 {
		said := d * math.Exp(0.55*(rng.Float64()-0.5)) // the size that is said may be another than what stands there
		at := s.Camera.ToSheet(geom.PxPoint{U: rng.Float64() * float64(s.Width), V: rng.Float64() * float64(s.Height)}, 0)
		if len(things) > 0 && rng.Float64() < 0.8 {
			at = s.Camera.ToSheet(things[rng.Intn(len(things))].CentrePx, 0)
		}
		half := stepD * said * side / 2
		at = at.Add(geom.SheetPoint{X: (rng.Float64() - 0.5) * half, Y: (rng.Float64() - 0.5) * half})
		// From one to two pixels a step.
		pic, cam, ok, err := training.Window(s, at, half, (1+rng.Float64())/(stepD*said), 60, synth.Effort{Base: 4, Near: 5, Edge: 8})
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		if err := writeView(out, pic, cam, at, said, s, things); err != nil {
			return err
		}
	}
	return nil
}

func writeView(out *bufio.Writer, pic *raster.Picture, cam *geom.Camera, at geom.SheetPoint, said float64, s *synth.Scene, things []synth.Round) error {
	half := stepD * said * side / 2
	v := rectified.NewView(pic, cam, rectified.Box{MinX: at.X - half, MinY: at.Y - half, MaxX: at.X + half, MaxY: at.Y + half}, stepD*said)
	if v.W < side || v.H < side {
		return fmt.Errorf("a view of %d × %d", v.W, v.H)
	}
	ws := convnet.Borrow()
	defer ws.Return()
	x := look.Planes(ws, v)
	for c := range convnet.MapInputs {
		for j := range side {
			for _, f := range x.Row(c, j)[:side] {
				if err := binary.Write(out, binary.LittleEndian, training.Half(f)); err != nil {
					return err
				}
			}
		}
	}
	list := make([][4]float32, most)
	for i := range list {
		list[i][0] = -1
	}
	n := 0
	for i := range things {
		t := &things[i]
		if t.Visible < 0.4 || n == most {
			continue
		}
		// The outline as it is seen on the sheet's plane.
		var mid geom.SheetPoint
		for _, p := range t.OutlinePx {
			mid = mid.Add(s.Camera.ToSheet(p, 0).Scale(1 / float64(len(t.OutlinePx))))
		}
		r := 0.0
		for _, p := range t.OutlinePx {
			r += s.Camera.ToSheet(p, 0).Sub(mid).Norm() / float64(len(t.OutlinePx))
		}
		i, j := v.Pixel(mid)
		steps := r / v.StepMM
		if i < 0 || j < 0 || i >= side || j >= side || steps < 2 || steps > 40 || math.IsNaN(steps) {
			continue
		}
		c, ours := classes[t.Kind]
		if !ours {
			c = Other
		}
		list[n] = [4]float32{float32(c), float32(i), float32(j), float32(steps)}
		n++
	}
	return binary.Write(out, binary.LittleEndian, list)
}
