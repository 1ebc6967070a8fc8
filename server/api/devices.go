package api

import (
	"encoding/base64"
	"errors"
	"net/http"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/gorilla/mux"
	"rsc.io/qr"

	"bucktail/qc/history"
	"bucktail/store"
)

// Matrix is a QR code to draw: a row of "0" and "1" (dark) for each line.
type Matrix struct {
	Size int      `json:"size"`
	Rows []string `json:"rows"`
}

// QR makes the code of a text, at the level that withstands 15 % of damage.
func QR(text string) (*Matrix, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, err
	}
	m := &Matrix{Size: c.Size}
	for y := range c.Size {
		row := make([]byte, c.Size)
		for x := range row {
			row[x] = '0'
			if c.Black(x, y) {
				row[x] = '1'
			}
		}
		m.Rows = append(m.Rows, string(row))
	}
	return m, nil
}

type deviceView struct {
	ID        string       `json:"id"`
	Name      string       `json:"name"`
	Role      history.Role `json:"role"`
	Owner     bool         `json:"owner"`
	JoinedAt  time.Time    `json:"joined_at"`
	SeenAt    *time.Time   `json:"seen_at,omitempty"`
	RevokedAt *time.Time   `json:"revoked_at,omitempty"`
	This      bool         `json:"this,omitempty"`
	Key       string       `json:"key,omitempty"`         // with which it signs, base64url
	Print     string       `json:"fingerprint,omitempty"` // of that key, as people compare it
}

func viewOf(d store.Device, asks store.Device) deviceView {
	v := deviceView{ID: d.ID, Name: d.Name, Role: d.Role, Owner: d.Owner, JoinedAt: d.JoinedAt, This: d.ID == asks.ID, Key: d.Key, Print: history.Fingerprint(d.Key)}
	if !d.SeenAt.IsZero() {
		v.SeenAt = &d.SeenAt
	}
	if d.Revoked() {
		v.RevokedAt = &d.RevokedAt
	}
	return v
}

type meView struct {
	Device deviceView `json:"device"`
	Record string     `json:"record"`
}

func (s *Server) me(w http.ResponseWriter, r *http.Request) error {
	d := deviceOf(r)
	if c, err := r.Cookie(cookieName); err == nil {
		setCookie(w, c.Value)
	}
	return send(w, http.StatusOK, meView{viewOf(d, d), s.Store.ID()})
}

// tellKey takes in the key that a device signs with. The answer is as of me: a device that lost
// its old key goes on under another id.
func (s *Server) tellKey(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		Key string `json:"key"`
	}
	if err := s.readJSON(w, r, maxSmallBytes, &in); err != nil {
		return err
	}
	if raw, err := base64.RawURLEncoding.DecodeString(in.Key); err != nil || len(raw) != 65 {
		return badValue.with("the key is not an uncompressed point of P-256 in base64url")
	}
	d, err := s.Store.TellKey(r.Context(), deviceOf(r).ID, in.Key)
	if errors.Is(err, store.ErrKeyKnown) {
		return deviceKnown.with("it signs with another key")
	}
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, meView{viewOf(d, d), s.Store.ID()})
}

func (s *Server) devices(w http.ResponseWriter, r *http.Request) error {
	asks := deviceOf(r)
	all, err := s.Store.Devices(r.Context())
	if err != nil {
		return err
	}
	out := []deviceView{}
	for _, d := range all {
		if asks.Role == history.Builder || d.ID == asks.ID {
			out = append(out, viewOf(d, asks))
		}
	}
	return send(w, http.StatusOK, map[string]any{"devices": out})
}

// target gives the device that a change is about. A device may change itself; others are the
// builder's business, and an owner's device is its own alone.
func (s *Server) target(r *http.Request) (store.Device, error) {
	asks := deviceOf(r)
	id := mux.Vars(r)["id"]
	if id != asks.ID && asks.Role != history.Builder {
		return store.Device{}, notAllowed.with("it is an inspector's, and the device another one")
	}
	d, err := s.Store.Device(r.Context(), id)
	if err == nil && d.Owner && d.ID != asks.ID && !asks.Owner {
		return d, notAllowed.with("the laptop's own browser is changed on the laptop")
	}
	return d, err
}

func (s *Server) renameDevice(w http.ResponseWriter, r *http.Request) error {
	d, err := s.target(r)
	if err != nil {
		return err
	}
	var in struct {
		Name string `json:"name"`
	}
	if err := s.readJSON(w, r, maxSmallBytes, &in); err != nil {
		return err
	}
	name, err := deviceName(in.Name)
	if err != nil {
		return err
	}
	if d, err = s.Store.RenameDevice(r.Context(), d.ID, name); err != nil {
		return err
	}
	return send(w, http.StatusOK, viewOf(d, deviceOf(r)))
}

func (s *Server) revokeDevice(w http.ResponseWriter, r *http.Request) error {
	d, err := s.target(r)
	if err != nil {
		return err
	}
	if d, err = s.Store.RevokeDevice(r.Context(), d.ID); err != nil {
		return err
	}
	s.Log.Info("a device was taken off the list", "device", d.ID, "name", d.Name, "by", deviceOf(r).ID)
	return send(w, http.StatusOK, viewOf(d, deviceOf(r)))
}

func (s *Server) reach(w http.ResponseWriter, _ *http.Request) error {
	v := s.Reach()
	v.URLs = list(v.URLs)
	return send(w, http.StatusOK, v)
}

// deviceName holds a name that somebody typed against what a list can show.
func deviceName(name string) (string, error) {
	name = strings.TrimSpace(name)
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return "", badValue.with("the device needs a name")
	case n > 100:
		return "", badValue.with("the name has %d characters, more than 100", n)
	case !history.Plain(name):
		return "", badValue.with("the name holds a character that can't be seen or turns the text around")
	case strings.IndexFunc(name, unicode.IsControl) >= 0:
		return "", badValue.with("the name holds a control character")
	}
	return name, nil
}

type pairingView struct {
	ID        string       `json:"id"`
	Role      history.Role `json:"role"`
	State     string       `json:"state"`
	ExpiresAt time.Time    `json:"expires_at"`
	Typed     bool         `json:"typed"`
	Device    string       `json:"device,omitempty"`
}

func (s *Server) pairing(w http.ResponseWriter, r *http.Request) error {
	p, ok := s.book.find(mux.Vars(r)["id"])
	if !ok {
		return nothingHere.with("")
	}
	state := p.state(s.Now())
	return send(w, http.StatusOK, pairingView{p.id, p.role, state, p.expires.UTC(), state == "waiting" && p.tries > 0, p.joined})
}

func (s *Server) withdrawPairing(w http.ResponseWriter, r *http.Request) error {
	if !s.book.withdraw(mux.Vars(r)["id"]) {
		return nothingHere.with("")
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

type invitation struct {
	ID        string       `json:"id"`
	Role      history.Role `json:"role"`
	Code      string       `json:"code"`
	Typed     string       `json:"typed"`
	URL       string       `json:"url"`
	ExpiresAt time.Time    `json:"expires_at"`
	QR        *Matrix      `json:"qr"`
}

func (s *Server) invite(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		Role   history.Role `json:"role"`
		Device string       `json:"device"`
	}
	if err := s.readJSON(w, r, maxSmallBytes, &in); err != nil {
		return err
	}
	if in.Role != history.Builder && in.Role != history.Inspector {
		return badValue.with("role %.20q is neither builder nor inspector", in.Role)
	}
	asks := deviceOf(r)
	if !asks.Owner && (in.Role == history.Inspector || in.Device != "") {
		return notAllowed.with("inspectors are invited, and devices let in again, on the laptop itself")
	}
	if in.Device != "" {
		d, err := s.Store.Device(r.Context(), in.Device)
		if err != nil {
			return err
		}
		if d.Role != in.Role || d.Owner {
			return badValue.with("%q is not a device that can join again as %s", d.Name, in.Role)
		}
	}
	reach := s.Reach()
	base := reach.Loopback
	if len(reach.URLs) > 0 {
		base = reach.URLs[0]
	}
	p, code, typed, err := s.book.invite(asks.ID, in.Role, false, in.Device)
	if err != nil {
		return err
	}
	out := invitation{ID: p.id, Role: p.role, Code: code, Typed: typed, URL: base + "join#" + code, ExpiresAt: p.expires.UTC()}
	if out.QR, err = QR(out.URL); err != nil {
		return err
	}
	return send(w, http.StatusCreated, out)
}

// OwnerLink makes the one-time link with which the laptop's own browser joins as the builder who
// owns the data.
func (s *Server) OwnerLink() (string, error) {
	_, code, _, err := s.book.invite("", history.Builder, true, "")
	if err != nil {
		return "", err
	}
	return s.Reach().Loopback + "join#" + code, nil
}

func (s *Server) redeem(w http.ResponseWriter, r *http.Request) error {
	if !s.joins.allow(r) {
		s.tooMany(w, r)
		return nil
	}
	var in struct {
		Code   string `json:"code"`
		Name   string `json:"name"`
		Device string `json:"device"`
	}
	if err := s.readJSON(w, r, maxSmallBytes, &in); err != nil {
		return err
	}
	name, err := deviceName(in.Name)
	if err != nil {
		return err
	}
	if in.Device != "" && !isUUID(in.Device) {
		return badValue.with("device %.50q is not a UUID in lower case", in.Device)
	}
	if in.Device == "" {
		if in.Device, err = randomID(s.Rand); err != nil {
			return err
		}
	}
	token, hash, err := s.newToken()
	if err != nil {
		return err
	}
	var d store.Device
	err = s.book.redeem(in.Code, remote(r).IsLoopback(), func(p pairing) (string, error) {
		id := in.Device
		if p.device != "" {
			id = p.device // the invitation says which device it is for
		}
		if p.role == history.Inspector && p.device == "" {
			// A chain that is here belongs to somebody else, in whatever way it came.
			if c, err := s.Store.Chain(r.Context(), id); err != nil {
				return "", err
			} else if c.Count > 0 {
				return "", deviceKnown.with("")
			}
		}
		var err error
		d, err = s.Store.Join(r.Context(), store.Device{ID: id, Name: name, Role: p.role, Owner: p.owner}, hash, p.device != "")
		if errors.Is(err, store.ErrTaken) {
			return "", deviceKnown.with("")
		}
		return d.ID, err
	})
	if err != nil {
		s.Log.Warn("a device could not join", "from", remote(r).String(), "why", err)
		return err
	}
	s.Log.Info("a device joined", "device", d.ID, "name", d.Name, "role", d.Role, "from", remote(r).String())
	setCookie(w, token)
	return send(w, http.StatusCreated, meView{viewOf(d, d), s.Store.ID()})
}
