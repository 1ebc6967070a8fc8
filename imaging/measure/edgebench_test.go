package measure

import (
	"runtime"
	"testing"

	"bucktail/imaging/photo"
	"bucktail/qc"
)

// The search for edges alone, on the photo of BenchmarkMeasure8MP.
func BenchmarkEdges8MP(b *testing.B) {
	ph, err := photo.Decode(eightMP(b))
	if err != nil {
		b.Fatal(err)
	}
	opt := Options{Kind: qc.ShopHead, NominalMM: 4.7625}
	m, err := findScale(ph, &opt)
	if err != nil {
		b.Fatal(err)
	}
	var res Result
	fs := m.locate(ph, &opt, &res, m.fasteners(ph, &opt, &res))
	b.ReportAllocs()
	for b.Loop() {
		again := res
		again.Locations = append([]Location(nil), res.Locations...)
		m.edges(ph, &opt, &again, fs)
	}
}

func BenchmarkEdges8MPOneCore(b *testing.B) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	BenchmarkEdges8MP(b)
}
