package qc

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"
)

const published = "../testdata/published/"

func publishedRows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(published + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, rec := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = rec[i]
		}
		out = append(out, m)
	}
	return out
}

// publishedCase reads one case of a file of worked examples into v.
func publishedCase(t *testing.T, file, id string, v any) {
	t.Helper()
	data, err := os.ReadFile(published + file)
	if err != nil {
		t.Fatal(err)
	}
	var all struct{ Cases []json.RawMessage }
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	for _, c := range all.Cases {
		var head struct{ ID string }
		if json.Unmarshal(c, &head) == nil && head.ID == id {
			if err := json.Unmarshal(c, v); err != nil {
				t.Fatal(err)
			}
			return
		}
	}
	t.Fatalf("%s has no case %q", file, id)
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.7g, published %.7g (±%g)", what, got, want, tol)
	}
}

func atof(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
