package synth

import (
	"fmt"
	"math"
	"sort"

	"bucktail/imaging/geom"
)

// Truth is what is exactly known about a rendered photo. Its JSON form has the fields of
// the truth files of testdata/photos: pixels of the upright picture, (0, 0) the centre of
// the top left one; sheet millimetres with z = 0 on the top face.
type Truth struct {
	Image       string          `json:"image"`
	Width       int             `json:"width"`
	Height      int             `json:"height"`
	EXIF        map[string]any  `json:"exif"`
	EXIFNote    string          `json:"exif_note"`
	Camera      map[string]any  `json:"camera"`
	View        map[string]any  `json:"view"`
	Card        map[string]any  `json:"card,omitempty"`
	Sheet       map[string]any  `json:"sheet"`
	Fasteners   []FastenerTruth `json:"fasteners"`
	Edges       []EdgeTruth     `json:"edges"`
	Pitches     []PitchTruth    `json:"pitches"`
	Clutter     []ClutterTruth  `json:"clutter_holes"`
	Rounds      []RoundTruth    `json:"rounds,omitempty"` // workshop scenes: all round things
	Conditions  []string        `json:"conditions"`
	Seed        uint64          `json:"seed"`
	JPEGQuality int             `json:"jpeg_quality"`
}

// FastenerTruth is one location.
type FastenerTruth struct {
	ID            string       `json:"id"`
	Type          Kind         `json:"type"`
	NominalDMM    float64      `json:"nominal_d_mm"`
	Dash          string       `json:"dash"`
	Drill         string       `json:"drill,omitempty"`
	AxisMM        [2]float64   `json:"axis_mm"`
	HeadCentreMM  [2]float64   `json:"head_centre_mm"`
	HeadDMaxMM    float64      `json:"head_d_max_mm,omitempty"`
	HeadDMinMM    float64      `json:"head_d_min_mm,omitempty"`
	HeadDMeanMM   float64      `json:"head_d_mean_mm,omitempty"`
	HeadAngleDeg  float64      `json:"head_angle_deg,omitempty"`
	HeadHeightMM  float64      `json:"head_height_mm,omitempty"`
	WidestMM      float64      `json:"widest_at_height_mm,omitempty"`
	TiltDeg       float64      `json:"tilt_deg,omitempty"`
	TiltAzimuth   float64      `json:"tilt_azimuth_deg,omitempty"`
	MandrelHoleMM float64      `json:"mandrel_hole_d_mm,omitempty"`
	StemTopMM     float64      `json:"stem_top_mm,omitempty"`
	GapMM         float64      `json:"gap_mm,omitempty"`
	Finish        Finish       `json:"finish,omitempty"`
	HoleDMM       float64      `json:"hole_d_mm,omitempty"`
	HoleDMinMM    float64      `json:"hole_d_min_mm,omitempty"`
	HoleDMaxMM    float64      `json:"hole_d_max_mm,omitempty"`
	HoleAngleDeg  float64      `json:"hole_angle_deg,omitempty"`
	HoleRimDMM    float64      `json:"hole_rim_d_mm,omitempty"`
	ChamferMM     float64      `json:"chamfer_mm,omitempty"`
	Burred        *bool        `json:"burred,omitempty"`
	CentrePx      [2]float64   `json:"centre_px"`
	OutlinePx     [][2]float64 `json:"outline_px"`
	Visible       float64      `json:"visible_fraction"`
	EdgeDistances []EdgeTo     `json:"edge_distances"`
}

// EdgeTo is the distance from a fastener's axis to an edge.
type EdgeTo struct {
	Edge    string  `json:"edge"`
	MM      float64 `json:"mm"`
	Visible float64 `json:"foot_visible_fraction"`
}

// EdgeTruth is a straight edge of the sheet: its outer upright face.
type EdgeTruth struct {
	ID      string      `json:"id"`
	On      string      `json:"on"`
	P0MM    [2]float64  `json:"p0_mm"`
	P1MM    [2]float64  `json:"p1_mm"`
	P0Px    *[2]float64 `json:"p0_px,omitempty"` // nil for an end that lies behind the camera
	P1Px    *[2]float64 `json:"p1_px,omitempty"`
	InFrame bool        `json:"in_frame"`
	In0MM   *[2]float64 `json:"in_frame_p0_mm,omitempty"`
	In1MM   *[2]float64 `json:"in_frame_p1_mm,omitempty"`
	In0Px   *[2]float64 `json:"in_frame_p0_px,omitempty"`
	In1Px   *[2]float64 `json:"in_frame_p1_px,omitempty"`
}

// PitchTruth is the distance between two locations' axes.
type PitchTruth struct {
	From string  `json:"from"`
	To   string  `json:"to"`
	MM   float64 `json:"mm"`
}

// ClutterTruth is a hole that is no location.
type ClutterTruth struct {
	CentreMM [2]float64 `json:"centre_mm"`
	DMM      float64    `json:"d_mm"`
	CentrePx [2]float64 `json:"centre_px"`
}

func round(v float64, digits int) float64 {
	k := math.Pow10(digits)
	return math.Round(v*k) / k
}

func mm2(p geom.SheetPoint) [2]float64 { return [2]float64{round(p.X, 4), round(p.Y, 4)} }
func px2(p geom.PxPoint) [2]float64    { return [2]float64{round(p.U, 3), round(p.V, 3)} }

// project gives the pixel of a point in space.
func (s *Scene) project(v vec) geom.PxPoint { return s.Project(sheetPoint(v), v.z) }

func (s *Scene) inFrame(p geom.PxPoint) bool {
	return p.U >= -0.5 && p.V >= -0.5 && p.U <= float64(s.Width)-0.5 && p.V <= float64(s.Height)-0.5
}

// Truth works out what is known about the scene's photo.
func (s *Scene) Truth() *Truth {
	w := newWorld(s)
	c := &s.Camera
	t := &Truth{
		Width: s.Width, Height: s.Height,
		EXIF: map[string]any{"Make": "Synthetic", "Model": "Render", "Orientation": s.Orientation, "FocalLength": s.FocalMM,
			"FocalLengthIn35mmFilm": s.Focal35MM, "DateTimeOriginal": s.Taken},
		EXIFNote: fmt.Sprintf("Orientation %d; every px value refers to the upright image", s.Orientation),
		Camera: map[string]any{"model": "opencv", "fx": c.FocalPx, "fy": c.FocalPx, "cx": c.CxPx, "cy": c.CyPx,
			"k1": c.K1, "k2": s.Lens.K2, "p1": 0.0, "p2": 0.0, "k3": 0.0, "R": c.R, "t": c.T},
		View: map[string]any{"tilt_deg": round(c.TiltDeg(), 2), "zoom": s.Zoom,
			"aperture_radius_mm": s.Lens.ApertureMM, "focus_mm": round(s.Lens.FocusMM, 2)},
		Sheet: map[string]any{"finish": s.Sheet.Finish, "thickness_mm": s.Sheet.ThicknessMM, "edge_bevel_mm": round(s.Sheet.BevelMM, 4),
			"under": s.Sheet.Under, "standing_leg": s.Sheet.Leg},
		Conditions: s.Conditions, Seed: s.Seed, JPEGQuality: s.Sensor.JPEGQuality,
		Pitches: []PitchTruth{}, Clutter: []ClutterTruth{},
	}
	if s.DigitalZoom > 0 {
		t.EXIF["DigitalZoomRatio"] = s.DigitalZoom
	}
	if s.Stripped {
		t.EXIF = map[string]any{}
	}
	if s.Card != nil {
		t.Card = w.cardTruth()
	}
	w.edgeTruth(t)
	for i := range s.Fasteners {
		f := w.fastenerTruth(&s.Fasteners[i], i)
		for _, e := range t.Edges {
			w.edgeTo(&f, &s.Fasteners[i], &e)
		}
		sort.Slice(f.EdgeDistances, func(a, b int) bool { return f.EdgeDistances[a].MM < f.EdgeDistances[b].MM })
		t.Fasteners = append(t.Fasteners, f)
		if i > 0 {
			p, q := s.Fasteners[i-1].AxisMM, s.Fasteners[i].AxisMM
			t.Pitches = append(t.Pitches, PitchTruth{s.Fasteners[i-1].ID, s.Fasteners[i].ID, round(p.Sub(q).Norm(), 4)})
		}
	}
	for _, h := range s.Clutter {
		t.Clutter = append(t.Clutter, ClutterTruth{mm2(h.AtMM), h.DMM, px2(s.Project(h.AtMM, 0))})
	}
	for _, r := range s.Rounds() {
		t.Rounds = append(t.Rounds, r.truth())
	}
	_, _, z := c.Centre()
	t.View["distance_mm"] = round(z/max(0.2, math.Abs(c.R[2][2])), 2)
	return t
}

// sees tells whether the eye sees the point v: in the frame and nothing before it.
// own is a head that may cover itself, or -1.
func (w *world) sees(v vec, own int) bool {
	if !w.s.inFrame(w.s.project(v)) {
		return false
	}
	d := v.sub(w.eye)
	m := w.meet(w.eye, d, 1e-6, 1)
	return m.on == onNothing || (1-m.t)*d.norm() < 0.08 ||
		own >= 0 && (m.on == onHead || m.on == onFlat || m.on == onStem) && m.head == own ||
		own >= 0 && m.on == onBody && w.workshop.bodies[m.head].round == own
}

func (w *world) cardTruth() map[string]any {
	c := w.paper
	px, vis := [][3]float64{}, []float64{}
	for _, tg := range c.Layout.Targets {
		p := c.ToSheet(tg.At)
		u := w.s.Project(p, c.ThicknessMM)
		n := 0
		for k := range 40 {
			s, co := math.Sincos(2 * math.Pi * float64(k) / 40)
			q := c.ToSheet(geom.CardPoint{X: tg.At.X + 2.4*co, Y: tg.At.Y + 2.4*s})
			if w.sees(vec{q.X, q.Y, c.ThicknessMM}, -1) {
				n++
			}
		}
		f := float64(n) / 40
		seen := 0.0
		if f >= 0.97 {
			seen = 1
		}
		px, vis = append(px, [3]float64{round(u.U, 3), round(u.V, 3), seen}), append(vis, f)
	}
	return map[string]any{"layout": c.Layout.Name, "print_scale": c.PrintScale, "thickness_mm": round(c.ThicknessMM, 4),
		"origin_on_sheet_mm": mm2(c.OriginMM), "angle_deg": round(c.AngleDeg, 3), "ink_gain_mm": round(c.InkGainMM, 4),
		"targets_px": px, "targets_visible_fraction": vis}
}

// ring gives the widest outline of a head, or the bore of a hole at z = 0.
func (f *Fastener) ring(n int) []vec {
	var out []vec
	s0, c0 := math.Sincos(f.AngleDeg * math.Pi / 180)
	ez := f.axis()
	ex, ey := frame(ez, vec{c0, s0, 0})
	centre := vec{f.FootMM.X, f.FootMM.Y, 0}.at(ez, f.WidestMM)
	ls, lc := math.Sincos(f.LongDeg * math.Pi / 180)
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		if f.Kind == Hole {
			side := f.LongMM / 2
			if c < 0 {
				side = -side
			}
			x, y := c*f.BoreMM/2+side, s*f.BoreMM/2
			out = append(out, vec{f.AxisMM.X + x*lc - y*ls, f.AxisMM.Y + x*ls + y*lc, 0})
			continue
		}
		k := lobedRadius(f.lobes, 2*math.Pi*float64(k)/float64(n))
		out = append(out, centre.at(ex, k*c*f.MaxDMM/2).at(ey, k*s*f.MinDMM/2))
	}
	return out
}

func (w *world) fastenerTruth(f *Fastener, index int) FastenerTruth {
	t := FastenerTruth{ID: f.ID, Type: f.Kind, NominalDMM: f.NominalMM, Dash: f.Dash, AxisMM: mm2(f.AxisMM),
		HeadCentreMM: mm2(f.AxisMM), CentrePx: px2(w.s.Project(f.AxisMM, 0)), EdgeDistances: []EdgeTo{}}
	own := -1
	if f.Kind == Hole {
		t.Drill, t.HoleDMM, t.HoleDMinMM, t.HoleDMaxMM = f.Drill, round(f.BoreMM, 4), round(f.BoreMM, 4), round(f.BoreMM+f.LongMM, 4)
		t.HoleAngleDeg, t.HoleRimDMM, t.ChamferMM, t.Burred = f.LongDeg, round(f.BoreMM+2*f.ChamferMM, 4), f.ChamferMM, &f.Burred
	} else {
		for i := range index + 1 {
			if w.s.Fasteners[i].Kind != Hole {
				own++
			}
		}
		if w.workshop != nil {
			own = f.round
		}
		c := vec{f.FootMM.X, f.FootMM.Y, 0}.at(f.axis(), f.WidestMM)
		t.HeadCentreMM = mm2(sheetPoint(c))
		t.HeadDMaxMM, t.HeadDMinMM, t.HeadDMeanMM = round(f.MaxDMM, 4), round(f.MinDMM, 4), round(meanCaliper(f.MaxDMM, f.MinDMM), 4)
		t.HeadAngleDeg, t.HeadHeightMM, t.WidestMM = round(f.AngleDeg, 2), round(f.HeightMM, 4), round(f.WidestMM, 4)
		t.TiltDeg, t.TiltAzimuth = round(f.TiltDeg, 3), round(f.TiltAzimuthDeg, 1)
		t.MandrelHoleMM, t.StemTopMM, t.GapMM, t.Finish = round(f.MandrelHoleMM, 4), round(f.StemTopMM, 3), round(f.GapMM, 4), f.Finish
	}
	n := 0
	ring := f.ring(32)
	for _, v := range ring {
		t.OutlinePx = append(t.OutlinePx, px2(w.s.project(v)))
		if w.sees(v, own) {
			n++
		}
	}
	t.Visible = round(float64(n)/float64(len(ring)), 3)
	return t
}

// meanCaliper is the mean width of an ellipse over all directions.
func meanCaliper(a, b float64) float64 {
	sum := 0.0
	const n = 180
	for k := range n {
		s, c := math.Sincos(math.Pi * float64(k) / n)
		sum += math.Hypot(a*c, b*s)
	}
	return sum / n
}

// before gives the pixel of a point in space, nil where it lies behind the camera.
func (w *world) before(v vec) *[2]float64 {
	q := w.s.project(v)
	if math.IsNaN(q.U) {
		return nil
	}
	p := px2(q)
	return &p
}

func (w *world) edgeTruth(t *Truth) {
	o := w.sheet.out
	id := 0
	for i := range o.a {
		if w.s.Sheet.Leg != nil && o.lines[i].ny > 0.9 {
			continue // this side is the bend
		}
		id++
		e := EdgeTruth{ID: fmt.Sprintf("e%d", id), On: "top sheet"}
		a, b := o.a[i], o.b[i]
		at := func(k float64) vec { return a.mul(1 - k).add(b.mul(k)) }
		e.P0MM, e.P1MM = mm2(sheetPoint(a)), mm2(sheetPoint(b))
		e.P0Px, e.P1Px = w.before(a), w.before(b)
		first, last := -1.0, -1.0
		const n = 2000
		for k := range n + 1 {
			f := float64(k) / n
			if q := w.s.project(at(f)); w.s.inFrame(q) {
				if first < 0 {
					first = f
				}
				last = f
			}
		}
		if e.InFrame = first >= 0 && last > first; e.InFrame {
			p, q := mm2(sheetPoint(at(first))), mm2(sheetPoint(at(last)))
			u, v := px2(w.s.project(at(first))), px2(w.s.project(at(last)))
			e.In0MM, e.In1MM, e.In0Px, e.In1Px = &p, &q, &u, &v
		}
		t.Edges = append(t.Edges, e)
	}
}

// edgeTo adds the distance to an edge if the foot of the perpendicular lies on it.
func (w *world) edgeTo(t *FastenerTruth, f *Fastener, e *EdgeTruth) {
	p0, p1 := geom.SheetPoint{X: e.P0MM[0], Y: e.P0MM[1]}, geom.SheetPoint{X: e.P1MM[0], Y: e.P1MM[1]}
	d := p1.Sub(p0)
	s := f.AxisMM.Sub(p0).Dot(d) / d.Dot(d)
	if s < 0 || s > 1 {
		return
	}
	foot := p0.Add(d.Scale(s))
	n, all := 0, 0
	for k := -3; k <= 3; k++ {
		q := foot.Add(d.Scale(float64(k) / d.Norm()))
		all++
		if w.sees(vec{q.X, q.Y, 0}, -1) {
			n++
		}
	}
	t.EdgeDistances = append(t.EdgeDistances, EdgeTo{e.ID, round(f.AxisMM.Sub(foot).Norm(), 4), round(float64(n)/float64(all), 3)})
}
