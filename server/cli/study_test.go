package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"bucktail/qc/gaugestudy"
)

// A study of three photos by their truth says that U holds; by sizes that are all off it tells the factor,
// and measuring takes it.
func TestStudy(t *testing.T) {
	var truth struct {
		Fasteners []struct {
			MM float64 `json:"head_d_mean_mm"`
		}
	}
	b, err := os.ReadFile(viewPhotos + "990108-a.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &truth); err != nil {
		t.Fatal(err)
	}
	args := []string{"--what", "shop-head", "--rivet", "6", "--card-scale", "0.99278,0.99964", "--card-thickness", "0.2283"}
	photos := []string{viewPhotos + "990108-a.jpg", viewPhotos + "990108-b.jpg", viewPhotos + "990108-c.jpg"}
	run := func(more ...string) (said, errs string, status int) {
		var o, e bytes.Buffer
		status = proveIt(console{out: &o, err: &e}, append(append(append([]string{}, args...), more...), photos...))
		return o.String(), e.String(), status
	}
	said, errs, status := run("--json", "--sizes", "6.6468,6.7677,7.7427,8.0004,7.6028,6.4981")
	var told struct {
		Objects []gaugestudy.Object
		Result  gaugestudy.Result
	}
	if err := json.Unmarshal([]byte(said), &told); err != nil || status != 0 {
		t.Fatalf("%v: %s%s", err, said, errs)
	}
	r := told.Result
	if r.Verdict != gaugestudy.Holds || r.Objects != 6 || r.Photos != 3 || r.Outside > 1 {
		t.Errorf("by the truth: %+v", r)
	}
	for _, o := range told.Objects {
		known := false
		for _, f := range truth.Fasteners {
			known = known || f.MM == o.ReferenceMM
		}
		if !known {
			t.Errorf("%v is no size of the truth", o.ReferenceMM)
		}
	}
	for i, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--sizes", "6.2,6.3,7.3"}, "names 3 of the 6 objects"},
		{[]string{"--grow", "2"}, "no place in a study"},
		{[]string{"--grow", "0.5"}, "U never shrinks"},
	} {
		if i > 0 {
			photos = photos[:1] // wrong before a photo is measured
		}
		if _, errs, status := run(c.args...); status != 2 || !strings.Contains(errs, c.want) {
			t.Errorf("%v: %d, %s", c.args, status, errs)
		}
	}
}
