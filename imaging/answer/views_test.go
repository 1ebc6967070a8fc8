package answer

import (
	"errors"
	"math"
	"os"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// TestViewsAreJoined joins two photos of one place that were given one after the other: what both show
// has a smaller U than the first alone gave it.
func TestViewsAreJoined(t *testing.T) {
	opt := Options{Spec: qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625}, Size: "6", Measure: measure.Options{ScaleX: 0.99278, ScaleY: 0.99964, ThicknessMM: 0.2283}}
	var v Views
	var alone []*Document
	var of []View
	for _, name := range []string{"a", "b"} {
		data, err := os.ReadFile("../../testdata/views/990108-" + name + ".jpg")
		if err != nil {
			t.Fatal(err)
		}
		ph, err := photo.Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		d, err := v.Measure(ph, "so", opt)
		if err != nil {
			t.Fatal(err)
		}
		alone, of = append(alone, d), append(of, View{d.SHA256, "so"})
	}
	doc, err := v.Join(of, opt)
	if err != nil {
		t.Fatal(err)
	}
	// A study that found the phone worse makes what two photos gave grow, and what one gave alike.
	asked := opt
	asked.Proofs, asked.Device = []qc.Proof{{Study: "a study", Factor: 2, Setup: qc.Setup{Device: "phone", Camera: doc.Camera, Layout: doc.Scale.Layout, Kind: qc.ShopHead}}}, "phone"
	grown, err := v.Join(of, asked)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range doc.Locations {
		for k, r := range l.Readings {
			if g := grown.Locations[i].Readings[k]; math.Abs(g.UMM-2*r.UMM) > 1e-6 || math.Abs(g.AloneUMM-2*r.AloneUMM) > 1e-6 {
				t.Errorf("location %d: %s ± %v, alone ± %v, grew to ± %v, alone ± %v", i, r.Quantity, r.UMM, r.AloneUMM, g.UMM, g.AloneUMM)
			}
		}
	}
	in := doc.In(0)
	if in.SHA256 != alone[0].SHA256 || len(doc.Photos) != 2 {
		t.Fatalf("%d photos, the first %s", len(doc.Photos), in.SHA256)
	}
	views := FindingViews([]*Document{in, doc.In(1)})
	if len(views) != len(in.Locations) || FindingViews([]*Document{in, nil}) != nil || FindingViews([]*Document{nil, in}) != nil {
		t.Fatalf("what findings keep of the photos: %+v", views)
	}
	for l, vs := range views {
		for i, v := range vs {
			look := in.Locations[l].Photos[i]
			if v.Photo != i || v.Used != look.Used || v.Why != look.Why || (v.Places == nil) != (in.Locations[l].Ask != nil) || v.Places != nil && v.Places.Valid(0) != nil {
				t.Errorf("location %d, photo %d: %+v, shown as %+v", l, i, v, look)
			}
		}
	}
	smaller, larger := 0, 0
	unread := Document{Photos: doc.Photos, Locations: []Location{{PxPhoto: doc.Photos[0].Name}}}
	if unread.In(0).Locations[0].Readings == nil {
		t.Error("null stands on the wire for no readings")
	}
	for i, l := range in.Locations {
		for _, r := range l.Readings {
			if r.Views < 2 || !r.Quantity.Diameter() || r.AloneUMM == 0 {
				continue
			}
			t.Logf("location %d: %s ± %.3f by two photos, ± %.3f by the first", i, r.Quantity, r.UMM, r.AloneUMM)
			if r.UMM < r.AloneUMM {
				smaller++
			} else {
				larger++
			}
		}
		if l.Ask == nil && l.Photos[0].Used && alone[0].Scale.Camera != in.Scale.Camera {
			t.Errorf("location %d is drawn with another camera", i)
		}
	}
	if smaller < 6 || larger > 0 {
		t.Errorf("U of %d diameters is smaller, of %d larger", smaller, larger)
	}
	for name, want := range map[string][]View{
		"another photo":        {of[0], {"no such photo", "so"}},
		"measured otherwise":   {of[0], {of[1].SHA256, "otherwise"}},
		"with no photo at all": nil,
	} {
		var r *qc.Refusal
		if _, err := v.Join(want, opt); !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
		}
	}

	// What a hand placed in the first photo counts there alone.
	l := alone[0].Locations[0]
	by := opt
	by.Measure.Outlines = []measure.HandOutline{{}}
	for i := range 4 {
		p := l.HandlesPx[i+1]
		out := 6.0
		by.Measure.Outlines[0].SidesPx[i] = geom.PxPoint{U: p[0] + out*float64([4]int{1, 0, -1, 0}[i]), V: p[1] + out*float64([4]int{0, 1, 0, -1}[i])}
	}
	data, err := os.ReadFile("../../testdata/views/990108-a.jpg")
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := v.Measure(ph, "by hand", by); err != nil {
		t.Fatal(err)
	}
	if doc, err = v.Join([]View{{of[0].SHA256, "by hand"}, of[1]}, by); err != nil {
		t.Fatal(err)
	}
	hands := 0
	for _, l := range doc.In(0).Locations {
		if l.Hand == "" {
			continue
		}
		hands++
		for _, r := range l.Readings {
			if r.Quantity.Diameter() && (r.Views != 1 || r.How != qc.ByPhotoHand) {
				t.Errorf("%s stands on %d photos, %s", r.Quantity, r.Views, r.How)
			}
			if r.How != qc.ByPhotoHand && r.Quantity != qc.OutOfRound {
				t.Errorf("%s was had by %s", r.Quantity, r.How)
			}
		}
	}
	if hands != 1 {
		t.Errorf("%d locations by hand", hands)
	}
}

// TestNextIsFromWhereNobodyLooked asks for the left first, then for sides that no photo was taken from.
func TestNextIsFromWhereNobodyLooked(t *testing.T) {
	down := geom.Camera{FocalPx: 1000, CxPx: 500, CyPx: 400, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{-40, 30, 150}}
	scale := func(c *geom.Camera) *Scale {
		s := &Scale{From: "card", Camera: Camera{c.FocalPx, c.CxPx, c.CyPx, c.K1, c.R, c.T}}
		for _, q := range []geom.SheetPoint{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 50}, {X: 0, Y: 50}} {
			s.CardPx = append(s.CardPx, point(c.Project(q, 0)))
		}
		return s
	}
	left, right, near := tilted(down, FromLeft), tilted(down, FromRight), tilted(down, FromNear)
	for _, c := range []struct {
		from   *geom.Camera
		others []*geom.Camera
		want   Side
	}{
		{&down, nil, FromLeft}, {&left, nil, FromRight}, {&right, nil, FromLeft},
		{&down, []*geom.Camera{&left}, FromRight}, {&down, []*geom.Camera{&left, &right}, FromNear},
		{&down, []*geom.Camera{&left, &right, &near}, FromFar},
	} {
		got := next(scale(c.from), c.others...)
		if got == nil || got.From != c.want {
			t.Errorf("with %d others: %+v, want %s", len(c.others), got, c.want)
		}
	}
	// From the left the card's left side is nearer and so looks taller.
	card := next(scale(&down)).CardPx
	tall := func(a, b Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }
	if tall(card[0], card[3]) < 1.05*tall(card[1], card[2]) {
		t.Errorf("the card's place, seen from the left: %v", card)
	}
	if next(&Scale{From: "two points"}) != nil {
		t.Error("a view to be joined, without a card")
	}
}
