//go:build training

package fastener

import (
	"bufio"
	"fmt"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/fastener/places"
	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
)

// What the looks say of rendered scenes that nothing was trained on, as a table: what the decisions
// and the uncertainties are set on. BUCKTAIL_TABLE names the file, BUCKTAIL_SEEDS=a:b the scenes.
func TestWriteTable(t *testing.T) {
	name := os.Getenv("BUCKTAIL_TABLE")
	if name == "" {
		t.Skip("BUCKTAIL_TABLE names no file")
	}
	out := training.Create(t, name)
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		if err := tabulate(out, seed); err != nil {
			t.Fatal(err)
		}
		if err := out.Flush(); err != nil { // so that what is stopped leaves whole scenes
			t.Fatal(err)
		}
	}
}

// tabulate writes a line for each place in one window of a scene that may be a fastener, with the
// evidence, and a short one for each fastener that was not found.
func tabulate(out *bufio.Writer, seed int) error {
	rng := rand.New(rand.NewSource(int64(seed)))
	s, things, _ := training.Scene(seed)
	var ours []int
	for i := range things {
		if things[i].Kind.Fastens() && things[i].OnTop && things[i].Visible > 0.9 {
			ours = append(ours, i)
		}
	}
	if len(ours) == 0 {
		return nil
	}
	target := &things[ours[rng.Intn(len(ours))]]
	d := target.NominalMM
	said := d * math.Exp(0.4*(rng.Float64()-0.5))
	at := s.Camera.ToSheet(target.CentrePx, 0)
	half := 6 * d
	radiusPx := 9 * math.Pow(50.0/9, rng.Float64())
	pic, cam, ok, err := training.Window(s, at, half, radiusPx/(target.MeanDMM/2), 24, synth.Effort{Base: 4, Near: 5, Edge: 10})
	if !ok {
		return err
	}
	box := rectified.Box{MinX: at.X - half, MinY: at.Y - half, MaxX: at.X + half, MaxY: at.Y + half}
	k := training.Kinds[target.Kind]
	opt := Options{Kind: k, NominalMM: said, OnCard: func(geom.SheetPoint) bool { return false }, Around: box}
	seen := map[int]bool{}
	for _, p := range places.Find(pic, cam, box, said, leastLikely, opt.OnCard) {
		if p.P[places.ClassOf(k)] <= leastLikely {
			continue
		}
		from := start{at: p.At, rMM: p.RadiusMM, p: p.P}
		l, ok := lookAt(pic, cam, &from, k, said, [2]float64{firstLogit, lastLogit})
		if !ok {
			continue
		}
		e := l.evidence(pic, cam, &from, opt)
		from.tapped = true // unlikely ones, too
		f, ok := measureRound(pic, cam, &from, opt)
		if !ok {
			continue
		}
		near, best := 0.5, -1
		for i := range things {
			if q := s.Camera.ToSheet(things[i].CentrePx, 0).Sub(s.Camera.ToSheet(s.Camera.Project(f.Centre, f.HeightMM/2), 0)).Norm() / (things[i].MeanDMM / 2); q < near {
				near, best = q, i
			}
		}
		var b synth.Round
		b.Kind = "nothing"
		if best >= 0 {
			b, seen[best] = things[best], true
		}
		fmt.Fprintf(out, "%d,%v,%s,%.4f,%.4f,%.2f,%v,%v,%.4f,%.3f,%.4f,%.4f,%.4f,%.4f,%.4f,%.3f,%.3f,%.3f,%.4f,%.5f,%.5f,%.5f,%.5f,%.4f,%.4f,%.2f,%.5f\n", seed, seed%4 == 3, b.Kind, b.MeanDMM, b.NominalMM, b.Visible, b.OnTop, k, said,
			f.PxPerMM, f.Slope, f.MeanD(), 2*(f.MaxD()-f.MeanD()), f.HeightMM, f.Probability, f.Clear, f.Support, f.RMS, f.Change, f.SpreadMM, f.DifferMM, math.Sqrt(f.Cov[2][2]), math.Sqrt(f.Cov[0][0]), f.Centre.X-b.AtMM.X, f.Centre.Y-b.AtMM.Y, e.logits, e.afar)
	}
	for _, i := range ours {
		b := &things[i]
		if q := s.Camera.ToSheet(b.CentrePx, 0).Sub(at); !seen[i] && training.Kinds[b.Kind] == k && math.Abs(q.X) < 5*d && math.Abs(q.Y) < 5*d {
			fmt.Fprintf(out, "%d,%v,%s,%.4f,%.4f,%.2f,%v,%.4f,%.3f\n", seed, seed%4 == 3, b.Kind, b.MeanDMM, b.NominalMM, b.Visible, k, said, cam.PxPerMM(at, 0))
		}
	}
	return nil
}
