package history_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/gowebpki/jcs"

	"bucktail/qc/history"
)

// asLibrary holds what is written against the library of RFC 8785's authors.
func asLibrary(t *testing.T, in []byte) {
	t.Helper()
	if !json.Valid(in) {
		if _, err := history.Canonical(in); err == nil {
			t.Errorf("%q is no JSON and was taken", in)
		}
		return
	}
	want, bad := jcs.Transform(in)
	got, err := history.Canonical(in)
	if (err != nil) != (bad != nil) || err == nil && !bytes.Equal(got, want) {
		t.Errorf("%q\ngives %q, %v\nnot   %q, %v", in, got, err, want, bad)
	}
}

func FuzzCanonical(f *testing.F) {
	for _, s := range []string{`{}`, `[]`, ` [ 1 , "a" ] `, `{"b":1,"a":[true,false,null]}`, `{"a":1,"a":2}`, `"\ud83d\ude00\u0000\u001f\/\"\\\b\f\n\r\t"`, `"\ud83d"`, `"\udead\ud83d"`, `"\ud83dx"`,
		"\"\xff\"", `{"\u20ac":1,"\r":2,"\ufb33":3,"1":4,"\ud83d\ude00":5,"\u0080":6,"\u00f6":7}`, `-0`, `1e400`, `1e-400`, `1e21`, `999999999999999999999`, `1e-7`, `0.000001`, `123456789.25e-3`, `[[[[]]]]`, "\"\u2028\u007f\u00ad\"", `{"":{"":[{}]}}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, in []byte) { asLibrary(t, in) })
}

// Numbers of all sizes, bit patterns and decimal lengths.
func TestCanonicalNumbers(t *testing.T) {
	r := rand.New(rand.NewPCG(8785, 1))
	for range 100_000 {
		v := math.Float64frombits(r.Uint64())
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			asLibrary(t, strconv.AppendFloat(nil, v, 'g', -1, 64))
		}
		asLibrary(t, strconv.AppendFloat(nil, r.NormFloat64()*math.Pow(10, float64(r.IntN(50)-25)), 'e', r.IntN(20), 64))
	}
}
