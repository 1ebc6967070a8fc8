package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// frameSizes are those of phones' pictures and of copies as people publish them.
var frameSizes = [][2]int{{4000, 3000}, {4032, 3024}, {3264, 2448}, {2592, 1944}, {1920, 1440}, {1920, 1080},
	{1500, 1125}, {1280, 960}, {1024, 768}, {1000, 750}, {1000, 600}, {800, 600}, {640, 480}}

var frameWeights = []float64{2, 2, 1, 2, 1.5, 0.7, 2, 1.5, 1.5, 3, 0.7, 1.5, 1}

// lensKind is one of a phone's cameras, or a crop that the phone passes off as one.
type lensKind struct {
	from, to  float64 // 35 mm equivalent of what is in the frame
	crop      float64 // digital zoom
	nearestMM float64
	focalMM   float64 // true
	pupilMM   float64 // radius of the entrance pupil
	distort   float64
}

var lenses = []lensKind{
	{24, 26, 2, 45, 2.2, 0.5, 0.03},    // ultra-wide, cropped twofold
	{23, 28, 1, 80, 5.6, 1.6, 0.012},   // main
	{50, 56, 2, 90, 5.6, 1.6, 0.006},   // main, cropped twofold
	{50, 77, 1, 150, 8.5, 1.9, 0.006},  // short tele
	{65, 77, 1.4, 150, 7, 1.4, 0.006},  // the same, cropped a little
	{16, 20, 1.4, 45, 2.2, 0.5, 0.025}, // ultra-wide, cropped less
}

// drawView points a phone at the origin. The sizes follow: picture, pixels per millimetre
// (5 to 35), view, distance.
func (d *workshopDrawing) drawView(carded bool) {
	r, s := d.r, d.s
	size := pick(r, frameWeights, frameSizes...)
	s.Width, s.Height = size[0], size[1]
	d.small = size[0] <= 1500
	if r.chance(0.4) {
		s.Width, s.Height = s.Height, s.Width
		if !d.small {
			s.Orientation = even(r, 6, 8)
		}
	}
	least, most := 34.0, 420.0 // mm of the long side
	if carded {
		least = 112
	}
	long := float64(size[0])
	perMM := r.logSpan(math.Max(5, long/most), math.Max(5.5, math.Min(35, long/least)))
	if r.chance(0.4) { // most people come near
		perMM = math.Max(perMM, r.logSpan(math.Max(5, long/most), math.Max(5.5, math.Min(35, long/least))))
	}
	l := pick(r, []float64{14, 42, 12, 14, 8, 5}, lenses...)
	equivalent := r.span(l.from, l.to)
	diagonal := math.Hypot(float64(s.Width), float64(s.Height))
	focal := equivalent / 43.27 * diagonal * r.span(0.95, 0.99)
	d.dist = focal / perMM
	if cut := l.nearestMM / d.dist; cut > 1 { // too near to focus: the picture is a part of a larger one
		focal, d.dist = focal*cut, l.nearestMM
		s.Stripped = s.Stripped || d.small && r.chance(0.8)
	} else if d.dist > 450 {
		focal *= 450 / d.dist
		d.dist = 450
	}
	d.half, d.long = math.Min(float64(size[1]), long)/2/perMM, long/2/perMM
	tilt := math.Min(30, math.Abs(7*r.normal()))
	if r.chance(0.12) {
		tilt = r.span(8, 30)
	}
	roll := even(r, 0, 0.5, 1, 1.5)*math.Pi + 0.09*r.normal()
	if r.chance(0.2) {
		roll = r.span(0, 2*math.Pi)
	}
	s.Camera = lookAt(geom.SheetPoint{}, d.dist, tilt*math.Pi/180, r.span(0, 2*math.Pi), roll)
	s.Camera.FocalPx = focal
	s.Camera.CxPx = float64(s.Width-1)/2 + 0.005*float64(s.Width)*r.normal()
	s.Camera.CyPx = float64(s.Height-1)/2 + 0.005*float64(s.Height)*r.normal()
	s.Camera.K1, s.Lens.K2 = l.distort*r.near(0, 1), 0.3*l.distort*r.near(0, 1)
	s.Lens.ApertureMM = l.pupilMM * even(r, 0.25, 0.5, 0.8, 1)
	s.Lens.FocusMM = d.dist * (1 + r.near(0, 0.008))
	if r.chance(0.06) {
		s.Lens.FocusMM = d.dist * (1 + r.near(0, 0.04))
		d.say("focus missed")
	}
	d.drawEXIF(l, equivalent)
	if tilt > 20 {
		d.say("strong tilt")
	}
	d.say(fmt.Sprintf("%.0f px per mm", perMM))
}

// drawEXIF writes down what a maker says of the lens: some give the 35 mm figure before
// digital zoom, some after.
func (d *workshopDrawing) drawEXIF(l lensKind, equivalent float64) {
	r, s := d.r, d.s
	s.FocalMM, s.Focal35MM = l.focalMM, int(equivalent+0.5)
	if l.crop > 1 {
		s.Zoom = int(l.crop + 0.5)
		s.DigitalZoom = l.crop
		if r.chance(0.5) {
			s.Focal35MM = int(equivalent/l.crop + 0.5)
		}
		if r.chance(0.15) {
			s.DigitalZoom = 0
		}
		d.say("digital zoom")
	}
	if d.small && r.chance(0.6) {
		s.Stripped = true
	}
	if s.Stripped {
		d.say("no EXIF facts")
	}
	s.Taken = fmt.Sprintf("2026:%02d:%02d %02d:%02d:%02d", 1+r.intn(12), 1+r.intn(28), 8+r.intn(12), r.intn(60), r.intn(60))
}

// drawPhone sets softness, noise, processing and compression.
func (d *workshopDrawing) drawPhone() {
	r, s := d.r, d.s
	s.Sensor = Sensor{SoftPx: r.span(0.3, 0.7),
		NoiseShot: r.logSpan(1.5e-5, 5e-4), NoiseRead: r.span(0.0005, 0.002), Vignette: r.span(0.1, 0.7),
		JPEGQuality: 86 + r.intn(10)}
	sen, p := &s.Sensor, &s.Processing
	*p = Processing{Shrunk: 1, Saturation: r.span(0.85, 1.3), Contrast: r.span(0.05, 0.6)}
	if d.small {
		p.Shrunk = r.span(1.5, 4)
		sen.SoftPx = r.span(0.25, 0.5)
		sen.NoiseShot /= p.Shrunk * p.Shrunk
		sen.NoiseRead /= p.Shrunk
		sen.JPEGQuality = 60 + r.intn(36)
		if r.chance(0.6) {
			p.Earlier = append(p.Earlier, 70+r.intn(26))
		}
	} else if r.chance(0.2) {
		sen.SoftPx = r.span(0.7, 1.3)
		d.say("slight softness")
	}
	if s.Zoom > 1 && !d.small {
		p.Shrunk, sen.SoftPx = 1.5, sen.SoftPx+r.span(0.5, 0.9) // a crop made larger again
	}
	if r.chance(0.7) {
		p.Denoise = r.logSpan(0.006, 0.035)
	}
	if r.chance(0.7) {
		p.Local, p.Lift = r.span(0, 0.4), r.span(0, 0.18)
	}
	if r.chance(0.8) {
		p.HaloPx, p.Halo = r.span(0.6, 1.2), r.span(0.2, 1)
		if !d.small {
			p.HaloPx = r.span(0.8, 2.4)
		}
	}
	if r.chance(0.05) {
		sen.MotionPx, sen.MotionDeg = r.span(1.5, 4), r.span(0, 180)
		d.say("motion blur")
	}
}

// meter sets the gain as a phone does: by the mean brightness and the brightest parts.
func (d *workshopDrawing) meter() {
	s := d.s
	low := s.Scaled(24)
	low.Lens.ApertureMM = 0
	w := newWorld(low)
	r := newRandom(s.Seed + 5)
	var luma []float64
	var mean rgb
	for j := range low.Height {
		for i := range low.Width {
			t := w.pixel(i, j, 1, 2, r)
			luma = append(luma, t.light.luma()/2)
			mean = mean.add(tame(t.light, 2*w.white))
		}
	}
	mid, bright := quantile(luma, 0.5), quantile(luma, 0.92)
	gain := d.r.span(0.12, 0.4) / math.Max(1e-6, mid)
	if limit := d.r.span(0.8, 2.2) / math.Max(1e-6, bright); gain > limit {
		gain = limit
	}
	p := &s.Processing
	p.Gain = gain
	// Levels are stretched so that little is far from black or from white.
	for i, l := range luma {
		luma[i] = gammaOf(shoulder(gain * l))
	}
	low02, high98 := quantile(luma, 0.02), quantile(luma, 0.98)
	dark, light := d.r.span(0.06, 0.28), d.r.span(0.76, 0.96)
	p.Stretch = max(1, min(1.7, (light-dark)/max(0.05, high98-low02)))
	p.Black = max(0, low02-dark/p.Stretch)
	// The white balance takes most of the light's colour away, and some of the scene's own.
	lit := rgb(s.Ambient)
	for _, l := range s.Lights {
		lit = lit.add(rgb(l.Irradiance))
	}
	trust, fooled := d.r.span(0.6, 1), d.r.span(0, 0.3)
	for ch := range 3 {
		s.Sensor.WhiteGain[ch] = math.Pow(lit[1]/lit[ch], trust) * math.Pow(mean[1]*lit[ch]/math.Max(1e-9, mean[ch]*lit[1]), fooled)
		s.Sensor.WhiteGain[ch] *= [3]float64{math.Exp(d.r.near(0.01, 0.03)), 1, math.Exp(d.r.near(-0.03, 0.03))}[ch]
	}
}
