package api

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/store"
)

func TestPushIsIdempotent(t *testing.T) {
	w := newWorkshop(t)
	phone := w.pair(history.Builder, false)
	entries, _, _, _ := phone.part(3)
	same := func(got []store.Status, want store.Status) {
		t.Helper()
		if len(got) != len(entries) {
			t.Fatalf("%d results for %d entries", len(got), len(entries))
		}
		for i, s := range got {
			if s != want {
				t.Errorf("entry %d: %s, want %s", i, s, want)
			}
		}
	}
	same(phone.push(entries...).statuses(), store.New)
	same(phone.push(entries...).statuses(), store.Known)
	// Other spacing and order of members is the same entry.
	pretty, err := json.MarshalIndent(map[string]any{"entries": entries}, "", "   ")
	if err != nil {
		t.Fatal(err)
	}
	same(phone.do("POST", "/api/entries", strings.NewReader(string(pretty)), media("application/json")).statuses(), store.Known)
	var h healthView
	phone.do("GET", "/api/health", nil).read(&h)
	if h.Entries != len(entries)+2 || // the laptop's own: its key, and that the phone joined
		!h.OK || h.Record != w.store.ID() || h.FreeBytes == 0 {
		t.Errorf("%+v", h)
	}
}

// What came late, doubled or broken is told apart entry by entry.
func TestPushTellsEachEntry(t *testing.T) {
	w := newWorkshop(t)
	phone := w.pair(history.Builder, false)
	entries, project, part, loc := phone.part(1)
	photo := strings.Repeat("c", 64)
	shot := phone.write(history.Draft{Kind: history.KindShot, Project: project, Part: part, Location: loc[0],
		Data: history.ShotData{Photo: photo, Bytes: 100, Media: "image/jpeg", Locations: loc}})
	var bad map[string]any
	if err := json.Unmarshal(entries[0].Bytes(), &bad); err != nil {
		t.Fatal(err)
	}
	bad["id"] = "not-an-id"
	all := []any{shot, entries[0], entries[0], bad, "no entry"}
	a := phone.do("POST", "/api/entries", map[string]any{"entries": all})
	a.want(200, "")
	var v struct{ Results []store.Result }
	a.read(&v)
	want := []store.Status{store.Pending, store.New, store.Known, store.Refused, store.Refused}
	for i, r := range v.Results {
		if r.Status != want[i] {
			t.Errorf("entry %d: %s, want %s", i, r.Status, want[i])
		}
		if r.Status == store.Refused && (r.Refusal == nil || r.Refusal.Do == "") {
			t.Errorf("entry %d is refused without a reason", i)
		}
	}
	if m := v.Results[0].Missing; m == nil || len(m.Photos) != 1 || m.Photos[0] != photo || !m.Before {
		t.Errorf("missing %+v", m)
	}
	phone.push(entries...).want(200, "")
	phone.do("POST", "/api/entries", map[string]any{"entries": []any{nil}}).want(403, "not-allowed") // nobody's
	phone.do("POST", "/api/entries", map[string]any{"entries": []any{}}).want(400, "bad-value")
	phone.do("POST", "/api/entries", io.MultiReader(strings.NewReader("{}")), media("application/json")).want(411, "length-missing")
}

// Two phones and the laptop end with the same entries, whatever the size of the pages and
// however often a page is asked for again.
func TestPullByCursor(t *testing.T) {
	w := newWorkshop(t)
	one, two, owner := w.pair(history.Builder, false), w.pair(history.Builder, false), w.pair(history.Builder, true)
	e1, _, _, _ := one.part(23)
	e2, _, _, _ := two.part(11)
	one.push(e1[:10]...).want(200, "")
	two.push(e2...).want(200, "")
	one.push(e1[10:]...).want(200, "")
	for _, limit := range []int{1, 7, 1000} {
		got, after, pages := []history.Entry{}, "", 0
		for {
			path := fmt.Sprintf("/api/entries?limit=%d&after=%s", limit, after)
			var p, again store.Page
			owner.do("GET", path, nil).read(&p)
			owner.do("GET", path, nil).read(&again)
			if again.Cursor != p.Cursor || len(again.Entries) != len(p.Entries) {
				t.Fatalf("the same cursor gave another page")
			}
			for _, e := range p.Entries {
				if e.Device == one.id || e.Device == two.id { // else the laptop's own
					got = append(got, e)
				}
			}
			after = p.Cursor
			if pages++; !p.More {
				break
			}
		}
		if len(history.Join(got)) != len(e1)+len(e2) || len(got) != len(e1)+len(e2) {
			t.Errorf("limit %d: %d entries in %d pages, want %d", limit, len(got), pages, len(e1)+len(e2))
		}
		var p store.Page
		owner.do("GET", "/api/entries?after="+after, nil).read(&p)
		if len(p.Entries) != 0 || p.More || p.Cursor != after {
			t.Errorf("something behind the end: %+v", p)
		}
	}
	var other store.Page
	owner.do("GET", "/api/entries?limit=1&after=0123456789abcdef-5", nil).read(&other)
	if !other.Again || len(other.Entries) != 1 {
		t.Errorf("a cursor of another record: %+v", other)
	}
	owner.do("GET", "/api/entries?after=x", nil).want(422, "bad-cursor")
	for _, bad := range []string{"0", "-1", "1001", "x"} {
		owner.do("GET", "/api/entries?limit="+bad, nil).want(400, "bad-value")
	}
}

func TestStateOfTheRecord(t *testing.T) {
	w := newWorkshop(t)
	phone := w.pair(history.Builder, false)
	entries, project, part, loc := phone.part(12)
	finding := phone.write(history.Draft{Kind: history.KindFinding, Project: project, Part: part, Location: loc[7], Data: history.FindingData{
		Spec:           qc.Spec{Kind: qc.ShopHead, NominalMM: 3.175},
		Answers:        []qc.Answer{{Question: "cracked", Seen: qc.Yes}},
		AnswersVerdict: qc.Out,
	}})
	if got := phone.push(append(entries, finding)...).statuses(); got[len(got)-1] != store.New {
		t.Fatalf("%v", got)
	}
	var ps struct{ Projects []history.Project }
	phone.do("GET", "/api/projects", nil).read(&ps)
	if len(ps.Projects) != 1 || ps.Projects[0].ID != project {
		t.Errorf("%+v", ps)
	}
	var parts struct{ Parts []store.Part }
	phone.do("GET", "/api/parts?project="+project, nil).read(&parts)
	if len(parts.Parts) != 1 || parts.Parts[0].Counts.Locations != 12 {
		t.Errorf("%+v", parts)
	}
	var p struct {
		Part      store.Part
		Locations []history.Location
	}
	phone.do("GET", "/api/parts/"+part, nil).read(&p)
	if p.Part.Name != "Corner gusset, left" || len(p.Locations) != 12 || p.Locations[1].Tag != "R2" || p.Locations[11].Tag != "R12" {
		t.Errorf("%+v", p.Part)
	}
	var l struct {
		Location history.Location
		Entries  []history.Entry
	}
	phone.do("GET", "/api/locations/"+loc[7], nil).read(&l)
	if l.Location.Verdict != qc.Out || len(l.Entries) != 2 || l.Entries[1].ID != finding.ID {
		t.Errorf("%+v", l.Location)
	}
	var work struct{ Work []history.WorkItem }
	phone.do("GET", "/api/work?part="+part, nil).read(&work)
	if len(work.Work) != 1 || work.Work[0].Tag != "R8" || work.Work[0].Kind != history.WorkDrillOut {
		t.Errorf("%+v", work)
	}
	phone.do("GET", "/api/work?part="+project, nil).read(&work)
	phone.do("GET", "/api/awaiting", nil).want(200, "")
	phone.do("GET", "/api/parts/"+part+"/sign-offs", nil).want(200, "")
	none := "01928f00-0000-7000-8000-000000000000"
	for _, path := range []string{"/api/parts/" + none, "/api/locations/" + none, "/api/parts/" + none + "/sign-offs"} {
		phone.do("GET", path, nil).want(404, "not-found")
	}
	for _, path := range []string{"/api/parts?project=x", "/api/work?part='%20OR%201", "/api/work?limit=0"} {
		phone.do("GET", path, nil).want(400, "bad-value")
	}
	var r Reach
	phone.do("GET", "/api/reach", nil).read(&r)
	if len(r.URLs) != 1 || r.Fingerprint == "" {
		t.Errorf("%+v", r)
	}
	phone.do("GET", "/api/openapi.yaml", nil).want(200, "")
}

func TestExports(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Inspector, false)
	var l struct{ Exports []struct{ Name string } }
	b.do("GET", "/api/exports", nil).read(&l)
	if len(l.Exports) != 1 || l.Exports[0].Name != "entries.json" {
		t.Errorf("%+v", l)
	}
	a := b.do("GET", "/api/exports/entries.json?paper=a4&units=mm", nil)
	a.want(200, "")
	if d := a.Header.Get("Content-Disposition"); d != `attachment; filename=bucktail-2026-11-13-entries.json` {
		t.Errorf("%s", d)
	}
	b.do("GET", "/api/exports/no-such", nil).want(404, "not-found")
	id := "01928f00-0000-7000-8000-000000000000"
	b.do("GET", "/api/exports/entries.json?part="+id+"&part="+id, nil).want(400, "bad-value") // before a byte is out
	for _, q := range []string{"part=x", "project=x", "paper=a3", "units=furlongs"} {
		b.do("GET", "/api/exports/entries.json?"+q, nil).want(400, "bad-value")
	}
}

// How far an export has come is told while it is made, to whoever knows its id.
func TestExportProgress(t *testing.T) {
	going, finish := make(chan bool), make(chan bool)
	w := newWorkshop(t, func(c *Config) {
		c.Exports = []Export{{"slow.json", "Slow", "application/json", func(_ context.Context, to io.Writer, q ExportQuery) error {
			q.Step(3, 10)
			going <- true
			<-finish
			_, err := io.WriteString(to, "{}")
			return err
		}}}
	})
	b := w.pair(history.Builder, false)
	const id = "01928f00-0000-7000-8000-000000000001"
	b.do("GET", "/api/exporting/"+id, nil).want(404, "not-found")
	done := make(chan answer)
	go func() { done <- b.do("GET", "/api/exports/slow.json?call="+id, nil) }()
	<-going
	var at struct{ Done, Of int }
	b.do("GET", "/api/exporting/"+id, nil).read(&at)
	if at.Done != 3 || at.Of != 10 {
		t.Errorf("%+v", at)
	}
	close(finish)
	a := <-done
	a.want(200, "")
	b.do("GET", "/api/exporting/"+id, nil).want(404, "not-found")
	b.do("GET", "/api/exports/slow.json?call=mine", nil).want(400, "bad-value")
}

// Each kind of problem says what to do and has its page.
func TestProblemsAreWorded(t *testing.T) {
	w := newWorkshop(t)
	for code, k := range kinds {
		if k.Code != code || k.Title == "" || k.Status < 400 || !strings.HasSuffix(k.Title, ".") {
			t.Errorf("%+v", k)
		}
		if k.Do == "" && code != "wrong-method" && code != "refused" {
			t.Errorf("%s does not say what to do", code)
		}
		w.stranger().do("GET", "/api/problems/"+code, nil).want(200, "")
	}
	w.stranger().do("GET", "/api/problems/no-such", nil).want(404, "not-found")
}
