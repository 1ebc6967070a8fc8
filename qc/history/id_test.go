package history

import (
	"bytes"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/uuid"
)

// Example of RFC 9562, appendix A.6: the UUIDv7 of 2022-02-22 14:22:22.00 GMT-05:00 with the
// random bits that the example gives.
func TestNewIDGivesTheExampleOfRFC9562(t *testing.T) {
	at := time.Date(2022, 2, 22, 14, 22, 22, 0, time.FixedZone("", -5*3600))
	if at.UnixMilli() != 0x017F22E279B0 {
		t.Fatalf("time of the example: %x", at.UnixMilli())
	}
	// rand_a 0xCC3, then rand_b 0b01, 0x8C4DC0C0C07398F
	got, err := NewID(at.UnixMilli(), bytes.NewReader([]byte{0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F}))
	if err != nil || got != "017f22e2-79b0-7cc3-98c4-dc0c0c07398f" {
		t.Errorf("got %s, %v", got, err)
	}
}

func TestIDsAreReadByAnotherLibraryAndSortByTime(t *testing.T) {
	src := rand.NewChaCha8([32]byte{1})
	last := ""
	for i := range 2000 {
		ms := NextMS(time.UnixMilli(1_700_000_000_000+int64(i/3)), last) // three in each millisecond
		id, err := NewID(ms, src)
		if err != nil {
			t.Fatal(err)
		}
		u, err := uuid.Parse(id)
		if err != nil || u.Version() != 7 || u.Variant() != uuid.RFC4122 || u.String() != id {
			t.Fatalf("%s: %v, version %v, variant %v", id, err, u.Version(), u.Variant())
		}
		if sec, ns := u.Time().UnixTime(); sec*1000+ns/1_000_000 != ms {
			t.Fatalf("%s: time read back %d s %d ns, put in %d ms", id, sec, ns, ms)
		}
		if id <= last {
			t.Fatalf("%s does not sort after %s", id, last)
		}
		last = id
	}
}

func TestAnIDNeverRunsBehindWhatWasSeen(t *testing.T) {
	seen, _ := NewID(2_000_000_000_000, rand.NewChaCha8([32]byte{2}))
	for _, c := range []struct {
		name  string
		clock time.Time
		want  int64
	}{
		{"clock years behind", time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC), 2_000_000_000_001},
		{"clock before 1970", time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC), 2_000_000_000_001},
		{"clock ahead", time.UnixMilli(2_000_000_000_500), 2_000_000_000_500},
	} {
		if got := NextMS(c.clock, seen); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
	if _, err := NewID(-1, nil); err == nil {
		t.Error("an id from before 1970 was made")
	}
	if _, err := NewID(1, bytes.NewReader(nil)); err == nil {
		t.Error("an id was made without randomness")
	}
}
