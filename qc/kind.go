// Package qc is the vocabulary of the bench: fasteners, readings, limits, uncertainty
// and verdicts. It knows no pixels, no files, no clock and no network: callers pass what
// they know. Start with [Reading] and [Judge].
package qc

// Kind says what stands at a location.
type Kind string

// The kinds that the program measures.
const (
	ShopHead      Kind = "shop-head"      // the driven head of a solid rivet
	UniversalHead Kind = "universal-head" // the manufactured domed head of a solid rivet
	PulledHead    Kind = "pulled-head"    // the manufactured dome of a pulled (blind) rivet
	FlushHead     Kind = "flush-head"     // a countersunk head, level with the sheet
	Hole          Kind = "hole"           // a drilled hole, no rivet in it
)

// Kinds lists all kinds in the order in which they are shown.
var Kinds = []Kind{ShopHead, UniversalHead, PulledHead, FlushHead, Hole}
