//go:build training

package together

// This file prints how error and uncertainty go with the number of views, the angle between them and
// the distance, on scenes that render_test.go rendered, or on any photos with truth files beside them:
//
//	BUCKTAIL_VIEWS=DIR go test -tags training -run Study -v -timeout 9h ./imaging/together

import (
	"fmt"
	"math"
	"os"
	"testing"

	"bucktail/imaging/measure"
)

func TestStudy(t *testing.T) {
	folder := os.Getenv("BUCKTAIL_VIEWS")
	if folder == "" {
		t.Skip("BUCKTAIL_VIEWS names no folder")
	}
	scenes, err := readScenes(folder, 2)
	if err != nil {
		t.Fatal(err)
	}
	byViews, byAngle, byDistance := map[int]*score{}, map[int]*score{}, map[int]*score{}
	of := func(m map[int]*score, k int) *score {
		if m[k] == nil {
			m[k] = &score{}
		}
		return m[k]
	}
	var chi2, freedom float64
	for _, s := range scenes {
		for _, g := range s.groups() {
			rs, opt, err := s.measure(g)
			if err != nil {
				t.Fatal(err)
			}
			for from := range rs {
				of(byViews, 1).add(Join(rs[from:from+1], opt), g, s.truths[from:])
				for to := from + 1; to < len(rs); to++ {
					pair := Join([]*measure.Result{rs[from], rs[to]}, opt)
					truths := []truth{s.truths[from], s.truths[to]}
					of(byViews, 2).add(pair, g, truths)
					if len(pair.Locations) > 0 && pair.Photos[0].LeftOut == nil && pair.Photos[1].LeftOut == nil {
						angle, mm := between(pair)
						of(byAngle, int(angle/10)*10).add(pair, g, truths)
						of(byDistance, int(mm/40)*40).add(pair, g, truths)
					}
				}
			}
			if len(rs) > 2 {
				j := join(rs, opt)
				of(byViews, len(rs)).add(j.res, g, s.truths)
				for _, p := range j.places {
					if n := len(p.head.Fits); n > 1 && p.head.ask == nil {
						for _, v := range p.head.Fits {
							chi2 += v.Chi2
						}
						freedom += float64(3 * (n - 1))
					}
				}
			}
		}
	}
	print := func(what string, m map[int]*score, unit string) {
		for k := range 400 {
			if m[k] != nil {
				fmt.Printf("%s %d%s: %s\n", what, k, unit, m[k].row())
			}
		}
	}
	print("views", byViews, "")
	print("two views, angle between them from", byAngle, "°")
	print("two views, mean distance from", byDistance, " mm")
	fmt.Printf("photos against their joint fit: chi-square %.0f of %.0f degrees of freedom\n", chi2, freedom)
}

// between gives the angle between two photos' lines of sight to the work, degrees, and their mean
// distance, mm.
func between(r *Result) (angleDeg, mm float64) {
	var dir [2][3]float64
	for i := range dir {
		x, y, z := r.Photos[i].Camera.Centre()
		at := r.Locations[0].Centre
		v := [3]float64{x - at.X, y - at.Y, z}
		n := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
		dir[i] = [3]float64{v[0] / n, v[1] / n, v[2] / n}
		mm += n / 2
	}
	dot := dir[0][0]*dir[1][0] + dir[0][1]*dir[1][1] + dir[0][2]*dir[1][2]
	return math.Acos(min(1, dot)) * 180 / math.Pi, mm
}
