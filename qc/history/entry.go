package history

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"bucktail/qc"
)

// Format is the version of the entry form that this program writes.
const Format = 1

// MaxEntryBytes bounds one entry. A sign-off names each entry it covers in 39 bytes, so this
// leaves room for parts with more than 20,000 entries; everything else is far smaller.
const MaxEntryBytes = 1 << 20

// Hash is the SHA-256 of an entry's canonical bytes.
type Hash [sha256.Size]byte

// String gives 64 hex digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// Role says as what somebody acted.
type Role string

// The roles.
const (
	Builder   Role = "builder"
	Inspector Role = "inspector"
)

// Head is an entry without its canonical bytes: the members listed in the package comment.
type Head struct {
	Format     int             `json:"format"`
	ID         string          `json:"id"`
	Device     string          `json:"device"`
	Seq        int64           `json:"seq"`
	Prev       string          `json:"prev,omitempty"`
	At         time.Time       `json:"at"`
	By         string          `json:"by"`
	Role       Role            `json:"role"`
	Kind       Kind            `json:"kind"`
	Project    string          `json:"project,omitempty"`
	Part       string          `json:"part,omitempty"`
	Location   string          `json:"location,omitempty"`
	Supersedes []string        `json:"supersedes,omitempty"`
	Why        string          `json:"why,omitempty"`
	Data       json.RawMessage `json:"data"`
	Sig        string          `json:"sig,omitempty"` // by the device's key, see sign.go
}

// Entry is one immutable entry. The zero value is no entry; make one with [Maker.Make] or
// [Parse].
type Entry struct {
	Head
	raw  []byte
	hash Hash
}

// Bytes gives the canonical bytes. They must not be changed.
func (e Entry) Bytes() []byte { return e.raw }

// Hash gives the SHA-256 of the canonical bytes.
func (e Entry) Hash() Hash { return e.hash }

// MarshalJSON gives the canonical bytes, so that a list of entries is a JSON array of them.
func (e Entry) MarshalJSON() ([]byte, error) {
	if e.raw == nil {
		return nil, fmt.Errorf("an entry that was neither made nor parsed has no bytes")
	}
	return e.raw, nil
}

// UnmarshalJSON is [Parse].
func (e *Entry) UnmarshalJSON(b []byte) error {
	p, err := Parse(b)
	if err != nil {
		return err
	}
	*e = p
	return nil
}

// Compare puts entries into the one fixed order: by id, then by hash.
func Compare(a, b Entry) int {
	if c := strings.Compare(a.ID, b.ID); c != 0 {
		return c
	}
	return bytes.Compare(a.hash[:], b.hash[:])
}

// CompareInTime puts entries into the order in which they add up. It is that of [Compare] but for
// entries whose id tells no time: beyond the year 9999 there is no room for a next one, so one
// such id would leave all that was written after it without an order. Such entries stand where
// "at" says that they were written, those of one device in the order of its chain.
func CompareInTime(a, b Entry) int {
	x, y := timeOf(a), timeOf(b)
	return cmp.Or(cmp.Compare(x.ms, y.ms), cmp.Compare(x.device, y.device), cmp.Compare(x.seq, y.seq), Compare(a, b))
}

type place struct {
	ms     int64
	device string // of an entry whose id tells no time, as is seq
	seq    int64
}

func timeOf(e Entry) place {
	if ms, ok := idMS(e.ID); ok && ms <= lastMS {
		return place{ms: ms}
	}
	return place{e.At.UnixMilli(), e.Device, e.Seq}
}

// inTime gives the union of sets of entries, each once, in the order in which they add up.
func inTime(sets ...[]Entry) []Entry {
	all := Join(sets...)
	slices.SortStableFunc(all, CompareInTime)
	return all
}

// latest is the greater of two ids of those that tell a time.
func latest(a, b string) string {
	if ms, ok := idMS(b); !ok || ms > lastMS {
		return a
	}
	return max(a, b)
}

// Parse reads an entry that came from outside, in any spacing and order of members, and
// checks everything that can be checked without other entries. Every error is a
// [qc.Refusal] that says what is wrong.
func Parse(b []byte) (Entry, error) {
	e, err := Read(b)
	if err != nil {
		return Entry{}, err
	}
	if err := e.check(); err != nil {
		return Entry{}, err
	}
	return e, nil
}

// Read reads an entry that another record has already accepted: like [Parse], but without
// judging its data by this version's rules, which may have become stricter since. It is for
// what comes from the own server, a backup or a bundle.
func Read(b []byte) (Entry, error) {
	if len(b) > MaxEntryBytes {
		return Entry{}, refuse("entry-too-large", fmt.Sprintf("an entry of %d bytes is larger than %d", len(b), MaxEntryBytes),
			"split it: fewer readings or locations in one entry")
	}
	raw, err := Canonical(b)
	if err != nil {
		return Entry{}, refuse("entry-not-json", "the entry is not a JSON object that can be kept: "+err.Error(), "send it again; if that fails, export it and report it")
	}
	if len(raw) > MaxEntryBytes { // 1e300 is short, its canonical form need not be
		return Entry{}, refuse("entry-too-large", fmt.Sprintf("an entry of %d bytes is larger than %d", len(raw), MaxEntryBytes),
			"split it: fewer readings or locations in one entry")
	}
	e, err := decode(raw)
	if err != nil {
		return Entry{}, err
	}
	c := checker{kind: e.Kind}
	c.head(e.Head)
	return e, c.err
}

// ParseKept reads an entry from bytes that were canonical when they were stored. It skips the
// work of [Parse] but does check that the bytes still have the hash they are kept under.
func ParseKept(raw []byte, want Hash) (Entry, error) {
	e, err := decode(raw)
	if err != nil {
		return Entry{}, err
	}
	if e.hash != want {
		return Entry{}, fmt.Errorf("entry %s was changed: its bytes have SHA-256 %s, kept as %s", e.ID, e.hash, want)
	}
	return e, nil
}

func decode(raw []byte) (Entry, error) {
	e := Entry{raw: raw, hash: sha256.Sum256(raw)}
	if err := json.Unmarshal(raw, &e.Head); err != nil {
		return Entry{}, refuse("entry-form", "the entry's members do not have the right form: "+err.Error(), "send it again; if that fails, export it and report it")
	}
	return e, nil
}

func refuse(code, text, do string) *qc.Refusal {
	return &qc.Refusal{Code: code, Text: text, Do: do}
}
