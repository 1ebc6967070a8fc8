package history

import (
	"encoding/json"
	"math"
	"slices"
	"time"

	"bucktail/qc"
)

// Part is what the entries about a part itself add up to; what its locations add up to are
// its [Counts].
type Part struct {
	ID          string      `json:"id"`
	Project     string      `json:"project"`
	Known       bool        `json:"known"` // false: the entry that made it has not come yet
	Name        string      `json:"name"`
	Drawing     string      `json:"drawing,omitempty"`
	Layers      []Layer     `json:"layers,omitempty"`
	Spec        *qc.Spec    `json:"spec,omitempty"`
	Limits      *LimitsData `json:"limits,omitempty"` // the latest choice
	Laxer       []Laxer     `json:"laxer,omitempty"`  // confirmed ones
	Layout      *LayoutData `json:"layout,omitempty"`
	LayoutEntry string      `json:"layout_entry,omitempty"`
	Shapes      []Shape     `json:"shapes,omitempty"` // in the order in which they were measured
	Like        *Like       `json:"like,omitempty"`   // the part that it was made from
	Prep        *Prep       `json:"prep,omitempty"`
	Coupons     []Coupon    `json:"coupons,omitempty"`
	Order       *OrderData  `json:"order,omitempty"`
	Closed      bool        `json:"closed,omitempty"`
	// Clashes are members that two devices changed without knowing of one another; the later
	// change counts until one is made that knows of both.
	Clashes  []Clash   `json:"clashes,omitempty"`
	SignOffs []SignOff `json:"sign_offs,omitempty"`
	Notes    []string  `json:"notes,omitempty"` // ids
	Remarks  []Remark  `json:"remarks,omitempty"`
	Entries  int       `json:"entries"` // about the part itself
	LastID   string    `json:"last_id"`

	by map[string]string // the entry that gave a member its value
}

// Laxer is a confirmed limit that is less strict than the published one.
type Laxer struct {
	Entry string `json:"entry"`
	LaxerData
}

// Clash is one member that was changed twice.
type Clash struct {
	What    string   `json:"what"`             // the member: "drawing"
	Before  string   `json:"before,omitempty"` // the change that the later one did not know of, as text
	Now     string   `json:"now"`
	Entries []string `json:"entries"` // both
}

// Words names the member, and both its values where they are words.
func (c Clash) Words() string {
	if c.What == "name" || c.What == "drawing" {
		return c.What + " (" + c.Before + " / " + c.Now + ")"
	}
	return c.What
}

// SignOff is an inspector's signature under a part as it stood.
type SignOff struct {
	Entry   string    `json:"entry"`
	At      time.Time `json:"at"`
	Name    string    `json:"name"`
	Number  string    `json:"number,omitempty"`
	Remark  string    `json:"remark,omitempty"`
	OnPaper *OnPaper  `json:"on_paper,omitempty"`
	Covered int       `json:"covered"` // how many entries it names
	Code    string    `json:"code"`    // short form for the inspector to keep, see [SignOffData.Code]
}

// PartOf adds up the entries about a part itself, in any order, with repetitions.
func PartOf(id string, entries []Entry) Part {
	entries = inTime(entries)
	effective, remarks := settle(entries)
	p := Part{ID: id, Remarks: remarks, Entries: len(entries)}
	if n := len(entries); n > 0 {
		p.LastID, p.Project = entries[n-1].ID, entries[0].Project
	}
	for _, e := range effective {
		switch d := e.data.(type) {
		case *PartData:
			p.change(e, d)
		case *LimitsData:
			p.Limits = d
		case *LaxerData:
			p.Laxer = append(p.Laxer, Laxer{e.ID, *d})
		case *LayoutData:
			p.Layout, p.LayoutEntry = d, e.ID
		case *ShapeData:
			p.shape(e, d)
		case *PrepData:
			p.Prep = &Prep{e.ID, e.At, *d}
		case *CouponData:
			p.Coupons = append(p.Coupons, Coupon{e.ID, e.At, *d})
		case *OrderData:
			p.Order = d
		case *NoteData:
			p.Notes = append(p.Notes, e.ID)
		case *SignOffData:
			p.SignOffs = append(p.SignOffs, SignOff{e.ID, e.At, d.Name, d.Number, d.Remark, d.OnPaper, len(d.Covers), d.Code()})
		}
	}
	p.settleShapes()
	sortRemarks(p.Remarks)
	p.by = nil
	return p
}

func (p *Part) change(e fact, d *PartData) {
	if e.Part == "" {
		p.Known, p.Project, p.Like = true, e.Project, d.Like
	}
	was := PartData{}
	if d.Was != nil {
		was = *d.Was
	}
	p.clash(e, d, "name", p.Name, was.Name, d.Name)
	p.clash(e, d, "drawing", p.Drawing, was.Drawing, d.Drawing)
	p.clash(e, d, "material", textOf(p.Layers), textOf(was.Layers), textOf(d.Layers))
	p.clash(e, d, "fastener", textOf(p.Spec), textOf(was.Spec), textOf(d.Spec))
	set(&p.Name, d.Name)
	set(&p.Drawing, d.Drawing)
	if d.Layers != nil {
		p.Layers = d.Layers
	}
	if d.Spec != nil {
		p.Spec = d.Spec
	}
	if d.Closed != nil {
		p.Closed = *d.Closed
	}
}

// clash notes a change of a member that did not know what stood there, and forgets an earlier one
// that it knew of.
func (p *Part) clash(e fact, d *PartData, what, stands, was, to string) {
	if to == "" {
		return
	}
	if p.by == nil {
		p.by = map[string]string{}
	}
	p.Clashes = slices.DeleteFunc(p.Clashes, func(c Clash) bool { return c.What == what })
	if d.Was != nil && was != stands && stands != to {
		p.Clashes = append(p.Clashes, Clash{what, stands, to, []string{p.by[what], e.ID}})
	}
	p.by[what] = e.ID
}

// textOf gives what a member holds in a form that can be compared; "" for nothing.
func textOf[T any](v T) string {
	b, err := json.Marshal(v)
	if s := string(b); err == nil && s != "null" {
		return s
	}
	return ""
}

// Counts is what a part's locations add up to. Locations that were taken out don't count.
type Counts struct {
	Locations int                `json:"locations"`
	Stages    map[qc.Stage]int   `json:"stages,omitempty"`
	Verdicts  map[qc.Verdict]int `json:"verdicts,omitempty"` // of the whole, of what is measured
	Work      map[WorkKind]int   `json:"work,omitempty"`
	Awaits    int                `json:"awaits,omitempty"` // for an inspector's decision
	Confirmed int                `json:"confirmed,omitempty"`
}

// Add counts a location in (n = 1) or out again (n = -1).
func (c *Counts) Add(l Location, n int) {
	if l.Out || l.Entries == 0 {
		return
	}
	c.Locations += n
	bump(&c.Stages, l.Stage, n)
	if l.Whole != "" {
		bump(&c.Verdicts, l.Whole, n)
	}
	for _, w := range l.Work {
		bump(&c.Work, w.Kind, n)
	}
	if l.Awaits {
		c.Awaits += n
	}
	if l.Decision == qc.Confirmed {
		c.Confirmed += n
	}
}

func bump[K comparable](m *map[K]int, k K, n int) {
	if *m == nil {
		*m = map[K]int{}
	}
	if (*m)[k] += n; (*m)[k] == 0 {
		delete(*m, k)
	}
}

// changed takes out of a change of a part what is as it was, and says whether anything is left.
func (d *PartData) changed() bool {
	w := d.Was
	same := func(now, was string) bool { return now == was || now == "" }
	if same(d.Name, w.Name) {
		d.Name, w.Name = "", ""
	}
	if same(d.Drawing, w.Drawing) {
		d.Drawing, w.Drawing = "", ""
	}
	if same(textOf(d.Layers), textOf(w.Layers)) {
		d.Layers, w.Layers = nil, nil
	}
	if same(textOf(d.Spec), textOf(w.Spec)) || sameSpec(d.Spec, w.Spec) {
		d.Spec, w.Spec = nil, nil
	}
	return d.Name != "" || d.Drawing != "" || d.Layers != nil || d.Spec != nil || d.Closed != nil
}

// sameSpec says whether two specs differ at most in how a size in inches came out in millimetres.
func sameSpec(a, b *qc.Spec) bool {
	if a == nil || b == nil || math.Abs(a.NominalMM-b.NominalMM) > 1e-6 {
		return false
	}
	like := *a
	like.NominalMM = b.NominalMM
	return textOf(&like) == textOf(b)
}
