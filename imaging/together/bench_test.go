package together

import (
	"os"
	"testing"

	"bucktail/imaging/measure"
	"bucktail/qc"
)

// BenchmarkJoin joins what one photo gave, three times over under other hashes: the time that
// several photos take beyond their own.
func BenchmarkJoin(b *testing.B) {
	data, err := os.ReadFile("../../testdata/photos/dev-16.jpg")
	if err != nil {
		b.Fatal(err)
	}
	opt := measure.Options{Kind: qc.ShopHead, NominalMM: 2.38125, ScaleX: 0.99853, ScaleY: 1.00192, ThicknessMM: 0.29}
	var rs []*measure.Result
	for _, hash := range []string{"a", "b", "c"} {
		r, err := measure.Photo(data, opt)
		if err != nil {
			b.Fatal(err)
		}
		r.SHA256 = hash
		rs = append(rs, r)
	}
	for b.Loop() {
		if res := Join(rs, opt); len(res.Locations) == 0 {
			b.Fatal("nothing was joined")
		}
	}
}
