package outgoing

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/jpeg"
	"math"

	"bucktail/imaging/answer"
	"bucktail/imaging/dimension"
	"bucktail/imaging/photo"
	"bucktail/qc/drawing"
	"bucktail/qc/history"
	"bucktail/qc/paper"
	"bucktail/qc/report"
)

// valuePt is the size of a drawing's values on paper, points, wherever it stands: as small as the
// smallest text of a report, because a page's photo is smaller than a phone's.
const valuePt = 8

// units turns a width on paper into one in the units of a drawing.
func units(widthMM float64) float64 { return widthMM * dimension.TextSize / (valuePt * paper.MMPerPt) }

// picture gives the part of the photo that shows a finding, and plans its outline and dimensions
// over it; where the entry does not say where they lie, it cuts the place out.
func (m *Maker) picture(ctx context.Context, r report.PictureRequest) (report.Picture, error) {
	p, err := m.shown(ctx, r.Finding.Photo)
	if err != nil {
		return report.Picture{}, err
	}
	w, h := p.Bounds()
	if own, ok := lookOf(r.Location, r.Finding); ok && smallerCopy(w, h, own.Places.WidthPx, own.Places.HeightPx) {
		if pic, err := drawn(answer.Drawn(own, m.beside.on(r)), p, r); err == nil {
			return pic, nil
		}
	}
	crop := r.Finding.Crop
	if p.smaller {
		crop = nil // it is in pixels of the photo, whose size is not known here
	}
	b, err := p.cut(cutOut(crop, w, h, r.Aspect), r.MaxPx)
	return report.Picture{Data: b}, err
}

// drawn gives a document's first location with what is drawn of it.
func drawn(doc *answer.Document, p shown, r report.PictureRequest) (report.Picture, error) {
	plan, err := dimension.Of(doc, dimension.What{Tags: []string{r.Location.Tag}, Units: r.Units, Chosen: 1})
	if err != nil {
		return report.Picture{}, err
	}
	look := dimension.Look{TextWidth: func(s string) float64 { return paper.Advance(s, paper.Bold) }}
	wide := units(r.WidthMM)
	v, part := plan.Fit(dimension.Frame{Width: wide, Least: wide / r.Aspect, Most: wide / r.Aspect, Fill: true, WithCard: true}, look).Part(doc.Width, doc.Height)
	w, h := p.Bounds()
	part = scaled(part, float64(w)/float64(doc.Width)).Intersect(image.Rect(0, 0, w, h))
	if part.Empty() {
		return report.Picture{}, errors.New("nothing of the photo is in the picture")
	}
	pic, at, err := p.Part(part)
	if err != nil {
		return report.Picture{}, err
	}
	b, err := encode(photo.Scaled(pic, part.Sub(at), r.MaxPx, max(1, int(math.Round(float64(r.MaxPx)*v.Height/v.Width)))))
	return report.Picture{Data: b, Drawing: func(widthMM float64) *drawing.Drawing { return plan.Draw(v.Wide(units(widthMM)), look) }}, err
}

// smallerCopy says whether a picture of w by h may be one of ofW by ofH made smaller, both sides
// rounded to pixels.
func smallerCopy(w, h, ofW, ofH int) bool {
	if w == ofW && h == ofH {
		return true
	}
	return w > 0 && w < ofW && math.Abs(float64(h)-float64(ofH)*float64(w)/float64(ofW)) <= 1+float64(ofH)/float64(ofW)
}

// scaled is a part of a photo in a copy of it that is k times as large.
func scaled(r image.Rectangle, k float64) image.Rectangle {
	at := func(v int) int { return int(math.Round(float64(v) * k)) }
	return image.Rect(at(r.Min.X), at(r.Min.Y), at(r.Max.X), at(r.Max.Y))
}

// cutOut is the finding's crop with as much of the photo around it as the place on the page
// has room for; the whole photo where the finding names no crop.
func cutOut(c *history.Crop, w, h int, aspect float64) image.Rectangle {
	all := image.Rect(0, 0, w, h)
	if c == nil || !(c.W > 0 && c.H > 0) || !(aspect > 0) {
		return all
	}
	const around = 1.6 // of the crop's size: the nearest edges and neighbours give the place its meaning
	wide, high := c.W*around, c.H*around
	if wide < high*aspect {
		wide = high * aspect
	} else {
		high = wide / aspect
	}
	// The middle of the first pixel is 0, so a rectangle of pixels begins half a pixel before.
	mx, my := c.X+c.W/2+0.5, c.Y+c.H/2+0.5
	r := image.Rect(int(mx-wide/2), int(my-high/2), int(mx+wide/2), int(my+high/2))
	// Shift it into the photo where it hangs over, then cut what is still too large.
	r = r.Add(image.Pt(max(0, -r.Min.X)-max(0, min(r.Max.X-w, r.Min.X)), max(0, -r.Min.Y)-max(0, min(r.Max.Y-h, r.Min.Y))))
	if r = r.Intersect(all); r.Empty() {
		return all
	}
	return r
}

func (m *Maker) layout(ctx context.Context, p *report.Part, maxPx int) ([]byte, error) {
	return m.page(ctx, p.Layout.Photo, maxPx)
}

// page gives a whole photo, small.
func (m *Maker) page(ctx context.Context, hash string, maxPx int) ([]byte, error) {
	pic, err := m.shown(ctx, hash)
	if err != nil {
		return nil, err
	}
	w, h := pic.Bounds()
	return pic.cut(image.Rect(0, 0, w, h), maxPx)
}

// cut makes a JPEG of what lies inside r, its longer side at most maxPx.
func (p shown) cut(r image.Rectangle, maxPx int) ([]byte, error) {
	pic, at, err := p.Part(r)
	if err != nil {
		return nil, err
	}
	return encode(photo.Crop(pic, r.Sub(at), maxPx))
}

// encode writes a JPEG; one made here carries nothing but pixels.
func encode(m image.Image) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 85})
	return b.Bytes(), err
}
