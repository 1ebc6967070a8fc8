// Package annotate paints the answer to a photo upon it, as package dimension plans it, with the
// list of the locations' verdicts below. It measures and judges nothing.
//
// Sizes are in CSS px of a picture that is 390 px wide, as a phone shows it; the picture itself is
// several times finer.
//
// Start with [Draw] and [Options].
package annotate

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"math"
	"strconv"

	"bucktail/imaging/answer"
	"bucktail/imaging/dimension"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Options say how a picture is drawn. The zero value is a whole picture in millimetres with
// locations numbered from 1.
type Options struct {
	Units   qc.Units // "" means millimetres
	Tags    []string // names of the locations, in the document's order; numbers for those it lacks
	MaxSide int      // longer side of the picture, px; 0: 2000
}

const usualSide = 2000

// Heights of the photo's part, CSS px: lower than wide leaves no room for tags above and below,
// more than the second does not fit a phone's screen.
const (
	leastHeight = 240
	mostHeight  = 620
)

// Draw gives the part of the photo that the answer speaks of, with its dimensions, and below it
// the list of verdicts. pic is the upright photo that the document was made from.
//
// It fails where the document has no scale, or is not of a picture of this size.
func Draw(doc *answer.Document, pic *raster.Picture, opt Options) (*image.RGBA, error) {
	if w, h := pic.Bounds(); w != doc.Width || h != doc.Height {
		return nil, fmt.Errorf("the answer is for a photo of %d × %d px, this one has %d × %d", doc.Width, doc.Height, w, h)
	}
	if opt.Units == "" {
		opt.Units = qc.Millimetres
	}
	if opt.MaxSide <= 0 {
		opt.MaxSide = usualSide
	}
	p, v, part, err := planned(doc, opt)
	if err != nil {
		return nil, err
	}
	rows := newList(doc, &opt)
	height := v.Height + rows.height
	// Below leastFine picture px a CSS px letters fray; above four the photo is only blown up.
	s := min(max(float64(opt.MaxSide)/max(frameWidth, height), leastFine), 4)
	c := newCanvas(frameWidth, height, s)
	shown := photo.Scaled(pic, part, int(math.Round(frameWidth*s)), max(1, int(math.Round(v.Height*s))))
	draw.Draw(c.img, shown.Rect, shown, image.Point{}, draw.Src)
	c.within(shown.Rect).paint(p.Draw(v, look))
	// The frame's lower border, as between cells.
	var rule shape
	rule.box(box{Y0: v.Height - 1.5, X1: frameWidth, Y1: v.Height})
	c.fill(rule, inkColour)
	rows.draw(c, v.Height)
	return c.img, nil
}

const leastFine = 1.6

var look = dimension.Look{TextWidth: func(s string) float64 { return textWidth(s, faceKey{true, 1}) }}

// planned gives what is drawn, and the part of the photo that it is drawn on.
func planned(doc *answer.Document, opt Options) (*dimension.Plan, dimension.View, image.Rectangle, error) {
	p, err := dimension.Of(doc, dimension.What{Tags: opt.Tags, Units: opt.Units})
	if err != nil {
		return nil, dimension.View{}, image.Rectangle{}, err
	}
	v := p.Fit(dimension.Frame{Width: frameWidth, Least: leastHeight, Most: mostHeight, Fill: true, WithCard: true}, look)
	v, part := v.Part(doc.Width, doc.Height)
	if part.Empty() {
		err = errors.New("nothing of the photo is in the picture")
	}
	return p, v, part, err
}

// tag names a location.
func (o *Options) tag(i int) string {
	if i < len(o.Tags) && o.Tags[i] != "" {
		return o.Tags[i]
	}
	return strconv.Itoa(i + 1)
}
