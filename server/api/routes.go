package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/gorilla/mux"
)

// handler answers a request, or gives the error to answer with.
type handler func(http.ResponseWriter, *http.Request) error

// route is one line of the table: what openapi.yaml describes, and nothing else under /api.
type route struct {
	method, path string
	need         access
	do           handler
}

// Patterns of path variables. What does not fit them reaches no handler.
const (
	idVar   = `{id:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}}`
	hashVar = `{hash:[0-9a-f]{64}}`
)

func (s *Server) routes() []route {
	return []route{
		{"GET", "/api/ping", anyone, s.ping},
		{"GET", "/api/problems/{code:[a-z0-9-]{1,60}}", anyone, s.problem},
		{"GET", "/api/openapi.yaml", joined, s.description},
		{"GET", "/api/health", joined, s.health},

		{"POST", "/api/pairings/redeem", anyone, s.redeem},
		{"POST", "/api/pairings", builder, s.invite},
		{"GET", "/api/pairings/" + idVar, builder, s.pairing},
		{"DELETE", "/api/pairings/" + idVar, builder, s.withdrawPairing},
		{"GET", "/api/me", joined, s.me},
		{"PUT", "/api/me/key", joined, s.tellKey},
		{"GET", "/api/devices", joined, s.devices},
		{"PATCH", "/api/devices/" + idVar, joined, s.renameDevice},
		{"POST", "/api/devices/" + idVar + "/revoke", joined, s.revokeDevice},
		{"GET", "/api/reach", builder, s.reach},

		{"GET", "/api/entries", joined, s.pull},
		{"POST", "/api/entries", joined, s.push},
		{"GET", "/api/chains/" + idVar, joined, s.chain},
		{"GET", "/api/projects", joined, s.projects},
		{"GET", "/api/parts", joined, s.parts},
		{"GET", "/api/parts/" + idVar, joined, s.part},
		{"GET", "/api/parts/" + idVar + "/sign-offs", joined, s.signOffs},
		{"GET", "/api/locations/" + idVar, joined, s.location},
		{"GET", "/api/work", joined, s.work},
		{"GET", "/api/awaiting", joined, s.awaiting},

		{"POST", "/api/photos/wanted", joined, s.wanted},
		{"PUT", "/api/photos/" + hashVar, joined, s.putPhoto},
		{"GET", "/api/photos/" + hashVar, joined, s.getPhoto},
		{"GET", "/api/photos/" + hashVar + "/preview", joined, s.preview},
		{"POST", "/api/photos/" + hashVar + "/measure", joined, s.measureKept},
		{"POST", "/api/measure", joined, s.measure},

		{"GET", "/api/exports", joined, s.listExports},
		{"GET", "/api/exports/{name:[a-z0-9.-]{1,40}}", joined, s.export},
		{"GET", "/api/exporting/" + idVar, joined, s.exportingNow},
	}
}

// Handler answers what comes in through one door.
func (s *Server) Handler(door Door) http.Handler {
	m := mux.NewRouter()
	allowed := map[string][]string{}
	for _, rt := range s.routes() {
		methods := []string{rt.method}
		if rt.method == http.MethodGet {
			methods = append(methods, http.MethodHead)
		}
		allowed[rt.path] = append(allowed[rt.path], methods...)
	}
	for _, rt := range s.routes() {
		methods := []string{rt.method}
		if rt.method == http.MethodGet {
			methods = append(methods, http.MethodHead)
		}
		m.Handle(rt.path, s.answer(rt.path, s.admit(rt.need, rt.do))).Methods(methods...)
	}
	// The same paths with other methods: gorilla/mux's own answer would not name those that are
	// allowed (RFC 9110, 15.5.6).
	for path, methods := range allowed {
		allow := strings.Join(methods, ", ")
		m.Handle(path, s.answer(path, func(w http.ResponseWriter, r *http.Request) error {
			w.Header().Set("Allow", allow)
			return wrongMethod.with("%.20q; allowed: %s", r.Method, allow)
		}))
	}
	m.PathPrefix("/api").Handler(s.answer("/api/?", func(http.ResponseWriter, *http.Request) error { return nothingHere.with("") }))
	m.PathPrefix("/").Handler(s.answer("/", s.page))
	m.NotFoundHandler = s.answer("?", func(http.ResponseWriter, *http.Request) error { return nothingHere.with("") })
	return s.guard(door, m)
}

// answer runs a handler and turns its error into a problem.
func (s *Server) answer(path string, h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		aboutOf(r).route = path
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	})
}

// send writes v as JSON.
func send(w http.ResponseWriter, status int, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("write the answer: %w", err)
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Length", fmt.Sprint(len(b)))
	w.WriteHeader(status)
	_, _ = w.Write(b) // the caller may be gone
	return nil
}

// list makes an empty JSON array of a nil slice.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

func (s *Server) ping(w http.ResponseWriter, _ *http.Request) error {
	// The trust page, which is of another origin, asks this to see that the certificate is trusted.
	w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
	return send(w, http.StatusOK, map[string]bool{"ok": true})
}

func (s *Server) problem(w http.ResponseWriter, r *http.Request) error {
	k, ok := kinds[mux.Vars(r)["code"]]
	if !ok {
		return nothingHere.with("")
	}
	return send(w, http.StatusOK, k)
}

func (s *Server) description(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Content-Type", "application/yaml")
	_, _ = w.Write(openAPI)
	return nil
}

// oneOf reads a query parameter that has few values; none means the first.
func oneOf(r *http.Request, name string, values ...string) (string, error) {
	v := r.URL.Query().Get(name)
	if v == "" {
		return values[0], nil
	}
	if !slices.Contains(values, v) {
		return "", badValue.with("%s is %.40q, not one of %q", name, v, values)
	}
	return v, nil
}
