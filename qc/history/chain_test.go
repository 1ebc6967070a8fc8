package history_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

func notes(d *histtest.Device, project string, n int) []history.Entry {
	var out []history.Entry
	for range n {
		out = append(out, d.Put(history.Draft{Kind: history.KindNote, Project: project, Data: history.NoteData{Text: "n"}}))
	}
	return out
}

func faults(t *testing.T, entries []history.Entry) string {
	t.Helper()
	var want []string
	for _, f := range history.CheckChain(entries) {
		want = append(want, string(f.Kind))
	}
	// The answer must not hang on the order of the entries or on repetitions.
	for i := range 20 {
		mixed := append(slices.Clone(entries), entries[:len(entries)/2]...)
		r := rand.New(rand.NewPCG(1, uint64(i)))
		r.Shuffle(len(mixed), func(a, b int) { mixed[a], mixed[b] = mixed[b], mixed[a] })
		if got := history.CheckChain(mixed); !slices.Equal(got, history.CheckChain(entries)) {
			t.Fatalf("shuffled: %v", got)
		}
	}
	return strings.Join(want, " ")
}

func TestChainFaultsAreNamed(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(d)
	notes(d, pr.ID, 5)
	all := d.Wrote

	// The same device, restored from an old copy, goes on from entry 3.
	twin := histtest.NewDevice(1, "Ines K.", history.Builder)
	twin.Seq, twin.Prev, twin.Latest = 3, all[2].Hash(), all[2].ID
	forked := twin.Put(history.Draft{Kind: history.KindNote, Project: pr.ID, Data: history.NoteData{Text: "other"}})

	// Entry 4 with another text under the same id, so that entry 5 no longer follows.
	changed, err := history.Parse([]byte(strings.Replace(string(all[3].Bytes()), `"text":"n"`, `"text":"N"`, 1)))
	if err != nil {
		t.Fatal(err)
	}

	for _, c := range []struct {
		name    string
		entries []history.Entry
		want    string
	}{
		{"whole", all, ""},
		{"one missing", append(slices.Clone(all[:2]), all[3:]...), "gap"},
		{"first missing", all[1:], "gap"},
		{"forked", append(slices.Clone(all), forked), "fork"},
		{"changed past", append(append(slices.Clone(all[:3]), changed), all[4:]...), "broken"},
		{"changed past beside the true one", append(slices.Clone(all), changed), "fork same-id"},
	} {
		if got := faults(t, c.entries); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	if n := len(history.Join(all, []history.Entry{forked, changed}, all)); n != len(all)+2 {
		t.Errorf("%d entries after joining a fork, want all %d", n, len(all)+2)
	}
}

func TestReachIsTheSameWhetherFoundAtOnceOrStepByStep(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(d)
	notes(d, pr.ID, 30)
	for i := range 30 {
		r := rand.New(rand.NewPCG(2, uint64(i)))
		mixed := slices.Clone(d.Wrote)
		r.Shuffle(len(mixed), func(a, b int) { mixed[a], mixed[b] = mixed[b], mixed[a] })
		mixed = mixed[:10+r.IntN(len(mixed)-10)]
		places := map[int64][]history.Link{}
		at := func(seq int64) []history.Link { return places[seq] }
		var step int64
		for _, e := range mixed {
			places[e.Seq] = append(places[e.Seq], history.LinkOf(e))
			step, _ = history.Reach(step, at)
		}
		once, hash := history.Reach(0, at)
		if once != step {
			t.Fatalf("at once %d, step by step %d", once, step)
		}
		if once > 0 && hash != d.Wrote[once-1].Hash().String() {
			t.Fatalf("hash at %d", once)
		}
	}
}
