package answer

import (
	"math"

	"bucktail/imaging/geom"
)

// Next is how one more photo of the same place tells most beside those that there are.
type Next struct {
	From    Side    `json:"from"`     // the phone goes there and looks back at the card
	TiltDeg float64 `json:"tilt_deg"` // from straight above
	// CardPx is where the card's outline then lies in a photo like this one.
	CardPx []Point `json:"card_px"`
}

// Side is a side of the photo.
type Side string

// The sides, in the order in which they are asked for where nothing tells them apart.
const (
	FromLeft  Side = "left"
	FromRight Side = "right"
	FromNear  Side = "near" // the photo's bottom
	FromFar   Side = "far"
)

const (
	// nextTiltDeg parts two photos by as much as those of testdata/views are apart, by which heads'
	// heights are told, and is not yet noted as steep.
	nextTiltDeg = 20
	// aboutAsFar is by how much, in degrees, a side has to be farther from all views to be preferred to
	// one that is asked for before it.
	aboutAsFar = 3
)

// next says where to take one more photo from; nil without a card. Camera and card are those of the
// photo that the document's places refer to; others are cameras of further photos over the same
// sheet.
func next(s *Scale, others ...*geom.Camera) *Next {
	if s == nil || s.From != "card" || len(s.CardPx) < 3 {
		return nil
	}
	cam := s.Camera.Geom()
	var corners []geom.SheetPoint
	middle := geom.SheetPoint{}
	for _, p := range s.CardPx {
		q := cam.ToSheet(px(p), 0)
		corners, middle = append(corners, q), middle.Add(q)
	}
	middle = middle.Scale(1 / float64(len(corners)))
	// Seen straight from above, the card's middle where this photo has it.
	up := upright(cam)
	at := inCamera(cam, middle)
	best, most := (*Next)(nil), 0.0
	for _, side := range []Side{FromLeft, FromRight, FromNear, FromFar} {
		c := tilted(up, side)
		apart := math.Inf(1)
		for _, v := range append([]*geom.Camera{cam}, others...) {
			apart = min(apart, angleDeg(sight(&c), sight(v)))
		}
		if best != nil && apart < most+aboutAsFar {
			continue
		}
		most = apart
		c.T = [3]float64{}
		moved := inCamera(&c, middle)
		for i := range 3 {
			c.T[i] = at[i] - moved[i]
		}
		best = &Next{From: side, TiltDeg: nextTiltDeg}
		for _, q := range corners {
			best.CardPx = append(best.CardPx, point(c.Project(q, 0)))
		}
	}
	return best
}

// upright gives the camera turned the shortest way to look straight down.
func upright(c *geom.Camera) geom.Camera {
	// The sheet's normal, in the camera, goes to the one toward it: (0, 0, -1), or, where the frame is
	// left-handed, away from it.
	n := [3]float64{c.R[0][2], c.R[1][2], c.R[2][2]}
	to := math.Copysign(1, n[2])
	// Turn about n × (0, 0, to) (Rodrigues' rotation formula).
	k := [3]float64{n[1] * to, -n[0] * to, 0}
	cos := n[2] * to
	var turn [3][3]float64
	cross := [3][3]float64{{0, -k[2], k[1]}, {k[2], 0, -k[0]}, {-k[1], k[0], 0}}
	for i := range 3 {
		for j := range 3 {
			turn[i][j] = cross[i][j] + k[i]*k[j]/(1+cos)
		}
		turn[i][i] += cos
	}
	out := *c
	out.R = times(turn, c.R)
	return out
}

// tilted gives an upright camera moved to a side, so that it looks at the same place from there.
func tilted(c geom.Camera, from Side) geom.Camera {
	sin, cos := math.Sincos(nextTiltDeg * math.Pi / 180)
	turn := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	axis := 0
	switch from {
	case FromRight, FromFar:
		sin = -sin
	}
	if from == FromNear || from == FromFar {
		axis, sin = 1, -sin
	}
	turn[axis][axis], turn[axis][2], turn[2][axis], turn[2][2] = cos, -sin, sin, cos
	c.R = times(turn, c.R)
	return c
}

func times(a, b [3][3]float64) (out [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return out
}

func inCamera(c *geom.Camera, p geom.SheetPoint) (out [3]float64) {
	for i := range 3 {
		out[i] = c.R[i][0]*p.X + c.R[i][1]*p.Y + c.T[i]
	}
	return out
}

// sight gives the way a camera looks, on the sheet.
func sight(c *geom.Camera) [3]float64 { return c.R[2] }

func angleDeg(a, b [3]float64) float64 {
	return math.Acos(max(-1, min(1, a[0]*b[0]+a[1]*b[1]+a[2]*b[2]))) * 180 / math.Pi
}
