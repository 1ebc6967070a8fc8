package history

import (
	"encoding/hex"
	"fmt"
	"io"
	"time"
)

// maxMS is the greatest time that the 48 bits of a UUIDv7 can hold, in milliseconds since 1970.
const maxMS = 1<<48 - 1

// NewID makes a UUID version 7 from a time in milliseconds since 1970 (UTC) and ten bytes
// of rand. The text form is lower case and sorts by time.
//
// Source: RFC 9562, sections 5.7 and 6.2.
func NewID(ms int64, rand io.Reader) (string, error) {
	if ms < 0 || ms > maxMS {
		return "", fmt.Errorf("make id: time %d ms is outside what an id can hold", ms)
	}
	var b [16]byte
	for i := range 6 {
		b[i] = byte(ms >> (8 * (5 - i)))
	}
	if _, err := io.ReadFull(rand, b[6:]); err != nil {
		return "", fmt.Errorf("make id: random source: %w", err)
	}
	b[6] = 0x70 | b[6]&0x0f // version 7
	b[8] = 0x80 | b[8]&0x3f // variant 10
	h := hex.EncodeToString(b[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:], nil
}

// lastMS is the last millisecond of the year 9999, the latest that an entry may say in "at".
// An id beyond it tells no time.
const lastMS = 253_402_300_799_999

// Ahead is how far an id's time may lie ahead of the clock of whoever takes the entry in.
const Ahead = 24 * time.Hour

// NoTime is where ids begin that tell no time: those beyond the year 9999 sort from here on.
const NoTime = "e677d21f-dc00"

// IDAhead says whether an id's time lies more than [Ahead] after both the clock and held, the
// latest id that the record holds already (empty: none; one that tells no time counts as none): an
// entry that was taken in with it would stand behind all that is written for so long. Where the
// record itself stands ahead, since the clock was once set wrong, whoever has seen it writes ids
// that follow on, see [NextMS].
func IDAhead(id string, clock time.Time, held string) bool {
	ms, ok := idMS(id)
	if latest, told := idMS(held); told && latest <= lastMS {
		clock = time.UnixMilli(max(latest, clock.UnixMilli()))
	}
	return ok && ms > clock.Add(Ahead).UnixMilli()
}

// NextMS gives the time to put into a new id: the clock, but at least one millisecond after
// the latest id that the writer has seen (empty: none; one that tells no time counts as none). RFC 9562, section 6.2, allows an id's
// time to run ahead of the clock for the sake of order. So an entry always sorts after what
// its writer knew, and a clock that is years behind does no harm to the order.
func NextMS(clock time.Time, latestID string) int64 {
	ms := max(clock.UnixMilli(), 0)
	if seen, ok := idMS(latestID); ok && seen >= ms && seen < lastMS {
		ms = seen + 1
	}
	return min(ms, lastMS)
}

// idMS reads the milliseconds of a UUIDv7.
func idMS(id string) (int64, bool) {
	if !isUUID(id, '7') {
		return 0, false
	}
	var b [6]byte
	if _, err := hex.Decode(b[:], []byte(id[:8]+id[9:13])); err != nil {
		return 0, false
	}
	var ms int64
	for _, v := range b {
		ms = ms<<8 | int64(v)
	}
	return ms, true
}

// isUUID says whether s is a UUID in lower case text form, of the given version; version 0
// takes any.
func isUUID(s string, version byte) bool {
	if len(s) != 36 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		switch i {
		case 8, 13, 18, 23:
			if c != '-' {
				return false
			}
		default:
			if !('0' <= c && c <= '9' || 'a' <= c && c <= 'f') {
				return false
			}
		}
	}
	if version != 0 && s[14] != version {
		return false
	}
	return s[19] == '8' || s[19] == '9' || s[19] == 'a' || s[19] == 'b'
}

// IsPhotoHash says whether s is a SHA-256 in the form used throughout: 64 hex digits, lower case.
func IsPhotoHash(s string) bool {
	if len(s) != 64 {
		return false
	}
	for i := range len(s) {
		if c := s[i]; !('0' <= c && c <= '9' || 'a' <= c && c <= 'f') {
			return false
		}
	}
	return true
}
