package drillup

import (
	"slices"
	"testing"

	"bucktail/qc"
)

func TestTheWayToTheRivet(t *testing.T) {
	var way []qc.Prep
	for now := qc.Prep(""); ; {
		next := NextPrep(qc.FinalHole, now)
		if len(next) == 0 {
			break
		}
		now = next[0]
		way = append(way, now)
	}
	if !slices.Equal(way, qc.Preps) {
		t.Errorf("%v", way)
	}
	if !slices.Contains(NextPrep(qc.FinalHole, ""), qc.Deburred) || !slices.Contains(NextPrep(qc.FinalHole, qc.Cleaned), qc.Refitted) {
		t.Error("what need not be taken apart or primed is not let through")
	}
	for _, s := range []qc.Stage{qc.Marked, qc.PilotHole, qc.SetRivet, qc.DrilledOut} {
		if n := NextPrep(s, ""); len(n) > 0 {
			t.Errorf("%s: %v", s, n)
		}
	}
}

func TestTemporaryFasteners(t *testing.T) {
	d, err := Plan(qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}, qc.Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	row := []string{"R1", "R2", "R3", "R4", "R5", "R6", "R7", "R8", "R9", "R10"}
	c := d.Clamp(row)
	if len(c) != 2 || c[0].Drill != "#40" || c[1].Drill != "#30" || !slices.Equal(c[0].Tags, []string{"R1", "R10", "R6", "R4", "R7"}) {
		t.Errorf("%+v", c)
	}
	for n := range 12 {
		row := make([]string, n)
		for i := range row {
			row[i] = string(rune('a' + i))
		}
		for _, c := range d.Clamp(row) {
			s := slices.Clone(c.Tags)
			slices.Sort(s)
			if len(slices.Compact(s)) != len(c.Tags) || n > 0 && (c.Tags[0] != "a" || !slices.Contains(c.Tags, row[n-1])) {
				t.Errorf("%d holes: %v", n, c.Tags)
			}
		}
	}
}

// A rivet is not set in a hole that was taken apart, deburred, cleaned or primed and not refitted.
func TestARivetIsSetInWhatWasRefitted(t *testing.T) {
	for _, prep := range append([]qc.Prep{""}, qc.Preps...) {
		if got, want := MaySet(qc.FinalHole, prep), prep == "" || prep == qc.Refitted; got != want {
			t.Errorf("a final hole, %q: %v", prep, got)
		}
	}
	for _, s := range qc.Stages {
		if s != qc.FinalHole && MaySet(s, "") {
			t.Errorf("set in a location that is %s", s)
		}
	}
}
