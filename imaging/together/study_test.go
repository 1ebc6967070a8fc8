//go:build training

package together

// This file tells how error and uncertainty go with the number of views, the angle between them and
// the distance, on the scenes of testdata/views, on others that render_test.go rendered, or on any
// photos with truth files beside them:
//
//	go test -tags training -run Study -v ./imaging/together
//	BUCKTAIL_VIEWS=DIR go test -tags training -run Study -v -timeout 9h ./imaging/together
//
// With -update the table goes into testdata/views/README.md: the first one, or, of a folder, the second.

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/measure"
	"bucktail/qc"
)

var update = flag.Bool("update", false, "write the table of the study into testdata/views/README.md")

func TestStudy(t *testing.T) {
	block := "own"
	scenes, err := readGate(2)
	if folder := os.Getenv("BUCKTAIL_VIEWS"); folder != "" {
		block = "other"
		scenes, err = readScenes(folder, 2)
	}
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
	var table strings.Builder
	table.WriteString("| 95 % of errors below / median U, mm (readings) | read | nearest edge wrong |")
	for _, q := range studied {
		fmt.Fprintf(&table, " %s |", q.Words())
	}
	table.WriteString("\n| --- | --- | --- |" + strings.Repeat(" --- |", len(studied)) + "\n")
	write := func(name string, m map[int]*score, width int) {
		for _, k := range slices.Sorted(maps.Keys(m)) {
			what := fmt.Sprintf(name, k, k+width)
			fmt.Printf("%s: %s\n", what, m[k].row())
			table.WriteString(m[k].line(what))
		}
	}
	write("%[1]d together", byViews, 0)
	write("2, seen from %d° to %d° apart", byAngle, 10)
	write("2, from %d to %d mm on the average", byDistance, 40)
	fmt.Printf("photos against their joint fit: chi-square %.0f of %.0f degrees of freedom\n", chi2, freedom)
	if !*update {
		return
	}
	name := filepath.Join(viewsFolder, "README.md")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(b), "<!-- study: "+block+" -->\n")
	_, tail, end := strings.Cut(rest, "<!-- /study -->\n")
	if !ok || !end {
		t.Fatalf("%s has no block %q", name, block)
	}
	if err := os.WriteFile(name, []byte(head+"<!-- study: "+block+" -->\n"+table.String()+"<!-- /study -->\n"+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}

// studied are the columns of the table.
var studied = []qc.Quantity{qc.HeadDMean, qc.HoleDMean, qc.HeadHeight, qc.EdgeDistance, qc.Pitch}

// line is a row of the table.
func (s *score) line(what string) string {
	out := fmt.Sprintf("| %s | %d of %d | %d of %d |", what, s.read, s.there, s.nearestWrong, s.nearest)
	for _, q := range studied {
		cell := " -"
		if es := s.by[q]; len(es) > 0 {
			_, p95, u, _ := figures(es)
			cell = fmt.Sprintf(" %.3f / %.3f (%d)", p95, u, len(es))
		}
		out += cell + " |"
	}
	return out + "\n"
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
