package history

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strings"
)

// A device signs what it writes with a key that can't leave it: ECDSA over the curve P-256 and
// SHA-256 (FIPS 186-5). Signed are the entry's canonical bytes without the member "sig"; "sig" is
// base64url without padding of r and s, 32 bytes each, big-endian (IEEE P1363). A key is told by a
// "device" entry that is signed with it: the uncompressed point of SEC 1, 65 bytes, in base64url.
// From that entry on all entries of the chain are signed; the first key of a chain is its only one.

// Sign-related faults, besides those of [CheckChain].
const (
	Unsigned     FaultKind = "unsigned"  // no signature behind the chain's key
	BadSignature FaultKind = "signature" // the signature is not that of the chain's key
	OtherKey     FaultKind = "other-key" // the laptop vouched for another key than the chain tells
)

// SignedBytes gives what a device signs of an entry.
func (e Entry) SignedBytes() ([]byte, error) {
	var m map[string]json.RawMessage
	if err := json.Unmarshal(e.raw, &m); err != nil {
		return nil, err
	}
	delete(m, "sig")
	b, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	return Canonical(b)
}

// WithSignature gives the entry with its signature, 64 bytes.
func (e Entry) WithSignature(sig []byte) (Entry, error) {
	h := e.Head
	h.Sig = base64.RawURLEncoding.EncodeToString(sig)
	b, err := json.Marshal(h)
	if err != nil {
		return Entry{}, err
	}
	return Parse(b)
}

// Signed gives the entry signed with its chain's key.
func (e Entry) Signed(key *ecdsa.PrivateKey, rand io.Reader) (Entry, error) {
	b, err := e.SignedBytes()
	if err != nil {
		return e, err
	}
	sum := sha256.Sum256(b)
	r, v, err := ecdsa.Sign(rand, key, sum[:])
	if err != nil {
		return e, err
	}
	sig := make([]byte, 64)
	r.FillBytes(sig[:32])
	v.FillBytes(sig[32:])
	return e.WithSignature(sig)
}

// PublicKey is a key as entries tell it.
func PublicKey(key *ecdsa.PrivateKey) (string, error) {
	raw, err := key.PublicKey.Bytes()
	return base64.RawURLEncoding.EncodeToString(raw), err
}

// DeviceKey is the key of one chain.
type DeviceKey struct {
	Device string `json:"device"`
	Key    string `json:"key"`
	Seq    int64  `json:"seq"` // of the entry that tells it
}

// Fingerprint is how people compare a key: half of its SHA-256, in groups of four.
func Fingerprint(key string) string {
	raw, err := base64.RawURLEncoding.DecodeString(key)
	if err != nil || len(raw) == 0 {
		return ""
	}
	sum := sha256.Sum256(raw)
	digits := strings.ToUpper(hex.EncodeToString(sum[:16]))
	var groups []string
	for g := range slices.Chunk([]byte(digits), 4) {
		groups = append(groups, string(g))
	}
	return strings.Join(groups, " ")
}

// KeyOf gives the key that an entry tells for its chain; "" where it tells none.
func (e Entry) KeyOf() string {
	if e.Kind != KindDevice || e.Sig == "" {
		return ""
	}
	d, err := DataOf[DeviceData](e)
	if err != nil {
		return ""
	}
	return d.Key
}

// Keys gives the key of each chain that tells one.
func Keys(entries []Entry) map[string]DeviceKey {
	keys := map[string]DeviceKey{}
	for _, e := range entries {
		if k := e.KeyOf(); k != "" {
			if have, ok := keys[e.Device]; !ok || e.Seq < have.Seq {
				keys[e.Device] = DeviceKey{e.Device, k, e.Seq}
			}
		}
	}
	return keys
}

// CheckSignature holds an entry's signature against a key. The error says what is wrong.
func CheckSignature(e Entry, key string) error {
	raw, err := base64.RawURLEncoding.DecodeString(key)
	if err != nil {
		return errors.New("the key is not in its form")
	}
	pub, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), raw)
	if err != nil {
		return errors.New("the key is no point of the curve P-256")
	}
	sig, err := base64.RawURLEncoding.DecodeString(e.Sig)
	if err != nil || len(sig) != 64 {
		return errors.New("the signature is not in its form")
	}
	b, err := e.SignedBytes()
	if err != nil {
		return err
	}
	sum := sha256.Sum256(b)
	if !ecdsa.Verify(pub, sum[:], new(big.Int).SetBytes(sig[:32]), new(big.Int).SetBytes(sig[32:])) {
		return errors.New("the signature is not that of the device's key over this entry")
	}
	return nil
}

// CheckSignatures tests the signature of every entry of a chain that has a key, and holds the
// keys against those that the laptop vouched for. Entries of chains without a key, and those
// from before it, are no fault; unsigned counts them by device.
func CheckSignatures(entries []Entry) (faults []Fault, unsigned map[string]int) {
	keys, unsigned := Keys(entries), map[string]int{}
	for _, e := range entries {
		k, keyed := keys[e.Device]
		fault := func(kind FaultKind, format string, args ...any) {
			faults = append(faults, Fault{kind, e.Device, e.Seq, fmt.Sprintf(format, args...)})
		}
		switch {
		case !keyed || e.Seq < k.Seq && e.Sig == "":
			unsigned[e.Device]++
		case e.Sig == "":
			fault(Unsigned, "entry %s, %q by %q, is not signed, the ones before it on device %s are", e.ID, e.Kind, e.By, e.Device)
		default:
			if err := CheckSignature(e, k.Key); err != nil {
				fault(BadSignature, "entry %s, %q by %q: %v", e.ID, e.Kind, e.By, err)
			}
		}
		if m, err := DataOf[MemberData](e); err == nil && e.Kind == KindMember && m.Key != "" {
			if told, ok := keys[m.Device]; ok && told.Key != m.Key {
				fault(OtherKey, "the laptop vouched for the key %s of device %s (%s), its chain is signed with %s", Fingerprint(m.Key), m.Device, m.Name, Fingerprint(told.Key))
			}
		}
	}
	sortBy(faults, CompareFaults)
	return faults, unsigned
}

// Code is how an inspector keeps a sign-off on a slip of paper: how many entries it covers and the
// first 16 digits of its digest.
func (d SignOffData) Code() string {
	if len(d.Digest) < 16 {
		return ""
	}
	return fmt.Sprintf("%d-%s-%s-%s-%s", len(d.Covers), d.Digest[:4], d.Digest[4:8], d.Digest[8:12], d.Digest[12:16])
}

// SameCode says whether a code that somebody typed is this one.
func SameCode(typed, code string) bool {
	plain := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r == '-' || r == ' ' || r == '\u2013' {
				return -1
			}
			return r
		}, strings.ToLower(s))
	}
	return code != "" && plain(typed) == plain(code)
}
