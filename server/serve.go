package main

import (
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"syscall"
	"time"

	"bucktail/pwa"
	"bucktail/server/api"
	"bucktail/server/localca"
	"bucktail/server/trust"
	"bucktail/store"
)

// serveOptions are the flags of serve.
type serveOptions struct {
	data                     string
	addr, tlsAddr, trustAddr string
	noLAN, verbose           bool
	app                      fs.FS                         // nil: not built
	names                    func() (localca.Names, error) // what the machine is called
}

// The doors' usual ports. They are fixed, because what a phone keeps belongs to scheme, host and
// port.
const (
	usualAddr      = "localhost:8442"
	usualTLSAddr   = ":8443"
	usualTrustAddr = ":8444"
)

// softMemory is where the garbage collector begins to work harder. Photos are decoded within a
// room of their own (api.Config.DecodeBytes), so this is never near in ordinary work.
const softMemory = 512 << 20

func serve(c console, args []string) int {
	o := serveOptions{app: pwa.Files(), names: localca.Current}
	f := flag.NewFlagSet("serve", flag.ContinueOnError)
	f.SetOutput(c.err)
	f.StringVar(&o.data, "data", "", "folder of the record (BUCKTAIL_DATA; default: the user's data folder)")
	f.StringVar(&o.addr, "addr", usualAddr, "plain http, for this laptop's own browser")
	f.StringVar(&o.tlsAddr, "tls-addr", usualTLSAddr, "https, for phones in the workshop's network")
	f.StringVar(&o.trustAddr, "trust-addr", usualTrustAddr, "plain http for the trust page alone")
	f.BoolVar(&o.noLAN, "no-lan", false, "this laptop alone, nothing on the network")
	f.BoolVar(&o.verbose, "verbose", false, "log each request")
	f.Usage = func() {
		fmt.Fprint(c.err, "usage: bucktail serve [FLAGS]\n\nStarts the workshop's server and prints how to reach it.\n\n")
		f.PrintDefaults()
	}
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	if f.NArg() > 0 {
		fmt.Fprintf(c.err, "bucktail: serve takes no arguments, not %q\n", f.Args())
		return 2
	}
	if o.data == "" {
		dir, err := defaultDataDir()
		if err != nil {
			fmt.Fprintln(c.err, "bucktail:", err)
			return 1
		}
		o.data = dir
	}
	debug.SetMemoryLimit(softMemory)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := runServe(ctx, c, o); err != nil {
		fmt.Fprintln(c.err, "bucktail:", err)
		return 1
	}
	return 0
}

// runServe serves until ctx ends, then lets requests end and closes the record.
func runServe(ctx context.Context, c console, o serveOptions) error {
	s, err := startServe(c, o)
	if err != nil {
		return err
	}
	link, err := s.api.OwnerLink()
	if err == nil {
		s.greet(c.out, link)
		go s.newLinks(c)
	}
	if err == nil {
		select {
		case <-ctx.Done():
			fmt.Fprintln(c.out, "\nStopping. Requests that are under way may end.")
		case err = <-s.failed:
		}
	}
	err = errors.Join(err, s.Close())
	if err == nil {
		fmt.Fprintln(c.out, "Stopped. The record is closed.")
	}
	return err
}

// serving is a started server.
type serving struct {
	o        serveOptions
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
	watching sync.WaitGroup

	mu    sync.Mutex
	usual netip.Addr // see usual
}

// startServe opens the record and the doors. On error everything that was opened is closed again.
func startServe(c console, o serveOptions) (s *serving, err error) {
	level := slog.LevelInfo
	if o.verbose {
		level = slog.LevelDebug
	}
	s = &serving{o: o, failed: make(chan error, 4), stop: func() {}}
	s.log = slog.New(slog.NewTextHandler(c.err, &slog.HandlerOptions{Level: level}))
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Close())
		}
	}()
	if s.store, err = store.Open(o.data, store.Options{}); err != nil {
		return s, err
	}
	loop, err := listenLoopback(o.addr)
	if err != nil {
		return s, err
	}
	s.loopback = "http://" + net.JoinHostPort("localhost", port(loop.Addr())) + "/"
	var secure, plain net.Listener
	if !o.noLAN {
		names, err := o.names()
		if err != nil {
			loop.Close()
			return s, err
		}
		if secure, err = listenLAN("--tls-addr", o.tlsAddr, names); err != nil {
			loop.Close()
			return s, err
		}
		if plain, err = listenLAN("--trust-addr", o.trustAddr, names); err != nil {
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
	if !o.noLAN {
		if err = s.openCA(); err != nil {
			closeAll()
			return s, err
		}
	}
	if s.api, err = api.New(s.apiConfig()); err != nil {
		closeAll()
		return s, err
	}
	s.start(loop, s.api.Handler(api.Loopback), nil, 0)
	if !o.noLAN {
		s.start(secure, s.api.Handler(api.LAN), s.ca.TLSConfig(), 0)
		s.start(plain, trust.Handler(s.trustInfo), nil, 20*time.Second) // it takes nothing and gives little
		var ctx context.Context
		ctx, s.stop = context.WithCancel(context.Background())
		s.watching.Go(func() { s.watch(ctx, c.out) })
	}
	return s, nil
}

func (s *serving) apiConfig() api.Config {
	return api.Config{
		Store: s.store, Log: s.log, App: s.o.app, Reach: s.reach,
		Measure: measureFor, Exports: exports(s.store, time.Now),
		CacheDir: filepath.Join(s.o.data, "cache"),
	}
}

func (s *serving) openCA() error {
	names, err := s.o.names()
	if err != nil {
		return err
	}
	if s.ca, err = localca.Open(filepath.Join(s.o.data, "authority"), names.Host, time.Now); err != nil {
		return err
	}
	s.usual = usual()
	_, err = s.ca.Refresh(names)
	return err
}

// start serves one door, with TLS if it is given a configuration. whole bounds reading a request
// and writing its answer; 0 leaves that to the handlers, which know how much is sent.
func (s *serving) start(l net.Listener, h http.Handler, secure *tls.Config, whole time.Duration) {
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
	names, err := s.o.names()
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
