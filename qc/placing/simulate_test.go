package placing_test

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"bucktail/qc/placing"
)

// part is an invented one: where its fasteners are, and what is known of it.
type part struct {
	form  string
	at    map[string]complex128
	tags  []string
	known placing.Known
	how   string
}

// pitches of usual layouts.
var pitches = []float64{16, 18, 19.05, 20, 25, 25.4}

func invented(r *rand.Rand) part {
	p := part{at: map[string]complex128{}}
	add := func(z complex128) {
		tag := fmt.Sprintf("R%d", len(p.tags)+1)
		p.tags, p.at[tag] = append(p.tags, tag), z
	}
	pitch := pitches[r.IntN(len(pitches))]
	switch r.IntN(5) {
	case 0, 1:
		p.form = "gusset"
		corner := r.Float64() * 0.6
		n := 3 + r.IntN(10)
		var along [2]float64
		for i := range n { // on two legs in turn, with pitches that differ or not
			step := pitch
			if r.IntN(2) == 0 {
				step *= 0.8 + 0.5*r.Float64()
			}
			along[i%2] += step
			add(complex(8, 8) + complex(along[i%2], 0)*cmplx.Rect(1, float64(i%2)*(math.Pi/2-corner)))
		}
	case 2:
		p.form = "grid"
		across, down := 2+r.IntN(9), 2+r.IntN(9)
		other := pitches[r.IntN(len(pitches))]
		for j := range down {
			for i := range across {
				add(complex(float64(i)*pitch, -float64(j)*other))
			}
		}
	case 3:
		p.form = "row"
		x := 0.0
		pattern := []float64{pitch}
		for range r.IntN(3) {
			pattern = append(pattern, pitches[r.IntN(len(pitches))])
		}
		for i := range 3 + r.IntN(18) {
			add(complex(x, 0))
			x += pattern[i%len(pattern)]
		}
	case 4:
		p.form = "angle" // the same four at both ends, one end turned round
		for range 2 {
			for _, z := range []complex128{0, complex(pitch, 0), complex(2*pitch+5, 0), complex(2*pitch+5, 12)} {
				if len(p.tags) >= 4 {
					z = complex(160, 20) - z
				}
				add(z)
			}
		}
	}
	for _, tag := range p.tags { // drilled by hand
		p.at[tag] += complex(r.NormFloat64(), r.NormFloat64()) * 0.15
	}
	return p
}

func (p *part) places(tags []string, spread float64, mirror bool, r *rand.Rand) (out []placing.Place) {
	for _, tag := range tags {
		z := p.at[tag] + complex(r.NormFloat64(), r.NormFloat64())*complex(spread, 0)
		if mirror {
			z = -cmplx.Conj(z)
		}
		out = append(out, placing.Place{ID: tag, At: z})
	}
	return out
}

// apart is how far it is to the nearest other one.
func (p *part) apart(tag string) float64 {
	least := math.Inf(1)
	for other, at := range p.at {
		if other != tag {
			least = min(least, cmplx.Abs(at-p.at[tag]))
		}
	}
	return least
}

// near are n tags round one of them: what one photo shows.
func (p *part) near(tags []string, n int, r *rand.Rand) []string {
	mid := p.at[tags[r.IntN(len(tags))]]
	out := slices.Clone(tags)
	slices.SortStableFunc(out, func(a, b string) int {
		return cmp.Compare(cmplx.Abs(p.at[a]-mid), cmplx.Abs(p.at[b]-mid))
	})
	return out[:min(n, len(out))]
}

// learn says what is known before the photo.
func (p *part) learn(r *rand.Rand) {
	size := 0.0
	for _, a := range p.at {
		for _, b := range p.at {
			size = max(size, cmplx.Abs(a-b))
		}
	}
	switch r.IntN(5) {
	case 0, 1:
		p.how = "pins"
		p.known.Maps = []placing.Map{{Places: p.places(p.tags, 0.002*size, r.IntN(8) == 0, r), Scaled: true, Whole: true,
			NearMM: max(1, 0.01*size), FarMM: max(2.5, 0.025*size)}}
	case 2:
		p.how = "photos, all"
		p.known.Maps = []placing.Map{{Places: p.places(p.tags, 0.1, false, r), Scaled: true, Whole: true, NearMM: 1, FarMM: 2.5}}
	case 3:
		p.how = "photos"
		seen := p.near(p.tags, 3+r.IntN(6), r)
		if p.form == "angle" {
			seen = p.tags[:4]
		}
		p.known.Maps = []placing.Map{{Places: p.places(seen, 0.1, false, r), Scaled: true, NearMM: 1, FarMM: 2.5}}
	case 4:
		p.how = "pins, no scale"
		m := placing.Map{Places: p.places(p.tags, 0.004*size, false, r), Whole: true}
		lo, hi := m.Places[0].At, m.Places[0].At
		for i := range m.Places {
			m.Places[i].At *= 12.5
			lo = complex(min(real(lo), real(m.Places[i].At)), min(imag(lo), imag(m.Places[i].At)))
			hi = complex(max(real(hi), real(m.Places[i].At)), max(imag(hi), imag(m.Places[i].At)))
		}
		wide := max(real(hi-lo), imag(hi-lo)) * 1.3
		m.NearMM, m.FarMM = 0.02*wide, 0.05*wide
		p.known.Maps = []placing.Map{m}
	}
}

func TestNeverWrong(t *testing.T) {
	if testing.Short() { // in a browser's machine: the sums come out as here
		neverWrong(t, 13, 100)
		return
	}
	neverWrong(t, 13, 1000)
	// The rule was made with the first seed; these were never looked at for it, with 1,000 each.
	for _, seed := range []uint64{101, 202, 303, 404, 505} {
		neverWrong(t, seed, 100)
	}
}

func neverWrong(t *testing.T, seed uint64, parts int) {
	type score struct{ photos, fasteners, right, asked, wrong, taps int }
	scores := map[string]*score{}
	count := func(form string) *score {
		if scores[form] == nil {
			scores[form] = &score{}
		}
		return scores[form]
	}
	r := rand.New(rand.NewPCG(seed, 1))
	for range parts {
		p := invented(r)
		p.learn(r)
		standing := slices.Clone(p.tags)
		if r.IntN(4) == 0 && len(standing) > 3 { // one drilled out: no head stands there
			i := r.IntN(len(standing))
			standing = slices.Delete(standing, i, i+1)
		}
		if r.IntN(5) == 0 { // one set from where it was known to be
			tag := p.tags[r.IntN(len(p.tags))]
			p.at[tag] += cmplx.Rect(min(float64(1+r.IntN(10)), p.apart(tag)*0.45), 2*math.Pi*r.Float64())
			p.how += ", one moved"
		}
		shown := p.near(standing, 1+r.IntN(6), r)
		r.Shuffle(len(shown), func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
		turn, shift := cmplx.Rect(1, 2*math.Pi*r.Float64()), complex(100*r.NormFloat64(), 100*r.NormFloat64())
		photo := placing.Photo{Said: make([]string, len(shown))}
		for _, tag := range shown {
			photo.Seen = append(photo.Seen, turn*p.at[tag]+shift+complex(r.NormFloat64(), r.NormFloat64())*0.08)
		}
		here := func(tag string) bool {
			return slices.ContainsFunc(p.known.Maps[0].Places, func(l placing.Place) bool { return l.ID == tag })
		}
		truth := func(tag string) string {
			if !here(tag) {
				return placing.New
			}
			return tag
		}
		s := count(p.how)
		s.photos++
		s.fasteners += len(shown)
		tapped := map[int]bool{}
		for a := placing.Match(photo, p.known); ; a = placing.Match(photo, p.known) {
			for i, is := range a.Is {
				if is != "" && is != truth(shown[i]) {
					s.wrong++
					t.Errorf("%s, %s: %s was taken for %s after %d taps", p.form, p.how, shown[i], is, len(tapped))
				}
			}
			if a.Ask < 0 {
				break
			}
			if tapped[a.Ask] {
				t.Fatalf("asked twice about the same one: %+v", a)
			}
			tapped[a.Ask] = true
			photo.Said[a.Ask] = truth(shown[a.Ask])
			s.taps++
		}
		if len(tapped) == 0 {
			s.right += len(shown)
		} else {
			s.asked += len(shown)
		}
	}
	var sum score
	for _, s := range scores {
		sum.photos, sum.fasteners, sum.taps = sum.photos+s.photos, sum.fasteners+s.fasteners, sum.taps+s.taps
		sum.right, sum.asked, sum.wrong = sum.right+s.right, sum.asked+s.asked, sum.wrong+s.wrong
	}
	scores["all"] = &sum
	// As few questions as were needed when this was written (10.4 %, 1.9 taps): doubt is no refuge.
	if part := float64(sum.right) / float64(sum.fasteners); sum.photos >= 1000 && part < 0.09 {
		t.Errorf("only %.1f %% are proposed", 100*part)
	} else if taps := float64(sum.taps) / (float64(sum.photos) * (1 - part)); taps > 2.1 {
		t.Errorf("%.1f taps a photo that was asked about", taps)
	}
	t.Logf("seed %d", seed)
	for _, how := range slices.Sorted(func(yield func(string) bool) {
		for h := range scores {
			if !yield(h) {
				return
			}
		}
	}) {
		s := scores[how]
		t.Logf("%-22s %4d photos, %5d fasteners: proposed right %4.1f %%, asked %4.1f %%, wrong %d; %.1f taps a photo that was asked about",
			how, s.photos, s.fasteners, 100*float64(s.right)/float64(s.fasteners), 100*float64(s.asked)/float64(s.fasteners), s.wrong,
			float64(s.taps)/max(1, float64(s.photos)*float64(s.asked)/float64(s.fasteners)))
	}
}
