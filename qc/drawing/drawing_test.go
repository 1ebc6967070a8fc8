package drawing

import (
	"encoding/json"
	"math"
	"testing"

	"bucktail/qc"
)

// The length of a line inside a box, against stepping along it.
func TestLength(t *testing.T) {
	b := Box{10, 20, 50, 40}
	for i := range 500 {
		f := float64(i)
		p, q := Point{math.Mod(f*37.7, 70), math.Mod(f*23.3, 70)}, Point{math.Mod(f*11.9, 70), math.Mod(f*53.1, 70)}
		if i%7 == 0 {
			q.X = p.X // upright
		}
		const n = 4000
		in := 0
		for k := range n {
			v := p.On(q, (float64(k)+0.5)/n)
			if v.X >= b.X0 && v.X <= b.X1 && v.Y >= b.Y0 && v.Y <= b.Y1 {
				in++
			}
		}
		l := q.Sub(p).Len()
		if got, want := b.Length(p, q), l*float64(in)/n; math.Abs(got-want) > 2*l/n+1e-9 {
			t.Fatalf("from %v to %v: %v, want %v", p, q, got, want)
		}
	}
}

// Nearest and farthest place of a box, against trying many.
func TestNearAndFar(t *testing.T) {
	b := Box{10, 20, 50, 40}
	for i := range 200 {
		f := float64(i)
		c := Point{math.Mod(f*37.7, 70), math.Mod(f*23.3, 70)}
		near, far := math.Inf(1), 0.0
		for x := range 41 {
			for y := range 21 {
				l := Point{b.X0 + float64(x), b.Y0 + float64(y)}.Sub(c).Len()
				near, far = min(near, l), max(far, l)
			}
		}
		if got := b.Near(c); got > near+1e-9 || got < near-0.8 {
			t.Errorf("from %v: near %v, want %v", c, got, near)
		}
		if got := b.Far(c); math.Abs(got-far) > 1e-9 {
			t.Errorf("from %v: far %v, want %v", c, got, far)
		}
	}
}

// What the app reads: places in hundredths of a unit, as flat lists; nothing that says nothing.
func TestJSON(t *testing.T) {
	b, err := json.Marshal(Drawing{Width: 390, Height: 388, TextSize: 15,
		Lines:  []Line{{Role: Outline, Points: Path{{1.006, -2.5}, {3, 1e-9}, {-0.001, 4}}, Closed: true, Width: 2.2, Halo: 5.7, Ink: "too close"}},
		Values: []Value{{Of: 1, Box: Box{1, 2, 3.14159, 4}, Text: "6.99"}}, Tags: []Tag{}, Hits: []Hit{{At: Point{1, 2}, Radius: 24}}})
	want := `{"width":390,"height":388,"text_size":15,"lines":[{"role":"outline","points":[1.01,-2.5,3,0,-0,4],"closed":true,"width":2.2,"halo":5.7,"ink":"too close"}],` +
		`"values":[{"of":1,"box":[1,2,3.14,4],"text":"6.99"}],"tags":[],"hits":[{"at":[1,2],"radius":24}]}`
	if err != nil || string(b) != want {
		t.Errorf("%v\n%s\n%s", err, b, want)
	}
}

// What was not all read has the ink of within: no screen needs to know another.
func TestInks(t *testing.T) {
	for v, want := range map[qc.Verdict]Ink{"": Plain, qc.Out: "out", qc.TooClose: "too close", qc.Within: "within", qc.Unread: "within"} {
		if got := Of(v); got != want {
			t.Errorf("%q is drawn in %q, want %q", v, got, want)
		}
	}
}

// A halo passes the open ends of its line by half of what it is wider, and no others.
func TestUnder(t *testing.T) {
	l := Line{Points: Path{{0, 0}, {10, 0}, {10, 10}}, Width: 1.5, Halo: 5}
	if got := l.Under(); got[0] != (Point{-1.75, 0}) || got[1] != (Point{10, 0}) || got[2] != (Point{10, 11.75}) {
		t.Errorf("%v", got)
	}
	if l.Points[0] != (Point{}) {
		t.Error("the line itself was changed")
	}
	l.Closed = true
	if got := l.Under(); got[0] != (Point{}) {
		t.Errorf("closed: %v", got)
	}
}
