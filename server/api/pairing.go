package api

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"io"
	"strings"
	"sync"
	"time"

	"bucktail/qc/history"
)

// A pairing code is good for five minutes and one device. The code in the QR has 160 bits; the
// form to type has 60, which is enough only because five wrong ones end it.
const (
	codeLife   = 5 * time.Minute
	codeBytes  = 20
	typedChars = 12
	typedTries = 5
	// rememberCodes is how long a code that is no longer good is told from a wrong one.
	rememberCodes = time.Hour
	maxCodes      = 50 // of one device
)

// typedAlphabet: digits and capitals without those that are taken for one another (Crockford's
// base 32).
const typedAlphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// pairing is one code that was given out.
type pairing struct {
	id          string
	role        history.Role
	owner       bool   // the laptop's own browser; good on the laptop alone
	by          string // the device that asked for it; empty: the laptop's terminal
	device      string // the device that takes up its place again; empty: a new one
	code, typed [sha256.Size]byte
	expires     time.Time
	tries       int // left for the typed form
	used        bool
	withdrawn   bool
	joined      string // the device that used it
}

func (p *pairing) state(now time.Time) string {
	switch {
	case p.used:
		return "used"
	case p.withdrawn:
		return "withdrawn"
	case !now.Before(p.expires):
		return "expired"
	}
	return "waiting"
}

// book holds the codes that were given out. They are in memory alone: a new start ends them.
type book struct {
	mu   sync.Mutex
	now  func() time.Time
	rand io.Reader
	all  []*pairing // oldest first
}

func newBook(now func() time.Time, rand io.Reader) *book { return &book{now: now, rand: rand} }

// invite makes a code. code and typed are told once; the book keeps their hashes.
func (b *book) invite(by string, role history.Role, owner bool, device string) (p pairing, code, typed string, err error) {
	id, err := history.NewID(max(0, b.now().UnixMilli()), b.rand)
	if err != nil {
		return p, "", "", err
	}
	var raw [codeBytes]byte
	var chars [typedChars]byte
	for _, to := range [][]byte{raw[:], chars[:]} {
		if _, err := io.ReadFull(b.rand, to); err != nil {
			return p, "", "", err
		}
	}
	code = base64.RawURLEncoding.EncodeToString(raw[:])
	for i, c := range chars {
		chars[i] = typedAlphabet[c%32] // 256 is a multiple of 32: no letter is likelier
	}
	n := &pairing{
		id: id, role: role, owner: owner, by: by, device: device,
		code: sha256.Sum256([]byte(code)), typed: sha256.Sum256(chars[:]), expires: b.now().Add(codeLife), tries: typedTries,
	}
	if owner {
		n.tries = 0 // it is a link in the terminal; nobody types it
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.tidy()
	made := 0
	for _, p := range b.all {
		if p.by == by {
			made++
		}
	}
	if made >= maxCodes {
		return p, "", "", tooMany.with("this device made %d codes within an hour", maxCodes)
	}
	b.all = append(b.all, n)
	return *n, code, string(chars[:4]) + "-" + string(chars[4:8]) + "-" + string(chars[8:]), nil
}

// tidy forgets what is long over.
func (b *book) tidy() {
	kept := b.all[:0]
	for _, p := range b.all {
		if b.now().Before(p.expires.Add(rememberCodes - codeLife)) {
			kept = append(kept, p)
		}
	}
	clear(b.all[len(kept):])
	b.all = kept
}

// redeem finds the code that was entered and runs join with it while the book is closed, so that
// no second device can use it meanwhile. When join fails, the code is good again.
func (b *book) redeem(entered string, onLaptop bool, join func(pairing) (device string, err error)) error {
	code, short := normal(entered)
	hash := sha256.Sum256([]byte(code))
	b.mu.Lock()
	defer b.mu.Unlock()
	b.tidy()
	var found *pairing
	for _, p := range b.all { // all of them, so that the time tells nothing
		want := &p.code
		if short {
			want = &p.typed
		}
		if subtle.ConstantTimeCompare(want[:], hash[:]) == 1 && (!short || p.tries > 0 || p.used) && !(short && p.owner) {
			found = p
		}
	}
	if found == nil {
		if short {
			for _, p := range b.all {
				p.tries = max(0, p.tries-1)
			}
		}
		return codeWrong.with("")
	}
	switch found.state(b.now()) {
	case "used":
		return codeUsed.with("")
	case "withdrawn", "expired":
		return codeOld.with("")
	}
	if found.owner && !onLaptop {
		return codeElsewhere.with("")
	}
	device, err := join(*found)
	if err != nil {
		return err
	}
	found.used, found.joined = true, device
	return nil
}

// find gives a pairing by its id.
func (b *book) find(id string) (pairing, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, p := range b.all {
		if p.id == id {
			return *p, true
		}
	}
	return pairing{}, false
}

func (b *book) withdraw(id string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, p := range b.all {
		if p.id == id {
			p.withdrawn = true
			return true
		}
	}
	return false
}

// normal brings an entered code into the form in which it is kept, and says whether it is the
// typed one. O is taken for 0, I and L for 1, as the alphabet's author has it.
func normal(entered string) (code string, typed bool) {
	entered = strings.TrimSpace(entered)
	short := strings.Map(func(r rune) rune {
		switch r {
		case '-', ' ', '\t', '\u2013', '\u2011':
			return -1
		case 'o', 'O':
			return '0'
		case 'i', 'I', 'l', 'L':
			return '1'
		}
		return r
	}, entered)
	if len(short) == typedChars {
		return strings.ToUpper(short), true
	}
	return entered, false
}

// randomID makes a UUID for a device that did not bring its own (RFC 9562, version 4).
func randomID(rand io.Reader) (string, error) {
	var b [16]byte
	if _, err := io.ReadFull(rand, b[:]); err != nil {
		return "", err
	}
	b[6], b[8] = b[6]&0x0f|0x40, b[8]&0x3f|0x80
	h := hex.EncodeToString(b[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:], nil
}
