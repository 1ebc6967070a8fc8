package contour

import (
	_ "embed"

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
// that they found, rectified. They were trained on rendered patches (package synth), and these
// two on part of the rendered example photos, too; testdata/training/README.md names them, says
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

var lazyOutlineA, lazyOutlineB, lazyBandA, lazyBandB convnet.Lazy

func outlineNetA() *convnet.Network { return lazyOutlineA.Read(outlineWeightsA) }
func outlineNetB() *convnet.Network { return lazyOutlineB.Read(outlineWeightsB) }
func bandNetA() *convnet.Network    { return lazyBandA.Read(bandWeightsA) }
func bandNetB() *convnet.Network    { return lazyBandB.Read(bandWeightsB) }
