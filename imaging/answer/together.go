package answer

import (
	"errors"
	"fmt"
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/together"
	"bucktail/qc"
)

// PhotoPart is one of the photos that were measured together.
type PhotoPart struct {
	Name    string      `json:"name"`
	SHA256  string      `json:"sha256,omitempty"`
	Width   int         `json:"width,omitempty"`
	Height  int         `json:"height,omitempty"`
	Taken   string      `json:"taken,omitempty"`
	Scale   *Scale      `json:"scale"`
	TiltDeg float64     `json:"tilt_deg"`
	Moved   bool        `json:"card_moved,omitempty"` // the card lay elsewhere than in the first photo
	LeftOut *qc.Refusal `json:"left_out,omitempty"`   // why the photo has no part in the answer

	camera *geom.Camera // over the sheet of the first photo; nil of a photo that is left out
}

// PhotoLook is what one of the photos shows of a location.
type PhotoLook struct {
	Photo     string  `json:"photo"`
	CentrePx  Point   `json:"centre_px"`
	OutlinePx []Point `json:"outline_px,omitempty"` // as found in it, or as the others say that it looks here
	Used      bool    `json:"used"`
	Why       string  `json:"why,omitempty"` // why not
}

// Tilt is an angle and its expanded uncertainty (k = 2), degrees.
type Tilt struct {
	Deg  float64 `json:"deg"`
	UDeg float64 `json:"U_deg"`
}

// Together measures photos of one place and judges every location in them. names are those by
// which the photos are called in the document; each photo shows the card. done is told
// of each photo's own answer as soon as it is there, and may end it all by an error; nil tells nobody.
//
// What is wrong with the photos stands in the document; an error is a *qc.Refusal about the options.
func Together(files [][]byte, names []string, opt Options, done func(i int, d *Document) error) (*Document, error) {
	if len(files) == 0 || len(files) != len(names) {
		return nil, &qc.Refusal{Code: "no-photo", Text: "no photo is given", Do: "give photos of one place"}
	}
	var rs []*measure.Result
	for i := range files {
		one := opt
		one.Photo = names[i]
		doc, err := one.answer(func(mo measure.Options) (*measure.Result, error) {
			r, err := measure.Photo(files[i], mo)
			if err != nil {
				var why *qc.Refusal
				if !errors.As(err, &why) {
					return nil, err
				}
				r = &measure.Result{Problems: []qc.Refusal{*why}}
			}
			rs = append(rs, r)
			return r, nil
		})
		if err != nil {
			return nil, err
		}
		if done != nil {
			if err := done(i, doc); err != nil {
				return nil, err
			}
		}
	}
	return opt.join(rs, names)
}

// join fills the document with what photos gave together.
func (d *Document) join(res *together.Result, names []string, opt *Options) error {
	first := -1
	for i := range res.Photos {
		p := &res.Photos[i]
		part := PhotoPart{Name: names[i], SHA256: p.SHA256, Width: p.Width, Height: p.Height, Taken: p.Taken, Scale: scaleOf(p.Scale), Moved: p.Moved, LeftOut: p.LeftOut}
		if p.Scale != nil {
			part.TiltDeg = tidy(p.Scale.TiltDeg)
		}
		if p.LeftOut == nil {
			part.camera = &p.Camera
			if first < 0 {
				first = i
			}
		} else {
			d.Warnings = append(d.Warnings, measure.Note{Code: "left-out", Text: fmt.Sprintf("%s is left out: %v", names[i], p.LeftOut)})
		}
		for _, w := range p.Warnings {
			d.Warnings = append(d.Warnings, measure.Note{Code: w.Code, Text: names[i] + ": " + w.Text})
		}
		d.Photos = append(d.Photos, part)
	}
	if first < 0 {
		for i := range d.Photos {
			d.Problems = append(d.Problems, *d.Photos[i].LeftOut)
		}
		return nil
	}
	p := &d.Photos[first]
	d.Photo, d.SHA256, d.Width, d.Height, d.Taken, d.Scale = p.Name, p.SHA256, p.Width, p.Height, p.Taken, p.Scale
	d.Camera, d.Proven = res.Photos[first].Result.Camera, opt.proven(res.Photos[first].Result)
	var cams []*geom.Camera
	for i := range d.Photos {
		if c := d.Photos[i].camera; c != nil {
			cams = append(cams, c)
		}
	}
	d.Next = next(d.Scale, cams...)
	for _, e := range res.Photos[first].EdgesPx {
		d.EdgesPx = append(d.EdgesPx, [2]Point{point(e[0]), point(e[1])})
	}
	neighbourAsked := false
	for i := range res.Locations {
		neighbourAsked = neighbourAsked || res.Locations[i].Ask != nil
	}
	for i := range res.Locations {
		l := &res.Locations[i]
		for k := range l.Readings {
			l.Readings[k].Photo = res.Photos[l.Px].SHA256
		}
		out, err := judged(&l.Location, opt, d.Proven, neighbourAsked)
		if err != nil {
			return err
		}
		out.PxPhoto = names[l.Px]
		for k := range out.Readings {
			out.Readings[k].AloneUMM = aloneU(out.Readings[k].Reading, l.Alone)
		}
		if l.NoHeight != "" {
			for k := range out.Missing {
				if out.Missing[k].Limits[0].Quantity == qc.HeadHeight {
					out.Missing[k].Do = l.NoHeight + "; or measure it by hand"
				}
			}
		}
		if note, ok := leftOfBand(out.Checks); ok {
			out.Notes = append(out.Notes, note)
		}
		if l.Tilt != nil {
			out.Tilt = &Tilt{tidy(l.Tilt.Deg), tidy(l.Tilt.UDeg)}
		}
		for _, k := range l.Looks {
			out.Photos = append(out.Photos, PhotoLook{Photo: names[k.Photo], CentrePx: point(k.CentrePx), OutlinePx: points(k.OutlinePx), Used: k.Used, Why: k.Why})
		}
		d.Locations = append(d.Locations, out)
	}
	if len(d.Locations) == 0 {
		d.Problems = append(d.Problems, res.Photos[first].Problems...)
	}
	return nil
}

// leftOfBand tells how much of the band that a head's height may lie in its uncertainty leaves.
func leftOfBand(cs []qc.Check) (string, bool) {
	least, most, uMM := 0.0, 0.0, 0.0
	for _, c := range cs {
		if c.Reading.Quantity == qc.HeadHeight {
			least, most, uMM = max(least, c.Limit.MinMM), max(most, c.Limit.MaxMM), c.UMM
		}
	}
	if least == 0 || most == 0 {
		return "", false
	}
	left := max(most-least-2*uMM, 0)
	return fmt.Sprintf("the head's height may lie between %s and %s; its uncertainty leaves %s of these %s in which it is decided as within",
		qc.Millimetres.Number(least), qc.Millimetres.Value(most), qc.Millimetres.Value(left), qc.Millimetres.Value(most-least)), true
}

// In gives the document as photo i of those that were measured together shows it, so that it can be
// drawn there; nil where that photo has no part in it.
func (d *Document) In(i int) *Document {
	p := &d.Photos[i]
	if p.camera == nil {
		return nil
	}
	out := *d
	out.Photo, out.SHA256, out.Width, out.Height, out.Taken = p.Name, p.SHA256, p.Width, p.Height, p.Taken
	c, s := p.camera, *p.Scale
	s.Camera = Camera{c.FocalPx, c.CxPx, c.CyPx, c.K1, c.R, c.T}
	out.Scale, out.EdgesPx = &s, nil
	seen := func(at Point) Point { return point(c.Project(geom.SheetPoint{X: at[0], Y: at[1]}, 0)) }
	out.Locations = nil
	for _, l := range d.Locations {
		var look *PhotoLook
		for k := range l.Photos {
			if l.Photos[k].Photo == p.Name {
				look = &l.Photos[k]
			}
		}
		if look == nil {
			look = &PhotoLook{CentrePx: seen(l.SheetMM)}
		}
		if l.PxPhoto != p.Name {
			l.HandlesPx = handles(look)
		}
		l.PxPhoto, l.CentrePx, l.OutlinePx = p.Name, look.CentrePx, look.OutlinePx
		l.Readings = []Reading{} // a list on the wire, also where nothing is read
		out.Locations = append(out.Locations, l)
	}
	from := func(name string) *geom.Camera {
		for k := range d.Photos {
			if d.Photos[k].Name == name {
				return d.Photos[k].camera
			}
		}
		return nil
	}
	for k, l := range d.Locations {
		was := from(l.PxPhoto)
		for _, r := range l.Readings {
			if r.EdgePx != nil {
				e := *r.EdgePx
				for x := range e {
					q := was.ToSheet(px(e[x]), 0)
					e[x] = seen(Point{q.X, q.Y})
				}
				if math.IsNaN(e[0][0]) || math.IsNaN(e[1][0]) {
					continue
				}
				r.EdgePx = &e
			}
			if r.ToPx != nil {
				to := out.Locations[*r.To].CentrePx
				r.ToPx = &to
			}
			out.Locations[k].Readings = append(out.Locations[k].Readings, r)
		}
	}
	return &out
}

// handles gives what a hand moves an outline by where only its picture is known.
func handles(look *PhotoLook) (out [5]Point) {
	for i := range out {
		out[i] = look.CentrePx
	}
	for _, p := range look.OutlinePx {
		for i, farther := range []bool{p[0] > out[1][0], p[1] > out[2][1], p[0] < out[3][0], p[1] < out[4][1]} {
			if farther {
				out[i+1] = p
			}
		}
	}
	return out
}
