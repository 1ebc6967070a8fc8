package measure

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// Circle is one of the printed circles ([card.Circles]) as a photo shows it.
type Circle struct {
	PrintedMM     float64 // diameter of the middle of its line, as the page was made
	ValueMM, UMM  float64 // as read, and its expanded uncertainty (k = 2)
	Centre        geom.SheetPoint
	RingPx        []geom.PxPoint // the middle of its line
	Contributions []qc.Contribution
}

// CirclesSeen is what a photo gave of the printed circles.
type CirclesSeen struct {
	SHA256, Camera string
	Width, Height  int // px, upright
	Scale          Scale
	Stretch        float64  // by how much the print is larger than its page, both ways on the average
	Circles        []Circle // in the order of their sizes on the page, those that were read
}

const (
	// sameSize is how far a ring may be from a printed size and still be that one: less than half of what
	// the sizes differ by, far more than a reading errs.
	sameSize = 0.04
	// sameLine is how far its line may be from as wide as it is printed.
	sameLine = 0.2
	// levelU is how far the piece's face may lie from the level of the card's, mm (practice: both of one
	// paper, pressed flat).
	levelU = 0.1
)

// Circles measures the printed circles that lie beside the card, on the same paper and so level with its
// face. Of opt the card's print scale and thickness count.
//
// That the print is stretched is no error of the phone: it stretches card and circles alike, and is
// neither in U nor in what they are held against. The error is a *qc.Refusal.
func Circles(ph *photo.Photo, opt Options) (*CirclesSeen, error) {
	m, rings, err := card.FindAll(ph.Picture)
	if err != nil {
		return nil, err
	}
	pl, err := cardPlane(ph, m, &opt)
	if err != nil {
		return nil, err
	}
	out := &CirclesSeen{SHA256: ph.SHA256, Camera: ph.Camera, Width: ph.Width, Height: ph.Height, Scale: scaleOf(pl)}
	stretch := (pl.Options.PrintScaleX + pl.Options.PrintScaleY) / 2
	out.Stretch = stretch
	z := pl.Options.ThicknessMM
	for _, c := range card.Circles {
		outer, inner := c.Radii()
		found := 0
		for _, r := range rings {
			at := pl.Camera.ToSheet(r.CentrePx, z)
			if rough := r.RadiusPx / pl.Camera.PxPerMM(at, z); math.Abs(rough/(outer*stretch)-1) > 0.2 {
				continue
			}
			f, ok := pl.Ring(ph.Picture, at, outer*stretch, inner*stretch)
			d := f.OuterMM + f.InnerMM
			line := (outer-inner)*stretch + 2*pl.InkGainMM
			if !ok || math.Abs(d/(c.DiameterMM*stretch)-1) > sameSize || math.Abs(f.OuterMM-f.InnerMM-line) > sameLine*line {
				continue
			}
			x := geom.SheetPoint{X: d / 2}
			u := pl.LengthU(f.Centre.Sub(x), f.Centre.Add(x), z)
			seen := Circle{PrintedMM: c.DiameterMM, ValueMM: d, Centre: f.Centre, Contributions: []qc.Contribution{
				{Label: qc.CameraFit, UMM: u.CameraMM},
				{Label: "outline: noise", UMM: math.Hypot(f.UMM[0], f.UMM[1])},
				{Label: "level of the piece", UMM: d * levelU / pl.DistanceMM(), Source: "practice"},
			}}
			b, err := qc.CombineReading(seen.Contributions)
			if err != nil {
				return nil, fmt.Errorf("a circle's budget: %w", err)
			}
			seen.UMM = b.Expanded
			for k := range 64 {
				sn, cs := math.Sincos(2 * math.Pi * float64(k) / 64)
				seen.RingPx = append(seen.RingPx, pl.ToPx(f.Centre.Add(geom.SheetPoint{X: d / 2 * cs, Y: d / 2 * sn}), z))
			}
			if found++; found > 1 {
				return nil, &qc.Refusal{Code: "two-circles", Text: fmt.Sprintf("two printed circles of %g mm were found", c.DiameterMM),
					Do: "lay one piece with circles beside the card, and nothing else that is printed"}
			}
			out.Circles = append(out.Circles, seen)
		}
	}
	if len(out.Circles) == 0 {
		return nil, &qc.Refusal{Code: "no-circles", Text: "no printed circle was found beside the card",
			Do: "lay the piece with the circles beside the card, both flat, and keep all of it in the picture"}
	}
	return out, nil
}
