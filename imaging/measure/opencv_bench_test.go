package measure

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"
)

// stepTimes notes when the steps of one photo after another begin.
type stepTimes struct {
	step  Step
	since time.Time
	ms    map[Step][]float64
}

func (s *stepTimes) begin(next Step) {
	now := time.Now()
	if s.step != "" {
		if s.ms == nil {
			s.ms = map[Step][]float64{}
		}
		s.ms[s.step] = append(s.ms[s.step], now.Sub(s.since).Seconds()*1000)
	}
	s.step, s.since = next, now
}

// report gives the medians over the photos, under the names of BenchmarkOpenCV8MP.
func (s *stepTimes) report(b *testing.B) {
	var rest, whole []float64
	for i := range s.ms[StepDecode] {
		r := 0.0
		for _, step := range []Step{StepCard, StepOutlines, StepEdges} {
			r += s.ms[step][i]
		}
		rest, whole = append(rest, r), append(whole, r+s.ms[StepDecode][i])
	}
	for step, ms := range s.ms {
		b.ReportMetric(median(ms), string(step)+"-ms")
	}
	b.ReportMetric(median(rest), "rest-ms")
	b.ReportMetric(median(whole), "whole-ms")
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// opencvFigures is what testdata/opencv/bench.py says.
type opencvFigures struct {
	OpenCV string
	MS     map[string]float64
	Check  struct {
		Found int `json:"heads_found"`
		There int `json:"heads_there"`
	}
}

// The same steps on the same bytes by OpenCV alone: testdata/opencv/steps.py tells how, and
// bench.py beside it fails where the card or half of the heads are not found. The figures are
// medians of its own repeats, decoding to grey; colour-ms is what decoding to colour, as ours
// does, takes instead.
func BenchmarkOpenCV8MP(b *testing.B) {
	python := pythonWithOpenCV()
	if python == "" {
		b.Skip("no python3 that imports cv2: apt-get install python3-opencv")
	}
	name := filepath.Join(b.TempDir(), "photo.jpg")
	if err := os.WriteFile(name, eightMP(b), 0o600); err != nil {
		b.Fatal(err)
	}
	for _, threads := range []int{1, 2} {
		var out opencvFigures
		b.Run("threads="+strconv.Itoa(threads), func(b *testing.B) {
			if b.N == 1 { // it repeats by itself: later rounds report the same figures
				out = opencvFigures{}
				cmd := exec.Command(python, filepath.Join("..", "..", "testdata", "opencv", "bench.py"), "--threads", strconv.Itoa(threads), name)
				cmd.Stderr = os.Stderr
				said, err := cmd.Output()
				if err == nil {
					err = json.Unmarshal(said, &out)
				}
				if err != nil {
					b.Fatalf("%v: %s", err, said)
				}
				b.Logf("OpenCV %s found %d of %d heads", out.OpenCV, out.Check.Found, out.Check.There)
			}
			b.ReportMetric(0, "ns/op") // the whole process: tells nothing
			b.ReportMetric(out.MS["decode"], "decode-ms")
			b.ReportMetric(out.MS["decode_colour"], "colour-ms")
			b.ReportMetric(out.MS["card"]+out.MS["pose"], "card-ms")
			b.ReportMetric(out.MS["outlines"], "outlines-ms")
			b.ReportMetric(out.MS["edges"]+out.MS["distances"], "edges-ms")
			b.ReportMetric(out.MS["rest"], "rest-ms")
			b.ReportMetric(out.MS["whole"], "whole-ms")
		})
	}
}

// pythonWithOpenCV gives the first Python that has cv2, "" if none: Debian's stands behind
// another one on the path of many machines.
func pythonWithOpenCV() string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import cv2").Run() == nil {
			return name
		}
	}
	return ""
}
