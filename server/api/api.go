// Package api is what the laptop answers over HTTP: the app's files, the pages on which a device
// joins, and the interface that openapi.yaml describes.
//
// It translates: it reads a request, asks the store or a function that it was given, and writes
// the answer. It judges nothing and keeps nothing but pairing codes. Start with [New] and
// [Server.Handler]; routes.go has the table of all routes with who may use each.
package api

import (
	"context"
	"crypto/rand"
	_ "embed"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"bucktail/store"
)

//go:embed openapi.yaml
var openAPI []byte

// Config is what the server is made of.
type Config struct {
	Store *store.Store
	Log   *slog.Logger
	Now   func() time.Time // nil: time.Now
	Rand  io.Reader        // for codes, tokens and ids; nil: crypto/rand
	// App holds the built web app, with index.html at its top; nil: it is not built.
	App fs.FS
	// Reach tells where phones find the laptop; it is asked at each request.
	Reach func() Reach
	// Measure answers as `bucktail measure --json` does. An error that is a qc.Refusal is about
	// the photo. phone is the id of the device that took it, "" where nobody knows.
	Measure func(ctx context.Context, photo []byte, query url.Values, phone string) (any, error)
	// Exports are what can leave the house, by name.
	Exports []Export
	// CacheDir is for pictures that can be made again. It is emptied at the start.
	CacheDir string
	// DecodeBytes is the memory that all decoding at once may take; 0 means 256 MiB. One picture
	// that needs more is decoded alone.
	DecodeBytes int64
}

// Reach is where the laptop is found.
type Reach struct {
	LAN         bool     `json:"lan"`
	Loopback    string   `json:"loopback"` // "http://localhost:8442/"
	URLs        []string `json:"urls"`     // secure ones, the one with the name first
	TrustURLs   []string `json:"trust_urls,omitempty"`
	TrustQR     *Matrix  `json:"trust_qr,omitempty"`
	Fingerprint string   `json:"fingerprint"`
	Authority   string   `json:"authority,omitempty"`
	RenewedAt   string   `json:"renewed_at,omitempty"`
	// Host says whether a request on the network may name this host.
	Host func(string) bool `json:"-"`
}

// Export is one thing that can leave the house.
type Export struct {
	Name  string // "report.pdf"
	Title string // "Report"
	Media string // "application/pdf"
	// Write makes it. Nothing has been sent when it returns an error without having written.
	Write func(ctx context.Context, w io.Writer, q ExportQuery) error
}

// ExportQuery says what is wanted. No parts means all of the project, or all.
type ExportQuery struct {
	Project string
	Parts   []string
	Paper   string // "a4", "letter" or ""
	Units   string // "mm", "in", "fractions" or ""
	// Step, if set, is told how much is done of how much.
	Step func(done, of int64)
}

// Server answers requests. Make one with [New].
type Server struct {
	Config
	book      *book
	seen      *seen
	rates     *rates
	joins     *rates // tries to join
	decode    *gate
	bodies    *gate // bodies of JSON that are in memory
	shares    shares
	pace      pace
	stripping chan struct{} // one copy without location data is made at a time
	exporting chan struct{} // and one export
	progress  exportProgress
}

// New makes a server. It empties the cache folder.
func New(c Config) (*Server, error) {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Rand == nil {
		c.Rand = rand.Reader
	}
	if c.DecodeBytes == 0 {
		c.DecodeBytes = 256 << 20
	}
	if c.Store == nil || c.Log == nil || c.Reach == nil || c.CacheDir == "" {
		return nil, errors.New("the server lacks its store, log, addresses or cache folder")
	}
	if err := os.RemoveAll(c.CacheDir); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Join(c.CacheDir, "in"), 0o700); err != nil {
		return nil, err
	}
	return &Server{
		Config:    c,
		book:      newBook(c.Now, c.Rand),
		seen:      newSeen(c.Now),
		rates:     newRates(addressRate, addressBurst),
		joins:     newRates(joinRate, joinBurst),
		decode:    newGate(c.DecodeBytes),
		bodies:    newGate(128 << 20),
		pace:      pace{stall, grace, slowest},
		stripping: make(chan struct{}, 1),
		exporting: make(chan struct{}, 1),
	}, nil
}

// Door is where a request comes in.
type Door int

// The doors.
const (
	Loopback Door = iota // plain HTTP for the laptop's own browser
	LAN                  // HTTPS on the workshop's network
)

// allows says whether a request through the door may name the host.
func (s *Server) allows(d Door, host string) bool {
	if d == LAN {
		h := s.Reach().Host
		return h != nil && h(host)
	}
	a, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && a.IsLoopback()
}
