package api

import (
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/store"
)

// Uploads that hang, as large as they may be, do not keep another device from saving.
func TestSlowUploadsStopNobodyElse(t *testing.T) {
	w := newWorkshop(t)
	slow, good := w.pair(history.Builder, false), w.pair(history.Builder, true)
	for range 8 {
		c, err := net.Dial("tcp", w.door.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprintf(c, "POST /api/entries HTTP/1.1\r\nHost: workshop.local\r\nContent-Type: application/json\r\nContent-Length: %d\r\nCookie: %s=%s\r\n\r\n{\"entries\":[", maxPushBytes, slow.cookie.Name, slow.cookie.Value)
	}
	held := func() int {
		w.api.shares.mu.Lock()
		defer w.api.shares.mu.Unlock()
		return w.api.shares.by[slow.id]
	}
	for end := time.Now().Add(10 * time.Second); held() < maxUploads && time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
	}
	if held() != maxUploads {
		t.Errorf("of 8 uploads of one device %d run, want %d", held(), maxUploads)
	}
	entries, _, _, _ := good.part(3)
	begun := time.Now()
	good.push(entries...).want(http.StatusOK, "")
	if took := time.Since(begun); took > 5*time.Second {
		t.Errorf("saving took %v", took)
	}
	slow.push(entries...).want(http.StatusTooManyRequests, "too-many")
}

func TestOneDevicesInvitationsLeaveOthersTheirs(t *testing.T) {
	w := newWorkshop(t)
	a, b := w.pair(history.Builder, false), w.pair(history.Builder, false)
	for range maxCodes {
		a.do("POST", "/api/pairings", map[string]string{"role": "builder"}).want(http.StatusCreated, "")
	}
	a.do("POST", "/api/pairings", map[string]string{"role": "builder"}).want(http.StatusTooManyRequests, "too-many")
	b.do("POST", "/api/pairings", map[string]string{"role": "builder"}).want(http.StatusCreated, "")
	if _, err := w.api.OwnerLink(); err != nil {
		t.Error(err)
	}
}

// A builder's phone can't become the inspector's device, nor let one in that answers to it.
func TestOnlyTheLaptopInvitesInspectorsAndLetsInAgain(t *testing.T) {
	w := newWorkshop(t)
	owner, phone, inspector := w.pair(history.Builder, true), w.pair(history.Builder, false), w.pair(history.Inspector, false)
	phone.do("POST", "/api/pairings", map[string]string{"role": "inspector"}).want(http.StatusForbidden, "not-allowed")
	phone.do("POST", "/api/pairings", map[string]string{"role": "inspector", "device": inspector.id}).want(http.StatusForbidden, "not-allowed")
	phone.do("POST", "/api/pairings", map[string]string{"role": "builder", "device": phone.id}).want(http.StatusForbidden, "not-allowed")
	owner.do("POST", "/api/pairings", map[string]string{"role": "inspector", "device": inspector.id}).want(http.StatusCreated, "")
	owner.do("POST", "/api/pairings", map[string]string{"role": "inspector"}).want(http.StatusCreated, "")
}

func TestAnInspectorsDeviceBringsNoPhotosThatNothingNames(t *testing.T) {
	w := newWorkshop(t)
	owner, inspector := w.pair(history.Builder, true), w.pair(history.Inspector, false)
	entries, project, part, _ := owner.part(1)
	owner.push(entries...).want(http.StatusOK, "")
	data, hash := shot(t, 64, 48)
	inspector.do("PUT", "/api/photos/"+hash, data).want(http.StatusConflict, "photo-unnamed")
	inspector.push(inspector.write(history.Draft{Kind: history.KindNote, Project: project, Part: part, Data: history.NoteData{Text: "the other side", Photos: []string{hash}}})).want(http.StatusOK, "")
	inspector.do("PUT", "/api/photos/"+hash, data).want(http.StatusCreated, "")
	inspector.do("PUT", "/api/photos/"+hash, data).want(http.StatusOK, "")
}

func TestAShotOfTooManyLocationsIsRefused(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	entries, project, part, ids := b.part(201)
	b.push(entries...).want(http.StatusOK, "")
	shot := func(n int) (history.Entry, error) {
		return b.maker.Make(history.Draft{Kind: history.KindShot, Project: project, Part: part,
			Data: history.ShotData{Photo: strings.Repeat("a", 64), Bytes: 1, Media: "image/jpeg", Locations: ids[:n]}}, w.clock(), zeros{})
	}
	if _, err := shot(201); err == nil {
		t.Error("a shot of 201 locations is taken")
	}
	e, err := shot(200)
	if err != nil {
		t.Fatal(err)
	}
	b.push(e).want(http.StatusOK, "")
}

// A decision on paper has no effect until the picture of the page is here.
func TestADecisionOnPaperWaitsForItsPage(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	entries, project, part, ids := b.part(1)
	at := histtest.Place{Project: project, Part: part, Location: ids[0]}
	data, page := shot(t, 64, 48)
	f := b.write(at.Draft(history.KindFinding, histtest.HeadFinding("", strings.Repeat("a", 64), 7.4, 12)))
	b.push(append(entries, f)...).want(http.StatusOK, "")
	d := b.write(at.Draft(history.KindDecision, history.DecisionData{Finding: f.ID, Answer: qc.Confirmed, Name: "E. Salo", OnPaper: &history.OnPaper{Photo: page, Date: "2026-11-13"}}))
	a := b.push(d)
	var v struct{ Results []store.Result }
	if a.read(&v); v.Results[0].Status != store.Refused || v.Results[0].Refusal.Code != "page-missing" {
		t.Errorf("without its page: %+v", v.Results[0])
	}
	b.do("PUT", "/api/photos/"+page, data).want(http.StatusCreated, "")
	b.push(d).want(http.StatusOK, "")
	var l struct{ Location history.Location }
	b.do("GET", "/api/locations/"+ids[0], nil).read(&l)
	if l.Location.Decision != qc.Confirmed {
		t.Errorf("with its page it stands at %q", l.Location.Decision)
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }
