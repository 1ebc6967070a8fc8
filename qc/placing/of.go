package placing

import (
	"slices"
	"strconv"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
)

// Fastener is one of a photo's fasteners.
type Fastener struct {
	// SheetMM is its centre on the sheet in the frame of the photo's card: x to the right, y up.
	SheetMM  [2]float64   `json:"sheet_mm"`
	Readings []qc.Reading `json:"readings"`
	What     qc.Kind      `json:"what,omitempty"`
	Edges    []SeenEdge   `json:"edges,omitempty"`
	// Asked is true of one that was not read: it is kept only where somebody says so.
	Asked bool   `json:"asked,omitempty"`
	Said  string `json:"said,omitempty"` // a location's id, [New], [None], or nothing yet
	Tag   string `json:"tag,omitempty"`  // that a new one was given already
}

// SeenEdge is an edge that a fastener's distance was read to: two points of it on the photo.
type SeenEdge struct {
	Px  [2]history.PxPair `json:"px"`
	UMM float64           `json:"U_mm"` // of the distance
}

// Question asks which locations a photo shows.
type Question struct {
	Part      string     `json:"part"`
	Fasteners []Fastener `json:"fasteners"`
	Wanted    []string   `json:"wanted,omitempty"` // see [Photo.Wanted]
	// Camera took the photo; nil: the edges on it lie nobody knows where.
	Camera *history.Camera `json:"camera,omitempty"`
}

// Named is what one fastener is.
type Named struct {
	Location string `json:"loc"` // a location's id, [New], [None], "" where it must be asked
	Tag      string `json:"tag"` // of a new one: the next that is free; "?" where it must be asked
}

// Placed says what each fastener is, and what is to be asked: see [Answer].
type Placed struct {
	Is     []Named  `json:"is"`
	Ask    int      `json:"ask"`
	Of     []string `json:"of"`
	New    bool     `json:"new"`
	Which  string   `json:"which,omitempty"`
	Unlike bool     `json:"unlike,omitempty"`
	// Ways are all that the fasteners may be together, for each its location's id, [New] or [None].
	Ways [][]string `json:"ways,omitempty"`
	// Hand says that the pattern of the holes is not this part's as it lies: see [Hand].
	Hand string `json:"hand,omitempty"`
}

// Of tells which locations of a part a photo shows.
func Of(st *history.State, q Question) Placed {
	part, _, _ := st.Part(q.Part)
	all := st.Locations(q.Part)
	locs := slices.DeleteFunc(slices.Clone(all), func(l history.Location) bool { return l.Out })
	p := Photo{Wanted: slices.DeleteFunc(slices.Clone(q.Wanted), func(id string) bool {
		return !slices.ContainsFunc(locs, func(l history.Location) bool { return l.ID == id })
	})}
	for _, f := range q.Fasteners {
		said := f.Said
		if said == "" && f.Asked {
			said = None
		}
		at := complex(f.SheetMM[0], f.SheetMM[1])
		var edges []Edge
		for _, e := range f.Edges {
			if q.Camera == nil {
				break
			}
			if e, ok := edgeOn(q.Camera, at, e.Px, e.UMM); ok {
				edges = append(edges, e)
			}
		}
		p.Seen, p.Said, p.Edges = append(p.Seen, at), append(p.Said, said), append(p.Edges, edges)
	}
	var kind qc.Kind
	if len(q.Fasteners) > 0 {
		kind = q.Fasteners[0].What // a photo is looked at for one kind
	}
	k := knownOf(st, part, locs, kind)
	k.Not = func(i int, location string) bool {
		return q.Fasteners[i].What == qc.Hole && slices.ContainsFunc(locs, func(l history.Location) bool { return l.ID == location && l.Stage == qc.SetRivet })
	}
	k.Against = func(i int, location string) bool {
		e, u := nearestEdge(q.Fasteners[i].Readings)
		v, _ := standing.Of(st, location)
		look := v.Last()
		return look != nil && otherEdge(look.Current(), e, u)
	}
	a := Match(p, k)
	out := Placed{Is: make([]Named, len(a.Is)), Ask: a.Ask, Of: append([]string{}, a.Of...), New: a.New, Which: a.Which, Unlike: a.Unlike, Ways: a.Ways}
	out.Hand = hand(st, part, p.Seen)
	next := nextTags(all)
	for i, id := range a.Is {
		out.Is[i] = Named{id, "?"}
		if id == New {
			if out.Is[i].Tag = q.Fasteners[i].Tag; taken(all, out.Is[:i], out.Is[i].Tag) {
				out.Is[i].Tag = ""
			}
		} else if at := slices.IndexFunc(all, func(l history.Location) bool { return l.ID == id }); at >= 0 {
			out.Is[i].Tag = all[at].Tag
		}
	}
	for i := range out.Is {
		for out.Is[i].Tag == "" {
			if tag := next(); !taken(all, out.Is, tag) {
				out.Is[i].Tag = tag
			}
		}
	}
	return out
}

// taken reports whether a tag is a location's, or was given to a new one.
func taken(all []history.Location, given []Named, tag string) bool {
	return slices.ContainsFunc(all, func(l history.Location) bool { return l.Tag == tag }) ||
		slices.ContainsFunc(given, func(n Named) bool { return n.Location == New && n.Tag == tag })
}

func nearestEdge(rs []qc.Reading) (mm, u float64) {
	for _, r := range rs {
		if r.Quantity == qc.EdgeDistance && (mm == 0 || r.ValueMM < mm) {
			mm, u = r.ValueMM, r.UMM
		}
	}
	return mm, u
}

// nextTags counts on from the greatest tag of a part: R8 after R7.
func nextTags(locs []history.Location) func() string {
	prefix, n := "R", 0
	if len(locs) > 0 {
		tag := locs[len(locs)-1].Tag
		if p := tag[:len(tag)-len(strings.TrimLeftFunc(tag, func(r rune) bool { return r < '0' || r > '9' }))]; p != "" {
			prefix = p
		}
	}
	for _, l := range locs {
		if number, ok := strings.CutPrefix(l.Tag, prefix); ok {
			if v, err := strconv.Atoi(number); err == nil {
				n = max(n, v)
			}
		}
	}
	return func() string {
		n++
		return prefix + strconv.Itoa(n)
	}
}
