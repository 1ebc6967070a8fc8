package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"bucktail/qc/history"
)

// ErrTaken: a device of this id has joined before.
var ErrTaken = errors.New("a device of this id has joined already")

// Device is one that joined: a phone, or the laptop's own browser.
type Device struct {
	ID        string // its chain in the record bears the same
	Name      string
	Role      history.Role
	Owner     bool // the laptop's own browser, joined by the link in its terminal
	JoinedAt  time.Time
	SeenAt    time.Time
	RevokedAt time.Time // zero: it may come in
	Key       string    // with which it signs its entries; empty: it has told none

	rejoined bool // invited again since it told its key
}

// Revoked says whether the device may no longer come in.
func (d Device) Revoked() bool { return !d.RevokedAt.IsZero() }

// TokenHash is the SHA-256 of a device's token. The token itself is kept by the device alone.
type TokenHash [32]byte

// Join lets a device in from now on. With again, a device of this id takes up its place again:
// the token before ends, a revocation is lifted, and its role stays what it was. Without, an id
// that is known gets [ErrTaken].
func (s *Store) Join(ctx context.Context, d Device, token TokenHash, again bool) (Device, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now().UnixMilli()
	err := s.tx(ctx, "let device in", func(tx *sql.Tx) error {
		var role string
		var owner bool
		switch err := tx.QueryRow(`SELECT role, owner FROM device WHERE id = ?`, d.ID).Scan(&role, &owner); {
		case errors.Is(err, sql.ErrNoRows) && again:
			return ErrNotFound
		case errors.Is(err, sql.ErrNoRows):
			if _, err := tx.Exec(`INSERT INTO device (id, name, role, owner, token, joined_ms, seen_ms) VALUES (?, ?, ?, ?, ?, ?, ?)`, d.ID, d.Name, string(d.Role), d.Owner, token[:], now, now); err != nil {
				return err
			}
			return s.vouch(ctx, tx, history.MemberData{Device: d.ID, What: "joined", Name: d.Name, Role: d.Role})
		case err != nil:
			return err
		case !again:
			return ErrTaken
		case role != string(d.Role) || owner != d.Owner:
			return fmt.Errorf("%w, in another role", ErrTaken)
		}
		// What comes later is later, also within a millisecond or by a clock that was set back.
		if _, err := tx.Exec(`UPDATE device SET name = ?, token = ?, joined_ms = max(?, coalesce(keyed_ms, 0) + 1), seen_ms = ?, revoked_ms = NULL WHERE id = ?`, d.Name, token[:], now, now, d.ID); err != nil {
			return err
		}
		return s.vouch(ctx, tx, history.MemberData{Device: d.ID, What: "rejoined", Name: d.Name, Role: d.Role})
	})
	if err != nil {
		return Device{}, err
	}
	return s.Device(ctx, d.ID)
}

const deviceColumns = `id, name, role, owner, joined_ms, seen_ms, revoked_ms, coalesce(key, ''), coalesce(keyed_ms, 0)`

func scanDevice(row interface{ Scan(...any) error }) (Device, error) {
	var d Device
	var joined, seen, keyed int64
	var revoked sql.NullInt64
	if err := row.Scan(&d.ID, &d.Name, &d.Role, &d.Owner, &joined, &seen, &revoked, &d.Key, &keyed); err != nil {
		return Device{}, err
	}
	d.JoinedAt, d.SeenAt = time.UnixMilli(joined).UTC(), time.UnixMilli(seen).UTC()
	d.rejoined = joined > keyed
	if revoked.Valid {
		d.RevokedAt = time.UnixMilli(revoked.Int64).UTC()
	}
	return d, nil
}

// Device gives one device, [ErrNotFound] if there is none of this id.
func (s *Store) Device(ctx context.Context, id string) (Device, error) {
	d, err := scanDevice(s.read.QueryRowContext(ctx, `SELECT `+deviceColumns+` FROM device WHERE id = ?`, id))
	return d, explain("find device", err)
}

// DeviceByToken gives the device that holds a token, a revoked one too.
func (s *Store) DeviceByToken(ctx context.Context, token TokenHash) (Device, error) {
	d, err := scanDevice(s.read.QueryRowContext(ctx, `SELECT `+deviceColumns+` FROM device WHERE token = ?`, token[:]))
	return d, explain("find device", err)
}

// Devices gives all devices, revoked ones too, in the order in which they joined.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT `+deviceColumns+` FROM device ORDER BY joined_ms, id`)
	if err != nil {
		return nil, explain("list devices", err)
	}
	defer rows.Close()
	out := []Device{}
	for rows.Next() {
		d, err := scanDevice(rows)
		if err != nil {
			return nil, explain("list devices", err)
		}
		out = append(out, d)
	}
	return out, explain("list devices", rows.Err())
}

// RenameDevice gives a device another name.
func (s *Store) RenameDevice(ctx context.Context, id, name string) (Device, error) {
	return s.changeDevice(ctx, id, "rename device", `UPDATE device SET name = ? WHERE id = ?`, name, id)
}

// RevokeDevice ends a device's token. Revoking it again changes nothing.
func (s *Store) RevokeDevice(ctx context.Context, id string) (Device, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.tx(ctx, "revoke device", func(tx *sql.Tx) error {
		d, err := scanDevice(tx.QueryRow(`SELECT `+deviceColumns+` FROM device WHERE id = ?`, id))
		if err != nil || d.Revoked() {
			return err
		}
		if _, err := tx.Exec(`UPDATE device SET revoked_ms = ? WHERE id = ?`, s.now().UnixMilli(), id); err != nil {
			return err
		}
		return s.vouch(ctx, tx, history.MemberData{Device: id, What: "revoked", Name: d.Name, Role: d.Role, Key: d.Key})
	})
	if err != nil {
		return Device{}, err
	}
	return s.Device(ctx, id)
}

// SawDevice notes that a device was there.
func (s *Store) SawDevice(ctx context.Context, id string) error {
	_, err := s.changeDevice(ctx, id, "note device", `UPDATE device SET seen_ms = max(seen_ms, ?) WHERE id = ?`, s.now().UnixMilli(), id)
	return err
}

func (s *Store) changeDevice(ctx context.Context, id, doing, query string, args ...any) (Device, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.tx(ctx, doing, func(tx *sql.Tx) error {
		r, err := tx.Exec(query, args...)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, ErrNotFound)
		}
		return nil
	})
	if err != nil {
		return Device{}, err
	}
	return s.Device(ctx, id)
}
