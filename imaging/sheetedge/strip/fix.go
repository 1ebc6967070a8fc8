package strip

import "math"

// Fix is one place on a line in a strip: at S it lies at N, with the standard uncertainty U; mm.
type Fix struct{ S, N, U float64 }

// FixLine is a robust line through fixes: n + slope s.
type FixLine struct {
	N, Slope float64
	UMid     float64 // standard uncertainty of N at the mean s of the fixes, from theirs and their scatter
	USlope   float64
	Agree    float64 // weight of the fixes that agree with the line, of all
}

// maxTrackSlope is more than a line can be off its direction once bestLine has found it.
const maxTrackSlope = 0.008

// uPair is the standard uncertainty of the slope that most pairs of fixes agree on.
const uPair = 0.001

// LineThrough gives the line that most fixes agree with, within about tol mm: the best of
// lines through pairs, then weighted least squares with Geman and McClure's weights.
// It needs two fixes.
func LineThrough(p []Fix, tol float64) FixLine {
	best, bestN, bestSlope := -1.0, 0.0, 0.0
	say := make([]struct{ tight, weight float64 }, len(p)) // 1/tolerance², and the weight
	for i, q := range p {
		say[i].tight, say[i].weight = 1/(tol*tol+q.U*q.U), 1/(q.U+0.01)
	}
	try := func(n, slope float64) {
		sum := 0.0
		for i, q := range p {
			r := q.N - n - slope*q.S
			if c := r * r * say[i].tight; c < 1 {
				sum += (1 - c) * say[i].weight
			}
		}
		if sum > best {
			best, bestN, bestSlope = sum, n, slope
		}
	}
	for i, q := range p {
		try(q.N, 0)
		for _, gap := range [4]int{len(p) / 4, len(p) / 3, len(p) / 2, len(p) - 1} {
			if j := i + gap; gap > 0 && j < len(p) && p[j].S > q.S {
				if b := (p[j].N - q.N) / (p[j].S - q.S); math.Abs(b) < maxTrackSlope {
					try(q.N-b*q.S, b)
				}
			}
		}
	}
	l := FixLine{N: bestN, Slope: bestSlope}
	var all, sw, ss, sn, sss, ssn, srr float64
	for round := range 4 {
		all, sw, ss, sn, sss, ssn, srr = 0, 0, 0, 0, 0, 0, 0
		for _, q := range p {
			w := 1 / (q.U*q.U + 0.0002) // places nearer than 0.014 mm are luck
			all += w
			r := (q.N - l.N - l.Slope*q.S) / tol
			w /= (1 + r*r) * (1 + r*r)
			sw += w
			ss += w * q.S
			sn += w * q.N
			sss += w * q.S * q.S
			ssn += w * q.S * q.N
			srr += w * r * r * tol * tol
		}
		if round == 3 {
			break
		}
		// With a weak prior on the slope about the one that pairs agreed on.
		det := sss - ss*ss/sw + 1/(uPair*uPair)
		l.Slope = (ssn - ss*sn/sw + bestSlope/(uPair*uPair)) / det
		l.N = (sn - l.Slope*ss) / sw
	}
	l.Agree = sw / all
	scatter := srr / max(float64(len(p)-2), 1) // chi² per degree of freedom
	l.UMid = math.Sqrt(max(scatter, 1) / sw)
	l.USlope = math.Sqrt(max(scatter, 1) / (sss - ss*ss/sw + 1/(uPair*uPair)))
	return l
}
