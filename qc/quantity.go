package qc

// HeadHeight is how far a head stands above the sheet. No single photo shows it: two or more
// photos from different sides do, and a hand gauge.
const HeadHeight Quantity = "head_height"

// LegDistance is from the outer face of a standing leg to a hole's axis, or to a mark: where a tool
// must find room. It is judged by package toolroom, for what it must be hangs on the tool.
const LegDistance Quantity = "leg_distance"

// quantityWords names quantities for people.
var quantityWords = map[Quantity]string{
	HeadDMean: "mean head diameter", HeadDMax: "greatest head diameter", HeadDMin: "least head diameter",
	HoleDMean: "mean hole diameter", HoleDMax: "greatest hole diameter", HoleDMin: "least hole diameter",
	OutOfRound: "out of round", MandrelOff: "mandrel off centre", EdgeDistance: "edge distance",
	Pitch: "pitch", HeadHeight: "head height", LegDistance: "distance from the standing leg",
}

// Words names a quantity for people: "least head diameter".
func (q Quantity) Words() string {
	if w, ok := quantityWords[q]; ok {
		return w
	}
	return string(q)
}

// Valid tells whether q is one of the known quantities.
func (q Quantity) Valid() bool { _, ok := quantityWords[q]; return ok }

// OfHole tells whether it measures a hole.
func (q Quantity) OfHole() bool { return q == HoleDMean || q == HoleDMin || q == HoleDMax }

// Diameter tells whether q is a diameter of a head or hole.
func (q Quantity) Diameter() bool {
	switch q {
	case HeadDMean, HeadDMin, HeadDMax, HoleDMean, HoleDMin, HoleDMax:
		return true
	}
	return false
}

// Valid tells whether k is one of [Kinds].
func (k Kind) Valid() bool {
	for _, x := range Kinds {
		if x == k {
			return true
		}
	}
	return false
}
