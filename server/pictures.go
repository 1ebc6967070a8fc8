package main

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"

	"bucktail/imaging/answer"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/qc/history"
	"bucktail/qc/report"
	"bucktail/server/annotate"
)

type decodedPhoto struct {
	hash  string
	bytes int
	*photo.Photo
}

// keepDecoded bounds the pixels of the decoded photos that are held besides the latest, bytes:
// four of 12 megapixels as phones write them. Several findings are of one photo, and a page
// shows the photos of a location's attempts.
const keepDecoded = 72 << 20

// decoded gives a photo upright.
func (x *exporter) decoded(ctx context.Context, hash string) (*photo.Photo, error) {
	for _, d := range x.last {
		if d.hash == hash {
			return d.Photo, nil
		}
	}
	// Let go before the next takes its room.
	held := 0
	for i := len(x.last) - 1; i >= 0; i-- {
		if held += x.last[i].bytes; held > keepDecoded {
			x.last = append([]decodedPhoto(nil), x.last[i+1:]...)
			break
		}
	}
	data, err := x.read(ctx, hash)
	if err != nil {
		return nil, err
	}
	p, err := photo.Decode(data)
	if err != nil {
		return nil, err
	}
	x.last = append(x.last, decodedPhoto{hash, size(p.Picture), p})
	return p, nil
}

func size(p *raster.Picture) int {
	n := len(p.Y.Pix)
	for _, g := range []*raster.Grey{p.Cb, p.Cr} {
		if g != nil {
			n += len(g.Pix)
		}
	}
	return n
}

// picture draws a finding's outline and dimensions upon its photo; where the entry does not say
// where they lie, it cuts the place out.
func (x *exporter) picture(ctx context.Context, r report.PictureRequest) (report.Picture, error) {
	p, err := x.decoded(ctx, r.Finding.Photo)
	if err != nil {
		return report.Picture{}, err
	}
	if own, ok := lookOf(r.Finding); ok {
		around, tags := x.beside.on(r)
		doc, of := answer.Drawn(own, around)
		o := annotate.Options{Units: r.Units, Tags: []string{r.Location.Tag}, PhotoAlone: true, MaxSide: r.MaxPx, Aspect: r.Aspect}
		for _, i := range of {
			tag := "beside"
			if i >= 0 {
				tag = tags[i]
			}
			o.Tags = append(o.Tags, tag)
		}
		// A photo of another size than the entry says is no reason to go without it.
		if m, err := annotate.Draw(doc, p.Picture, o); err == nil {
			b, err := encode(m)
			return report.Picture{Data: b, Drawn: true}, err
		}
	}
	w, h := p.Picture.Bounds()
	b, err := encode(photo.Crop(p.Picture, cutOut(r.Finding.Crop, w, h, r.Aspect), r.MaxPx))
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

func (x *exporter) layout(ctx context.Context, p *report.Part, maxPx int) ([]byte, error) {
	pic, err := x.decoded(ctx, p.Layout.Photo)
	if err != nil {
		return nil, err
	}
	return encode(photo.Preview(pic.Picture, maxPx))
}

// encode writes a JPEG; one made here carries nothing but pixels.
func encode(m image.Image) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 85})
	return b.Bytes(), err
}

// lookOf gives what is to be drawn of a finding.
func lookOf(f *report.Finding) (answer.Look, bool) {
	if f.Places == nil || f.Places.Valid(len(f.Readings)) != nil {
		return answer.Look{}, false
	}
	return answer.Look{Places: f.Places, Spec: f.Spec, Readings: f.Readings, Checks: f.Result.Checks, Verdict: f.Verdict}, true
}

// looks finds the findings on one photo of the part that is being written.
type looks struct {
	part    *report.Part
	byPhoto map[string][]besideLook
}

type besideLook struct {
	answer.Look
	location *report.Location
}

// on gives the other locations' findings on the same photo, with their tags.
func (k *looks) on(r report.PictureRequest) (around []answer.Look, tags []string) {
	if k.part != r.Part {
		*k = looks{r.Part, map[string][]besideLook{}}
		for i := range r.Part.Locations {
			l := &r.Part.Locations[i]
			for _, a := range l.Attempts {
				for j := range a.Findings {
					f := &a.Findings[j]
					if own, ok := lookOf(f); ok {
						k.byPhoto[f.Photo] = append(k.byPhoto[f.Photo], besideLook{own, l})
					}
				}
			}
		}
	}
	for _, b := range k.byPhoto[r.Finding.Photo] {
		if b.location != r.Location {
			around, tags = append(around, b.Look), append(tags, b.location.Tag)
		}
	}
	return around, tags
}
