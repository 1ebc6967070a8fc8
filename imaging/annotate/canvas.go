package annotate

import (
	"errors"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"bucktail/imaging/photo"
)

// canvas is a picture that is drawn on in CSS px.
type canvas struct {
	img   *image.RGBA
	s     float64 // picture px a CSS px
	ras   *vector.Rasterizer
	faces map[faceKey]font.Face
}

type faceKey struct {
	bold bool
	size float64 // CSS px
}

// newCanvas begins with a white sheet.
func newCanvas(width, height, s float64) *canvas {
	m := image.NewRGBA(image.Rect(0, 0, int(math.Round(width*s)), int(math.Round(height*s))))
	draw.Draw(m, m.Rect, image.NewUniform(sheetColour), image.Point{}, draw.Src)
	return canvasOn(m, s)
}

// canvasOn draws on a picture.
func canvasOn(m *image.RGBA, s float64) *canvas {
	return &canvas{img: m, s: s, ras: vector.NewRasterizer(1, 1), faces: map[faceKey]font.Face{}}
}

// photoPart gives the frame's part of the photo, s px for each CSS px; fullWidth is the photo's
// width where p may be a smaller copy, px.
func photoPart(p Photo, f *frame, fullWidth int, s float64) (*image.RGBA, error) {
	crop := f.crop
	w, h := p.Bounds()
	if w != fullWidth {
		k := float64(w) / float64(fullWidth)
		at := func(v int) int { return int(math.Round(float64(v) * k)) }
		crop = image.Rect(at(crop.Min.X), at(crop.Min.Y), at(crop.Max.X), at(crop.Max.Y))
	}
	crop = crop.Intersect(image.Rect(0, 0, w, h))
	if crop.Empty() {
		return nil, errors.New("nothing of the photo is in the picture")
	}
	pic, at, err := p.Part(crop)
	if err != nil {
		return nil, err
	}
	return photo.Scaled(pic, crop.Sub(at), int(math.Round(frameWidth*s)), max(1, int(math.Round(f.height*s)))), nil
}

// polygon is closed; shape is several of them, and may overlap itself.
type (
	polygon []vec
	shape   []polygon
)

// add appends a polygon in the one sense of rotation: overlapping parts of opposite sense
// would cancel in the rasterizer.
func (s *shape) add(p polygon) {
	area := 0.0
	for i := range p {
		j := (i + 1) % len(p)
		area += p[i].x*p[j].y - p[j].x*p[i].y
	}
	if area < 0 {
		q := make(polygon, len(p))
		for i := range p {
			q[len(p)-1-i] = p[i]
		}
		p = q
	}
	*s = append(*s, p)
}

// line adds a straight stroke with square ends.
func (s *shape) line(a, b vec, width float64) {
	n := b.sub(a).unit().turned().mul(width / 2)
	s.add(polygon{a.add(n), b.add(n), b.sub(n), a.sub(n)})
}

// curve adds a stroke through points, round at its bends; closed comes back to the first.
func (s *shape) curve(pts []vec, width float64, closed bool) {
	for i := range pts {
		if i+1 == len(pts) && !closed {
			break
		}
		s.line(pts[i], pts[(i+1)%len(pts)], width)
	}
	for i, p := range pts {
		if closed || i > 0 && i+1 < len(pts) {
			s.disc(p, width/2)
		}
	}
}

func (s *shape) disc(c vec, r float64) { s.add(arc(c, r, 0, 2*math.Pi)) }

func (s *shape) box(b box) {
	s.add(polygon{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}})
}

// arrow adds a filled head with its tip at tip, pointing along u.
func (s *shape) arrow(tip, u vec) {
	back, n := tip.sub(u.mul(arrowLength)), u.turned().mul(arrowWidth/2)
	s.add(polygon{tip, back.add(n), back.sub(n)})
}

// arc gives points of a circle from one angle to another, radians, clockwise as seen.
func arc(c vec, r, from, to float64) polygon {
	n := max(8, int(math.Ceil(math.Abs(to-from)/(2*math.Pi)*48)))
	p := make(polygon, n)
	last := float64(n - 1)
	if to-from >= 2*math.Pi {
		last = float64(n) // the last point would be the first
	}
	for i := range p {
		a := from + (to-from)*float64(i)/last
		p[i] = vec{c.x + r*math.Cos(a), c.y + r*math.Sin(a)}
	}
	return p
}

// fill paints a shape with a colour.
func (c *canvas) fill(s shape, col color.Color) {
	lo, hi := vec{math.Inf(1), math.Inf(1)}, vec{math.Inf(-1), math.Inf(-1)}
	for _, p := range s {
		for _, v := range p {
			lo = vec{min(lo.x, v.x), min(lo.y, v.y)}
			hi = vec{max(hi.x, v.x), max(hi.y, v.y)}
		}
	}
	if !(lo.x <= hi.x && lo.y <= hi.y) {
		return
	}
	r := image.Rect(int(math.Floor(lo.x*c.s)), int(math.Floor(lo.y*c.s)), int(math.Ceil(hi.x*c.s))+1, int(math.Ceil(hi.y*c.s))+1).
		Intersect(c.img.Rect)
	if r.Empty() {
		return
	}
	c.ras.Reset(r.Dx(), r.Dy())
	at := func(v vec) (float32, float32) {
		return float32(v.x*c.s - float64(r.Min.X)), float32(v.y*c.s - float64(r.Min.Y))
	}
	for _, p := range s {
		c.ras.MoveTo(at(p[0]))
		for _, v := range p[1:] {
			c.ras.LineTo(at(v))
		}
		c.ras.ClosePath()
	}
	c.ras.Draw(c.img, r, image.NewUniform(col), image.Point{})
}

// The typefaces, parsed once: they are compiled in and always parse.
var regular, bold = mustParse(goregular.TTF), mustParse(gobold.TTF)

func mustParse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("annotate: a typeface that is compiled in does not parse: " + err.Error())
	}
	return f
}

func (c *canvas) face(k faceKey) font.Face {
	if f, ok := c.faces[k]; ok {
		return f
	}
	f := newFace(k, c.s)
	c.faces[k] = f
	return f
}

func newFace(k faceKey, s float64) font.Face {
	from := regular
	if k.bold {
		from = bold
	}
	// At 72 dots an inch a point is a pixel.
	f, err := opentype.NewFace(from, &opentype.FaceOptions{Size: k.size * s, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("annotate: making a typeface: " + err.Error())
	}
	return f
}

// text writes s with its baseline's left end at p and gives where the baseline ends.
func (c *canvas) text(p vec, s string, k faceKey, col color.Color) vec {
	d := font.Drawer{Dst: c.img, Src: image.NewUniform(col), Face: c.face(k),
		Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(p.x * c.s * 64)), Y: fixed.Int26_6(math.Round(p.y * c.s * 64))}}
	d.DrawString(strings.ReplaceAll(s, "\u00a0", " "))
	return vec{float64(d.Dot.X) / 64 / c.s, p.y}
}

// ruler measures texts where there is no canvas yet; widths grow in proportion to the size. A
// face may not be used from two goroutines at once.
var (
	ruler     = map[bool]font.Face{false: newFace(faceKey{false, 100}, 1), true: newFace(faceKey{true, 100}, 1)}
	rulerLock sync.Mutex
)

// textWidth is a text's width in CSS px.
func textWidth(s string, k faceKey) float64 {
	rulerLock.Lock()
	defer rulerLock.Unlock()
	return float64(font.MeasureString(ruler[k.bold], strings.ReplaceAll(s, "\u00a0", " "))) / 64 * k.size / 100
}

// capHeight is the height of figures over the baseline as a share of the size (Go's typefaces:
// 1466 of 2048 units).
const capHeight = 0.716
