// Package spec holds published figures about rivets, their heads, their holes and drills as
// data. Every row names the document that it comes from and how far it can be trusted. It
// judges nothing: package qc turns rows into limits. Start with [SolidRivets] and
// [PulledRivets].
//
// Lengths are millimetres. A row whose source gives inches is written in inches times
// 25.4, so that it can be read against the source. The drawings and the manual of the
// aircraft go before every figure here.
package spec

import (
	"math"
	"strings"
)

// inch in millimetres, exact since 1959.
const inch = 25.4

// Basis says how a figure got here.
type Basis string

const (
	Read    Basis = "read"    // seen in the document, or in another one that quotes it
	Memory  Basis = "memory"  // recalled, not seen: compare with the document before relying on it
	Derived Basis = "derived" // computed from other rows, as the note tells
	Own     Basis = "own"     // the builder's own figure, from the drawings of the aircraft
)

// Word names a basis for people: what is stored as "memory" was recalled.
func (b Basis) Word() string {
	if b == Memory {
		return "recalled"
	}
	return string(b)
}

// Cite is what every row carries.
type Cite struct {
	Source string `json:"source"` // document, section and table, or "common practice"
	Basis  Basis  `json:"basis"`
	Note   string `json:"note,omitempty"`
}

// Provenance says in plain words how the figure got here, with the note: "from the table",
// "recalled, not read: compare with the document", "scaled from the 1/8 in row, …".
func (c Cite) Provenance() string {
	words, note := string(c.Basis), "; "+c.Note
	switch c.Basis {
	case Read:
		words = "from the table"
	case Memory:
		words = "recalled, not read: compare with the document"
	case Derived:
		if row, scaled := strings.CutPrefix(c.Note, "ratios of "); scaled {
			return "scaled from " + row
		}
		words, note = "derived", ": "+c.Note
	case Own:
		words = "the builder's own"
	}
	if c.Note == "" {
		return words
	}
	return words + note
}

// CommonPractice is the source of what the trade does without one published document.
const CommonPractice = "common practice"

// sameSizeMM is how near two nominal diameters are to be taken as one size. The nearest
// sizes of different families, 1/8 in = 3.175 mm and 3.2 mm, lie 0.025 apart.
const sameSizeMM = 0.01

// SameSize tells whether two nominal diameters in millimetres name one size.
func SameSize(aMM, bMM float64) bool { return math.Abs(aMM-bMM) <= sameSizeMM }
