package dimension

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/qc"
	"bucktail/qc/drawing"
)

// Values stand inside the frame, and cover no head, no ring of the card, no other value and no tag.
func TestValuesCoverNothing(t *testing.T) {
	values := 0
	for _, s := range all() {
		var taken []box
		for _, g := range s.out.Tags {
			taken = append(taken, g.Box)
		}
		rims := s.rims()
		frame := box{X1: s.view.Width, Y1: s.view.Height}
		for _, v := range s.out.Values {
			values++
			if !frame.Holds(v.Box) {
				t.Errorf("%s: %s leaves the frame: %v", s.what, v.Text, v.Box)
			}
			if w := look.TextWidth(v.Text) * s.out.TextSize; v.Box.X1-v.Box.X0 < w+4 {
				t.Errorf("%s: %s is %v wide and its box %v", s.what, v.Text, w, v.Box)
			}
			for _, o := range taken {
				if v.Box.Meets(o) {
					t.Errorf("%s: %s covers another value or tag", s.what, v.Text)
				}
			}
			taken = append(taken, v.Box)
			for _, rim := range rims {
				if slices.ContainsFunc(rim, func(p drawing.Point) bool { return v.Box.Near(p) == 0 }) {
					t.Errorf("%s: %s covers a head's rim", s.what, v.Text)
				}
			}
			for i, h := range s.out.Hits { // the whole head, where it does not fill the frame
				if r := s.plan.placing(s.view, look).heads[i].r; 2*r < 0.6*min(s.view.Width, s.view.Height) && v.Box.Near(h.At) < r {
					t.Errorf("%s: %s covers a head", s.what, v.Text)
				}
			}
			for _, r := range s.plan.rings {
				at := s.view.At(s.camera().Project(r.at, 0))
				if v.Box.Near(at) < 0.9*r.r*s.camera().PxPerMM(r.at, 0)*s.view.Scale {
					t.Errorf("%s: %s covers a ring of the card", s.what, v.Text)
				}
			}
		}
	}
	if values < 1000 {
		t.Errorf("only %d values were looked at", values)
	}
}

// What is out or too close is never left out where the view was chosen for it, nothing else takes a
// verdict's ink, and each takes the ink of its own checks.
func TestBadIsDrawn(t *testing.T) {
	for _, s := range all() {
		within := 0
		for _, v := range s.out.Values {
			var own qc.Verdict
			for _, l := range s.doc.Locations {
				for _, c := range l.Checks {
					if c.Verdict != qc.Within && strings.Contains(v.Text, qc.Millimetres.Number(c.Reading.ValueMM)) {
						own = qc.Worst(own, c.Verdict)
					}
				}
			}
			if v.Ink != "" && v.Ink != drawing.Of(own) {
				t.Errorf("%s: %s is drawn as %q, its check says %q", s.what, v.Text, v.Ink, own)
			}
			if v.Ink == "" {
				within++
			}
		}
		if within > mostValues {
			t.Errorf("%s: %d values within", s.what, within)
		}
		if !s.fits() {
			continue
		}
		for i, l := range s.doc.Locations {
			if c := s.plan.what.Chosen; c > 0 && i != c-1 {
				continue
			}
			for _, c := range l.Checks {
				text := qc.Millimetres.Number(c.Reading.ValueMM)
				if c.Verdict != qc.Within && !slices.ContainsFunc(s.out.Values, func(v drawing.Value) bool {
					return strings.Contains(v.Text, text) || c.Reading.Quantity == qc.HeadDMin && strings.HasPrefix(v.Text, "Ø")
				}) {
					t.Errorf("%s: %s %s of %s is not drawn: %v", s.what, c.Verdict, c.Reading.Quantity, text, s.out.Values)
				}
			}
		}
	}
}

// However small the heads, a picture of all of them has numbers.
func TestSmallHeadsHaveNumbers(t *testing.T) {
	small := 0
	for _, s := range all() {
		read := slices.ContainsFunc(s.plan.all, func(f *fastener) bool { return !f.ask })
		if !read || s.plan.alone() {
			continue
		}
		p := s.plan.placing(s.view, look)
		if 2*p.heads[0].r >= leastHead || !p.seen(0) {
			continue
		}
		small++
		if len(s.out.Values) == 0 {
			t.Errorf("%s: no value on a picture of %d", s.what, len(s.plan.all))
		}
	}
	if small == 0 {
		t.Error("no picture has small heads")
	}
}

// Every head in the frame that is dimensioned has its tag, inside it, with the verdict of its location
// as a whole; one that is asked about is dashed and has no values.
func TestTags(t *testing.T) {
	seen := map[qc.Verdict]int{}
	for _, s := range all() {
		frame := box{X1: s.view.Width, Y1: s.view.Height}
		d := s.plan.placing(s.view, look)
		want := 0
		for _, f := range s.plan.shown() {
			if d.seen(f.i) {
				want++
			}
		}
		if len(s.out.Tags) != want || s.fits() && want != len(s.plan.shown()) {
			t.Errorf("%s: %d tags for %d heads", s.what, len(s.out.Tags), want)
		}
		for _, g := range s.out.Tags {
			if !frame.Holds(g.Box) {
				t.Errorf("%s: tag %s leaves the frame: %v", s.what, g.Text, g.Box)
			}
			seen[g.Verdict]++
			if whole := s.doc.Locations[g.Of].Whole; g.Verdict != whole || !s.ask[g.Of] && g.Ink != drawing.Of(whole) {
				t.Errorf("%s: tag %s says %q in %q, its location is %q", s.what, g.Text, g.Verdict, g.Ink, whole)
			}
			if s.ask[g.Of] != (g.Text[0] == '?') || s.ask[g.Of] != (g.Ink == drawing.Pencil) {
				t.Errorf("%s: tag %q in %q", s.what, g.Text, g.Ink)
			}
		}
		for _, v := range s.out.Values {
			if s.ask[v.Of] {
				t.Errorf("%s: %s at one that is asked about", s.what, v.Text)
			}
			if one := s.plan.what.Chosen > 0 || len(s.at) == 1; strings.Contains(v.Text, " ± ") != one {
				t.Errorf("%s: %s", s.what, v.Text)
			}
		}
		if len(s.out.Hits) != len(s.at) {
			t.Errorf("%s: %d places for a finger", s.what, len(s.out.Hits))
		}
	}
	for _, v := range []qc.Verdict{qc.Out, qc.Unread} {
		if seen[v] == 0 {
			t.Errorf("no tag says %q", v)
		}
	}
}

// The ring round a chosen tag is in the frame, wherever the photo is moved, and covers no value.
func TestChosenRing(t *testing.T) {
	l := look
	l.Choosing = true
	for _, s := range all() {
		if s.plan.what.Chosen == 0 {
			continue
		}
		frame := box{X1: s.view.Width, Y1: s.view.Height}
		out := s.plan.Draw(s.view, l)
		for _, g := range out.Tags {
			ring := g.Box.Grown(chosenRing)
			if !g.Chosen || !frame.Holds(ring) {
				t.Errorf("%s: the ring of %s leaves the frame: %v", s.what, g.Text, ring)
			}
			for _, v := range out.Values {
				if v.Box.Meets(ring) {
					t.Errorf("%s: %s stands on the ring of %s", s.what, v.Text, g.Text)
				}
			}
		}
	}
}

// The worst is served first, so that it has its usual place.
func TestWorstIsServedFirst(t *testing.T) {
	order := map[qc.Verdict]int{qc.Out: 0, qc.TooClose: 1, qc.Unread: 2, qc.Within: 3, "": 4}
	for _, s := range all() {
		for i, m := range s.plan.dims {
			if i > 0 && order[s.plan.dims[i-1].verdict] > order[m.verdict] {
				t.Errorf("%s: %q of %q comes before %q of %q", s.what, s.plan.dims[i-1].text, s.plan.dims[i-1].verdict, m.text, m.verdict)
			}
		}
		for i, g := range s.out.Tags {
			if i > 0 && order[s.out.Tags[i-1].Verdict] > order[g.Verdict] {
				t.Errorf("%s: tag %s comes before %s", s.what, s.out.Tags[i-1].Text, g.Text)
			}
		}
	}
}

// A redraw moves nothing, and a hair's move of the view moves hardly anything: what changes its
// place while a photo is dragged would flicker.
func TestRedraw(t *testing.T) {
	same, moved := 0, 0
	for _, s := range all() {
		if again := s.plan.Draw(s.view, look); !reflect.DeepEqual(again, s.out) {
			t.Fatalf("%s: a second drawing differs", s.what)
		}
		if !s.fits() {
			continue
		}
		v := s.view
		v.X += 0.7
		v.Scale *= 1.001
		next := s.plan.Draw(v, look).Values
		for _, q := range s.out.Values {
			if slices.ContainsFunc(next, func(n drawing.Value) bool {
				return n.Text == q.Text && n.Of == q.Of && n.Box.Centre().Sub(q.Box.Centre()).Len() < 4
			}) {
				same++
			} else {
				moved++
			}
		}
	}
	t.Logf("%d of %d values stay by a thousandth of zoom", same, same+moved)
	if moved > same/20 {
		t.Errorf("%d values jump, %d stay", moved, same)
	}
}

// In a low frame with much over it a tag that finds no place beside its head has a line from farther off:
// no tag hides another as long as there is room.
func TestTagsInALowFrame(t *testing.T) {
	button := box{X0: 294, Y0: 100, X1: 382, Y1: 192}
	l := look
	l.Covered = []box{button}
	for _, b := range benches() {
		if len(b.at) > 6 {
			continue
		}
		p, err := Of(b.document(), What{})
		if err != nil {
			t.Fatal(err)
		}
		tags := p.Draw(p.Fit(Frame{Width: 390, Least: 200, Most: 200}, l), l).Tags
		for i, g := range tags {
			if g.Box.Meets(button) || slices.ContainsFunc(tags[:i], func(o drawing.Tag) bool { return o.Box.Meets(g.Box) }) {
				t.Errorf("%v: %s is hidden", b, g.Text)
			}
		}
	}
}

// What the frame has over it stays free of values.
func TestCovered(t *testing.T) {
	button := box{X0: 330, Y0: 330, X1: 382, Y1: 380}
	for _, b := range benches() {
		p, err := Of(b.document(), What{})
		if err != nil {
			t.Fatal(err)
		}
		l := look
		l.Covered = []box{button}
		for _, v := range p.Draw(p.Fit(frames[0], l), l).Values {
			if v.Box.Meets(button) {
				t.Errorf("%v: %s stands under a button", b, v.Text)
			}
		}
	}
}

// The middle of a photo's first pixel lies half a pixel inside the frame that begins with it, and a
// part of whole pixels fills its frame.
func TestView(t *testing.T) {
	v := View{Scale: 0.3, X: -120.05, Y: -59.98, Width: 390, Height: 240}
	part, r := v.Part(2592, 1944)
	if r.Min.X != 400 || r.Min.Y != 200 || r.Dx() != 1300 || r.Dy() != 800 {
		t.Errorf("%v", r)
	}
	if a := part.At(geom.PxPoint{U: 400, V: 200}); math.Abs(a.X-0.15) > 1e-9 || math.Abs(a.Y-0.15) > 1e-9 {
		t.Errorf("the first pixel's middle is at %v", a)
	}
	if b := part.At(geom.PxPoint{U: 1699.5, V: 999.5}); math.Abs(b.X-390) > 1e-9 || math.Abs(b.Y-part.Height) > 1e-9 {
		t.Errorf("the last corner is at %v of %v", b, part)
	}
	if _, r := (View{Scale: 1, X: 5000, Width: 390, Height: 240}).Part(2592, 1944); !r.Empty() {
		t.Errorf("%v of a photo that is not in the frame", r)
	}
	if w := part.Wide(195).At(geom.PxPoint{U: 1699.5, V: 999.5}); math.Abs(w.X-195) > 1e-9 {
		t.Errorf("half as wide, the last corner is at %v", w)
	}
}

// The diameter that is drawn: the one that governs where one is not within, else the mean; with
// its U where it stands alone.
func TestWhichDiameter(t *testing.T) {
	b := bench{at: line(2, 30, 12), nominalMM: 2.38125, dMM: 3.18}
	for _, c := range []struct {
		least, greatest qc.Verdict
		text            string
	}{{qc.Out, qc.Within, "Ø min 3.15"}, {qc.Within, qc.TooClose, "Ø max 3.21"}, {qc.Within, qc.Within, "Ø 3.18"}} {
		doc := b.document()
		l := &doc.Locations[0]
		l.Checks = nil
		for q, v := range map[qc.Quantity]qc.Verdict{qc.HeadDMin: c.least, qc.HeadDMax: c.greatest} {
			for _, r := range l.Readings {
				if r.Quantity == q {
					l.Checks = append(l.Checks, qc.Check{Reading: r.Reading, UMM: 0.1, Verdict: v, Limit: qc.Limit{Quantity: q, MinMM: 3}})
				}
			}
		}
		for chosen, u := range []string{"", " ± "} {
			p, err := Of(doc, What{Chosen: chosen})
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, v := range p.Draw(p.Fit(frames[0], look), look).Values {
				if v.Of == 0 && strings.HasPrefix(v.Text, "Ø") {
					got += v.Text
				}
			}
			if !strings.HasPrefix(got, c.text) || strings.Contains(got, " ± ") != (u != "") {
				t.Errorf("%v, chosen %d: %q", c, chosen, got)
			}
		}
	}
}

// Values as builders in inches read them.
func TestNumber(t *testing.T) {
	doc := bench{at: line(1, 0, 9), nominalMM: 4.7625, dMM: 7.1}.document()
	for w, want := range map[*What]string{
		{}:                                  "7.10 ± 0.05",
		{Units: qc.Inches}:                  "0.280 ± 0.002",
		{Units: qc.Inches, Fractions: true}: "9/32 − 0.002 ± 0.002",
	} {
		p, err := Of(doc, *w)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.number(7.1, 0.05); got != want {
			t.Errorf("%+v: %q", w, got)
		}
	}
}

// Places that no camera sees are left out, and what is drawn can always be written as JSON.
func TestWildCameras(t *testing.T) {
	for _, b := range benches()[:4] {
		doc := b.document()
		for _, turn := range []func(c *answer.Camera){
			func(c *answer.Camera) { c.T[2] = -c.T[2] },
			func(c *answer.Camera) { c.T[2] = 0.001 },
			func(c *answer.Camera) { c.K1 = -9 },
			func(c *answer.Camera) { c.R = [3][3]float64{} },
		} {
			wild := *doc
			wild.Locations = slices.Clone(doc.Locations)
			scale := *doc.Scale
			wild.Scale = &scale
			turn(&scale.Camera)
			p, err := Of(&wild, What{})
			if err != nil {
				t.Fatal(err)
			}
			out := p.Draw(p.Fit(frames[0], look), look)
			if _, err := json.Marshal(out); err != nil {
				t.Fatalf("%v: %v", b, err)
			}
			for i := range wild.Locations {
				wild.Locations[i].OutlinePx = nil // as of a neighbour that is only known by its centre
			}
			if _, err := json.Marshal(p.Draw(p.Fit(frames[0], look), look)); err != nil {
				t.Fatalf("%v: %v", b, err)
			}
		}
	}
}

// The shortest joining of five places, worked by hand.
func TestTreeAndRows(t *testing.T) {
	var fs []*fastener
	for i, p := range []geom.SheetPoint{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 10, Y: 1}, {X: 20, Y: 12}, {X: 31, Y: 0}} {
		fs = append(fs, &fastener{i: i, at: p})
	}
	pairs := tree(fs)
	if got := fmt.Sprint(pairs); got != "[[0 2] [1 2] [1 4] [1 3]]" {
		t.Errorf("pairs %v", got)
	}
	rows := rowsOf(fs, pairs)
	var got []string
	for _, r := range rows {
		got = append(got, fmt.Sprint(r.of))
	}
	if s := strings.Join(got, " "); s != "[0 2 1 4] [1 3]" {
		t.Errorf("rows %s", s)
	}
}

// The place of everything, as for each frame of a pinch: on a photo of nine fasteners, of one of
// them, and of two rows of which one has all its edges behind the other.
func BenchmarkPlan(b *testing.B) {
	nine, rows := benches()[6].document(), benches()[5].document()
	for _, c := range []struct {
		name   string
		doc    *answer.Document
		chosen int
	}{{"all", nine, 0}, {"one", nine, 5}, {"rows", rows, 0}} {
		b.Run(c.name, func(b *testing.B) {
			p, err := Of(c.doc, What{Chosen: c.chosen})
			if err != nil {
				b.Fatal(err)
			}
			v := p.Fit(frames[0], look)
			b.ReportAllocs()
			for b.Loop() {
				p.Draw(v, look)
			}
		})
	}
	b.Run("sheet", func(b *testing.B) {
		for b.Loop() {
			if _, err := Of(nine, What{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
