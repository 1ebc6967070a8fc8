//go:build training

package border

// This file writes the views that the network is trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_SEEDS=0:2000 go test -tags training -run WriteViews -timeout 9h ./imaging/sheetedge/border

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

const (
	side              = 192 // steps of a view, each way
	views             = 2   // of a scene
	coarsest, finest  = 4.5, 25.0
	nearCells, beside = 0.75, 1.25 // a border this near is the cell's; this far it is not
)

// answers is how many things the network says of a cell.
const answers = 6

func TestWriteViews(t *testing.T) {
	out := training.Create(t, os.Getenv("BUCKTAIL_PATCHES"))
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		if err := writeViews(out, seed); err != nil {
			t.Fatal(err)
		}
		out.Flush()
	}
}

// writeViews writes views of a scene, far ones more often than near ones.
func writeViews(out *bufio.Writer, seed int) error {
	rng := rand.New(rand.NewSource(int64(seed)))
	s, things, _ := training.Scene(seed)
	borders, sees := s.Borders(), s.Seer()
	var on []int
	for i := range things {
		if things[i].OnTop && things[i].NominalMM > 0 {
			on = append(on, i)
		}
	}
	for range views {
		d := 2.4 + 3*rng.Float64()
		at := s.Camera.ToSheet(geom.PxPoint{U: rng.Float64() * float64(s.Width), V: rng.Float64() * float64(s.Height)}, 0)
		if len(on) > 0 {
			t := &things[on[rng.Intn(len(on))]]
			d = t.NominalMM
			if rng.Float64() < 0.9 {
				at = s.Camera.ToSheet(t.CentrePx, 0)
			}
		}
		said := d * math.Exp(0.4*(rng.Float64()-0.5)) // the size that is said may be another than what stands there
		half := stepD * said * side / 2
		at = at.Add(geom.SheetPoint{X: 1.2 * (rng.Float64() - 0.5) * half, Y: 1.2 * (rng.Float64() - 0.5) * half})
		scale := coarsest * math.Pow(finest/coarsest, math.Pow(rng.Float64(), 1.4))
		pic, cam, ok, err := training.Window(s, at, half, scale, 50, synth.Effort{Base: 4, Near: 5, Edge: 8})
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		if err := writeView(out, pic, cam, at, said, borders, sees); err != nil {
			return err
		}
	}
	return nil
}

func writeView(out *bufio.Writer, pic *raster.Picture, cam *geom.Camera, at geom.SheetPoint, said float64, borders func(geom.SheetPoint) synth.Border, sees func(geom.SheetPoint) bool) error {
	half := stepD * said * side / 2
	v := rectified.NewView(pic, cam, rectified.Box{MinX: at.X - half, MinY: at.Y - half, MaxX: at.X + half, MaxY: at.Y + half}, stepD*said)
	if v.W < side || v.H < side {
		return fmt.Errorf("a view of %d × %d", v.W, v.H)
	}
	ws := convnet.Borrow()
	defer ws.Return()
	x := look.Planes(ws, v)
	rec := make([]uint16, 0, side*side*convnet.MapInputs+answers*side*side/convnet.MapCell/convnet.MapCell)
	for c := range convnet.MapInputs {
		for j := range side {
			for _, f := range x.Row(c, j)[:side] {
				rec = append(rec, training.Half(f))
			}
		}
	}
	// What the network is to say of each cell: whether it is the border's and on the sheet (1 and 0; -1: not asked), the
	// line's direction as the cosine and sine of twice its normal's angle, and how far the border lies, cells.
	const cells = side / convnet.MapCell
	var say [answers][cells * cells]float32
	cellMM := convnet.MapCell * v.StepMM
	for j := range cells {
		for i := range cells {
			k := j*cells + i
			p := v.Sheet(middle(float64(i)), middle(float64(j)))
			b := borders(p)
			off := b.OffMM / cellMM
			seen := inside(pic, cam.Project(p, 0))
			switch on := p.Add(b.Normal.Scale(b.OffMM)); {
			case math.Abs(off) < nearCells && !b.Bend && sees(on) && inside(pic, cam.Project(on, 0)):
				say[0][k] = 1
			case math.Abs(off) < beside || !seen:
				say[0][k] = -1
			}
			switch {
			case !seen || math.Abs(off) < 0.5 || off > 0 && !sees(p):
				say[1][k] = -1
			case off > 0:
				say[1][k] = 1
			}
			n := b.Normal
			say[2][k], say[3][k] = float32(n.X*n.X-n.Y*n.Y), float32(2*n.X*n.Y)
			if math.Abs(off) < beside {
				say[4][k], say[5][k] = float32(off*n.X), float32(off*n.Y)
			}
		}
	}
	for _, plane := range say {
		for _, f := range plane {
			rec = append(rec, training.Half(f))
		}
	}
	return binary.Write(out, binary.LittleEndian, rec)
}
