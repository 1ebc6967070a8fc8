package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"

	"pgregory.net/rapid"
)

var ctx = context.Background()

func statuses(rs []Result) string {
	var out []string
	for _, r := range rs {
		out = append(out, string(r.Status))
	}
	return strings.Join(out, " ")
}

func TestEntriesInAnyOrderAndTwiceOver(t *testing.T) {
	w := histtest.NewWorld(1)
	es := w.All()[:4] // project, part, part, location of one chain
	s := open(t, t.TempDir())
	if got := statuses(put(t, s, es[1])); got != "pending" {
		t.Errorf("a part before its project: %s", got)
	}
	r := put(t, s, es[3])
	if r[0].Status != Pending || !r[0].Missing.Before || !slices.Contains(r[0].Missing.Entries, w.Project) {
		t.Errorf("a location before its chain: %+v", r[0].Missing)
	}
	if got := statuses(put(t, s, es[0], es[1], es[2], es[0])); got != "new known new known" {
		t.Errorf("the rest: %s", got)
	}
	if got := statuses(put(t, s, es...)); got != "known known known known" {
		t.Errorf("again: %s", got)
	}
	if f := must(s.allFaults(ctx)); len(f) != 0 {
		t.Errorf("faults left: %v", f)
	}
	if m := missing(s); len(m.Entries)+len(m.Photos) != 0 {
		t.Errorf("missing left: %+v", m)
	}
	if page := must(s.EntriesSince(ctx, "", 0)); len(page.Entries) != 4 {
		t.Errorf("%d entries", len(page.Entries))
	}
	sound(t, s)
}

func TestAForkIsKeptAndShown(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	p := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	twin := *d.Maker
	note := func(m *history.Maker, text string) history.Entry {
		return must(m.Make(history.Draft{Kind: history.KindNote, Project: p.ID, Data: history.NoteData{Text: text}}, d.Clock, d.Rand))
	}
	a, b := note(d.Maker, "one"), note(&twin, "other")
	s := open(t, t.TempDir())
	put(t, s, p, a)
	r := put(t, s, b)
	if r[0].Status != New || len(r[0].Faults) != 1 || r[0].Faults[0].Kind != history.Fork {
		t.Errorf("answer: %+v", r[0])
	}
	if n := len(must(s.History(ctx, history.Subject{Of: history.OfProject, ID: p.ID}))); n != 3 {
		t.Errorf("%d of 3 entries kept", n)
	}
	var texts []string
	for _, pr := range must(s.Check(ctx, nil)) {
		texts = append(texts, pr.Text)
	}
	if got := strings.Join(texts, "\n"); !strings.Contains(got, "2 entries stand at place 2") {
		t.Errorf("check says %q", got)
	}
}

func TestWhoMayHandInWhat(t *testing.T) {
	w := histtest.NewWorld(1)
	for range 6 {
		w.Step(0, 2)
	}
	builder, inspector := w.Devices[0], w.Devices[2]
	theirs := inspector.Wrote[0] // a note
	forged := must((&history.Maker{Device: inspector.Device, By: "E. Salo", Role: history.Inspector}).Make(
		history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "mine"}}, inspector.Clock, inspector.Rand))
	s := open(t, t.TempDir())
	for _, c := range []struct {
		name string
		from Sender
		e    history.Entry
		want string
	}{
		{"builder, own", Sender{Device: builder.Device, Role: history.Builder}, builder.Wrote[0], "new"},
		{"builder, another device's", Sender{Device: builder.Device, Role: history.Builder}, theirs, "refused other-device"},
		{"inspector, own", Sender{Device: inspector.Device, Role: history.Inspector}, theirs, "pending"},
		{"inspector, a builder's act", Sender{Device: inspector.Device, Role: history.Inspector}, forged, "refused not-allowed"},
		{"builder posing as an inspector", Sender{Device: inspector.Device, Role: history.Builder}, theirs, "refused not-allowed"},
		{"inspector takes in a file", Sender{Device: inspector.Device, Role: history.Inspector, Any: true}, builder.Wrote[1], "refused other-device"},
	} {
		r := must(s.PutEntries(ctx, c.from, [][]byte{c.e.Bytes()}))[0]
		got := string(r.Status)
		if r.Refusal != nil {
			got += " " + r.Refusal.Code
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestBadEntriesDoNotKeepGoodOnesOut(t *testing.T) {
	es := histtest.NewWorld(1).All()
	raws := [][]byte{[]byte("{"), es[0].Bytes(), []byte(strings.Repeat("x", history.MaxEntryBytes+1)), es[1].Bytes(), nil}
	s := open(t, t.TempDir())
	r := must(s.PutEntries(ctx, all, raws))
	if got := statuses(r); got != "refused new refused new refused" {
		t.Errorf("%s", got)
	}
	for _, i := range []int{0, 2, 4} {
		if r[i].Refusal == nil || r[i].Refusal.Text == "" {
			t.Errorf("entry %d was refused without a word", i)
		}
	}
	if _, err := s.PutEntries(ctx, all, make([][]byte, MaxBatch+1)); err == nil {
		t.Error("too many at once were taken")
	}
}

func TestAClockYearsOffIsKeptAndNoted(t *testing.T) {
	w := histtest.NewWorld(1)
	w.Step(4, 1) // by the phone whose clock is three years behind
	s := open(t, t.TempDir())
	put(t, s, w.All()...)
	f := must(s.allFaults(ctx))
	if len(f) != 1 || f[0].Kind != clockFault || !strings.Contains(f[0].Text, "2023") {
		t.Errorf("faults: %v", f)
	}
	sound(t, s)
}

func TestTheDatabaseItselfRefusesToChangeThePast(t *testing.T) {
	s := open(t, t.TempDir())
	put(t, s, histtest.NewWorld(1).All()...)
	must1 := func(name string, _ Photo, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	p, _, err := s.PutPhoto(ctx, strings.NewReader("x"), histtest.PhotoHash([]byte("x")), 1)
	must1("photo", p, err)
	for _, q := range []string{
		`UPDATE entry SET bytes = '{}' WHERE n = 1`,
		`UPDATE entry SET received_ms = 0`,
		`DELETE FROM entry`,
		`INSERT OR REPLACE INTO entry SELECT n, hash, id, device, seq, prev, kind, part, 0, 0, '{}' FROM entry WHERE n = 2`,
		`REPLACE INTO entry (hash, id, device, seq, prev, kind, part, at_ms, received_ms, bytes) SELECT hash, id, device, seq, prev, kind, part, 0, 0, '{}' FROM entry WHERE n = 2`,
		`INSERT INTO entry VALUES (NULL, x'00', 'a', 'b', 1, '', 'c', '', 0, 0, '')`,
		`UPDATE photo SET length = 2`,
		`DELETE FROM photo`,
		`INSERT OR REPLACE INTO photo SELECT hash, 9, media, 0 FROM photo`,
	} {
		if _, err := s.write.Exec(q); err == nil {
			t.Errorf("%s: was done", q)
		}
	}
	sound(t, s)
}

// dump writes down every row of the projections.
func dump(t testing.TB, s *Store) string {
	var b strings.Builder
	for _, table := range projections {
		rows, err := s.write.Query(`SELECT * FROM ` + table)
		if err != nil {
			t.Fatal(err)
		}
		cols, _ := rows.Columns()
		var lines []string
		for rows.Next() {
			vals := make([]any, len(cols))
			for i := range vals {
				vals[i] = new(any)
			}
			if err := rows.Scan(vals...); err != nil {
				t.Fatal(err)
			}
			line := table
			for _, v := range vals {
				line += fmt.Sprintf("|%v", *v.(*any))
			}
			lines = append(lines, line)
		}
		rows.Close()
		slices.Sort(lines)
		b.WriteString(strings.Join(lines, "\n") + "\n")
	}
	return b.String()
}

func TestRunningSumsEqualARebuildAndTheStateInMemory(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := histtest.NewWorld(rapid.Uint64().Draw(r, "seed"))
		for range rapid.IntRange(0, 25).Draw(r, "steps") {
			w.Step(rapid.IntRange(0, histtest.Actions-1).Draw(r, "action"), rapid.IntRange(0, 2).Draw(r, "device"))
		}
		mixed := rapid.Permutation(w.All()).Draw(r, "order")
		s, err := Open(t.TempDir(), options())
		if err != nil {
			r.Fatal(err)
		}
		defer s.Close()
		relax(s)
		for rest := mixed; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(r, "batch")
			put(t, s, rest[:n]...)
			rest = rest[n:]
		}
		put(t, s, mixed[:len(mixed)/2]...)

		running := dump(t, s)
		if err := s.Rebuild(ctx, nil); err != nil {
			r.Fatal(err)
		}
		if again := dump(t, s); again != running {
			r.Fatalf("rebuilt:\n%s\nrunning:\n%s", again, running)
		}
		compareWithState(r, s, history.StateOf(w.All()))
	})
}

// compareWithState holds everything that the store answers against the state that the same
// entries add up to in memory, as on the phone.
func compareWithState(r *rapid.T, s *Store, want *history.State) {
	same := func(what string, a, b any) {
		x, _ := json.Marshal(a)
		y, _ := json.Marshal(b)
		if string(x) != string(y) && !(string(x) == "null" && string(y) == "[]") && !(string(x) == "[]" && string(y) == "null") {
			r.Fatalf("%s: store\n%s\nstate\n%s", what, x, y)
		}
	}
	projects := must(s.Projects(ctx))
	same("projects", projects, want.Projects())
	same("work", must(s.WorkList(ctx, WorkFilter{})), want.WorkList())
	var faults []history.Fault
	open, _, err := s.Faults(ctx)
	if err != nil {
		r.Fatal(err)
	}
	for _, f := range open {
		if f.Kind != clockFault {
			faults = append(faults, f)
		}
	}
	same("faults", faults, want.Faults())
	for _, p := range projects {
		var ids []string
		for _, part := range must(s.Parts(ctx, p.ID)) {
			ids = append(ids, part.ID)
			wp, wc, _ := want.Part(part.ID)
			same("part", part.Part, wp)
			same("counts", part.Counts, wc)
			same("locations", must(s.Locations(ctx, part.ID)), want.Locations(part.ID))
			same("concerning", must(s.Concerning(ctx, part.ID)), want.Concerning(part.ID))
			signs := must(s.SignOffs(ctx, part.ID))
			for i, so := range part.SignOffs {
				e := must(entriesOf(s, so.Entry))[0]
				same("sign-off", signs[so.Entry], must(want.SignOff(e)))
				if i == len(part.SignOffs)-1 {
					same("since", part.Since, len(signs[so.Entry].Since))
				}
			}
		}
		same("parts", ids, want.Parts(p.ID))
	}
}

func TestEntriesArePulledByCursorWithoutGapOrRepetition(t *testing.T) {
	w := histtest.NewWorld(1)
	for i := range 200 {
		w.Step(i%histtest.Actions, i%3)
	}
	s := open(t, t.TempDir())
	var got []history.Entry
	cursor := ""
	rest := w.All()
	for len(rest) > 0 || len(got) < len(w.All()) {
		n := min(len(rest), 7)
		put(t, s, rest[:n]...)
		rest = rest[n:]
		page := must(s.EntriesSince(ctx, cursor, 5))
		again := must(s.EntriesSince(ctx, cursor, 5))
		if len(page.Entries) != len(again.Entries) {
			t.Fatal("the same cursor gave something else")
		}
		got, cursor = append(got, page.Entries...), page.Cursor
	}
	for i, e := range got {
		if e.Hash() != w.All()[i].Hash() {
			t.Fatalf("entry %d is another", i)
		}
	}
	if page := must(s.EntriesSince(ctx, cursor, 5)); len(page.Entries) != 0 || page.More || page.Cursor != cursor {
		t.Errorf("at the end: %+v", page)
	}
	// A page that ends just before the last entry says that there is more.
	for left, more := range map[int]bool{0: false, 1: true, 2: true} {
		n := len(got) - left
		before := must(s.EntriesSince(ctx, "", n-1)).Cursor
		if page := must(s.EntriesSince(ctx, before, 1)); len(page.Entries) != 1 || page.More != more {
			t.Errorf("with %d entries left: %d in the page, more %v", left, len(page.Entries), page.More)
		}
	}
	for _, bad := range []string{"x", "1", "-1", "zzzzzzzzzzzzzzzz-", strings.Repeat("9", 99), "0123456789abcdef--1"} {
		if _, err := s.EntriesSince(ctx, bad, 5); err == nil {
			t.Errorf("cursor %q was taken", bad)
		}
	}
	if page := must(s.EntriesSince(ctx, "0123456789abcdef-7", 5)); !page.Again || len(page.Entries) != 5 {
		t.Errorf("a cursor of another record: %+v", page)
	}
}
