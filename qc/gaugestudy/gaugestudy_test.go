package gaugestudy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// study makes errors of five objects on three photos, in mm: what all share, of each object, of each
// photo, of each reading.
func study(u float64, e func(object, photo int) float64) Input {
	var in Input
	for i := range 5 {
		o := Object{Name: fmt.Sprint("head ", i+1), ReferenceMM: 5 + 0.1*float64(i), UMM: 0.02}
		for j := range 3 {
			o.ReadMM, o.ReadUMM = append(o.ReadMM, o.ReferenceMM+e(i, j)), append(o.ReadUMM, u)
		}
		in.Objects = append(in.Objects, o)
	}
	return in
}

func judge(t *testing.T, in Input) Result {
	t.Helper()
	r, err := Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestJudge(t *testing.T) {
	wave := func(i, j int) float64 { return []float64{0.02, -0.01, 0.03, -0.03, 0.01}[(i+2*j)%5] }
	r := judge(t, study(0.1, wave))
	if r.Verdict != Holds || r.Factor != 1 || r.Outside != 0 || r.Objects != 5 || r.Photos != 3 {
		t.Errorf("small errors: %+v", r)
	}
	// A bias as large as U allows is no fault; one of twice as much is, and U grows to cover it.
	r = judge(t, study(0.1, func(i, j int) float64 { return 0.09 + wave(i, j)/10 }))
	if r.Verdict != Holds || math.Abs(r.BiasMM-0.0904) > 0.001 {
		t.Errorf("a bias within U: %+v", r)
	}
	r = judge(t, study(0.1, func(i, j int) float64 { return -0.2 + wave(i, j)/10 }))
	if r.Verdict != Worse || r.Outside != 15 || r.Factor < 2 || r.Factor > 2.4 || math.Abs(r.BiasMM+0.2) > r.BiasUMM {
		t.Errorf("a bias of twice U: %+v", r)
	}
	// Errors that vary three times as much as U says.
	r = judge(t, study(0.1, func(i, j int) float64 { return 7 * wave(i, j) }))
	if r.Verdict != Worse || r.Factor < 2 || r.RepeatMM < 0.1 {
		t.Errorf("errors that vary too much: %+v", r)
	}
	if !strings.Contains(r.Why, fmt.Sprintf("multiplied by %.2f", r.Factor)) {
		t.Errorf("it says %q", r.Why)
	}
}

// What photos share shows as that: they are no fifteen witnesses of it.
func TestPhotosAreFewWitnesses(t *testing.T) {
	shift := []float64{0.11, -0.02, 0.09}
	r := judge(t, study(0.1, func(i, j int) float64 { return shift[j] + 0.004*float64((i+j)%3-1) }))
	if r.Verdict != Holds || r.Outside != 5 {
		t.Errorf("photos that are off: %+v", r)
	}
}

func TestTooFew(t *testing.T) {
	in := study(0.1, func(i, j int) float64 { return 1 })
	in.Objects[1].ReadMM[2], in.Objects[3].ReadMM[0] = 0, 0
	r := judge(t, in)
	if r.Verdict != TooFew || r.Factor != 1 || r.Objects != 3 || len(r.Notes) != 2 || !strings.Contains(r.Why, "3 objects on 3 photos are too few") {
		t.Errorf("three objects: %+v", r)
	}
	in.Objects[3].ReadMM[0] = 5
	if r := judge(t, in); r.Verdict == TooFew || r.Objects != 4 {
		t.Errorf("four objects: %+v", r)
	}
	for what, change := range map[string]func(*Input){
		"the size of head 1 is missing":         func(in *Input) { in.Objects[0].ReferenceMM = 0 },
		"the size of head 2 has no uncertainty": func(in *Input) { in.Objects[1].UMM = math.NaN() },
		"head 3 has 2 readings for 3 photos":    func(in *Input) { in.Objects[2].ReadMM = in.Objects[2].ReadMM[:2] },
		"photo 2 read head 4":                   func(in *Input) { in.Objects[3].ReadUMM[1] = 0 },
		"0 objects are no study":                func(in *Input) { in.Objects = nil },
	} {
		in := study(0.1, func(i, j int) float64 { return 0 })
		change(&in)
		if _, err := Judge(in); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestOddReference(t *testing.T) {
	r := judge(t, study(0.1, func(i, j int) float64 {
		if i == 2 {
			return 0.5
		}
		return 0.01 * float64(j-1)
	}))
	if r.Verdict != Worse || len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "head 3 is off by +0.50 mm") {
		t.Errorf("%+v", r)
	}
}

// Of honest phones few are told that they are worse, however their errors hang together; of phones with
// twice the errors most are, and the U that they get covers the errors to come. Photos, objects and
// repeats are drawn from normal distributions.
func TestOfManyPhones(t *testing.T) {
	const phones = 800
	random := rand.New(rand.NewPCG(12, 6))
	for _, c := range []struct {
		what                       string
		bias, object, photo, error float64 // shares of the variance
	}{
		{"nothing shared", 0, 0, 0, 1}, {"half is bias", 0.5, 0.1, 0.1, 0.3}, {"half of the photo", 0.1, 0.1, 0.5, 0.3},
		{"half of the object", 0.1, 0.5, 0.1, 0.3}, {"all is bias", 1, 0, 0, 0},
	} {
		for _, times := range []float64{1, 2} {
			worse, covered, of := 0, 0, 0
			for range phones {
				const u = 0.1
				draw := func(share float64) float64 { return times * u / 2 * math.Sqrt(share) * random.NormFloat64() }
				bias, objects, photos := draw(c.bias), [5]float64{}, [3]float64{}
				for i := range objects {
					objects[i] = draw(c.object)
				}
				for j := range photos {
					photos[j] = draw(c.photo)
				}
				in := study(u, func(i, j int) float64 { return bias + objects[i] + photos[j] + draw(c.error) })
				for i := range in.Objects {
					in.Objects[i].UMM = 0.001
				}
				r := judge(t, in)
				if r.Verdict == Worse {
					worse++
				}
				for range 5 {
					of++
					if math.Abs(bias+draw(c.object)+draw(c.photo)+draw(c.error)) <= u*r.Factor {
						covered++
					}
				}
			}
			rate, cover := float64(worse)/phones, float64(covered)/float64(of)
			t.Logf("%s, errors of %v times U: %.1f %% told worse, then U covers %.1f %%", c.what, times, 100*rate, 100*cover)
			if times == 1 && rate > 0.08 || cover < 0.9 {
				t.Errorf("%s, errors of %v times U: %.1f %% told worse, then U covers %.1f %%", c.what, times, 100*rate, 100*cover)
			}
			if times == 2 && c.bias < 0.2 && rate < 0.7 {
				t.Errorf("%s: of phones with twice the errors only %.0f %% are found", c.what, 100*rate)
			}
		}
	}
}
