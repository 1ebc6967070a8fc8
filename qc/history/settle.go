package history

import (
	"cmp"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
)

// data reads the kind's data; nil for a kind or format that this version does not know.
func (e Entry) data() any {
	rule, ok := kindRules[e.Kind]
	if !ok || e.Format > Format {
		return nil
	}
	d := reflect.New(rule.data)
	if json.Unmarshal(e.Data, d.Interface()) != nil {
		return nil // check has refused such an entry; only a damaged store could hold one
	}
	return d.Interface()
}

// essence reads as much of the kind's data as states are made of.
func (e Entry) essence() any {
	if e.Format <= Format && e.Kind == KindShot {
		return &ShotData{} // states are made of findings; a shot's list of locations is read once, for what it is about
	}
	if e.Format > Format || e.Kind != KindFinding && e.Kind != KindGauge {
		return e.data()
	}
	var g gist
	if json.Unmarshal(e.Data, &g) != nil {
		return nil
	}
	if e.Kind == KindGauge {
		return g.gauge()
	}
	return g.finding()
}

// DataOf reads the data of an entry as T, the type named beside its [Kind].
func DataOf[T any](e Entry) (T, error) {
	d, ok := e.data().(*T)
	if !ok {
		var zero T
		return zero, fmt.Errorf("entry %s of kind %q does not hold %T", e.ID, e.Kind, zero)
	}
	return *d, nil
}

// fact is an entry with the essence of its data read.
type fact struct {
	Entry
	data any
}

// settle says which of the entries about one thing have an effect, in order, and why the
// others have none.
//
// An entry is superseded when a later one about the same thing names it, whatever becomes of
// the later one: what was taken back stays taken back. A builder can't take back what an
// inspector wrote, nor the other way round.
func settle(entries []Entry) (effective []fact, remarks []Remark) {
	at := make(map[string]int, len(entries))
	for i, e := range entries {
		if _, twice := at[e.ID]; !twice {
			at[e.ID] = i
		}
	}
	gone := make(map[string]string)
	for _, e := range entries {
		if !e.Known() || !MayWrite(e.Role, e.Kind) {
			continue
		}
		for _, id := range e.Supersedes {
			i, here := at[id]
			switch {
			case !here:
				remarks = append(remarks, Remark{e.ID, "it supersedes an entry that is not here: " + id})
			case CompareInTime(entries[i], e) >= 0:
				remarks = append(remarks, Remark{e.ID, "it supersedes an entry that is not older: " + id})
			case entries[i].Role != e.Role:
				remarks = append(remarks, Remark{e.ID, fmt.Sprintf("a%s can't supersede what a%s wrote: %s", article(e.Role), article(entries[i].Role), id)})
			case entries[i].Device != e.Device && (entries[i].Kind == KindDecision || entries[i].Kind == KindSignOff):
				remarks = append(remarks, Remark{e.ID, "a decision is taken back by its own author alone: " + id})
			case entries[i].Location == "" && entries[i].Kind == KindLocation, entries[i].Kind == KindPart && entries[i].Part == "",
				entries[i].Kind == KindProject && entries[i].Project == "":
				remarks = append(remarks, Remark{e.ID, "it supersedes the entry that made this: " + id + "; take it out instead"})
			default:
				gone[id] = e.ID
			}
		}
	}
	for _, e := range entries {
		switch by, is := gone[e.ID]; {
		case is:
			remarks = append(remarks, Remark{e.ID, "superseded by " + by})
		case e.Format > Format:
			remarks = append(remarks, Remark{e.ID, fmt.Sprintf("written in format %d by a newer version", e.Format)})
		case !e.Known():
			remarks = append(remarks, Remark{e.ID, fmt.Sprintf("its kind %q is not known to this version", e.Kind)})
		case !MayWrite(e.Role, e.Kind):
			remarks = append(remarks, Remark{e.ID, fmt.Sprintf("a%s can't write an entry of kind %q", article(e.Role), e.Kind)})
		default:
			if d := e.essence(); d != nil {
				effective = append(effective, fact{e, d})
			} else {
				remarks = append(remarks, Remark{e.ID, "its data can't be read by this version"})
			}
		}
	}
	return effective, remarks
}

// whereTheyCount puts what was moved here from another location where it counts from; all else stays
// in its order.
func whereTheyCount(facts []fact) []fact {
	var out, moved []fact
	for _, f := range facts {
		if f.since() == f.ID {
			out = append(out, f)
		} else {
			moved = append(moved, f)
		}
	}
	for _, m := range moved {
		at := slices.IndexFunc(out, func(f fact) bool { return f.since() > m.since() })
		if at < 0 {
			at = len(out)
		}
		out = slices.Insert(out, at, m)
	}
	return out
}

// since is the id from which on an entry counts: that of the entry that it moves here, for those
// that have been moved, else its own. Ids stand in the order of time.
func (f fact) since() string {
	switch d := f.data.(type) {
	case *FindingData:
		return cmp.Or(d.MovedFrom, f.ID)
	case *GaugeData:
		return cmp.Or(d.MovedFrom, f.ID)
	}
	return f.ID
}

func article(r Role) string {
	if r == Inspector {
		return "n inspector"
	}
	return " " + string(r)
}

// sortRemarks puts remarks into an order that does not hang on how they were found.
func sortRemarks(rs []Remark) {
	sortStablyBy(rs, func(a, b Remark) int {
		return cmp.Or(cmp.Compare(a.Entry, b.Entry), cmp.Compare(a.Text, b.Text))
	})
}
