package fastener

import (
	"math"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fastener/places"
	"bucktail/imaging/fit"
	"bucktail/qc"
)

// lookalikes are the kinds that are told apart, each at its [places.ClassOf]: a made head's dome
// is one, whatever rivet it is of.
var lookalikes = [4]qc.Kind{qc.ShopHead, qc.PulledHead, qc.FlushHead, qc.Hole}

// evidence is what the looks say of a place: the closer looks' logit of each of lookalikes, and how
// likely each class is from afar.
type evidence struct {
	logits [len(lookalikes)]float64
	afar   [places.Classes]float64
	// The diameter over the nominal one that was said; 0: not weighed.
	diameterD float64
}

// What the evidence is worth: the log odds of each kind over none of them gain
// kindOdds plus the weighted evidence. A multinomial logistic regression, fitted on what 1,150
// rendered scenes gave that no network was trained on; testdata/training/README.md says how.
var (
	kindWeights = [len(lookalikes) + int(places.Classes)][len(lookalikes)]float64{
		{0.725, 0.043, 0.126, 0.071},
		{-0.026, 0.663, 0.067, -0.065},
		{-0.038, -0.061, 0.774, 0.048},
		{0.075, -0.114, 0.096, 0.687},
		{0.860, 0.094, 0.733, 0.611},
		{0.515, 1.315, 0.863, 0.134},
		{0.368, 0.434, 0.903, 0.026},
		{0.647, -0.003, 0.088, 1.293},
		{-0.356, -0.180, -0.488, -0.219},
	}
	kindOdds = [len(lookalikes)]float64{1.826, 1.200, 1.414, 1.268}
)

// A closer look's logit beyond these says no more, and a likelihood from afar is no surer than this.
const (
	leastLogit, mostLogit = -3, 9
	surestPlace           = 0.001
)

// posterior is how likely each of lookalikes stands there. That one of them does is told by what is seen;
// which one it is, by the diameter, too.
func (e *evidence) posterior() (p [len(lookalikes)]float64) {
	size := e.bySize()
	seen, weighed := 0.0, 0.0
	for k := range p {
		z := kindOdds[k]
		for i, l := range e.logits {
			z += kindWeights[i][k] * min(max(l, leastLogit), mostLogit)
		}
		for i, q := range e.afar {
			q = min(max(q, surestPlace), 1-surestPlace)
			z += kindWeights[len(lookalikes)+i][k] * math.Log(q/(1-q))
		}
		seen += fit.Exp(z)
		p[k] = fit.Exp(z + size[k])
		weighed += p[k]
	}
	for k := range p {
		p[k] *= seen / (1 + seen) / weighed
	}
	return p
}

// wrongSize is how often the size that is said is taken to be wrong, by anything up to a factor e.
const wrongSize = 0.02

// bySize gives the log likelihood of the diameter for each of lookalikes, less the greatest: what
// is as wide as a driven head of the size is seldom a manufactured one.
func (e *evidence) bySize() (l [len(lookalikes)]float64) {
	if e.diameterD <= 0 {
		return l
	}
	top := math.Inf(-1)
	for i, k := range lookalikes {
		usual := outline.ProfileOf(k)
		sigma := math.Log(usual.MaxD/usual.MinD) / 4 // the range holds nearly all
		z := math.Log(e.diameterD/usual.TypicalD) / sigma
		l[i] = math.Log((1-wrongSize)*fit.Exp(-z*z/2)/(sigma*math.Sqrt(2*math.Pi)) + wrongSize/2)
		top = max(top, l[i])
	}
	for i := range l {
		l[i] -= top
	}
	return l
}
