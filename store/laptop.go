package store

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/x509"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"bucktail/qc"
	"bucktail/qc/history"
)

// laptopName is the file of the laptop's own key. It is in no backup: a restored record is kept by
// another laptop, which begins a chain of its own.
const laptopName = "laptop-key.json"

// laptop signs what the laptop itself enters: which device joined, with which key, which was taken
// off the list.
type laptop struct {
	Device string `json:"device"`
	Key    []byte `json:"key"` // PKCS #8
	key    *ecdsa.PrivateKey
}

// openLaptop reads the laptop's key, or makes it.
func (s *Store) openLaptop() error {
	name := filepath.Join(s.dir, laptopName)
	b, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return s.newLaptop(name)
	}
	var l laptop
	if err == nil {
		err = json.Unmarshal(b, &l)
	}
	var k any
	if err == nil {
		k, err = x509.ParsePKCS8PrivateKey(l.Key)
	}
	if err != nil {
		return fmt.Errorf("read the laptop's own key %s: %w; moved away, a new one is made at the next start", name, err)
	}
	var ok bool
	if l.key, ok = k.(*ecdsa.PrivateKey); !ok {
		return fmt.Errorf("read the laptop's own key %s: it is of another kind", name)
	}
	s.laptop = l
	return nil
}

func (s *Store) newLaptop(name string) error {
	id, err := history.NewID(max(0, s.now().UnixMilli()), s.rand)
	if err != nil {
		return err
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), s.rand)
	if err != nil {
		return fmt.Errorf("make the laptop's own key: %w", err)
	}
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	l := laptop{id, der, key}
	b, err := json.Marshal(l)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(s.dir, laptopName+".part-")
	if err != nil {
		return explain("keep the laptop's own key", err)
	}
	_, err = f.Write(b)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return explain("keep the laptop's own key", errors.Join(err, os.Remove(f.Name())))
	}
	if err := errors.Join(os.Rename(f.Name(), name), syncDir(s.dir)); err != nil {
		return explain("keep the laptop's own key", err)
	}
	s.laptop = l
	return nil
}

// vouch enters what the laptop says of a device.
func (s *Store) vouch(ctx context.Context, tx *sql.Tx, m history.MemberData) error {
	return s.say(ctx, tx, history.KindMember, m)
}

// say writes an entry at the end of the laptop's own chain.
func (s *Store) say(ctx context.Context, tx *sql.Tx, k history.Kind, data any) error {
	maker := history.Maker{Device: s.laptop.Device, By: "This laptop", Role: history.Builder}
	var prev []byte
	err := tx.QueryRow(`SELECT seq, hash, id FROM entry WHERE device = ? ORDER BY seq DESC LIMIT 1`, s.laptop.Device).Scan(&maker.Seq, &prev, &maker.Latest)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	copy(maker.Prev[:], prev)
	p := newProjector(tx)
	add := func(k history.Kind, data any) error {
		now := s.now()
		e, err := maker.Make(history.Draft{Kind: k, Data: data}, now, s.rand)
		if err != nil {
			return err
		}
		if e, err = e.Signed(s.laptop.key, s.rand); err != nil {
			return err
		}
		maker.Prev = e.Hash()
		n, _, err := insertEntry(tx, e, now)
		if err != nil {
			return err
		}
		return p.take(n, e)
	}
	if maker.Seq == 0 {
		key, err := history.PublicKey(s.laptop.key)
		if err == nil {
			err = add(history.KindDevice, history.DeviceData{Name: "This laptop", Key: key})
		}
		if err != nil {
			return err
		}
	}
	if err := add(k, data); err != nil {
		return err
	}
	s.latest = max(s.latest, maker.Latest)
	return p.finish(ctx)
}

// ErrKeyKnown: the device has told another key before, and was not invited again since.
var ErrKeyKnown = errors.New("this device signs with another key")

// TellKey takes in the key that a device signs with. A device that was invited again and tells
// another key lost its old one: it goes on under a new id, which is returned, in a new chain.
func (s *Store) TellKey(ctx context.Context, id, key string) (Device, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.tx(ctx, "keep a device's key", func(tx *sql.Tx) error {
		d, err := scanDevice(tx.QueryRow(`SELECT `+deviceColumns+` FROM device WHERE id = ?`, id))
		if err != nil {
			return err
		}
		now := s.now().UnixMilli()
		m := history.MemberData{Device: id, What: "key", Name: d.Name, Role: d.Role, Key: key}
		switch {
		case d.Key == key:
			return nil
		case d.Key == "":
			_, err = tx.Exec(`UPDATE device SET key = ?, keyed_ms = max(?, joined_ms) WHERE id = ?`, key, now, id)
		case !d.rejoined:
			return ErrKeyKnown
		default:
			if m.Device, err = history.NewID(max(0, now), s.rand); err != nil {
				return err
			}
			m.What, m.Before = "rejoined", id
			_, err = tx.Exec(`UPDATE device SET id = ?, key = ?, keyed_ms = max(?, joined_ms) WHERE id = ?`, m.Device, key, now, id)
			id = m.Device
		}
		if err != nil {
			return err
		}
		return s.vouch(ctx, tx, m)
	})
	if err != nil {
		return Device{}, err
	}
	return s.Device(ctx, id)
}

// refuseUnsigned is signed for an entry that is not here yet; refused tells a refusal from an
// error about the world.
func (s *Store) refuseUnsigned(tx *sql.Tx, e history.Entry) (refused bool, err error) {
	var here bool
	h := e.Hash()
	if err := tx.QueryRow(`SELECT EXISTS (SELECT 1 FROM entry WHERE hash = ?)`, h[:]).Scan(&here); err != nil || here {
		return false, err
	}
	err = signed(tx, e)
	var r *qc.Refusal
	return errors.As(err, &r), err
}

// signed says whether an entry that is handed in bears the signature that its chain needs.
func signed(tx *sql.Tx, e history.Entry) error {
	var key sql.NullString
	err := tx.QueryRow(`SELECT key FROM device WHERE id = ?`, e.Device).Scan(&key)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	told := history.DeviceKey{Key: key.String}
	about, err := entriesAbout(tx, history.Subject{Of: history.OfDevice, ID: e.Device}, nil)
	if err != nil {
		return err
	}
	if k, ok := history.Keys(about)[e.Device]; ok {
		told = k
	}
	switch {
	case e.Sig == "" && (told.Seq == 0 || e.Seq < told.Seq):
		return nil // from before the device had a key
	case told.Key == "" && e.KeyOf() == "":
		return refusedSignature("the entry is signed, and nobody knows the device's key")
	case told.Key == "":
		told.Key = e.KeyOf()
	}
	if e.Sig == "" {
		return refusedSignature("the entry is not signed, and the device has a key")
	}
	if err := history.CheckSignature(e, told.Key); err != nil {
		return refusedSignature(err.Error())
	}
	return nil
}

func refusedSignature(text string) error {
	return &qc.Refusal{Code: "signature", Text: text, Do: "let the laptop invite this device again"}
}
