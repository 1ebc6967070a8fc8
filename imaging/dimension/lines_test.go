package dimension

import (
	"math"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/qc/drawing"
)

// A dimension line goes from the head's centre square to the edge, a pitch's is as long on the
// sheet as the pitch, both through the camera.
func TestLinesLieOnTheSheet(t *testing.T) {
	for _, s := range all() {
		if !s.fits() {
			continue
		}
		for _, m := range s.plan.dims {
			switch m.kind {
			case edge:
				p := s.at[m.of]
				if m.a.Sub(p).Norm() > 1e-6 || m.b.Sub(geom.SheetPoint{X: p.X}).Norm() > 1e-3 {
					t.Errorf("%s: edge dimension from %v to %v, head at %v", s.what, m.a, m.b, p)
				}
			case pitch:
				want := s.at[m.of].Sub(s.at[m.to]).Norm()
				if got := m.a.Sub(m.b).Norm(); math.Abs(got-want) > 1e-6 {
					t.Errorf("%s: pitch of %v drawn %v long", s.what, want, got)
				}
			default:
				continue
			}
			a, b := s.view.At(s.camera().Project(m.a, 0)), s.view.At(s.camera().Project(m.b, 0))
			for _, l := range s.out.Lines {
				if n := len(l.Points) - 1; l.Role == drawing.Dimension && l.Points[0].Sub(a).Len() < 1 && l.Points[n].Sub(b).Len() > 1 && l.Points[n].Sub(a).Unit().Dot(b.Sub(a).Unit()) > 0.9999 {
					t.Errorf("%s: a line from %v to %v ends at %v", s.what, a, b, l.Points[n])
				}
			}
		}
	}
}

// Dimension lines run over no head but their own, lie upon no other, and a value belongs to one of
// which the frame shows something. Of the pitches of one that is chosen none that is within goes
// past another head.
func TestLinesKeepClear(t *testing.T) {
	for _, s := range all() {
		frame := box{X1: s.view.Width, Y1: s.view.Height}
		d := s.plan.placing(s.view, look)
		for _, v := range s.out.Values {
			if !slices.ContainsFunc(s.plan.dims, func(m *dim) bool {
				return m.of == v.Of && m.text == v.Text && (m.kind == diameter && d.seen(m.of) || m.kind != diameter && frame.Length(d.mm(m.a), d.mm(m.b)) > 0)
			}) {
				t.Errorf("%s: the line of %s is not in the frame", s.what, v.Text)
			}
		}
		if !s.fits() {
			continue
		}
		var lines []drawing.Line
		for _, l := range s.out.Lines {
			a, b := l.Points[0], l.Points[1]
			if l.Role == drawing.Extension && !s.plan.alone() { // it begins off the feature
				for _, h := range d.heads {
					if gap := a.Sub(h.c).Len() - h.r; gap > -2 && gap < 1 {
						t.Errorf("%s: an extension line begins %v off an outline", s.what, gap)
					}
				}
			}
			if l.Role != drawing.Dimension {
				continue
			}
			over := 0
			for _, h := range d.heads {
				if nearLine(h.c, a, b) < 0.9*h.r {
					over++
				}
			}
			if over > 1 {
				t.Errorf("%s: a dimension line runs over %d heads", s.what, over)
			}
			for _, o := range lines {
				if upon(a, b, o.Points[0], o.Points[1]) {
					t.Errorf("%s: two dimension lines lie upon each other: %v, %v", s.what, l.Points, o.Points)
				}
			}
			lines = append(lines, l)
		}
		for _, m := range s.plan.dims {
			if s.plan.what.Chosen == 0 || m.kind != pitch || m.verdict != "" {
				continue
			}
			for i, p := range s.at {
				if i != m.of && i != m.to && offLine(p, s.at[m.of], s.at[m.to]) < s.dMM/2 {
					t.Errorf("%s: pitch from %d to %d over %d", s.what, m.of, m.to, i)
				}
			}
		}
	}
}

// upon tells whether lines lie upon each other for more than arrowheads that meet.
func upon(a, b, c, e vec) bool {
	n := 0
	for k := 1; k < 40; k++ {
		if nearLine(a.On(b, float64(k)/40), c, e) < 1.5 {
			n++
		}
	}
	return float64(n)/40*b.Sub(a).Len() > 2*arrowLength
}

// The part of the photo that is chosen is the photo as far as that fills the frame.
func TestFitCovers(t *testing.T) {
	for _, s := range all() {
		if v := s.view; s.fits() {
			if v.Scale*benchW >= v.Width && (v.X > 1e-9 || v.X+v.Scale*benchW < v.Width-1e-9) || v.Scale*benchH >= v.Height && (v.Y > 1e-9 || v.Y+v.Scale*benchH < v.Height-1e-9) {
				t.Errorf("%s: %+v shows what is not on the photo", s.what, v)
			}
		}
	}
}

// One that is chosen has its diameter between two lines that touch its outline.
func TestTrueDiameter(t *testing.T) {
	drawn := 0
	for _, s := range all() {
		c := s.plan.what.Chosen
		i := slices.IndexFunc(s.out.Values, func(v drawing.Value) bool { return strings.HasPrefix(v.Text, "Ø") })
		if c == 0 || i < 0 || !s.fits() {
			continue
		}
		drawn++
		// The lines' ends by the outline: two extension lines that begin within 2 mm of it.
		rim := s.rims()[c-1]
		perMM := s.camera().PxPerMM(s.at[c-1], 0) * s.view.Scale
		var touching []drawing.Line
		for _, l := range s.out.Lines {
			if l.Role != drawing.Extension {
				continue
			}
			u := l.Points[1].Sub(l.Points[0]).Unit().Turned()
			least, most := math.Inf(1), math.Inf(-1)
			for _, p := range rim {
				t := p.Sub(l.Points[0]).Dot(u)
				least, most = min(least, t), max(most, t)
			}
			if math.Abs(least) < 0.05*perMM*s.dMM || math.Abs(most) < 0.05*perMM*s.dMM {
				touching = append(touching, l)
			}
		}
		if len(touching) < 2 {
			t.Errorf("%s: %d lines touch the outline", s.what, len(touching))
		}
	}
	if drawn < 80 {
		t.Errorf("only %d true diameters", drawn)
	}
}
