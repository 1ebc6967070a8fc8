package api

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"sync"
	"time"

	"bucktail/qc/history"
	"bucktail/store"
)

// access says who may use a route.
type access int

const (
	anyone  access = iota // strangers too
	joined                // a device with a token
	builder               // a builder's device
)

// The cookie. Its name makes the browser hold it to one host, to secure connections and to the
// whole path ("__Host-", RFC 6265bis); browsers count the loopback address as secure.
const (
	cookieName = "__Host-bucktail"
	// Browsers keep a cookie for 400 days at most; each visit begins them anew.
	cookieLife = 400 * 24 * time.Hour
	tokenBytes = 32
)

type deviceKey struct{}

// deviceOf gives the device that asks, on routes for those that have joined.
func deviceOf(r *http.Request) store.Device {
	d, _ := r.Context().Value(deviceKey{}).(store.Device)
	return d
}

// admit lets a request through to a route as far as its device may.
func (s *Server) admit(need access, h handler) handler {
	if need == anyone {
		return h
	}
	return func(w http.ResponseWriter, r *http.Request) error {
		d, err := s.identify(r)
		if err != nil {
			return err
		}
		aboutOf(r).device = d.ID
		if need == builder && d.Role != history.Builder {
			return notAllowed.with("it is an inspector's")
		}
		if s.seen.due(d.ID) {
			// Not the caller's business if it fails, nor a reason to refuse him.
			if err := s.Store.SawDevice(context.WithoutCancel(r.Context()), d.ID); err != nil {
				s.Log.Warn("could not note that a device was there", "device", d.ID, "error", err)
			}
		}
		return h(w, r.WithContext(context.WithValue(r.Context(), deviceKey{}, d)))
	}
}

// identify finds the device by its token. Tokens are looked up by their SHA-256, so how long it
// takes tells nothing about them.
func (s *Server) identify(r *http.Request) (store.Device, error) {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return store.Device{}, noToken.with("")
	}
	raw, err := base64.RawURLEncoding.DecodeString(c.Value)
	if err != nil || len(raw) != tokenBytes {
		return store.Device{}, noToken.with("")
	}
	d, err := s.Store.DeviceByToken(r.Context(), sha256.Sum256(raw))
	switch {
	case errors.Is(err, store.ErrNotFound):
		return d, noToken.with("")
	case err != nil:
		return d, err
	case d.Revoked():
		return d, revoked.with("on %s", d.RevokedAt.Format("2 January 2006"))
	}
	return d, nil
}

// newToken makes a device's token and what is kept of it.
func (s *Server) newToken() (token string, hash store.TokenHash, err error) {
	var raw [tokenBytes]byte
	if _, err := io.ReadFull(s.Rand, raw[:]); err != nil {
		return "", hash, err
	}
	return base64.RawURLEncoding.EncodeToString(raw[:]), sha256.Sum256(raw[:]), nil
}

func setCookie(w http.ResponseWriter, token string) {
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: token, Path: "/", MaxAge: int(cookieLife / time.Second),
		HttpOnly: true, Secure: true, SameSite: http.SameSiteStrictMode,
	})
}

// seen remembers when a device was last noted, so that not each request writes to the disk.
type seen struct {
	mu  sync.Mutex
	now func() time.Time
	at  map[string]time.Time
}

func newSeen(now func() time.Time) *seen { return &seen{now: now, at: map[string]time.Time{}} }

func (s *seen) due(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if now := s.now(); now.Sub(s.at[id]).Abs() >= time.Minute {
		s.at[id] = now
		return true
	}
	return false
}
