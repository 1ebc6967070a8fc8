package synth

import (
	"math"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// plain is a small scene: a grey primed sheet, seen aslant by a camera with distortion.
func plain(width, height int, focal, dist, tiltDeg float64) *Scene {
	s := &Scene{Seed: 3, Width: width, Height: height, Orientation: 1, Focal35MM: 26, FocalMM: 5.4, Zoom: 1,
		Taken: "2026:01:01 10:00:00", Effort: Effort{8, 8, 24}}
	s.Camera = lookAt(geom.SheetPoint{}, dist, tiltDeg*math.Pi/180, 0.7, 2.1)
	s.Camera.FocalPx, s.Camera.CxPx, s.Camera.CyPx, s.Camera.K1 = focal, float64(width-1)/2+3, float64(height-1)/2-2, -0.02
	s.Lens.FocusMM = dist
	s.Sheet = Sheet{Finish: Grey, PolygonMM: [][2]float64{{-60, -9}, {60, -9}, {60, 60}, {-60, 60}}, RadiiMM: []float64{1, 1, 1, 1},
		ThicknessMM: 0.8, BevelMM: 0.004, Under: "none", BenchMM: 300, Bench: "dark"}
	s.Ambient = [3]float64{0.4, 0.4, 0.4}
	s.Lights = []Light{panel(1, 1.2, 900, 500, 500, [3]float64{1, 1, 1})}
	s.Sensor = Sensor{WhiteGain: [3]float64{1, 1, 1}, JPEGQuality: 92, Exposure: 0.6}
	return s
}

// centroid gives the centroid of darkness (green, against the surrounding level) in a
// window of a linear picture.
func centroid(p *plane3, at geom.PxPoint, reach int, level float64) geom.PxPoint {
	var m, mu, mv float64
	for j := int(at.V) - reach; j <= int(at.V)+reach; j++ {
		for i := int(at.U) - reach; i <= int(at.U)+reach; i++ {
			w := level - float64(p.v[3*(j*p.w+i)+1])
			if math.Hypot(float64(i)-at.U, float64(j)-at.V) > float64(reach) || w < 0.1*level {
				continue
			}
			m, mu, mv = m+w, mu+w*float64(i), mv+w*float64(j)
		}
	}
	return geom.PxPoint{U: mu / m, V: mv / m}
}

// The dots of the card's targets stand in the picture where the camera model of package
// geom, which the tracing does not use, projects the middle of the printed disc.
func TestPrintedDotsStandWhereTheCameraSaysSo(t *testing.T) {
	s := plain(480, 300, 600, 120, 14)
	l := card.ByName("strip")
	s.Card = &CardPlacement{Layout: l, OriginMM: geom.SheetPoint{X: -30, Y: 12}, AngleDeg: 7, PrintScale: [2]float64{1.004, 0.997}, ThicknessMM: 0.3}
	s.Effort = Effort{3, 3, 180}
	p := newWorld(s).trace()
	n := 0
	for _, tg := range l.Targets {
		if !tg.Full {
			continue
		}
		// The area centroid of the projected disc, by a polygon.
		var a, u, v float64
		prev := geom.PxPoint{}
		for k := 0; k <= 96; k++ {
			si, co := math.Sincos(-2 * math.Pi * float64(k) / 96)
			q := s.Camera.Project(s.Card.ToSheet(geom.CardPoint{X: tg.At.X + card.DotRadiusMM*co, Y: tg.At.Y + card.DotRadiusMM*si}), 0.3)
			if k > 0 {
				c := prev.U*q.V - q.U*prev.V
				a, u, v = a+c, u+c*(prev.U+q.U), v+c*(prev.V+q.V)
			}
			prev = q
		}
		want := geom.PxPoint{U: u / (3 * a), V: v / (3 * a)}
		if want.U < 20 || want.V < 20 || want.U > 460 || want.V > 280 {
			continue
		}
		n++
		got := centroid(p, want, int(1.05*s.Camera.PxPerMM(geom.SheetPoint{}, 0)), p.paper)
		if e := got.Sub(want).Norm(); e > 0.05 {
			t.Errorf("dot at card (%.1f, %.1f): %.3f px off", tg.At.X, tg.At.Y, e)
		}
	}
	if n < 3 {
		t.Fatalf("only %d dots in the frame", n)
	}
}

// The sheet's outer face, with hardly any rim rounding, shows where the truth says. The
// half level between sheet and bench is compared with the projected edge.
func TestSheetEdgeShowsWhereTheTruthSays(t *testing.T) {
	s := plain(320, 240, 600, 130, 9)
	s.Sheet.BenchMM = 150
	s.Effort = Effort{3, 3, 90}
	p := newWorld(s).trace()
	e := s.Truth().Edges[0]
	n, sum, worst := 0, 0.0, 0.0
	for k := 1; k < 40; k++ {
		f := float64(k) / 40
		q := geom.SheetPoint{X: e.In0MM[0] + f*(e.In1MM[0]-e.In0MM[0]), Y: -9}
		a, b := s.Camera.Project(q, 0), s.Camera.Project(geom.SheetPoint{X: q.X, Y: -8.9}, 0)
		dir := b.Sub(a).Scale(1 / b.Sub(a).Norm())
		level := func(r float64) float64 {
			x, y := a.U+r*dir.U, a.V+r*dir.V
			i, j := int(x), int(y)
			if i < 1 || j < 1 || i > s.Width-3 || j > s.Height-3 {
				return math.NaN()
			}
			fx, fy := x-float64(i), y-float64(j)
			at := func(i, j int) float64 { return float64(p.v[3*(j*p.w+i)+1]) }
			return (at(i, j)*(1-fx)+at(i+1, j)*fx)*(1-fy) + (at(i, j+1)*(1-fx)+at(i+1, j+1)*fx)*fy
		}
		in, out := (level(6)+level(8))/2, (level(-6)+level(-8))/2
		if math.IsNaN(in + out) {
			continue
		}
		for r := -4.0; r < 4; r += 0.02 {
			if level(r) > (in+out)/2 {
				n++
				sum += r
				worst = math.Max(worst, math.Abs(r))
				break
			}
		}
	}
	if n < 15 {
		t.Fatalf("only %d places of the edge in the frame", n)
	}
	// One profile is as good as its paths: 31 in each pixel leave about 0.1 px.
	if mean := sum / float64(n); math.Abs(mean) > 0.05 || worst > 0.45 {
		t.Errorf("edge lies %.3f px inside on the mean, %.2f at worst", mean, worst)
	}
}

// Seen from straight above, a driven head hides an ellipse with the truth's greatest and
// least diameter, magnified by the height of its widest ring.
func TestHeadCoversItsWidestRing(t *testing.T) {
	s := plain(300, 300, 3000, 200, 0)
	s.Camera.K1 = 0
	f := Fastener{ID: "r1", Kind: ShopHead, Dash: "5", NominalMM: 3.969, Finish: Bare, MaxDMM: 6.4, MinDMM: 5.9, AngleDeg: 33,
		HeightMM: 1.9, WidestMM: 0.8, RimRatio: 0.885}
	s.Fasteners = []Fastener{f}
	w := newWorld(s)
	area := 0
	for j := range s.Height {
		for i := range s.Width {
			if on := material(w.first(i, j) & 15); on == onHead || on == onFlat {
				area++
			}
		}
	}
	k := 3000 / (200 - 0.8)
	want := math.Pi / 4 * 6.4 * 5.9 * k * k
	if math.Abs(float64(area)-want) > 0.003*want {
		t.Errorf("head covers %d px, want %.0f", area, want)
	}
	tr := s.Truth().Fasteners[0]
	// Ramanujan's second formula for an ellipse's perimeter: the mean width is that over pi.
	a, b := 6.4/2, 5.9/2
	h := math.Pow((a-b)/(a+b), 2)
	mean := (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
	if math.Abs(tr.HeadDMeanMM-mean) > 1e-3 {
		t.Errorf("mean caliper %.4f, want %.4f", tr.HeadDMeanMM, mean)
	}
}

// A solid of revolution whose section is a half circle is a ball: rays meet it where the
// quadratic formula says.
func TestRevolvedBall(t *testing.T) {
	var pts []profilePoint
	const n = 400
	for i := 0; i <= n; i++ {
		s, c := math.Sincos(math.Pi * (float64(i)/n - 0.5))
		pts = append(pts, profilePoint{math.Abs(2 * c), 2 * s})
	}
	h := newRevolved(pts, vec{1, 2, 3}, vec{0.3, -0.2, 0.9}, vec{1, 0, 0}, 1, 1)
	r := newRandom(9)
	hits := 0
	for range 2000 {
		o := vec{1 + r.span(-5, 5), 2 + r.span(-5, 5), 3 + r.span(3, 6)}
		d := vec{1 + r.span(-2.2, 2.2), 2 + r.span(-2.2, 2.2), 3 + r.span(-1, 1)}.sub(o).unit()
		c := o.sub(vec{1, 2, 3})
		b := c.dot(d)
		disc := b*b - c.dot(c) + 4
		tt, nn, _, ok := h.hit(o, d, 1e-6, 1e6)
		if math.Abs(disc) < 0.02 {
			continue // grazing: the polygon's and the ball's outlines differ
		}
		if ok != (disc > 0) {
			t.Fatalf("hit %v, want %v", ok, disc > 0)
		}
		if !ok {
			continue
		}
		hits++
		want := -b - math.Sqrt(disc)
		if math.Abs(tt-want) > 2e-3 {
			t.Errorf("met at %.5f, want %.5f", tt, want)
		}
		if m := o.at(d, tt).sub(vec{1, 2, 3}).unit(); m.dot(nn) < 0.9999 {
			t.Errorf("normal is %.4f from the radius", m.dot(nn))
		}
	}
	if hits < 200 {
		t.Fatalf("only %d hits", hits)
	}
}

// The distance to a rounded polygon is that to the nearest of many points along it.
func TestOutlineDistance(t *testing.T) {
	o := newOutline([][2]float64{{0, 0}, {40, 0}, {40, 12}, {14, 30}, {0, 30}}, []float64{6, 0.6, 8, 3, 3})
	var rim []vec
	for i := range o.a {
		for k := range 2000 {
			rim = append(rim, o.a[i].at(o.b[i].sub(o.a[i]), float64(k)/2000))
		}
		c := o.corners[i]
		for k := range 4000 {
			s, co := math.Sincos(2 * math.Pi * float64(k) / 4000)
			if co*c.tx0+s*c.ty0 >= 0 && co*c.tx1+s*c.ty1 <= 0 {
				rim = append(rim, vec{c.cx + c.r*co, c.cy + c.r*s, 0})
			}
		}
	}
	r := newRandom(4)
	for range 300 {
		x, y := r.span(-6, 46), r.span(-6, 36)
		best := math.Inf(1)
		for _, q := range rim {
			best = math.Min(best, math.Hypot(x-q.x, y-q.y))
		}
		if got := o.dist(x, y); math.Abs(math.Abs(got)-best) > 0.03 {
			t.Errorf("at (%.2f, %.2f): %.3f, want ±%.3f", x, y, got, best)
		}
	}
}
