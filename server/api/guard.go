package api

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// csp: everything comes from here; scripts in files only; WebAssembly may run.
const csp = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; " +
	"connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'"

// guard stands before all routes. In this order: a number for the log, headers, the host, the
// path, the origin, the rate.
func (s *Server) guard(door Door, next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, foreign.with("")) }))
	inside := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begun := time.Now()
		about := &about{number: requestNumber(), door: door}
		r = r.WithContext(context.WithValue(r.Context(), aboutKey{}, about))
		rec := &recorder{ResponseWriter: w}
		defer s.account(rec, r, about, begun)

		headers(w.Header())
		rc := http.NewResponseController(w)
		// Each handler that takes or sends much moves these along. A request without a body has
		// nothing to wait for: while it is answered, net/http reads ahead on the connection, and a
		// deadline that met this read would cancel the request.
		if r.ContentLength != 0 {
			_ = rc.SetReadDeadline(begun.Add(s.pace.grace))
		}
		_ = rc.SetWriteDeadline(begun.Add(2 * time.Minute))

		switch host := hostOf(r.Host); {
		case !s.allows(door, host):
			s.fail(rec, r, otherHost.with("%.100q", host))
		case oddPath(r):
			s.fail(rec, r, badPath.with(""))
		case len(r.URL.RawQuery) > maxQueryBytes:
			s.fail(rec, r, badValue.with("the query has more than %d bytes", maxQueryBytes))
		case !s.rates.allow(r):
			s.tooMany(rec, r)
		default:
			inside.ServeHTTP(rec, r)
		}
	})
}

func headers(h http.Header) {
	h.Set("Content-Security-Policy", csp)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=(), usb=(), payment=()")
	h.Set("Cache-Control", "no-store")
}

// oddPath finds paths that no page of ours asks for: steps up, doubled or encoded slashes,
// control characters. The router would clean some of them; a request like that is a mistake or
// a trick, and gets told so.
func oddPath(r *http.Request) bool {
	p, escaped := r.URL.Path, strings.ToLower(r.URL.EscapedPath())
	if !strings.HasPrefix(p, "/") || strings.Contains(p, "//") || strings.ContainsAny(p, "\\\x7f") || len(p) > 1024 {
		return true
	}
	for _, e := range []string{"%2f", "%5c", "%2e", "%25"} {
		if strings.Contains(escaped, e) {
			return true
		}
	}
	for _, seg := range strings.Split(p, "/") {
		if seg == "." || seg == ".." {
			return true
		}
	}
	return strings.IndexFunc(p, func(c rune) bool { return c < ' ' || c == '\uFFFD' }) >= 0
}

// hostOf takes the port and brackets off a Host header.
func hostOf(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		return strings.ToLower(h)
	}
	return strings.ToLower(strings.TrimSuffix(strings.TrimPrefix(host, "["), "]"))
}

// remote gives the address that a request comes from; the invalid one if there is none.
func remote(r *http.Request) netip.Addr {
	ap, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.Addr{}
	}
	return ap.Addr().Unmap().WithZone("")
}

// about is what is known of a request, for the log.
type about struct {
	number string
	door   Door
	route  string // as in the table, not as asked for
	device string
	err    error
}

type aboutKey struct{}

// aboutOf gives the request's own; every request passes guard.
func aboutOf(r *http.Request) *about {
	if a, ok := r.Context().Value(aboutKey{}).(*about); ok {
		return a
	}
	return &about{}
}

func requestNumber() string {
	var b [6]byte
	rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// fail answers with a problem and keeps the whole error for the log.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	a := aboutOf(r)
	a.err = err
	p := *problemOf(err)
	p.Request = a.number
	if p.Status == http.StatusRequestTimeout || p.Status == http.StatusRequestEntityTooLarge {
		w.Header().Set("Connection", "close") // the rest of the body is not worth waiting for
	}
	p.write(w)
}

func (s *Server) tooMany(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Retry-After", "2")
	s.fail(w, r, tooMany.with(""))
}

// account ends a request: a panic becomes an answer, and the log gets its line. Neither the
// path as asked for, nor the query, nor any header is logged, so that no secret can be.
func (s *Server) account(rec *recorder, r *http.Request, a *about, begun time.Time) {
	if v := recover(); v != nil {
		if v == http.ErrAbortHandler {
			panic(v)
		}
		s.Log.Error("a request made the server stumble", "request", a.number, "route", a.route, "what", fmt.Sprint(v), "stack", string(debug.Stack()))
		if rec.status != 0 {
			panic(http.ErrAbortHandler) // part of an answer is out; it must not look whole
		}
		s.fail(rec, r, ours.with(""))
	}
	level := slog.LevelDebug
	attrs := []any{"request", a.number, "method", r.Method, "route", a.route, "status", rec.status,
		"ms", time.Since(begun).Milliseconds(), "from", remote(r).String()}
	if a.device != "" {
		attrs = append(attrs, "device", a.device)
	}
	if a.err != nil {
		attrs = append(attrs, "error", a.err.Error())
		if rec.status >= 500 {
			level = slog.LevelError
		}
	}
	s.Log.Log(context.WithoutCancel(r.Context()), level, "request", attrs...)
}

// recorder remembers the status.
type recorder struct {
	http.ResponseWriter
	status int
}

func (r *recorder) WriteHeader(status int) {
	if r.status == 0 {
		r.status = status
	}
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(b []byte) (int, error) {
	if r.status == 0 {
		r.status = http.StatusOK
	}
	return r.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

// Rates a second and bursts. A phone that sends a day's work over Wi-Fi makes some dozens of
// requests a second, and on this computer itself, where the load test runs, six clients make
// a few hundred from one address; what is far above that is nobody of ours.
const (
	addressRate, addressBurst = 1000, 2000
	// Joining is done by hand. What somebody else tries does not count against a phone that
	// means it.
	joinRate, joinBurst = 0.5, 10
	maxAddresses        = 4096
)

// rates bounds the requests of each address.
type rates struct {
	per   rate.Limit
	burst int
	mu    sync.Mutex
	by    map[netip.Addr]*rate.Limiter
}

func newRates(per rate.Limit, burst int) *rates {
	return &rates{per: per, burst: burst, by: map[netip.Addr]*rate.Limiter{}}
}

func (l *rates) allow(r *http.Request) bool {
	a := remote(r)
	if a.Is6() && !a.Is4In6() { // one device may hold many addresses of a network
		if p, err := a.Prefix(64); err == nil {
			a = p.Addr()
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	lim, ok := l.by[a]
	if !ok {
		if len(l.by) >= maxAddresses {
			clear(l.by) // a flood of addresses; forgetting them is harmless
		}
		lim = rate.NewLimiter(l.per, l.burst)
		l.by[a] = lim
	}
	return lim.Allow()
}
