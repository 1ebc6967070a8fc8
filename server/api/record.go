package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gorilla/mux"

	"bucktail/qc/history"
	"bucktail/store"
)

// query reads an id from the query; "" if it is not given.
func idOf(r *http.Request, name string) (string, error) {
	id := r.URL.Query().Get(name)
	if id != "" && !isUUID(id) {
		return "", badValue.with("%s is %.60q, which is not an id", name, id)
	}
	return id, nil
}

func (s *Server) projects(w http.ResponseWriter, r *http.Request) error {
	l, err := s.Store.Projects(r.Context())
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"projects": list(l)})
}

func (s *Server) parts(w http.ResponseWriter, r *http.Request) error {
	project, err := idOf(r, "project")
	if err != nil {
		return err
	}
	l, err := s.Store.Parts(r.Context(), project)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"parts": list(l)})
}

func (s *Server) part(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	p, err := s.Store.Part(r.Context(), id)
	if err != nil {
		return err
	}
	l, err := s.Store.Locations(r.Context(), id)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"part": p, "locations": list(l)})
}

func (s *Server) signOffs(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	if _, err := s.Store.Part(r.Context(), id); err != nil {
		return err
	}
	m, err := s.Store.SignOffs(r.Context(), id)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"sign_offs": m})
}

func (s *Server) location(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	l, err := s.Store.Location(r.Context(), id)
	if err != nil {
		return err
	}
	h, err := s.Store.History(r.Context(), history.Subject{Of: history.OfLocation, ID: id})
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"location": l, "entries": list(h)})
}

// maxList bounds one answer with a list of what waits.
const maxList = 1000

func limitOf(r *http.Request) (int, error) {
	v := r.URL.Query().Get("limit")
	if v == "" {
		return maxList, nil
	}
	n, err := strconv.Atoi(v)
	if err != nil || n < 1 || n > maxList {
		return 0, badValue.with("limit is %.20q, not a number from 1 to %d", v, maxList)
	}
	return n, nil
}

func (s *Server) work(w http.ResponseWriter, r *http.Request) error {
	part, err := idOf(r, "part")
	if err != nil {
		return err
	}
	limit, err := limitOf(r)
	if err != nil {
		return err
	}
	l, err := s.Store.WorkList(r.Context(), store.WorkFilter{Part: part, Limit: limit})
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"work": list(l)})
}

func (s *Server) awaiting(w http.ResponseWriter, r *http.Request) error {
	limit, err := limitOf(r)
	if err != nil {
		return err
	}
	l, err := s.Store.AwaitingDecision(r.Context(), store.Awaiting{}, limit)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"awaiting": list(l)})
}

type healthView struct {
	OK            bool            `json:"ok"`
	Record        string          `json:"record"`
	Entries       int             `json:"entries"`
	Photos        int             `json:"photos"`
	MissingPhotos int             `json:"missing_photos"`
	Faults        []history.Fault `json:"faults,omitempty"`
	Format        int             `json:"format"`
	Now           time.Time       `json:"now"`
	FreeBytes     int64           `json:"free_bytes,omitempty"`
}

// lowDisk: below this the laptop is not well.
const lowDisk = 200 << 20

func (s *Server) health(w http.ResponseWriter, r *http.Request) error {
	f, err := s.Store.Facts(r.Context())
	if err != nil {
		return err
	}
	v := healthView{Record: s.Store.ID(), Entries: f.Entries, Photos: f.Photos, MissingPhotos: f.MissingPhotos,
		Format: history.Format, Now: s.Now().UTC().Truncate(time.Millisecond), FreeBytes: freeBytes(s.Store.Dir())}
	if f.Faults > 0 {
		if v.Faults, _, err = s.Store.Faults(r.Context()); err != nil {
			return err
		}
		v.Faults = v.Faults[:min(len(v.Faults), 100)]
	}
	v.OK = len(v.Faults) == 0 && (v.FreeBytes == 0 || v.FreeBytes > lowDisk)
	return send(w, http.StatusOK, v)
}
