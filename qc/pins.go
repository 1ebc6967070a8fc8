package qc

import "math"

// PinUMM is the expanded uncertainty of a pin gauge's diameter, mm: of usual sets, class ZZ, by
// common practice.
const PinUMM = 0.005

// ByPins is the least diameter of a hole that a pin of goMM enters and one of noGoMM does not: as
// likely anywhere between the two (JCGM 100, 4.3.7). An error says what is wrong with the pins.
func ByPins(goMM, noGoMM float64) (Reading, error) {
	if bad(goMM) || bad(noGoMM) || goMM <= 0 || noGoMM <= goMM {
		return Reading{}, &Refusal{Code: "bad-pins", Text: "the pin that does not go in must be the larger one", Do: "give the largest pin that goes in, and the next larger one that does not"}
	}
	gap := Contribution{Label: "between the pins", UMM: (noGoMM - goMM) / (2 * math.Sqrt(3))}
	pins := Contribution{Label: "pins", UMM: PinUMM / 2}
	b, err := CombineReading([]Contribution{gap, pins})
	if err != nil {
		return Reading{}, err
	}
	return Reading{Quantity: HoleDMin, ValueMM: (goMM + noGoMM) / 2, UMM: b.Expanded, How: ByGauge, Contributions: []Contribution{gap, pins}}, nil
}
