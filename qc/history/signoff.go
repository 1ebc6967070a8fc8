package history

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
)

// Covers gives what a sign-off of the part names: the ids of all entries that concern it, in
// the fixed order, and the SHA-256 over their hashes (32 bytes each) in that order. Sign-offs
// and decisions are the inspector's own and are not covered.
func Covers(part string, entries []Entry) (ids []string, digest string) {
	h := sha256.New()
	for _, e := range Join(entries) {
		if Covered(part, e) {
			ids = append(ids, e.ID)
			h.Write(e.hash[:])
		}
	}
	return ids, hex.EncodeToString(h.Sum(nil))
}

// Covered says whether a sign-off of the part covers the entry.
func Covered(part string, e Entry) bool {
	return part != "" && e.ConcernsPart() == part && e.Kind != KindSignOff && e.Kind != KindDecision
}

// SignOffStatus is how a sign-off stands to what is there now.
type SignOffStatus struct {
	Since   []string `json:"since,omitempty"`   // entries that it does not cover: it is outdated
	Missing []string `json:"missing,omitempty"` // entries that it covers and that are not here
	// Against lists decisions that reject or ask to measure again and that the signer had not
	// seen: it is outdated.
	Against []string `json:"against,omitempty"`
	Altered bool     `json:"altered,omitempty"` // all are here, but they are not the ones signed
}

// Current says whether the sign-off covers exactly what is there.
func (s SignOffStatus) Current() bool {
	return len(s.Since)+len(s.Missing)+len(s.Against) == 0 && !s.Altered
}

// CheckSignOff holds the sign-off that an entry of this id makes against the entries that concern
// its part.
func CheckSignOff(id, part string, d SignOffData, entries []Entry) SignOffStatus {
	var st SignOffStatus
	covers := make(map[string]bool, len(d.Covers))
	for _, id := range d.Covers {
		covers[id] = true
	}
	h := sha256.New()
	here := make(map[string]bool, len(entries))
	for _, e := range Join(entries) {
		switch {
		case objects(e) && e.ConcernsPart() == part:
			if d.Seen == nil && e.ID > id || d.Seen != nil && !slices.Contains(d.Seen, e.ID) {
				st.Against = append(st.Against, e.ID)
			}
		case !Covered(part, e):
		case covers[e.ID]:
			here[e.ID] = true
			h.Write(e.hash[:])
		default:
			st.Since = append(st.Since, e.ID)
		}
	}
	for _, id := range d.Covers {
		if !here[id] {
			st.Missing = append(st.Missing, id)
		}
	}
	st.Altered = len(st.Missing) == 0 && hex.EncodeToString(h.Sum(nil)) != d.Digest
	return st
}
