package api

import (
	"encoding/json"
	"net/http"
	"regexp"
	"strconv"

	"github.com/gorilla/mux"

	"bucktail/qc/history"
	"bucktail/store"
)

var uuidForm = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$`)

func isUUID(s string) bool { return uuidForm.MatchString(s) }

func (s *Server) pull(w http.ResponseWriter, r *http.Request) error {
	limit := 500
	if v := r.URL.Query().Get("limit"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 || n > store.MaxBatch {
			return badValue.with("limit is %.20q, not a number from 1 to %d", v, store.MaxBatch)
		}
		limit = n
	}
	page, err := s.Store.EntriesSince(r.Context(), r.URL.Query().Get("after"), limit)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, page)
}

func (s *Server) push(w http.ResponseWriter, r *http.Request) error {
	from := deviceOf(r)
	handedIn, err := oneOf(r, "handed-in", "no", "yes")
	if err != nil {
		return err
	}
	if handedIn == "yes" && !from.Owner {
		return notAllowed.with("entries of other devices are taken in on the laptop itself")
	}
	if r.ContentLength < 0 {
		return noLength.with("")
	}
	if r.ContentLength > maxPushBytes {
		return tooLarge.with("%d bytes, at most %d", r.ContentLength, maxPushBytes)
	}
	if err := isJSON(r); err != nil {
		return err
	}
	body, n, gone, err := s.spool(w, r, maxPushBytes)
	if err != nil {
		return err
	}
	defer gone()
	s.longAnswer(w, n) // it may wait for others
	leave, err := s.bodies.enter(r.Context(), n)
	if err != nil {
		return err
	}
	defer leave()
	var in struct {
		Entries []json.RawMessage `json:"entries"`
	}
	if err := decodeJSON(body, &in); err != nil {
		return err
	}
	raws := make([][]byte, len(in.Entries))
	for i, raw := range in.Entries {
		raws[i] = raw
		if handedIn == "no" {
			if err := mayPush(from, raw); err != nil {
				return err
			}
		}
	}
	if len(raws) == 0 {
		return badValue.with("there are no entries")
	}
	results, err := s.Store.PutEntries(r.Context(), store.Sender{Device: from.ID, Role: from.Role, Any: handedIn == "yes"}, raws)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"results": results})
}

// mayPush stops a whole request that holds an entry the device may not write: that is no slip of
// one entry but a device that takes itself for another. What is wrong in other ways is answered
// entry by entry.
func mayPush(from store.Device, raw json.RawMessage) error {
	var h struct {
		ID     any          `json:"id"`
		Device string       `json:"device"`
		Role   history.Role `json:"role"`
		Kind   history.Kind `json:"kind"`
	}
	if json.Unmarshal(raw, &h) != nil {
		return nil // not an entry at all: refused as such
	}
	switch {
	case h.Role != from.Role:
		return notAllowed.with("entry %.40v is written as %.20q, this device is a %s's", h.ID, h.Role, from.Role)
	case !history.MayWrite(from.Role, h.Kind):
		return notAllowed.with("entry %.40v is of kind %.40q, which a%s does not write", h.ID, h.Kind, map[history.Role]string{history.Builder: " builder", history.Inspector: "n inspector"}[from.Role])
	case h.Device != from.ID:
		return notAllowed.with("entry %.40v belongs to another device", h.ID)
	}
	return nil
}

func (s *Server) chain(w http.ResponseWriter, r *http.Request) error {
	c, err := s.Store.Chain(r.Context(), mux.Vars(r)["id"])
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, c)
}
