package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"golang.org/x/sync/semaphore"
)

// Bounds of what a request may bring.
const (
	maxPhotoBytes = 40 << 20
	maxPushBytes  = 16<<20 + 64<<10 // the store's largest portion and its wrapping
	maxSmallBytes = 64 << 10        // all other JSON
	maxQueryBytes = 8 << 10
)

// Bounds in time. A body may pause for as long as stall, and must come at slowest on the whole
// after a start of grace: an old phone at the far end of the garage still manages 16 kB/s.
const (
	stall   = 20 * time.Second
	grace   = 30 * time.Second
	slowest = 16 << 10 // bytes a second
)

// pace are these bounds, shorter in tests.
type pace struct {
	stall, grace time.Duration
	slowest      int64
}

// pacedBody gives a request's body with a deadline that moves along while bytes come in time and
// ends with the body.
type pacedBody struct {
	io.ReadCloser
	rc    *http.ResponseController
	pace  pace
	begun time.Time
	got   int64
}

func (b *pacedBody) Read(p []byte) (int, error) {
	until := time.Now().Add(b.pace.stall)
	if last := b.begun.Add(b.pace.grace + time.Duration(b.got*int64(time.Second)/b.pace.slowest)); last.Before(until) {
		until = last
	}
	// A writer without deadlines (in a test) just has none.
	_ = b.rc.SetReadDeadline(until)
	n, err := b.ReadCloser.Read(p)
	b.got += int64(n)
	if errors.Is(err, io.EOF) { // net/http reads ahead from here on, see guard
		_ = b.rc.SetReadDeadline(time.Time{})
	}
	return n, err
}

func isTimeout(err error) bool {
	var ne net.Error
	return errors.Is(err, os.ErrDeadlineExceeded) || errors.As(err, &ne) && ne.Timeout()
}

// body bounds a request's body to limit bytes and paces it.
func (s *Server) body(w http.ResponseWriter, r *http.Request, limit int64) error {
	if r.ContentLength > limit {
		return tooLarge.with("%d bytes, at most %d", r.ContentLength, limit)
	}
	r.Body = http.MaxBytesReader(w, &pacedBody{ReadCloser: r.Body, rc: http.NewResponseController(w), pace: s.pace, begun: time.Now()}, limit)
	return nil
}

// spool takes a request's body to a temporary file: a slow sender waits there, and not at a gate
// before which others stand. The file is gone when it is closed by leave.
func (s *Server) spool(w http.ResponseWriter, r *http.Request, limit int64) (f *os.File, n int64, leave func(), err error) {
	if err := s.body(w, r, limit); err != nil {
		return nil, 0, nil, err
	}
	if !s.shares.enter(deviceOf(r).ID) {
		return nil, 0, nil, tooMany.with("this device sends %d things at once already", maxUploads)
	}
	defer s.shares.leave(deviceOf(r).ID)
	if f, err = os.CreateTemp(filepath.Join(s.CacheDir, "in"), "body-"); err != nil {
		return nil, 0, nil, fmt.Errorf("keep what came for a moment: %w", err)
	}
	leave = func() {
		f.Close()
		os.Remove(f.Name())
	}
	if n, err = io.Copy(f, r.Body); err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		leave()
		return nil, 0, nil, bodyError(err)
	}
	return f, n, leave, nil
}

// maxUploads is how much one device may send at once: a browser opens six connections.
const maxUploads = 6

// shares counts what each device sends at the moment.
type shares struct {
	mu sync.Mutex
	by map[string]int
}

func (s *shares) enter(device string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.by == nil {
		s.by = map[string]int{}
	}
	if s.by[device] >= maxUploads {
		return false
	}
	s.by[device]++
	return true
}

func (s *shares) leave(device string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.by[device]--; s.by[device] <= 0 {
		delete(s.by, device)
	}
}

// readJSON reads a request's body as JSON into v. Members that v does not have are refused, so
// that a misspelt one is never silently without effect.
func (s *Server) readJSON(w http.ResponseWriter, r *http.Request, limit int64, v any) error {
	if err := isJSON(r); err != nil {
		return err
	}
	if err := s.body(w, r, limit); err != nil {
		return err
	}
	return decodeJSON(r.Body, v)
}

func isJSON(r *http.Request) error {
	if media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || media != "application/json" {
		return wrongMedia.with("Content-Type is %.60q, not application/json", r.Header.Get("Content-Type"))
	}
	return nil
}

func decodeJSON(from io.Reader, v any) error {
	d := json.NewDecoder(from)
	d.DisallowUnknownFields()
	err := d.Decode(v)
	if err == nil {
		if _, err = d.Token(); err == nil {
			return badJSON.with("something follows after the end")
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
	}
	var tooLong *http.MaxBytesError
	if errors.As(err, &tooLong) || isTimeout(err) {
		return err
	}
	return badJSON.with("%.200s", err.Error())
}

// gate lets work through that takes memory: as much at once as there is room for, the rest waits
// in order.
type gate struct {
	room int64
	sem  *semaphore.Weighted
}

func newGate(room int64) *gate { return &gate{room, semaphore.NewWeighted(room)} }

// enter waits for need bytes; what needs more than the whole room goes alone. Call leave when
// done.
func (g *gate) enter(ctx context.Context, need int64) (leave func(), err error) {
	need = max(1, min(need, g.room))
	if err := g.sem.Acquire(ctx, need); err != nil {
		return nil, stopping.with("")
	}
	return func() { g.sem.Release(need) }, nil
}
