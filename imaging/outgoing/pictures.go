package outgoing

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"

	"bucktail/imaging/annotate"
	"bucktail/imaging/answer"
	"bucktail/imaging/photo"
	"bucktail/qc/history"
	"bucktail/qc/report"
)

// picture draws a finding's outline and dimensions upon its photo; where the entry does not say
// where they lie, it cuts the place out.
func (m *Maker) picture(ctx context.Context, r report.PictureRequest) (report.Picture, error) {
	p, err := m.shown(ctx, r.Finding.Photo)
	if err != nil {
		return report.Picture{}, err
	}
	if own, ok := lookOf(r.Finding); ok {
		around, tags := m.beside.on(r)
		doc, of := answer.Drawn(own, around)
		o := annotate.Options{Units: r.Units, Tags: []string{r.Location.Tag}, PhotoAlone: true, MaxSide: r.MaxPx, Aspect: r.Aspect}
		for _, i := range of {
			tag := "beside"
			if i >= 0 {
				tag = tags[i]
			}
			o.Tags = append(o.Tags, tag)
		}
		// A photo of another shape than the entry says is no reason to go without it.
		if drawn, err := annotate.DrawOn(doc, p, o); err == nil {
			b, err := encode(drawn)
			return report.Picture{Data: b, Drawn: true}, err
		}
	}
	w, h := p.Bounds()
	crop := r.Finding.Crop
	if p.smaller {
		crop = nil // it is in pixels of the photo, whose size is not known here
	}
	b, err := p.cut(cutOut(crop, w, h, r.Aspect), r.MaxPx)
	return report.Picture{Data: b}, err
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
