package contour

import (
	_ "embed"
	"sync"

	"bucktail/imaging/fastener/convnet"
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

var (
	outlineNetA = sync.OnceValue(func() *convnet.Network { return mustNetwork(outlineWeightsA) })
	outlineNetB = sync.OnceValue(func() *convnet.Network { return mustNetwork(outlineWeightsB) })
	bandNetA    = sync.OnceValue(func() *convnet.Network { return mustNetwork(bandWeightsA) })
	bandNetB    = sync.OnceValue(func() *convnet.Network { return mustNetwork(bandWeightsB) })
)

func mustNetwork(b []byte) *convnet.Network {
	n, err := convnet.Read(b)
	if err != nil {
		panic("contour: the embedded outline network is damaged: " + err.Error())
	}
	return n
}
