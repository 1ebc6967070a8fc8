package measure

import (
	"os"
	"reflect"
	"runtime"
	"testing"
)

// A photo's readings are the same to the last bit on any number of cores.
func TestReadingsOnAnyCores(t *testing.T) {
	data, err := os.ReadFile("../../testdata/photos/dev-08.jpg")
	if err != nil {
		t.Fatal(err)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	var one *Result
	for _, cores := range []int{1, 5} {
		runtime.GOMAXPROCS(cores)
		got, err := Photo(data, largerHeads)
		if err != nil || len(got.Locations) == 0 {
			t.Fatal(err)
		}
		if one == nil {
			one = got
		} else if !reflect.DeepEqual(got.Locations, one.Locations) {
			t.Errorf("on %d cores: %+v, on one %+v", cores, got.Locations, one.Locations)
		}
	}
}
