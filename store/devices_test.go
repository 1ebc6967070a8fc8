package store

import (
	"errors"
	"slices"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// A device that joins again takes up its own place: never another role's, nor the laptop's own
// browser's. Its token before ends, a revocation is lifted.
func TestDeviceJoinsAgainOnlyAsWhatItWas(t *testing.T) {
	s := open(t, t.TempDir())
	id := histtest.NewDevice(1, "", history.Builder).Device
	d := Device{ID: id, Name: "Ines's phone", Role: history.Inspector}
	token := func(n byte) TokenHash { return TokenHash{n} }
	if _, err := s.Join(ctx, d, token(1), true); !errors.Is(err, ErrNotFound) {
		t.Errorf("again, though it never came: %v", err)
	}
	if got, err := s.Join(ctx, d, token(1), false); err != nil || got.Role != history.Inspector || got.Owner || got.Revoked() {
		t.Fatalf("first time: %+v, %v", got, err)
	}
	if _, err := s.Join(ctx, d, token(2), false); !errors.Is(err, ErrTaken) {
		t.Errorf("another device of its id: %v", err)
	}
	builder, owner := d, d
	builder.Role, owner.Owner = history.Builder, true
	for name, x := range map[string]Device{"as a builder's": builder, "as the laptop's own": owner} {
		if _, err := s.Join(ctx, x, token(2), true); !errors.Is(err, ErrTaken) {
			t.Errorf("again %s: %v", name, err)
		}
	}
	if got := must(s.DeviceByToken(ctx, token(1))); got.Role != history.Inspector || got.Owner {
		t.Errorf("it has become %+v", got)
	}
	if must(s.RevokeDevice(ctx, id)); !must(s.DeviceByToken(ctx, token(1))).Revoked() {
		t.Error("it was not revoked")
	}
	d.Name = "Ines's new phone"
	if got := must(s.Join(ctx, d, token(3), true)); got.Revoked() || got.Name != d.Name {
		t.Errorf("let in again: %+v", got)
	}
	if _, err := s.DeviceByToken(ctx, token(1)); !errors.Is(err, ErrNotFound) {
		t.Errorf("the token before: %v", err)
	}
}

// That a device joined, was taken off the list and was let in again stands in the record, signed by
// the laptop. Taking it off twice is one event.
func TestWhoIsLetInAndTakenOffIsWrittenDown(t *testing.T) {
	s := open(t, t.TempDir())
	id := histtest.NewDevice(1, "", history.Builder).Device
	d := Device{ID: id, Name: "Ines's phone", Role: history.Inspector}
	must(s.Join(ctx, d, TokenHash{1}, false))
	must(s.RevokeDevice(ctx, id))
	must(s.RevokeDevice(ctx, id))
	must(s.Join(ctx, d, TokenHash{2}, true))
	var said []string
	var key string
	for _, e := range must(s.EntriesSince(ctx, "", 0)).Entries {
		if k := e.KeyOf(); k != "" {
			key = k
		}
		if err := history.CheckSignature(e, key); err != nil {
			t.Errorf("%s: %v", e.Kind, err)
		}
		if m, err := history.DataOf[history.MemberData](e); err == nil && m.Device == id && m.Name == d.Name && m.Role == d.Role {
			said = append(said, m.What)
		}
	}
	if want := []string{"joined", "revoked", "rejoined"}; !slices.Equal(said, want) {
		t.Errorf("written down: %q, want %q", said, want)
	}
}
