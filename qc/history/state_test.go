package history_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"

	"pgregory.net/rapid"
)

// snapshot writes down everything that a state answers.
func snapshot(s *history.State) string {
	var out []any
	for _, p := range s.Projects() {
		out = append(out, p)
		for _, id := range s.Parts(p.ID) {
			part, counts, ok := s.Part(id)
			out = append(out, part, counts, ok)
			for _, so := range part.SignOffs {
				for _, e := range s.History(history.Subject{Of: history.OfPart, ID: id}) {
					if e.ID == so.Entry {
						st, err := s.SignOff(e)
						out = append(out, st, fmt.Sprint(err))
					}
				}
			}
			for _, l := range s.Locations(id) {
				out = append(out, l, len(s.History(history.Subject{Of: history.OfLocation, ID: l.ID})))
			}
		}
	}
	out = append(out, s.WorkList(), s.Faults(), s.Latest(), s.Entries())
	b, err := json.Marshal(out)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// twoDevices lets two builders and an inspector write about the same few locations, seeing
// now and then what the others wrote.
func twoDevices(t *rapid.T) []history.Entry {
	w := histtest.NewWorld(rapid.Uint64().Draw(t, "seed"))
	for range rapid.IntRange(0, 60).Draw(t, "steps") {
		w.Step(rapid.IntRange(0, histtest.Actions-1).Draw(t, "action"), rapid.IntRange(0, 2).Draw(t, "device"))
	}
	return w.All()
}

func TestStateHangsOnTheSetAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := twoDevices(t)
		want := snapshot(history.StateOf(all))
		// Any order, some entries more than once, in two parts that are joined, with
		// questions asked in between.
		mixed := rapid.Permutation(all).Draw(t, "order")
		again := rapid.SliceOfN(rapid.SampledFrom(all), 0, 20).Draw(t, "again")
		cut := rapid.IntRange(0, len(mixed)).Draw(t, "cut")
		a, b := append(mixed[:cut:cut], again...), mixed[cut:]

		s := &history.State{}
		for i, e := range append(a[:len(a):len(a)], b...) {
			s.Add(e)
			if i%20 == 0 {
				snapshot(s)
			}
		}
		if got := snapshot(s); got != want {
			t.Fatalf("one by one:\n%s\nat once:\n%s", got, want)
		}
		if got := snapshot(history.StateOf(history.Join(a, b))); got != want {
			t.Fatal("joined in two parts differs")
		}
		if got := snapshot(history.StateOf(history.Join(b, a, b))); got != want {
			t.Fatal("joined the other way round differs")
		}
	})
}

func TestAThingIsAFunctionOfTheSetOfItsEntries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		about := map[history.Subject][]history.Entry{}
		for _, e := range twoDevices(t) {
			for _, sub := range e.Subjects() {
				about[sub] = append(about[sub], e)
			}
		}
		for sub, entries := range about {
			mixed := rapid.Permutation(append(entries[:len(entries):len(entries)], entries[0])).Draw(t, "order")
			view := func(es []history.Entry) string {
				b, err := json.Marshal([]any{history.LocationOf(sub.ID, es), history.PartOf(sub.ID, es), history.ProjectOf(sub.ID, es), history.DeviceName(es)})
				if err != nil {
					t.Fatal(err)
				}
				return string(b)
			}
			if got, want := view(mixed), view(entries); got != want {
				t.Fatalf("%s %s:\n%s\nwant\n%s", sub.Of, sub.ID, got, want)
			}
		}
	})
}

func TestJoinIsOrderFreeRepeatableAndLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := twoDevices(t)
		pick := func(name string) (out []history.Entry) {
			for i := range all {
				if rapid.Bool().Draw(t, name) {
					out = append(out, all[i])
				}
			}
			return rapid.Permutation(out).Draw(t, name+" order")
		}
		a, b, c := pick("a"), pick("b"), pick("c")
		same := func(what string, x, y []history.Entry) {
			if len(x) != len(y) {
				t.Fatalf("%s: %d and %d entries", what, len(x), len(y))
			}
			for i := range x {
				if x[i].Hash() != y[i].Hash() {
					t.Fatalf("%s: differ at %d", what, i)
				}
			}
		}
		same("a+b, b+a", history.Join(a, b), history.Join(b, a))
		same("(a+b)+c, a+(b+c)", history.Join(history.Join(a, b), c), history.Join(a, history.Join(b, c)))
		same("twice", history.Join(a, b), history.Join(history.Join(a, b), a, b))
		in := map[history.Hash]bool{}
		for _, e := range append(a[:len(a):len(a)], b...) {
			in[e.Hash()] = true
		}
		j := history.Join(a, b)
		if len(j) != len(in) {
			t.Fatalf("%d entries of %d", len(j), len(in))
		}
		for i, e := range j {
			if !in[e.Hash()] || i > 0 && history.Compare(j[i-1], e) >= 0 {
				t.Fatalf("entry %d is strange or out of order", i)
			}
		}
	})
}

func TestEveryEntryOfARandomWorldSurvivesTheWire(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, e := range twoDevices(t) {
			b, err := json.Marshal(e)
			if err != nil {
				t.Fatal(err)
			}
			var back history.Entry
			if err := json.Unmarshal(b, &back); err != nil || back.Hash() != e.Hash() {
				t.Fatalf("%s: %v", b, err)
			}
		}
	})
}

func TestTagsAreOrderedAsPeopleDo(t *testing.T) {
	tags := []string{"", "A1", "R1", "R02", "R2", "R2a", "R9", "R10", "R100", "Ra", "S"}
	for i := range tags {
		for j := range tags {
			got := history.CompareTags(tags[i], tags[j])
			if (got < 0) != (i < j) || (got == 0) != (i == j) {
				t.Errorf("%q and %q: %d", tags[i], tags[j], got)
			}
		}
	}
}
