package contour

import (
	_ "embed"
	"sync"

	"bucktail/imaging/convnet"
)

// The outline network: a small convolutional network that looks at an unwrapped
// neighbourhood and says, for every direction, how likely each distance is to be the
// silhouette (and, for driven heads, the rim of the flat), and whether a fastener of the
// wanted kind stands there at all.
//
// It has the shape of Ronneberger, Fischer and Brox, U-Net, MICCAI 2015, with two halvings
// and some 50,000 weights. Two networks of that shape, trained from different starts, look
// at each place: where they disagree the contour is uncertain. Two more look along the contour
// that they found, rectified. They were trained on rendered patches (package synth), and the last
// one on part of the rendered example photos, too; testdata/training/README.md names them, says
// how, and holds the scripts.
//
//go:embed outline-a.weights
var outlineWeightsA []byte

//go:embed outline-b.weights
var outlineWeightsB []byte

//go:embed band-a.weights
var bandWeightsA []byte

//go:embed band-b.weights
var bandWeightsB []byte

// lazy is a network that is read when it is first asked for. Its weights are named in functions
// alone, not where the package is set up, so that a program which never looks leaves them out.
type lazy struct {
	once sync.Once
	net  *convnet.Network
}

func (l *lazy) read(b []byte) *convnet.Network {
	l.once.Do(func() {
		n, err := convnet.Read(b)
		if err != nil {
			panic("contour: the embedded outline network is damaged: " + err.Error())
		}
		l.net = n
	})
	return l.net
}

var lazyOutlineA, lazyOutlineB, lazyBandA, lazyBandB lazy

func outlineNetA() *convnet.Network { return lazyOutlineA.read(outlineWeightsA) }
func outlineNetB() *convnet.Network { return lazyOutlineB.read(outlineWeightsB) }
func bandNetA() *convnet.Network    { return lazyBandA.read(bandWeightsA) }
func bandNetB() *convnet.Network    { return lazyBandB.read(bandWeightsB) }
