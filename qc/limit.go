package qc

import (
	"fmt"

	"bucktail/qc/spec"
)

// Limit is what one quantity may measure, and who says so.
type Limit struct {
	Quantity Quantity   `json:"quantity"`
	Name     string     `json:"name"`             // for people: "shop head width, least"
	MinMM    float64    `json:"min_mm,omitempty"` // 0: no least value
	MaxMM    float64    `json:"max_mm,omitempty"` // 0: no greatest value
	Set      string     `json:"set"`              // name of the limit set
	Source   string     `json:"source"`           // document, section and table, or drawing reference
	Basis    spec.Basis `json:"basis"`
	Note     string     `json:"note,omitempty"`
	// Layer names the layer that was judged by it, as in [Reading.Layer].
	Layer string `json:"layer,omitempty"`

	// Published is the published limit that a builder's own one goes before, nil where
	// there is none; Laxer tells that the own one allows what the published one doesn't.
	Published *Limit `json:"published,omitempty"`
	Laxer     bool   `json:"laxer,omitempty"`
}

// Text shows the limit: "at least 4.37 mm", "at most 5.56 mm", "4.00 to 5.00 mm".
func (l Limit) Text(u Units) string {
	switch {
	case l.MinMM > 0 && l.MaxMM > 0:
		return u.Number(l.MinMM) + " to " + u.Value(l.MaxMM)
	case l.MinMM > 0:
		return "at least " + u.Value(l.MinMM)
	case l.MaxMM > 0:
		return "at most " + u.Value(l.MaxMM)
	}
	return "no limit"
}

// Provenance says in plain words how the figure got here; see [spec.Cite.Provenance].
func (l Limit) Provenance() string {
	return spec.Cite{Source: l.Source, Basis: l.Basis, Note: l.Note}.Provenance()
}

// Rivet tells which kind of rivet a hole or spacing is for.
type Rivet string

const (
	Solid  Rivet = "solid"
	Pulled Rivet = "pulled"
)

// Spec says what is meant to stand at a location.
type Spec struct {
	Kind      Kind    `json:"kind"`
	NominalMM float64 `json:"nominal_mm"` // the rivet's shank diameter D; for a hole, that of the rivet to come

	// Rivet is which rivet a hole is for; "" means solid for inch sizes and pulled for
	// metric ones. Heads know their rivet.
	Rivet Rivet `json:"rivet,omitempty"`
	// Flush says that the manufactured head is countersunk, which wants more edge
	// distance; a flush head implies it.
	Flush bool `json:"flush,omitempty"`
	// Pilot says that a hole is a pilot hole, still to be opened to its final size.
	Pilot bool `json:"pilot,omitempty"`
	// Mark says that only a mark is there yet, with no hole: edge distance, pitch and room for the
	// tool are judged, for the final rivet.
	Mark bool `json:"mark,omitempty"`
	// Head of a pulled rivet: "" or "dome", or "large dome".
	Head string `json:"head,omitempty"`

	LimitSet string     `json:"limit_set,omitempty"` // "" means [DefaultSet]
	Own      *OwnLimits `json:"own_limits,omitempty"`
}

// Valid says what is wrong with a spec, nil if nothing.
func (s Spec) Valid() error {
	switch {
	case !s.Kind.Valid():
		return fmt.Errorf("kind %q is not known: choose one of %v", s.Kind, Kinds)
	case bad(s.NominalMM) || s.NominalMM < minNominalMM || s.NominalMM > maxNominalMM:
		return fmt.Errorf("nominal diameter %.6g mm lies outside %v to %d mm", s.NominalMM, minNominalMM, maxNominalMM)
	case s.Rivet != "" && s.Rivet != Solid && s.Rivet != Pulled:
		return fmt.Errorf("rivet %q is not known: write solid or pulled", s.Rivet)
	case s.Mark && (s.Kind != Hole || s.Pilot):
		return fmt.Errorf("a mark is of a hole that is not drilled yet, neither a %s nor a pilot hole", s.Kind)
	case s.Head != "" && s.Head != spec.DomeHead && s.Head != spec.LargeHead:
		return fmt.Errorf("head %q is not known: write %q or %q", s.Head, spec.DomeHead, spec.LargeHead)
	}
	if _, ok := FindSet(s.LimitSet); !ok {
		return fmt.Errorf("limit set %q is not known: choose one of %v", s.LimitSet, setNames())
	}
	return nil
}

// rivet resolves the default of Spec.Rivet.
func (s Spec) rivet() Rivet {
	switch {
	case s.Kind == PulledHead:
		return Pulled
	case s.Kind == ShopHead || s.Kind == UniversalHead || s.Kind == FlushHead:
		return Solid
	case s.Rivet != "":
		return s.Rivet
	}
	if _, solid := spec.Solid(s.NominalMM); solid {
		return Solid
	}
	if _, pulled := spec.Pulled(s.NominalMM, ""); pulled {
		return Pulled
	}
	return Solid
}

func (s Spec) flush() bool { return s.Flush || s.Kind == FlushHead }

// Expected is the size of what stands there when it is as intended: the diameter to look for
// (middle of the limits, or the nominal head), and how high a head stands above the sheet. ok
// is false for a size that no table has; the figures are then multiples of D that fit the
// nearest table (2 D wide and 0.43 D high domes, 1.5 D by 0.5 D shop heads, 1.8 D flush heads).
func (s Spec) Expected() (diameterMM, heightMM float64, ok bool) {
	d := s.NominalMM
	row, solid := spec.Solid(d)
	switch s.Kind {
	case ShopHead:
		_, ok = spec.Shop(spec.Rule, row.Dash)
		return 1.5 * d, 0.5 * d, ok
	case UniversalHead:
		if h, found := spec.Head(spec.UniversalHeads, row.Dash); solid && found {
			return h.DiameterMM, h.HeightMM, true
		}
		return 2 * d, 0.43 * d, false
	case FlushHead:
		if h, found := spec.Head(spec.FlushHeads, row.Dash); solid && found {
			return h.DiameterMM, 0, true
		}
		return 1.8 * d, 0, false
	case PulledHead:
		if p, found := spec.Pulled(d, s.Head); found {
			return (p.HeadMinMM + p.HeadMaxMM) / 2, p.HeightMaxMM, true
		}
		return 2 * d, 0.4 * d, false
	case Hole:
		if h, found := s.holeRow(); found && !s.Pilot && !s.Mark {
			return (h.MinMM + h.MaxMM) / 2, 0, true
		}
		if d := s.pilotDrill(); s.Pilot && d > 0 {
			return d, 0, true
		}
	}
	return d, 0, false
}

// pilotDrill is the diameter of its pilot's drill, 0 where no table has one.
func (s Spec) pilotDrill() float64 {
	_, pilot := s.Drills()
	d, _ := spec.DrillNamed(pilot)
	return d.DiameterMM
}

func (s Spec) holeRow() (spec.HoleLimit, bool) {
	if s.rivet() == Pulled {
		return spec.HoleFor(spec.PulledHoles, s.NominalMM)
	}
	return spec.HoleFor(spec.SolidHoles, s.NominalMM)
}

// Limits gives every limit that applies to a spec: the published ones of its set, each
// replaced by the builder's own where there is one for the same quantity and side. A size
// that the tables lack gives the spacing limits alone.
func (s Spec) Limits() ([]Limit, error) {
	if err := s.Valid(); err != nil {
		return nil, err
	}
	set, _ := FindSet(s.LimitSet)
	limits := set.Limits(s)
	if s.Own != nil {
		if err := s.Own.Valid(); err != nil {
			return nil, err
		}
		limits = s.Own.over(limits, s)
	}
	return limits, nil
}
