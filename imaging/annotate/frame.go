package annotate

import (
	"image"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// frame is the part of the photo that is shown, and the map from its pixels to CSS px.
type frame struct {
	crop   image.Rectangle // px of the upright photo
	k      float64         // CSS px a pixel
	height float64         // CSS px; the width is frameWidth
	cam    *geom.Camera
}

// Heights of the photo's part, CSS px: lower than wide leaves no room for tags above and
// below, more than the second does not fit a phone's screen.
const (
	leastHeight = 240
	mostHeight  = 620
	// A head is not drawn larger than this even where it stands alone: what lies around it
	// tells which one it is.
	mostHead = 96
)

// newFrame chooses the part of the photo with all fasteners, the edges they are measured to,
// their pitch chains and room for the values round them; with the whole card where the heads
// stay large enough for values.
func newFrame(p *plan) *frame {
	w, h := p.doc.Width, p.doc.Height
	least, most := p.opt.heights()
	need := extent{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	head := math.Inf(1) // the smallest head, px
	for _, f := range p.all {
		around := extent{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, q := range f.loc.OutlinePx {
			around.take(geom.PxPoint{U: q[0], V: q[1]})
		}
		around.take(p.cam.Project(f.at, 0))
		head = min(head, 2*f.r*p.cam.PxPerMM(f.at, 0))
		need.join(around)
		need.take(p.cam.Project(f.at.Add(f.tagWay.Scale(f.tagOff)), 0))
	}
	for _, d := range p.dims {
		if d.kind == edge {
			need.take(p.cam.Project(d.b, 0))
		}
	}
	if len(p.all) == 0 {
		need = extent{0, 0, float64(w), float64(h)}
		head = 1e9
	}
	// A row that runs across has its tags and values above and below it, one that runs up and
	// down has them at its sides.
	side, over := 84.0, 56.0
	if len(p.all) == 1 { // its values carry their U
		side, over = 136, 64
	}
	if need.w() > 1.4*need.h() && len(p.all) > 1 {
		side, over = 34, 84
	}
	whole := need
	for _, q := range p.doc.Scale.CardPx {
		whole.take(geom.PxPoint{U: q[0], V: q[1]})
	}
	whole.clip(w, h)
	need.clip(w, h)
	k := scaleFor(whole, 8, 8, most)
	if k*head < 1.4*leastHead || k*need.w()+2*side > frameWidth {
		whole = need
		k = scaleFor(need, side, over, most)
	}
	k = min(k, mostHead/head)
	k = max(k, frameWidth/float64(w)) // no wider than the photo
	f := &frame{cam: p.cam, k: k}
	cw := min(frameWidth/k, float64(w))
	ch := min(max(whole.h()+2*over/k, least/k), most/k, float64(h))
	mid := geom.PxPoint{U: (whole.x0 + whole.x1) / 2, V: (whole.y0 + whole.y1) / 2}
	x := min(max(mid.U-cw/2, 0), float64(w)-cw)
	y := min(max(mid.V-ch/2, 0), float64(h)-ch)
	f.crop = image.Rect(int(math.Round(x)), int(math.Round(y)), int(math.Round(x+cw)), int(math.Round(y+ch))).Intersect(image.Rect(0, 0, w, h))
	f.k = frameWidth / float64(f.crop.Dx())
	f.height = float64(f.crop.Dy()) * f.k
	return f
}

// heights gives the least and greatest height of the photo's part.
func (o *Options) heights() (least, most float64) {
	if !(o.Aspect > 0) {
		return leastHeight, mostHeight
	}
	h := min(max(frameWidth/o.Aspect, leastHeight), mostHeight)
	return h, h
}

// scaleFor gives the CSS px a pixel at which the extent and its room at the sides and over and
// under it fit into a picture of that greatest height.
func scaleFor(e extent, side, over, most float64) float64 {
	return min((frameWidth-2*side)/max(e.w(), 1), (most-2*over)/max(e.h(), 1))
}

// px turns a place in the photo into one in the picture.
func (f *frame) px(q geom.PxPoint) vec {
	// (0, 0) is the centre of the first pixel; the crop begins at its corner.
	return vec{(q.U + 0.5 - float64(f.crop.Min.X)) * f.k, (q.V + 0.5 - float64(f.crop.Min.Y)) * f.k}
}

// mm turns a place on the sheet into one in the picture.
func (f *frame) mm(q geom.SheetPoint) vec { return f.px(f.cam.Project(q, 0)) }

// box is the picture's photo part with a margin inside.
func (f *frame) box(margin float64) box {
	return box{margin, margin, frameWidth - margin, f.height - margin}
}

// rings gives the card's targets as they lie in the picture: middle and radius, CSS px.
func (f *frame) rings(layout string) (at []vec, r []float64) {
	l := card.ByName(layout)
	if l == nil {
		return nil, nil
	}
	for _, t := range l.Targets {
		// Print scale and the card's thickness move a ring by less than its own line's width.
		q := geom.SheetPoint{X: t.At.X, Y: -t.At.Y}
		at = append(at, f.mm(q))
		r = append(r, card.RingOuterRadiusMM*f.cam.PxPerMM(q, 0)*f.k)
	}
	return at, r
}

// extent is an upright rectangle in the photo, px.
type extent struct{ x0, y0, x1, y1 float64 }

func (e *extent) take(p geom.PxPoint) {
	if math.IsNaN(p.U) || math.IsNaN(p.V) {
		return
	}
	e.x0, e.y0 = min(e.x0, p.U), min(e.y0, p.V)
	e.x1, e.y1 = max(e.x1, p.U), max(e.y1, p.V)
}

func (e *extent) join(o extent) {
	e.x0, e.y0, e.x1, e.y1 = min(e.x0, o.x0), min(e.y0, o.y0), max(e.x1, o.x1), max(e.y1, o.y1)
}

func (e *extent) clip(w, h int) {
	e.x0, e.y0 = min(max(e.x0, 0), float64(w)), min(max(e.y0, 0), float64(h))
	e.x1, e.y1 = min(max(e.x1, 0), float64(w)), min(max(e.y1, 0), float64(h))
}

func (e extent) w() float64 { return e.x1 - e.x0 }
func (e extent) h() float64 { return e.y1 - e.y0 }
