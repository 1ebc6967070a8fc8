package synth

import "math"

// random is a small, fast generator (xorshift64*, S. Vigna, ACM TOMS 42 (2016) 30).
type random uint64

func newRandom(seed uint64) *random {
	// One round of splitmix64 so that neighbouring seeds do not give neighbouring streams.
	z := seed + 0x9e3779b97f4a7c15
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	z ^= z >> 31
	if z == 0 {
		z = 1
	}
	r := random(z)
	return &r
}

func (r *random) next() uint64 {
	x := uint64(*r)
	x ^= x >> 12
	x ^= x << 25
	x ^= x >> 27
	*r = random(x)
	return x * 0x2545f4914f6cdd1d
}

// unit gives a number in [0, 1).
func (r *random) unit() float64 { return float64(r.next()>>11) * (1.0 / (1 << 53)) }

// span gives a number in [a, b).
func (r *random) span(a, b float64) float64 { return a + (b-a)*r.unit() }

// chance is true with probability p.
func (r *random) chance(p float64) bool { return r.unit() < p }

// intn gives a number in 0..n-1.
func (r *random) intn(n int) int { return int(r.next()>>33) % n }

// normal gives a standard normal number (polar method).
func (r *random) normal() float64 {
	for {
		u, v := 2*r.unit()-1, 2*r.unit()-1
		if s := u*u + v*v; s > 0 && s < 1 {
			return u * math.Sqrt(-2*math.Log(s)/s)
		}
	}
}

const tileSize = 256

// tile is a periodic table of smooth noise with mean 0 and standard deviation 1.
type tile [tileSize * tileSize]float32

func newTile(seed uint64) *tile {
	r := newRandom(seed)
	var t tile
	for i := range t {
		t[i] = float32(r.normal())
	}
	return &t
}

// newNoise gives a scene its tables.
func newNoise(seed uint64) (t [4]*tile) {
	for i := range t {
		t[i] = newTile(seed*7 + uint64(i) + 1)
	}
	return
}

// at interpolates the table at (x, y), one cell a unit.
func (t *tile) at(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx)&(tileSize-1), int(fy)&(tileSize-1)
	a, b := x-fx, y-fy
	a, b = a*a*(3-2*a), b*b*(3-2*b)
	i1, j1 := (i+1)&(tileSize-1), (j+1)&(tileSize-1)
	p, q := float64(t[j*tileSize+i]), float64(t[j*tileSize+i1])
	u, v := float64(t[j1*tileSize+i]), float64(t[j1*tileSize+i1])
	p += (q - p) * a
	u += (v - u) * a
	return p + (u-p)*b
}

// cloud sums octaves of a tile, each half as large and half as strong.
func (t *tile) cloud(x, y float64, octaves int) float64 {
	s, k := 0.0, 1.0
	for range octaves {
		s += k * t.at(x, y)
		x, y, k = x*2.03+17.3, y*2.03+5.1, k*0.55
	}
	return s
}
