package history

import (
	"encoding/json"
	"fmt"
	"io"
	"time"
)

// Maker writes entries onto the end of one device's chain. It is a value to be kept: after
// each entry it stands at the new end. A device must have one Maker at a time, or its chain
// forks.
type Maker struct {
	Device string // UUID of this device
	By     string // who writes, as typed
	Role   Role

	Seq    int64  // of the last entry of the chain, 0 when there is none
	Prev   Hash   // its hash
	Latest string // the greatest entry id seen so far, of any device; empty when none
}

// Draft is what the writer decides about a new entry; the [Maker] adds the rest.
type Draft struct {
	Kind       Kind
	Project    string
	Part       string
	Location   string
	Supersedes []string
	Why        string
	Data       any // the kind's data type
}

// Make writes the next entry. The clock reading and the random source come from the caller.
// The entry is complete and checked as [Parse] checks; the Maker moves on only if it is good.
func (m *Maker) Make(d Draft, clock time.Time, rand io.Reader) (Entry, error) {
	id, err := NewID(NextMS(clock, m.Latest), rand)
	if err != nil {
		return Entry{}, err
	}
	data, err := json.Marshal(d.Data)
	if err != nil {
		return Entry{}, fmt.Errorf("make entry of kind %q: %w", d.Kind, err)
	}
	h := Head{
		Format: Format, ID: id, Device: m.Device, Seq: m.Seq + 1,
		At: clock.UTC().Truncate(time.Millisecond), By: m.By, Role: m.Role, Kind: d.Kind,
		Project: d.Project, Part: d.Part, Location: d.Location,
		Supersedes: d.Supersedes, Why: d.Why, Data: data,
	}
	if m.Seq > 0 {
		h.Prev = m.Prev.String()
	}
	b, err := json.Marshal(h)
	if err != nil {
		return Entry{}, fmt.Errorf("make entry of kind %q: %w", d.Kind, err)
	}
	e, err := Parse(b)
	if err != nil {
		return Entry{}, err
	}
	m.Seq, m.Prev, m.Latest = e.Seq, e.hash, e.ID
	return e, nil
}
