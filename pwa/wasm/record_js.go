package main

import (
	"crypto/rand"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bucktail/pwa/wasm/bridge"
	"bucktail/pwa/wasm/kept"
	"bucktail/qc"
	"bucktail/qc/history"
)

// state is all entries that the phone has, added up. It is filled again from the phone's disk
// whenever the worker starts.
var state history.State

// entryOut is an entry for keeping: its canonical bytes as text, and what the phone finds it by.
type entryOut struct {
	ID       string       `json:"id"`
	Hash     string       `json:"hash"`
	Raw      string       `json:"raw"`
	Device   string       `json:"device"`
	Seq      int64        `json:"seq"`
	Kind     history.Kind `json:"kind"`
	Part     string       `json:"part"`
	Photos   []string     `json:"photos"`
	IsNew    bool         `json:"is_new"`
	Unknowns int          `json:"unknowns"` // members that this version does not know
}

func outOf(e history.Entry) entryOut {
	return entryOut{ID: e.ID, Hash: e.Hash().String(), Raw: string(e.Bytes()), Device: e.Device, Seq: e.Seq,
		Kind: e.Kind, Part: e.ConcernsPart(), Photos: append([]string{}, e.Photos()...), Unknowns: len(e.Unknown())}
}

type draftIn struct {
	Kind       history.Kind    `json:"kind"`
	Project    string          `json:"project,omitempty"`
	Part       string          `json:"part,omitempty"`
	Location   string          `json:"location,omitempty"`
	Supersedes []string        `json:"supersedes,omitempty"`
	Why        string          `json:"why,omitempty"`
	Data       json.RawMessage `json:"data"`
}

type makeIn struct {
	Device  string       `json:"device"`
	By      string       `json:"by"`
	Role    history.Role `json:"role"`
	Seq     int64        `json:"seq"` // of the chain's last entry, 0 for none
	Prev    string       `json:"prev"`
	ClockMS int64        `json:"clock_ms"`
	IDs     []string     `json:"ids,omitempty"` // of entries made just before
	Drafts  []draftIn    `json:"drafts"`
}

type datesIn struct {
	Project string `json:"project"`
	ClockMS int64  `json:"clock_ms"`
	Taken   string `json:"taken,omitempty"`
	Page    string `json:"page,omitempty"`
	// Of a photo that is to be kept: its SHA-256, and the locations that it is said to show.
	Photo     string   `json:"photo,omitempty"`
	Locations []string `json:"locations,omitempty"`
	// Of the instrument.
	Calibrated string `json:"calibrated,omitempty"`
	Due        string `json:"due,omitempty"`
}

type idIn struct {
	ID string `json:"id"`
}

func init() {
	bridge.On("record.load", func(in []kept.Entry, _ []byte) (any, error) {
		return map[string]any{"damaged": kept.Load(&state, in)}, nil
	})
	// record.read checks entries that came from the laptop or a file, and adds nothing yet: they
	// count once they are on the phone's disk. One that can't be read does not hold up the others.
	bridge.On("record.read", func(in []json.RawMessage, _ []byte) (any, error) {
		type result struct {
			Entry   *entryOut   `json:"entry,omitempty"`
			Refusal *qc.Refusal `json:"refusal,omitempty"`
		}
		out := make([]result, len(in))
		for i, raw := range in {
			e, err := history.Read(raw)
			if err != nil {
				r := said("entry-form", err, "")
				out[i].Refusal = r.(*qc.Refusal)
				continue
			}
			o := outOf(e)
			out[i].Entry = &o
		}
		return out, nil
	})
	bridge.On("record.make", makeEntries)
	// dates says what is strange about times that are about to be entered. A photo of a rivet that was
	// drilled out is refused for the one in its place.
	bridge.On("dates", func(in datesIn, _ []byte) (any, error) {
		odd := []string{}
		var replaced time.Time
		for _, id := range in.Locations {
			l, _ := state.Location(id)
			if state.ShowedBefore(id, in.Photo) {
				return nil, &qc.Refusal{Code: "same-photo", Text: fmt.Sprintf("this photo shows the rivet at %s that was drilled out", l.Tag),
					Do: "take a photo of what stands there now"}
			}
			if at := state.Replaced(id, l.Attempt); at.After(replaced) {
				replaced = at
			}
		}
		when := history.When{At: time.UnixMilli(in.ClockMS), Began: state.Began(in.Project), Taken: in.Taken, Page: in.Page, Calibrated: in.Calibrated, Due: in.Due, Replaced: replaced}
		return append(odd, when.Odd()...), nil
	})
	bridge.On("instruments", func(in idIn, _ []byte) (any, error) { return state.Instruments(in.ID), nil })
	bridge.On("record.signed", func(in struct{ Raw, Sig string }, _ []byte) (any, error) {
		e, err := history.Parse([]byte(in.Raw))
		if err != nil {
			return nil, err
		}
		sig, err := base64.RawURLEncoding.DecodeString(in.Sig)
		if err != nil {
			return nil, fmt.Errorf("the signature can't be read: %w", err)
		}
		if e, err = e.WithSignature(sig); err != nil {
			return nil, err
		}
		o := outOf(e)
		o.IsNew = true
		return o, nil
	})
	bridge.On("record.chain", func(in idIn, _ []byte) (any, error) {
		for _, f := range state.Faults() {
			if f.Device == in.ID {
				return nil, &qc.Refusal{Code: "chain-fault", Text: "this device's own chain has a fault: " + f.Text,
					Do: "keep what is there and let the device join anew"}
			}
		}
		head := kept.Entry{}
		var seq int64
		for _, e := range state.Entries() {
			if e.Device == in.ID && e.Seq > seq {
				seq, head.Hash = e.Seq, e.Hash().String()
			}
		}
		return map[string]any{"seq": seq, "hash": head.Hash}, nil
	})
	bridge.On("record.faults", func(bridge.None, []byte) (any, error) { return append([]history.Fault{}, state.Faults()...), nil })
}

// makeEntries writes the next entries of a chain. A text "@0" in a draft stands for the id of the
// first entry made in the same call, "@1" for the second: a finding names its shot so.
func makeEntries(in makeIn, _ []byte) (any, error) {
	m := &history.Maker{Device: in.Device, By: in.By, Role: in.Role, Seq: in.Seq, Latest: state.Latest()}
	if in.Seq > 0 {
		if n, err := hex.Decode(m.Prev[:], []byte(in.Prev)); err != nil || n != len(m.Prev) {
			return nil, fmt.Errorf("prev %q is no hash", in.Prev)
		}
	}
	ids := slices.Clone(in.IDs)
	for _, id := range ids {
		m.Latest = max(m.Latest, id)
	}
	out := []entryOut{}
	for _, d := range in.Drafts {
		if !history.MayWrite(in.Role, d.Kind) {
			return nil, &qc.Refusal{Code: "role", Text: fmt.Sprintf("an entry of kind %q is not for the role %q", d.Kind, in.Role),
				Do: "let a device of the other role enter it"}
		}
		data, err := resolve(d.Data, ids)
		if err != nil {
			return nil, err
		}
		name := func(s string) string { return resolveText(s, ids) }
		supersedes := slices.Clone(d.Supersedes)
		for i := range supersedes {
			supersedes[i] = name(supersedes[i])
		}
		draft := history.Draft{Kind: d.Kind, Project: name(d.Project), Part: name(d.Part), Location: name(d.Location),
			Supersedes: supersedes, Why: d.Why, Data: data}
		if draft.Data, err = known(d.Kind, data); err != nil {
			return nil, err
		}
		if err := state.Complete(&draft); err != nil {
			return nil, err
		}
		e, err := m.Make(draft, time.UnixMilli(in.ClockMS), rand.Reader)
		if err != nil {
			return nil, err
		}
		ids = append(ids, e.ID)
		o := outOf(e)
		o.IsNew = true
		out = append(out, o)
	}
	return out, nil
}

// known reads the data of an entry to which the record adds what it knows; that of all others
// stays as it came.
func known(k history.Kind, data json.RawMessage) (any, error) {
	var to any
	switch k {
	case history.KindDecision:
		to = new(history.DecisionData)
	case history.KindPart:
		to = new(history.PartData)
	case history.KindSignOff:
		to = new(history.SignOffData)
	default:
		return data, nil
	}
	return to, json.Unmarshal(data, to)
}

func resolveText(s string, ids []string) string {
	if at, ok := strings.CutPrefix(s, "@"); ok {
		if i, err := strconv.Atoi(at); err == nil && i >= 0 && i < len(ids) {
			return ids[i]
		}
	}
	return s
}

func resolve(raw json.RawMessage, ids []string) (json.RawMessage, error) {
	if len(ids) == 0 || !strings.Contains(string(raw), `"@`) {
		return raw, nil
	}
	var v any
	dec := json.NewDecoder(strings.NewReader(string(raw)))
	dec.UseNumber()
	if err := dec.Decode(&v); err != nil {
		return nil, fmt.Errorf("a draft's data can't be read: %w", err)
	}
	var walk func(any) any
	walk = func(v any) any {
		switch v := v.(type) {
		case string:
			return resolveText(v, ids)
		case []any:
			for i := range v {
				v[i] = walk(v[i])
			}
		case map[string]any:
			for k := range v {
				v[k] = walk(v[k])
			}
		}
		return v
	}
	return json.Marshal(walk(v))
}
