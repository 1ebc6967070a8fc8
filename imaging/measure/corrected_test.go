package measure

import (
	"math"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// diameter is the one that a correction changes.
func diameter(l *Location) *Reading {
	if r := find(l, qc.HeadDMean); r != nil {
		return r
	}
	return find(l, qc.HoleDMean)
}

// Correcting starts from what was measured, at the height of the rim, on all bundled photos, kinds
// and tilts: nothing moved changes nothing, a step of 0.02 mm changes the diameter by 0.04 mm at
// most, and an outline that is put where it is in truth gives the truth within U.
func TestACorrectionStartsFromWhatWasMeasured(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	for _, name := range bundled {
		ph, tr := loadBundled(t, name)
		done := map[string]bool{}
		for _, g := range tr.Fasteners {
			if done[g.Type] {
				continue
			}
			done[g.Type] = true
			opt := Options{Kind: kindOf[g.Type], NominalMM: g.NominalMM, ScaleX: tr.Card.Scale[0], ScaleY: tr.Card.Scale[1], ThicknessMM: tr.Card.ThicknessMM}
			auto := Decoded(ph, opt)
			placed := func(change func(l *Location) HandOutline) *Result {
				o := opt
				for i := range auto.Locations {
					if l := &auto.Locations[i]; l.Ask == nil {
						o.Outlines = append(o.Outlines, change(l))
					}
				}
				return Decoded(ph, o)
			}
			// pairs gives each location that was read with what it became.
			pairs := func(what string, now *Result, check func(old, now *Location)) {
				t.Helper()
				for i := range auto.Locations {
					old := &auto.Locations[i]
					if old.Ask != nil {
						continue
					}
					found := false
					for k := range now.Locations {
						if l := &now.Locations[k]; l.Centre.Sub(old.Centre).Norm() < 0.5 {
							found = true
							check(old, l)
						}
					}
					if !found {
						t.Errorf("%s, %s: %s at %v is gone", name, what, opt.Kind, old.CentrePx)
					}
				}
			}
			pairs("nothing moved", placed(func(l *Location) HandOutline { return HandOutline{l.HandlesPx[0], l.HandlesPx[1]} }), func(old, now *Location) {
				a, b := diameter(old), diameter(now)
				if b == nil || a.ValueMM != b.ValueMM || a.UMM != b.UMM || b.How != a.How || now.ByHand {
					t.Errorf("%s, nothing moved: %s was %.3f ± %.3f, is %+v", name, opt.Kind, a.ValueMM, a.UMM, b)
				}
			})
			for _, step := range []struct{ centre, rim geom.PxPoint }{{rim: geom.PxPoint{U: 1}}, {rim: geom.PxPoint{U: -1}}, {centre: geom.PxPoint{U: 1}}, {centre: geom.PxPoint{V: -1}}} {
				now := placed(func(l *Location) HandOutline {
					px := 0.02 * auto.Scale.Camera.PxPerMM(l.Centre, 0)
					return HandOutline{l.HandlesPx[0].Add(step.centre.Scale(px)), l.HandlesPx[1].Add(step.rim.Scale(px))}
				})
				pairs("a step", now, func(old, now *Location) {
					// A thousandth for the step being taken in pixels of the sheet's own scale.
					if a, b := diameter(old), diameter(now); b == nil || math.Abs(a.ValueMM-b.ValueMM) > 0.041 {
						t.Errorf("%s, a step of 0.02 mm: %s was %.3f, is %+v", name, opt.Kind, a.ValueMM, b)
					}
				})
			}
			truths := placed(func(l *Location) HandOutline {
				for _, f := range tr.Fasteners {
					if f.Type == g.Type && math.Hypot(l.CentrePx.U-f.CentrePx[0], l.CentrePx.V-f.CentrePx[1])*auto.Scale.MMPerPx < 0.5*f.NominalMM {
						d := diameter(l)
						k := trueD(f.HeadD, f.HoleD, f.HoleMinD, f.HoleMaxD) / d.ValueMM
						return HandOutline{l.HandlesPx[0], l.HandlesPx[0].Add(l.HandlesPx[1].Sub(l.HandlesPx[0]).Scale(k))}
					}
				}
				return HandOutline{l.HandlesPx[0], l.HandlesPx[1]}
			})
			pairs("the truth", truths, func(old, now *Location) {
				for _, f := range tr.Fasteners {
					if f.Type == g.Type && math.Hypot(old.CentrePx.U-f.CentrePx[0], old.CentrePx.V-f.CentrePx[1])*auto.Scale.MMPerPx < 0.5*f.NominalMM {
						want := trueD(f.HeadD, f.HoleD, f.HoleMinD, f.HoleMaxD)
						if r := diameter(now); r == nil || math.Abs(r.ValueMM-want) > r.UMM {
							t.Errorf("%s %s: put to its truth of %.3f it reads %+v", name, f.ID, want, r)
						}
					}
				}
			})
		}
	}
}

func trueD(head, hole, least, greatest float64) float64 {
	switch {
	case greatest > 0:
		return (least + greatest) / 2
	case hole > 0:
		return hole
	}
	return head
}
