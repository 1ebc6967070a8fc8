package store

import (
	"errors"
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
