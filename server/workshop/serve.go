// Package workshop runs the server of one workshop: it opens the record, the laptop's own door,
// the door for phones and the one for the trust page, keeps the certificate in step with the
// network, and says on the terminal how to get in. Start with [Serve].
package workshop

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"bucktail/server/api"
	"bucktail/server/localca"
	"bucktail/server/measuring"
	"bucktail/server/trust"
	"bucktail/store"
)

// Options say what is served where.
type Options struct {
	Data      string // folder of the record
	Addr      string // plain http, for this laptop's own browser
	TLSAddr   string // https, for phones in the workshop's network
	TrustAddr string // plain http for the trust page alone
	Host      string // by which this laptop's browser names Addr; "" is localhost
	NoLAN     bool   // this laptop alone, nothing on the network
	Verbose   bool   // log each request
	App       fs.FS  // the built web app; nil: it is not built
	// Names tells what the machine is called.
	Names func() (localca.Names, error)
}

// The doors' usual ports. They are fixed, because what a phone keeps belongs to scheme, host and
// port.
const (
	UsualAddr      = "localhost:8442"
	UsualTLSAddr   = ":8443"
	UsualTrustAddr = ":8444"
)

// Terminal is where a person starts the server and reads how to reach it.
type Terminal struct {
	In       io.Reader
	Out, Err io.Writer
}

// Serve serves until ctx ends, then lets requests end and closes the record.
func Serve(ctx context.Context, c Terminal, o Options) error {
	s, err := start(c, o)
	if err != nil {
		return err
	}
	link, err := s.api.OwnerLink()
	if err == nil {
		s.greet(c.Out, link)
		go s.newLinks(c)
	}
	if err == nil {
		select {
		case <-ctx.Done():
			fmt.Fprintln(c.Out, "\nStopping. Requests that are under way may end.")
		case err = <-s.failed:
		}
	}
	err = errors.Join(err, s.Close())
	if err == nil {
		fmt.Fprintln(c.Out, "Stopped. The record is closed.")
	}
	return err
}

// serving is a started server.
type serving struct {
	o        Options
	log      *slog.Logger
	store    *store.Store
	ca       *localca.CA // nil with --no-lan
	api      *api.Server
	servers  []*http.Server
	failed   chan error
	loopback string // its address: "http://localhost:8442/"
	tlsPort  string
	trust    string // port
	stop     context.CancelFunc
	links    io.Closer // nil where no socket can be opened
	watching sync.WaitGroup

	mu    sync.Mutex
	usual netip.Addr // see usual
}

// start opens the record and the doors. On error everything that was opened is closed again.
func start(c Terminal, o Options) (s *serving, err error) {
	level := slog.LevelInfo
	if o.Verbose {
		level = slog.LevelDebug
	}
	s = &serving{o: o, failed: make(chan error, 4), stop: func() {}}
	s.log = slog.New(slog.NewTextHandler(c.Err, &slog.HandlerOptions{Level: level}))
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Close())
		}
	}()
	if s.store, err = store.OpenSound(context.Background(), o.Data, store.Options{}); err != nil {
		return s, err
	}
	loop, err := listenLoopback(o.Addr)
	if err != nil {
		return s, err
	}
	s.loopback = "http://" + net.JoinHostPort(cmp.Or(o.Host, "localhost"), port(loop.Addr())) + "/"
	var secure, plain net.Listener
	if !o.NoLAN {
		names, err := o.Names()
		if err != nil {
			loop.Close()
			return s, err
		}
		if secure, err = listenLAN("--tls-addr", o.TLSAddr, names); err != nil {
			loop.Close()
			return s, err
		}
		if plain, err = listenLAN("--trust-addr", o.TrustAddr, names); err != nil {
			loop.Close()
			secure.Close()
			return s, err
		}
		s.tlsPort, s.trust = port(secure.Addr()), port(plain.Addr())
	}
	closeAll := func() {
		for _, l := range []net.Listener{loop, secure, plain} {
			if l != nil {
				l.Close()
			}
		}
	}
	if !o.NoLAN {
		if err = s.openCA(); err != nil {
			closeAll()
			return s, err
		}
	}
	if s.api, err = api.New(s.apiConfig()); err != nil {
		closeAll()
		return s, err
	}
	s.open(loop, s.api.Handler(api.Loopback), nil, 0)
	if s.links, err = s.openLinks(); err != nil { // a folder on a share, or with a very long name
		s.log.Warn("bucktail link will not work with this folder", "error", err)
		s.links, err = nil, nil
	}
	if !o.NoLAN {
		s.open(secure, s.api.Handler(api.LAN), s.ca.TLSConfig(), 0)
		s.open(plain, trust.Handler(s.trustInfo), nil, 20*time.Second) // it takes nothing and gives little
		var ctx context.Context
		ctx, s.stop = context.WithCancel(context.Background())
		s.watching.Go(func() { s.watch(ctx, c.Out) })
	}
	return s, nil
}

func (s *serving) apiConfig() api.Config {
	return api.Config{
		Store: s.store, Log: s.log, App: s.o.App, Reach: s.reach,
		Measure: measuring.Studies(s.store.Proofs).ByRequest, Exports: Exports(s.store, time.Now),
		CacheDir: filepath.Join(s.o.Data, "bucktail-cache"),
	}
}

func (s *serving) openCA() error {
	names, err := s.o.Names()
	if err != nil {
		return err
	}
	if s.ca, err = localca.Open(filepath.Join(s.o.Data, "authority"), names.Host, time.Now); err != nil {
		return err
	}
	s.usual = usual()
	_, err = s.ca.Refresh(names)
	return err
}

// open serves one door, with TLS if it is given a configuration. whole bounds reading a request
// and writing its answer; 0 leaves that to the handlers, which know how much is sent.
func (s *serving) open(l net.Listener, h http.Handler, secure *tls.Config, whole time.Duration) {
	srv := &http.Server{
		Handler:           h,
		TLSConfig:         secure,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       whole,
		WriteTimeout:      whole,
		IdleTimeout:       60 * time.Second,
		MaxHeaderBytes:    16 << 10,
		// Else the server would answer "OPTIONS *" by itself, to anyone.
		DisableGeneralOptionsHandler: true,
		// Phones that don't trust the authority yet break the handshake off; that is no news.
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelDebug),
	}
	s.servers = append(s.servers, srv)
	go func() {
		serve := srv.Serve
		if secure != nil {
			serve = func(l net.Listener) error { return srv.ServeTLS(l, "", "") }
		}
		if err := serve(l); !errors.Is(err, http.ErrServerClosed) {
			s.failed <- fmt.Errorf("serve on %s: %w", l.Addr(), err)
		}
	}()
}

// watch looks at the machine's addresses and the date from time to time.
func (s *serving) watch(ctx context.Context, out io.Writer) {
	tick := time.NewTicker(20 * time.Second)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			s.refresh(out)
		}
	}
}

// refresh renews the certificate when the machine's addresses or the date ask for it, and says
// so when phones have to use another address.
func (s *serving) refresh(out io.Writer) {
	names, err := s.o.Names()
	if err != nil {
		s.log.Warn("the network's addresses could not be read", "error", err)
		return
	}
	if a := usual(); a.IsValid() {
		s.mu.Lock()
		s.usual = a
		s.mu.Unlock()
	}
	before := s.ca.Names()
	renewed, err := s.ca.Refresh(names)
	switch {
	case err != nil:
		s.log.Error("the certificate could not be renewed", "error", err)
	case renewed:
		s.log.Info("the certificate was renewed", "addresses", fmt.Sprint(names.Addrs))
		if fmt.Sprint(before) != fmt.Sprint(names) {
			fmt.Fprintf(out, "\nThis laptop's addresses have changed. Phones reach it at\n  %s\n", strings.Join(s.reach().URLs, "\n  "))
		}
	}
}

func (s *serving) reach() api.Reach {
	r := api.Reach{Loopback: s.loopback}
	if s.ca == nil {
		return r
	}
	n := s.ca.Names()
	s.mu.Lock()
	first := s.usual
	s.mu.Unlock()
	r.LAN, r.Host = true, n.Has
	r.Fingerprint, r.Authority, r.RenewedAt = s.ca.Fingerprint(), s.ca.Name(), s.ca.Renewed().UTC().Format(time.RFC3339)
	r.URLs = urls("https", n, s.tlsPort, first, true)
	// The number first: a phone that has never been here finds it more surely than the name.
	r.TrustURLs = urls("http", n, s.trust, first, false)
	r.TrustQR, _ = api.QR(r.TrustURLs[0]) // a short address always fits
	return r
}

func (s *serving) trustInfo() trust.Info {
	profile, payload := s.ca.UUIDs()
	return trust.Info{
		Authority: s.ca.Name(), Fingerprint: s.ca.Fingerprint(), CertDER: s.ca.CertDER(),
		ProfileID: profile, PayloadID: payload, Secure: s.reach().URLs, Host: s.ca.Names().Has,
	}
}

// Close lets requests end, for 15 seconds at most, and closes the record.
func (s *serving) Close() error {
	s.stop()
	if s.links != nil {
		s.links.Close()
	}
	s.watching.Wait()
	ctx, cancel := context.WithTimeout(context.Background(), 15*time.Second)
	defer cancel()
	var ending sync.WaitGroup
	for _, srv := range s.servers {
		ending.Go(func() {
			if srv.Shutdown(ctx) != nil {
				srv.Close() // what still hangs is cut off; nothing of it was acknowledged
			}
		})
	}
	ending.Wait()
	if s.store == nil {
		return nil
	}
	return s.store.Close()
}
