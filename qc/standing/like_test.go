package standing_test

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/placing"
	"bucktail/qc/shape"
	"bucktail/qc/standing"
)

// gusset is a corner gusset, laid out, with a target for its twist.
func gusset(t *testing.T) (b *bench, a layout.Answer) {
	t.Helper()
	s := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
	b = newBench(&s)
	plan := layout.Input{Name: "Corner gusset, left", Spec: s, AngleDeg: 90,
		Legs: []layout.Leg{{WidthMM: 25, LengthMM: 90, ThicknessMM: 0.8}, {WidthMM: 25, LengthMM: 60, ThicknessMM: 0.8}}}
	a, err := layout.Lay(plan)
	if err != nil || len(a.Holes) < 4 {
		t.Fatalf("%v, %d holes", err, len(a.Holes))
	}
	part := b.at
	part.Location = ""
	min, max := a.Sketch.Min, a.Sketch.Max
	b.Put(part.Draft(history.KindLayout, history.LayoutData{WidthMM: max[0] - min[0], HeightMM: max[1] - min[1], Plan: &plan}))
	out := true
	b.do(history.KindLocation, history.LocationData{Out: &out})
	for _, h := range a.Holes {
		b.Put(part.Draft(history.KindLocation, history.LocationData{Tag: h.Tag, Pin: &history.Pin{X: (h.At[0] - min[0]) / (max[0] - min[0]), Y: (h.At[1] - min[1]) / (max[1] - min[1])}}))
	}
	target := 6.0
	in := shape.Input{Name: "twist", Kind: shape.Twist, State: shape.Released, Method: shape.Blocks, ValuesMM: []float64{-6}, UMM: 0.2, WidthMM: 300, TargetMM: &target, ToleranceMM: 1, Source: "drawing 7"}
	res, err := shape.Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	b.Put(part.Draft(history.KindShape, history.ShapeData{Input: in, Result: res}))
	return b, a
}

// write puts drafts as the record does, "@0" being the first of them.
func (b *bench) write(t *testing.T, drafts []history.Draft) (first string) {
	t.Helper()
	var ids []string
	name := func(s string) string {
		if at, ok := strings.CutPrefix(s, "@"); ok {
			if i, err := strconv.Atoi(at); err == nil {
				return ids[i]
			}
		}
		return s
	}
	for _, d := range drafts {
		d.Part, d.Location = name(d.Part), name(d.Location)
		raw, err := json.Marshal(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		d.Data = json.RawMessage(raw)
		ids = append(ids, b.Put(d).ID)
	}
	return ids[0]
}

func TestTheOtherHandIsMade(t *testing.T) {
	b, a := gusset(t)
	left := b.at.Part
	drafts, err := standing.LikeOf(history.StateOf(b.Wrote), left, "Corner gusset, right", "BH-113", true)
	if err != nil {
		t.Fatal(err)
	}
	right := b.write(t, drafts)
	st := history.StateOf(b.Wrote)
	p, _, _ := st.Part(right)
	if p.Like == nil || p.Like.Part != left || !p.Like.Mirrored || !p.Layout.Plan.Mirrored || p.Spec == nil {
		t.Fatalf("%+v", p)
	}
	if x := p.Like.Targets; len(x) != 1 || x[0].TargetMM != -6 || x[0].ToleranceMM != 1 {
		t.Errorf("targets %+v", x)
	}
	// Its pins are where its own plan has its holes.
	m, err := layout.Lay(*p.Layout.Plan)
	if err != nil {
		t.Fatal(err)
	}
	locs := st.Locations(right)
	if len(locs) != len(a.Holes) {
		t.Fatalf("%d locations", len(locs))
	}
	for i, l := range locs {
		x := m.Sketch.Min[0] + l.Pin.X*p.Layout.WidthMM
		if h := m.Holes[i]; h.Tag != l.Tag || math.Abs(x-h.At[0]) > 1e-6 || math.Abs(h.At[0]+a.Holes[i].At[0]) > 1e-9 {
			t.Errorf("%s at %.3f, its hole at %.3f, the left one's at %.3f", l.Tag, x, h.At[0], a.Holes[i].At[0])
		}
	}
	f := standing.FamilyOf(st, right)
	if len(f.Parts) != 2 || f.Parts[0].ID != left || !f.Parts[1].Mirrored || len(f.Rows) != len(a.Holes)+1 || len(f.Waits) != len(a.Holes) {
		t.Errorf("%+v", f)
	}
	// Mirrored once more it is the first hand again.
	drafts, err = standing.LikeOf(st, right, "Corner gusset, left 2", "", true)
	if err != nil {
		t.Fatal(err)
	}
	third := b.write(t, drafts)
	st = history.StateOf(b.Wrote)
	if p, _, _ := st.Part(third); p.Layout.Plan.Mirrored || p.Like.Targets[0].TargetMM != 6 {
		t.Errorf("%+v", p.Like)
	}
	if f := standing.FamilyOf(st, left); len(f.Parts) != 3 || f.Parts[2].Mirrored {
		t.Errorf("%+v", f.Parts)
	}
	if _, err := standing.LikeOf(st, left, " ", "", false); err == nil {
		t.Error("made without a name")
	}
	for _, n := range [][2]string{{"Corner gusset, left", "Corner gusset, right"}, {"aft right", "aft left"}, {"Hinge", ""}} {
		if got := standing.OtherHand(n[0]); got != n[1] {
			t.Errorf("%q: %q", n[0], got)
		}
	}
}

// The pattern of holes on a photo says when a gusset lies the wrong way up, or is another one.
func TestThePatternTellsTheHand(t *testing.T) {
	b, a := gusset(t)
	left := b.at.Part
	ask := func(part string, mirrored bool, n int) string {
		q := placing.Question{Part: part}
		for _, h := range a.Holes[:n] {
			x, y := h.At[0], -h.At[1]
			if mirrored {
				x = -x
			}
			s, c := math.Sincos(0.7) // as it lies under the camera
			q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: [2]float64{x*c - y*s + 5, x*s + y*c}})
		}
		return placing.Of(history.StateOf(b.Wrote), q).Hand
	}
	if got := ask(left, false, len(a.Holes)); got != "" {
		t.Errorf("as laid out: %q", got)
	}
	if got := ask(left, true, len(a.Holes)); !strings.Contains(got, "turned over") {
		t.Errorf("turned over: %q", got)
	}
	if got := ask(left, true, 3); got != "" {
		t.Errorf("of holes in one line: %q", got)
	}
	drafts, err := standing.LikeOf(history.StateOf(b.Wrote), left, "Corner gusset, right", "", true)
	if err != nil {
		t.Fatal(err)
	}
	right := b.write(t, drafts)
	if got := ask(left, true, len(a.Holes)); !strings.Contains(got, "turned over") || !strings.Contains(got, "those of Corner gusset, right") {
		t.Errorf("the other hand: %q", got)
	}
	if got := ask(right, true, len(a.Holes)); got != "" {
		t.Errorf("the other hand as laid out: %q", got)
	}
	// Another corner, with other legs.
	s := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
	b.at.Part = b.Put(history.Draft{Kind: history.KindPart, Project: b.at.Project, Data: history.PartData{Name: "Aft gusset", Spec: &s}}).ID
	d, other := overSkin(t, false)
	part := b.at
	part.Location = ""
	b.Put(part.Draft(history.KindLayout, d))
	for i, h := range other.Holes {
		b.Put(part.Draft(history.KindLocation, history.LocationData{Tag: h.Tag, Pin: pin(other, h.AlongMM, h.AcrossMM+float64(4*(i%2)))}))
	}
	if got := ask(b.at.Part, false, len(a.Holes)); !strings.Contains(got, "not this part's") || !strings.Contains(got, "Corner gusset, left") {
		t.Errorf("another corner's: %q", got)
	}
}

func TestTheOrderOfRiveting(t *testing.T) {
	b, a := gusset(t)
	part := b.at
	part.Location = ""
	st := history.StateOf(b.Wrote)
	o := standing.OrderOf(st, b.at.Part)
	if !o.Proposed || o.Source != standing.Practice || len(o.Rows) != len(a.Holes) || len(o.Warnings) != 0 || !o.Rows[len(o.Rows)-1].Check {
		t.Fatalf("%+v", o)
	}
	var ids []string
	for _, l := range st.Locations(b.at.Part) {
		if !l.Out {
			ids = append(ids, l.ID)
		}
	}
	slices.Reverse(ids)
	b.Put(part.Draft(history.KindOrder, history.OrderData{Locations: ids}))
	if o := standing.OrderOf(history.StateOf(b.Wrote), b.at.Part); o.Source != standing.OwnOrder {
		t.Errorf("turned about by hand, and said to be %s", o.Source)
	}
	b.Put(part.Draft(history.KindOrder, history.OrderData{Locations: ids, CheckEvery: 2, Source: "drawing 7, note 3"}))
	set := func(i int) {
		at := part
		at.Location = ids[i]
		b.Put(at.Draft(history.KindAttempt, history.AttemptData{}))
	}
	now := func() standing.Order { return standing.OrderOf(history.StateOf(b.Wrote), b.at.Part) }
	if o := now(); o.Proposed || o.Rows[0].Location != ids[0] || !o.Rows[1].Check || o.Rows[0].Check || o.Source != "drawing 7, note 3" {
		t.Errorf("%+v", o)
	}
	set(0)
	if o := now(); len(o.Warnings) != 0 || !o.Rows[0].Set {
		t.Errorf("one: %v", o.Warnings)
	}
	set(2)
	if o := now(); len(o.Warnings) != 2 || !strings.Contains(o.Warnings[0], "before") || !strings.Contains(o.Warnings[1], "shape") {
		t.Errorf("out of turn, and a measurement due: %q", o.Warnings)
	}
	in := shape.Input{Name: "twist", Kind: shape.Twist, State: shape.Riveted, Method: shape.Blocks, ValuesMM: []float64{-6}, UMM: 0.2, WidthMM: 300}
	res, err := shape.Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	b.Put(part.Draft(history.KindShape, history.ShapeData{Input: in, Result: res}))
	if o := now(); len(o.Warnings) != 1 {
		t.Errorf("measured: %q", o.Warnings)
	}
}
