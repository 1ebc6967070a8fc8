package report

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"

	"bucktail/qc/history"
)

// line is one line of entries.jsonl.
type line struct {
	hash string
	id   string // as far as it can be read
	e    history.Entry
	ok   bool // it is an entry in canonical form
}

// entries reads all entries, holds them against the manifest one by one, and checks the
// chains, which need no manifest.
func (c *checker) entries() {
	f := c.files[entriesFile]
	if f == nil {
		return
	}
	lines, err := c.lines()
	if err != nil {
		c.v.add(Changed, entriesFile, "", "entries.jsonl can't be read: %v", err)
		return
	}
	listed := map[string]bool{}
	if c.m != nil {
		for _, w := range c.m.Entries {
			listed[w.SHA256] = true
		}
	}
	var good []history.Entry
	for i, l := range lines {
		if l.ok {
			good = append(good, l.e)
		} else {
			c.damaged[entriesFile] = true
			if c.m == nil || listed[l.hash] { // else compare tells more about it
				c.v.add(Changed, entriesFile, l.id, "line %d of entries.jsonl is no entry in its canonical form", i+1)
			}
		}
	}
	c.state = history.StateOf(good)
	c.v.Entries = len(good)
	chain := chainOf(c.state.Entries())
	c.v.Number = chain.Number
	before := len(c.v.Problems)
	if c.m != nil && (c.trusted || c.damaged[entriesFile]) {
		c.compare(lines)
	}
	known := map[history.Fault]bool{}
	if c.m != nil {
		for _, f := range c.m.Faults {
			known[f] = true
		}
	}
	for _, f := range chain.Faults {
		if known[f] {
			c.v.Notes = append(c.v.Notes, "already so when the bundle was made: "+f.Text)
		} else {
			c.v.add(Broken, entriesFile, "", "the chain is broken: %s", f.Text)
		}
	}
	if c.m != nil && len(c.v.Problems) == before && chain.SHA256 != c.m.Record.SHA256 {
		c.v.add(Changed, manifestFile, "", "the manifest names record %s, but the entries are record %s", short(c.m.Record.Number), chain.Number)
	}
	c.signatures()
	c.signOffs()
}

// signatures tests those of all chains that have a key, and notes whose they are, so that a person
// can compare the fingerprint with that of his own device.
func (c *checker) signatures() {
	all := c.state.Entries()
	faults, unsigned := history.CheckSignatures(all)
	for _, f := range faults {
		c.v.add(Broken, entriesFile, "", "the signature does not hold: %s", f.Text)
	}
	for _, k := range signersOf(all) {
		c.v.Signers = append(c.v.Signers, k)
	}
	n := 0
	for _, k := range unsigned {
		n += k
	}
	if c.v.Unsigned = n; n > 0 {
		c.v.Notes = append(c.v.Notes, plural(n, "entry is", "entries are")+" not signed: from before the device had a key")
	}
}

func (c *checker) lines() ([]line, error) {
	r, err := c.open(c.files[entriesFile], maxOneFile)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	var out []line
	s := scanLines(r)
	for s.Scan() {
		raw := bytes.Clone(s.Bytes())
		sum := sha256.Sum256(raw)
		l := line{hash: hex.EncodeToString(sum[:])}
		e, err := history.Read(raw)
		if err == nil && bytes.Equal(e.Bytes(), raw) {
			l.e, l.ok, l.id = e, true, e.ID
		} else {
			var h struct {
				ID string `json:"id"`
			}
			if json.Unmarshal(raw, &h) == nil {
				l.id = short(h.ID)
			}
		}
		out = append(out, l)
	}
	if err := s.Err(); err != nil && len(out) == 0 {
		return nil, err
	}
	return out, nil
}

// compare names entries that were changed, left out, added or moved.
func (c *checker) compare(lines []line) {
	want := c.m.Entries
	byHash, byID := map[string]int{}, map[string]int{}
	for i, w := range want {
		byHash[w.SHA256], byID[w.ID] = i, i
	}
	have := make([]int, len(lines)) // the place in want; -1: none
	found := make([]bool, len(want))
	for i, l := range lines {
		have[i] = -1
		if w, ok := byHash[l.hash]; ok {
			have[i] = w
			if found[w] {
				c.v.add(Added, entriesFile, want[w].ID, "%s stands there twice", c.entry(want[w], lines[i]))
				have[i] = -1
			}
			found[w] = true
		}
	}
	for i, l := range lines {
		if _, ok := byHash[l.hash]; ok {
			continue
		}
		w, ok := byID[l.id]
		if (!ok || found[w]) && len(lines) == len(want) && !found[i] {
			w, ok = i, true // its id can't be read any more, its place tells
		}
		if ok && !found[w] {
			found[w] = true
			c.v.add(Changed, entriesFile, want[w].ID, "%s was changed", c.entry(want[w], l))
			continue
		}
		c.v.add(Added, entriesFile, l.id, "%s was added (line %d)", c.entry(EntrySum{ID: l.id, Device: l.e.Device, Seq: l.e.Seq}, l), i+1)
	}
	for i, w := range want {
		if !found[i] {
			c.v.add(LeftOut, entriesFile, w.ID, "%s was left out", c.entry(w, line{}))
		}
	}
	at := map[int]line{}
	for i, w := range have {
		at[w] = lines[i]
	}
	for _, w := range moved(have) {
		c.v.add(Reordered, entriesFile, want[w].ID, "%s stands in another place", c.entry(want[w], at[w]))
	}
}

// entry names an entry for people, by the manifest and as far as its line can be read.
func (c *checker) entry(w EntrySum, l line) string {
	out := "entry " + quoted(w.ID)
	if w.ID == "" {
		out = "an entry that can't be read"
	}
	if l.e.Kind != "" {
		out += ", " + quoted(string(l.e.Kind))
		if loc, ok := c.state.Location(l.e.Location); ok && loc.Tag != "" {
			out += " at " + quoted(loc.Tag)
		}
		if l.e.By != "" {
			out += " by " + quoted(l.e.By)
		}
	}
	if w.Device != "" {
		out += fmt.Sprintf(" (place %d in the chain of device %s)", w.Seq, quoted(w.Device))
	}
	return out
}

// moved gives the entries that do not stand in order: all but a longest run of places that
// grow. have holds a place for each line, -1 for a line that has none.
func moved(have []int) []int {
	tails, back := []int{}, make([]int, len(have)) // tails: index into have of the end of a run of each length
	for i, w := range have {
		if w < 0 {
			continue
		}
		lo, hi := 0, len(tails)
		for lo < hi {
			if mid := (lo + hi) / 2; have[tails[mid]] < w {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		back[i] = -1
		if lo > 0 {
			back[i] = tails[lo-1]
		}
		if lo == len(tails) {
			tails = append(tails, i)
		} else {
			tails[lo] = i
		}
	}
	in := map[int]bool{}
	if len(tails) > 0 {
		for i := tails[len(tails)-1]; i >= 0; i = back[i] {
			in[i] = true
		}
	}
	var out []int
	for i, w := range have {
		if w >= 0 && !in[i] {
			out = append(out, w)
		}
	}
	return out
}

// signOffs notes how the inspectors' signatures stand to the entries.
func (c *checker) signOffs() {
	for _, e := range c.state.Entries() {
		if e.Kind != history.KindSignOff {
			continue
		}
		st, err := c.state.SignOff(e)
		d, _ := history.DataOf[history.SignOffData](e)
		part, _, _ := c.state.Part(e.Part)
		who := fmt.Sprintf("sign-off of %s by %s", quoted(part.Name), quoted(d.Name))
		c.v.SignOffs = append(c.v.SignOffs, SignOffCode{d.Code(), part.Name, d.Name, err == nil && st.Current()})
		switch {
		case err != nil:
			c.v.Notes = append(c.v.Notes, who+" can't be read by this version")
		case len(st.Against) > 0 && len(st.Missing) == 0 && !st.Altered:
			c.v.Notes = append(c.v.Notes, fmt.Sprintf("%s is outdated: %s against it that the signer had not seen", who, plural(len(st.Against), "decision", "decisions")))
		case st.Altered || len(st.Missing) > 0:
			c.v.add(Broken, entriesFile, e.ID, "%s does not fit the entries: %s missing or changed", who, plural(max(1, len(st.Missing)), "entry that it covers is", "entries that it covers are"))
		case len(st.Since) > 0:
			c.v.Notes = append(c.v.Notes, fmt.Sprintf("%s is outdated: %s since", who, plural(len(st.Since), "entry", "entries")))
		default:
			c.v.Notes = append(c.v.Notes, who+" covers exactly what is here")
		}
	}
}

// scanLines reads lines of at most the length of an entry.
func scanLines(r io.Reader) *bufio.Scanner {
	s := bufio.NewScanner(r)
	s.Buffer(make([]byte, 64<<10), history.MaxEntryBytes+2)
	s.Split(func(data []byte, end bool) (int, []byte, error) { // keeps a CR, which ScanLines would drop
		if i := bytes.IndexByte(data, '\n'); i >= 0 {
			return i + 1, data[:i], nil
		}
		if end && len(data) > 0 {
			return len(data), data, nil
		}
		return 0, nil, nil
	})
	return s
}
