package drillup

import (
	"slices"
	"testing"
)

func TestFromTheMiddleOutwards(t *testing.T) {
	var row []Spot
	for i, id := range []string{"a", "b", "c", "d", "e"} {
		row = append(row, Spot{id, float64(20 * i), 3})
	}
	if got := Order(row); !slices.Equal(got, []string{"c", "b", "d", "a", "e"}) {
		t.Errorf("%v", got)
	}
	if got := Order(nil); len(got) != 0 {
		t.Errorf("%v", got)
	}
}

func TestEveryKindOfPartHasAList(t *testing.T) {
	for _, k := range PartKinds {
		list := Preparation(k)
		if len(list) < 6 || len(slices.Compact(slices.Sorted(slices.Values(list)))) != len(list) {
			t.Errorf("%s: %v", k, list)
		}
	}
}
