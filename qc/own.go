package qc

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"bucktail/qc/spec"
)

// OwnLimits are the builder's own limits, from the drawings of the aircraft. They go before
// the published ones, also where they are less strict; every check then names both.
type OwnLimits struct {
	Name      string     `json:"name"`
	Reference string     `json:"reference"` // drawing, sheet, note; or the document that the builder holds
	Edition   string     `json:"edition,omitempty"`
	Page      string     `json:"page,omitempty"`
	Limits    []OwnLimit `json:"limits"`
}

// OwnLimit is one of them. Each bound is given in millimetres, in inches or in multiples of
// the rivet's nominal diameter; 0 or absent means no bound.
type OwnLimit struct {
	// Quantity as in a reading; "head_d" and "hole_d" stand for the least diameter
	// against the lower bound and the greatest against the upper one.
	Quantity string `json:"quantity"`
	Kind     Kind   `json:"kind,omitempty"` // "" means every kind
	// Size as [ParseSize] reads it; "" means every size, and a drill every rivet whose hole
	// it makes.
	Size string `json:"size,omitempty"`

	MinMM float64 `json:"min_mm,omitempty"`
	MaxMM float64 `json:"max_mm,omitempty"`
	MinIn float64 `json:"min_in,omitempty"`
	MaxIn float64 `json:"max_in,omitempty"`
	MinD  float64 `json:"min_d,omitempty"`
	MaxD  float64 `json:"max_d,omitempty"`

	Reference string `json:"reference,omitempty"` // where it differs from that of the whole
	// Edition and Page of the builder's own copy of that document. Where only these are given they
	// go before those of the whole.
	Edition string `json:"edition,omitempty"`
	Page    string `json:"page,omitempty"`
	Note    string `json:"note,omitempty"`
}

const (
	maxOwnBytes  = 64 << 10 // a hundred limits with notes take about 20 kB
	maxOwnLimits = 200
	maxOwnText   = 200 // characters of a name, reference or note
	maxLimitMM   = 1000
	minLimitMM   = 0.01
)

// ReadOwnLimits reads own limits from JSON, at most 64 KiB. Unknown fields, missing names,
// bounds that contradict each other and lengths that make no sense are errors that say where.
func ReadOwnLimits(r io.Reader) (*OwnLimits, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxOwnBytes+1))
	if err != nil {
		return nil, fmt.Errorf("reading limits: %w", err)
	}
	if len(data) > maxOwnBytes {
		return nil, fmt.Errorf("limits are longer than %d kB: leave out what no rivet needs", maxOwnBytes>>10)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	var o OwnLimits
	if err := dec.Decode(&o); err != nil {
		return nil, limitsSyntax(data, err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("limits have something after the closing brace: write one object")
	}
	if err := o.Valid(); err != nil {
		return nil, err
	}
	return &o, nil
}

// limitsSyntax words a JSON error with the line that it is on.
func limitsSyntax(data []byte, err error) error {
	var syn *json.SyntaxError
	var typ *json.UnmarshalTypeError
	line := func(off int64) int { return 1 + bytes.Count(data[:min(int(off), len(data))], []byte("\n")) }
	switch {
	case errors.As(err, &syn):
		return fmt.Errorf("limits are not JSON, line %d: %w", line(syn.Offset), err)
	case errors.As(err, &typ):
		return fmt.Errorf("limits, line %d: %q wants a %s, not a %s", line(typ.Offset), typ.Field, typ.Type, typ.Value)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("limits end too early: the closing brace is missing")
	}
	return fmt.Errorf("limits: %w; known are name, reference and limits, and in these quantity, kind, size, min_mm, max_mm, min_in, max_in, min_d, max_d, reference, edition, page, note", err)
}

// Valid says what is wrong with own limits, nil if nothing.
func (o *OwnLimits) Valid() error {
	for _, t := range []struct{ what, text string }{{"name", o.Name}, {"reference", o.Reference}} {
		if strings.TrimSpace(t.text) == "" {
			return fmt.Errorf("own limits need a %s: an inspector must be able to look them up", t.what)
		}
		if len([]rune(t.text)) > maxOwnText {
			return fmt.Errorf("%s of the own limits is longer than %d characters", t.what, maxOwnText)
		}
	}
	if len([]rune(o.Edition)) > maxOwnText || len([]rune(o.Page)) > maxOwnText {
		return fmt.Errorf("edition or page of the own limits is longer than %d characters", maxOwnText)
	}
	if len(o.Limits) == 0 {
		return errors.New("own limits hold no limit: give at least one")
	}
	if len(o.Limits) > maxOwnLimits {
		return fmt.Errorf("%d own limits are too many: at most %d", len(o.Limits), maxOwnLimits)
	}
	for i, l := range o.Limits {
		if err := l.valid(); err != nil {
			return fmt.Errorf("own limit %d (%s): %w", i+1, l.Quantity, err)
		}
		for j := range i {
			if l.clash(o.Limits[j]) {
				return fmt.Errorf("own limits %d and %d are both for %s of the same kind and size: keep one", j+1, i+1, l.Quantity)
			}
		}
	}
	return nil
}

// sides tells which bounds a quantity can have, and as which quantities they are judged.
func (l OwnLimit) sides() (min, max Quantity, err error) {
	switch q := Quantity(l.Quantity); q {
	case "head_d":
		return HeadDMin, HeadDMax, nil
	case "hole_d":
		return HoleDMin, HoleDMax, nil
	case HeadDMin, HoleDMin:
		return q, "", nil
	case HeadDMax, HoleDMax, OutOfRound, MandrelOff:
		return "", q, nil
	case HeadDMean, HoleDMean, EdgeDistance, Pitch, HeadHeight:
		return q, q, nil
	}
	return "", "", fmt.Errorf("quantity %q is not known: write head_d, hole_d, edge_distance, pitch, out_of_round, mandrel_off, head_height, or one of the single diameters such as head_d_min", l.Quantity)
}

func (l OwnLimit) valid() error {
	minQ, maxQ, err := l.sides()
	if err != nil {
		return err
	}
	if l.Kind != "" && !l.Kind.Valid() {
		return fmt.Errorf("kind %q is not known: choose one of %v", l.Kind, Kinds)
	}
	sizes, err := l.sizes()
	if err != nil {
		return err
	}
	for _, s := range []string{l.Note, l.Reference, l.Edition, l.Page} {
		if len([]rune(s)) > maxOwnText {
			return fmt.Errorf("note, reference, edition or page is longer than %d characters", maxOwnText)
		}
	}
	nMin, nMax := count(l.MinMM, l.MinIn, l.MinD), count(l.MaxMM, l.MaxIn, l.MaxD)
	switch {
	case nMin > 1 || nMax > 1:
		return errors.New("one bound is given in several units: keep one")
	case nMin+nMax == 0:
		return errors.New("no bound: give min_mm or max_mm (or _in, _d)")
	case nMin > 0 && minQ == "":
		return errors.New("a lower bound makes no sense here: give an upper one")
	case nMax > 0 && maxQ == "":
		return errors.New("an upper bound makes no sense here: give one for the greatest diameter")
	}
	for _, v := range []float64{l.MinD, l.MaxD} {
		if v != 0 && !(v >= 0.01 && v <= 50) {
			return fmt.Errorf("%v D lies outside 0.01 to 50", v)
		}
	}
	for _, v := range []float64{l.MinMM, l.MaxMM, l.MinIn * MMPerInch, l.MaxIn * MMPerInch} {
		if v != 0 && !(v >= minLimitMM && v <= maxLimitMM) {
			return fmt.Errorf("%.6g mm lies outside %v to %d mm", v, minLimitMM, maxLimitMM)
		}
	}
	if nMin > 0 && nMax > 0 {
		mixed := (l.MinD > 0) != (l.MaxD > 0)
		if !mixed && sizes == nil {
			sizes = []drilled{{nominalMM: 1}} // both in D, or neither: their order does not hang on it
		}
		for _, h := range sizes {
			if d := h.nominalMM; l.min(d) >= l.max(d) {
				return fmt.Errorf("least %.4g is not below greatest %.4g", l.min(d), l.max(d))
			}
		}
	}
	return nil
}

// sizes gives what the limit's size may mean, nil where it has none. Only a drill means several
// things: each of its holes, and a hole of its own diameter, as older records have it.
func (l OwnLimit) sizes() ([]drilled, error) {
	if l.Size == "" {
		return nil, nil
	}
	if d, ok := drillIn(l.Size); ok {
		return append(drilledBy(d.Name), drilled{nominalMM: d.DiameterMM}), nil
	}
	s, err := ParseSize(l.Size, Use{})
	return []drilled{{nominalMM: s.NominalMM}}, err
}

func count(vs ...float64) (n int) {
	for _, v := range vs {
		if v != 0 {
			n++
		}
	}
	return n
}

func (l OwnLimit) min(d float64) float64 { return l.MinMM + l.MinIn*MMPerInch + l.MinD*d }
func (l OwnLimit) max(d float64) float64 { return l.MaxMM + l.MaxIn*MMPerInch + l.MaxD*d }

// clash tells whether two limits with the same kind and size speak of the same quantity and side.
func (l OwnLimit) clash(m OwnLimit) bool {
	if l.Kind != m.Kind || l.Size != m.Size {
		return false
	}
	lMin, lMax, _ := l.sides()
	mMin, mMax, _ := m.sides()
	return lMin != "" && lMin == mMin && l.min(1) > 0 && m.min(1) > 0 ||
		lMax != "" && lMax == mMax && l.max(1) > 0 && m.max(1) > 0
}

// applies tells whether the limit is for a spec, and how specially (kind and size named: 2).
func (l OwnLimit) applies(s Spec) (rank int, ok bool) {
	if l.Kind != "" {
		if l.Kind != s.Kind {
			return 0, false
		}
		rank++
	}
	if l.Size != "" {
		sizes, err := l.sizes()
		if err != nil || !slices.ContainsFunc(sizes, s.stands) {
			return 0, false
		}
		rank++
	}
	return rank, true
}

// stands tells whether a size means what a spec says: its diameter, and with a drill its rivet
// and how far a hole has got.
func (s Spec) stands(h drilled) bool {
	stage := FinalHole
	if s.Kind == Hole && s.Pilot {
		stage = PilotHole
	}
	return spec.SameSize(h.nominalMM, s.NominalMM) && (h.rivet == "" || h.rivet == s.rivet()) && (h.stage == "" || h.stage == stage)
}

// Document names where the limits stand: document, edition and page.
func (o *OwnLimits) Document() string { return o.source(OwnLimit{}) }

// source is the same for one of them, as every outlet shows it.
func (o *OwnLimits) source(l OwnLimit) string {
	document, edition, page := o.Reference, o.Edition, o.Page
	if l.Reference != "" {
		document, edition, page = l.Reference, "", "" // those of the whole are of another document
	}
	if edition = cmp.Or(l.Edition, edition); edition != "" {
		document += ", edition " + edition
	}
	if page = cmp.Or(l.Page, page); page != "" {
		document += ", page " + page
	}
	return document
}

// over puts own limits in place of the published ones for the same quantity and side; among
// several own ones the more special goes first, and of two as special as each other the one
// that stands first.
func (o *OwnLimits) over(published []Limit, s Spec) []Limit {
	out := append([]Limit(nil), published...)
	rank := make([]int, len(out), len(out)+2*len(o.Limits))
	for i := range rank {
		rank[i] = -1 // any own limit goes before
	}
	put := func(l OwnLimit, q Quantity, minMM, maxMM float64, r int) {
		own := Limit{Quantity: q, MinMM: minMM, MaxMM: maxMM, Set: o.Name, Source: o.source(l), Basis: spec.Own, Note: l.Note}
		own.Name = q.Words() + ", least"
		if maxMM > 0 {
			own.Name = q.Words() + ", greatest"
		}
		for i, p := range out {
			if p.Quantity != q || (p.MinMM > 0) != (minMM > 0) {
				continue
			}
			if rank[i] >= r {
				return
			}
			if p.Basis != spec.Own {
				own.Published = &published[i]
			} else {
				own.Published = p.Published
			}
			if pub := own.Published; pub != nil {
				own.Laxer = minMM > 0 && minMM < pub.MinMM || maxMM > 0 && maxMM > pub.MaxMM
			}
			out[i], rank[i] = own, r
			return
		}
		out, rank = append(out, own), append(rank, r)
	}
	for _, l := range o.Limits {
		r, ok := l.applies(s)
		if !ok {
			continue
		}
		minQ, maxQ, _ := l.sides()
		if v := l.min(s.NominalMM); v > 0 && minQ != "" {
			put(l, minQ, v, 0, r)
		}
		if v := l.max(s.NominalMM); v > 0 && maxQ != "" {
			put(l, maxQ, 0, v, r)
		}
	}
	return out
}

// meantForSize tells of an own limit, as it came out for a spec, that it was given for this very
// size or in multiples of D; a length given for all sizes was not.
func (o *OwnLimits) meantForSize(l Limit, s Spec) bool {
	for _, x := range o.Limits {
		if _, ok := x.applies(s); !ok {
			continue
		}
		minQ, maxQ, _ := x.sides()
		if minQ == l.Quantity && l.MinMM > 0 && x.min(s.NominalMM) == l.MinMM && (x.Size != "" || x.MinD > 0) ||
			maxQ == l.Quantity && l.MaxMM > 0 && x.max(s.NominalMM) == l.MaxMM && (x.Size != "" || x.MaxD > 0) {
			return true
		}
	}
	return false
}
