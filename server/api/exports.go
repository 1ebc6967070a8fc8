package api

import (
	"mime"
	"net/http"
	"sync"
	"time"

	"github.com/gorilla/mux"
)

func (s *Server) listExports(w http.ResponseWriter, _ *http.Request) error {
	type view struct {
		Name  string `json:"name"`
		Title string `json:"title"`
		Media string `json:"media"`
	}
	out := []view{}
	for _, e := range s.Exports {
		out = append(out, view{e.Name, e.Title, e.Media})
	}
	return send(w, http.StatusOK, map[string]any{"exports": out})
}

func (s *Server) export(w http.ResponseWriter, r *http.Request) error {
	name := mux.Vars(r)["name"]
	for _, e := range s.Exports {
		if e.Name != name {
			continue
		}
		q, err := exportQuery(r)
		if err != nil {
			return err
		}
		if id, err := idOf(r, "call"); err != nil {
			return err
		} else if id != "" {
			step, end := s.progress.begin(id)
			defer end()
			q.Step = step
		}
		// One at a time: each holds the whole record and a decoded photo.
		select {
		case s.exporting <- struct{}{}:
			defer func() { <-s.exporting }()
		case <-r.Context().Done():
			return stopping.with("")
		}
		// A bundle of a whole aircraft takes its time, and a phone saves it slowly.
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(30 * time.Minute))
		to := &lateHeader{w: w, media: e.Media, name: "bucktail-" + s.Now().Format("2006-01-02") + "-" + e.Name}
		if err := e.Write(r.Context(), to, q); err != nil {
			if to.begun {
				s.Log.Error("an export broke off", "export", e.Name, "error", err)
				panic(http.ErrAbortHandler) // the reader must not take a part for the whole
			}
			return err
		}
		to.begin()
		return nil
	}
	return nothingHere.with("there is no export %q", name)
}

// exportProgress holds how far the exports that are being made have come, by the id that their
// caller chose.
type exportProgress struct {
	mu sync.Mutex
	of map[string]exportStep
}

type exportStep struct {
	Done int64 `json:"done"`
	Of   int64 `json:"of"` // 0: not begun
}

// begin gives what to tell of the steps and of the end. The id of an export that runs may be
// used again; the later one is told of.
func (p *exportProgress) begin(id string) (step func(done, of int64), end func()) {
	set := func(done, of int64) {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.of == nil {
			p.of = map[string]exportStep{}
		}
		p.of[id] = exportStep{done, of}
	}
	set(0, 0)
	return set, func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		delete(p.of, id)
	}
}

// exportingNow tells how far an export has come.
func (s *Server) exportingNow(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	s.progress.mu.Lock()
	at, runs := s.progress.of[id]
	s.progress.mu.Unlock()
	if !runs {
		return nothingHere.with("no export is being made under that id")
	}
	return send(w, http.StatusOK, at)
}

func exportQuery(r *http.Request) (ExportQuery, error) {
	var q ExportQuery
	var err error
	for _, id := range r.URL.Query()["part"] {
		if !isUUID(id) {
			return q, badValue.with("part is %.60q, which is not an id", id)
		}
		q.Parts = append(q.Parts, id)
	}
	if q.Project, err = idOf(r, "project"); err != nil {
		return q, err
	}
	if q.Paper, err = oneOf(r, "paper", "", "a4", "letter"); err != nil {
		return q, err
	}
	q.Units, err = oneOf(r, "units", "", "mm", "in", "fractions")
	return q, err
}

// lateHeader writes the headers of a file to save with its first byte, so that an export that
// fails before it gets a problem instead.
type lateHeader struct {
	w           http.ResponseWriter
	media, name string
	begun       bool
}

func (l *lateHeader) begin() {
	if l.begun {
		return
	}
	l.begun = true
	h := l.w.Header()
	h.Set("Content-Type", l.media)
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": l.name}))
	l.w.WriteHeader(http.StatusOK)
}

func (l *lateHeader) Write(b []byte) (int, error) {
	l.begin()
	return l.w.Write(b)
}
