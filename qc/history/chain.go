package history

import (
	"cmp"
	"fmt"
	"slices"
)

// FaultKind says what is wrong at one place of a chain.
type FaultKind string

// The faults.
const (
	Gap    FaultKind = "gap"     // the entry before has not come yet
	Fork   FaultKind = "fork"    // more than one entry stands at this place
	Broken FaultKind = "broken"  // "prev" fits none of the entries at the place before
	SameID FaultKind = "same-id" // two different entries bear one id
)

// Fault is one thing that is wrong, or still missing, in a chain.
type Fault struct {
	Kind   FaultKind `json:"kind"`
	Device string    `json:"device"`
	Seq    int64     `json:"seq"`
	Text   string    `json:"text"`
}

// Link is what a chain needs of an entry.
type Link struct {
	Seq  int64
	Prev string // hex, empty at the start
	Hash string // hex
}

// LinkOf takes the link out of an entry.
func LinkOf(e Entry) Link { return Link{e.Seq, e.Prev, e.hash.String()} }

// FaultsAt judges one place of one device's chain from the links that stand there and those
// that stand at the place before: the one rule that [CheckChain] and a running record share.
// The links may come in any order.
func FaultsAt(device string, seq int64, before, here []Link) []Fault {
	if len(here) == 0 {
		return nil
	}
	var out []Fault
	add := func(k FaultKind, format string, args ...any) {
		out = append(out, Fault{k, device, seq, fmt.Sprintf(format, args...)})
	}
	if len(here) > 1 {
		add(Fork, "%d entries stand at place %d of the chain of device %s", len(here), seq, device)
	}
	if seq == 1 {
		return out // a first entry with a "prev" is refused on its own
	}
	if len(before) == 0 {
		add(Gap, "entry %d of device %s is not here yet, entry %d is", seq-1, device, seq)
		return out
	}
	for _, l := range here {
		if !slices.ContainsFunc(before, func(b Link) bool { return b.Hash == l.Prev }) {
			add(Broken, "entry %d of device %s does not follow from the entry before it: it names %.12s…, that one is %.12s…",
				seq, device, l.Prev, before[0].Hash)
			break
		}
	}
	return out
}

// CheckChain judges the chains of all devices among the entries, in any order and with
// repetitions. The faults come by device and place.
func CheckChain(entries []Entry) []Fault {
	entries = Join(entries)
	byDevice := map[string]map[int64][]Link{}
	var out []Fault
	for i, e := range entries {
		if byDevice[e.Device] == nil {
			byDevice[e.Device] = map[int64][]Link{}
		}
		byDevice[e.Device][e.Seq] = append(byDevice[e.Device][e.Seq], LinkOf(e))
		if i > 0 && entries[i-1].ID == e.ID {
			out = append(out, SameIDFault(e))
		}
	}
	for device, places := range byDevice {
		for seq, here := range places {
			out = append(out, FaultsAt(device, seq, sortLinks(places[seq-1]), sortLinks(here))...)
		}
	}
	sortBy(out, CompareFaults)
	return out
}

// SameIDFault words the fault of an entry whose id another entry bears as well.
func SameIDFault(e Entry) Fault {
	return Fault{SameID, e.Device, e.Seq, fmt.Sprintf("two different entries bear the id %s", e.ID)}
}

// CompareFaults orders faults by device, place, kind and text.
func CompareFaults(a, b Fault) int {
	return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Text, b.Text))
}

func sortLinks(l []Link) []Link {
	sortBy(l, func(a, b Link) int { return cmp.Compare(a.Hash, b.Hash) })
	return l
}

// Standing describes how far a chain reaches without a gap or a break.
type Standing struct {
	Device string `json:"device"`
	Seq    int64  `json:"seq"`  // last place up to which every place holds an entry that follows from the one before; 0: none
	Hash   string `json:"hash"` // of the entry there; of the least hash if it is forked
	Count  int    `json:"count"`
}

// Reach gives how far a chain that reached to seq reaches now; at gives the links at a
// place. It looks only at places behind seq, so it may go on from an earlier answer.
func Reach(seq int64, at func(int64) []Link) (int64, string) {
	before := sortLinks(at(seq))
	for {
		here := sortLinks(at(seq + 1))
		follows := slices.ContainsFunc(here, func(l Link) bool {
			return seq == 0 || slices.ContainsFunc(before, func(b Link) bool { return b.Hash == l.Prev })
		})
		if !follows {
			break
		}
		seq, before = seq+1, here
	}
	if seq == 0 {
		return 0, ""
	}
	return seq, before[0].Hash
}
