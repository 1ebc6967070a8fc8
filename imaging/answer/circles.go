package answer

import (
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc/gaugestudy"
)

// CirclesSeen is what a photo gave of the printed circles, as a gauge study takes it.
type CirclesSeen struct {
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Method string `json:"method"`
	gaugestudy.Photo
	Rings [][]Point `json:"rings_px"` // of each spot, the middle of its line
}

// Circles measures the printed circles that lie beside the card. The error is a *qc.Refusal about the
// photo.
func Circles(ph *photo.Photo, opt measure.Options) (*CirclesSeen, error) {
	seen, err := measure.Circles(ph, opt)
	if err != nil {
		return nil, err
	}
	out := &CirclesSeen{Width: seen.Width, Height: seen.Height, Method: measure.Method,
		Photo: gaugestudy.Photo{Camera: seen.Camera, Layout: seen.Scale.Layout, Stretch: seen.Stretch}}
	for _, c := range seen.Circles {
		out.Spots = append(out.Spots, gaugestudy.Spot{XMM: tidy(c.Centre.X), YMM: tidy(c.Centre.Y), PrintedMM: c.PrintedMM, ValueMM: c.ValueMM, UMM: c.UMM})
		out.Rings = append(out.Rings, points(c.RingPx))
	}
	return out, nil
}
