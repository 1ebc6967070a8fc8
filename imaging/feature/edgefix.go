package feature

import "math"

// fix is one place on a line in a strip: at s it lies at n, u in doubt (standard, mm).
type fix struct{ s, n, u float64 }

// fixLine is a robust line through fixes: n + slope s.
type fixLine struct {
	n, slope  float64
	mid, uMid float64 // the mean s of the fixes, and the doubt of n there, from u and scatter
	uSlope    float64
	agree     float64 // weight of the fixes that agree with the line, of all
}

// maxTrackSlope is more than a line can be off its direction once bestLine has found it.
const maxTrackSlope = 0.008

// uPair is the doubt of the slope that most pairs of fixes agree on.
const uPair = 0.001

// lineThrough gives the line that most fixes agree with, within about tol mm: the best of
// lines through pairs, then weighted least squares with Geman and McClure's weights.
// It needs two fixes.
func lineThrough(p []fix, tol float64) fixLine {
	best, bestN, bestSlope := -1.0, 0.0, 0.0
	say := make([]struct{ tight, weight float64 }, len(p)) // 1/tolerance², and the weight
	for i, q := range p {
		say[i].tight, say[i].weight = 1/(tol*tol+q.u*q.u), 1/(q.u+0.01)
	}
	try := func(n, slope float64) {
		sum := 0.0
		for i, q := range p {
			r := q.n - n - slope*q.s
			if c := r * r * say[i].tight; c < 1 {
				sum += (1 - c) * say[i].weight
			}
		}
		if sum > best {
			best, bestN, bestSlope = sum, n, slope
		}
	}
	for i, q := range p {
		try(q.n, 0)
		for _, gap := range [4]int{len(p) / 4, len(p) / 3, len(p) / 2, len(p) - 1} {
			if j := i + gap; gap > 0 && j < len(p) && p[j].s > q.s {
				if b := (p[j].n - q.n) / (p[j].s - q.s); math.Abs(b) < maxTrackSlope {
					try(q.n-b*q.s, b)
				}
			}
		}
	}
	l := fixLine{n: bestN, slope: bestSlope}
	var all, sw, ss, sn, sss, ssn, srr float64
	for round := range 4 {
		all, sw, ss, sn, sss, ssn, srr = 0, 0, 0, 0, 0, 0, 0
		for _, q := range p {
			w := 1 / (q.u*q.u + 0.0002) // places nearer than 0.014 mm are luck
			all += w
			r := (q.n - l.n - l.slope*q.s) / tol
			w /= (1 + r*r) * (1 + r*r)
			sw += w
			ss += w * q.s
			sn += w * q.n
			sss += w * q.s * q.s
			ssn += w * q.s * q.n
			srr += w * r * r * tol * tol
		}
		if round == 3 {
			break
		}
		// With a weak prior on the slope about the one that pairs agreed on.
		det := sss - ss*ss/sw + 1/(uPair*uPair)
		l.slope = (ssn - ss*sn/sw + bestSlope/(uPair*uPair)) / det
		l.n = (sn - l.slope*ss) / sw
	}
	l.mid = ss / sw
	l.agree = sw / all
	scatter := srr / max(float64(len(p)-2), 1) // chi² per degree of freedom
	l.uMid = math.Sqrt(max(scatter, 1) / sw)
	l.uSlope = math.Sqrt(max(scatter, 1) / (sss - ss*ss/sw + 1/(uPair*uPair)))
	return l
}
