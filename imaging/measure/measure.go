package measure

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

// Photo measures one photo.
//
// What the photo does not allow comes back as Problems, or as a Location's Ask; an error
// is a *qc.Refusal about the bytes (no picture, too large) or about the options.
func Photo(data []byte, opt Options) (*Result, error) {
	if err := opt.Valid(); err != nil {
		return nil, err
	}
	opt.begin(StepDecode)
	ph, err := photo.Decode(data)
	if err != nil {
		return nil, err
	}
	return Decoded(ph, opt), nil
}

// Decoded is [Photo] for a picture that is decoded already, and for options that are valid.
func Decoded(ph *photo.Photo, opt Options) *Result {
	res := &Result{SHA256: ph.SHA256, Width: ph.Width, Height: ph.Height, Taken: ph.Taken, Camera: ph.Camera}
	for _, w := range ph.Warnings {
		res.Warnings = append(res.Warnings, Note{w.Code, w.Text})
	}
	opt.begin(StepCard)
	m, err := findScale(ph, &opt)
	if err != nil {
		var r *qc.Refusal
		if !errors.As(err, &r) {
			r = &qc.Refusal{Code: "internal", Text: err.Error()}
		}
		res.Problems = append(res.Problems, *r)
		res.Warnings = append(res.Warnings, poorPicture(ph)...)
		return res
	}
	res.Scale = &m.scale
	res.seen.m, res.seen.kind = m, opt.Kind
	if m.scale.TiltDeg > tiltNoteDeg {
		res.Warnings = append(res.Warnings, Note{"steep", fmt.Sprintf("the phone was tilted by %.0f°; heads are best measured below 10°", m.scale.TiltDeg)})
	}
	opt.begin(StepOutlines)
	fs := m.locate(ph, &opt, res, m.fasteners(ph, &opt, res))
	res.seen.fasteners = fs
	opt.begin(StepEdges)
	m.edges(ph, &opt, res, fs)
	m.pitches(&opt, res)
	switch {
	case len(res.Locations) > 0:
	case opt.Mark:
		res.Problems = append(res.Problems, qc.Refusal{Code: "nothing-found",
			Text: "a mark is not found by itself: it looks like a scratch", Do: "point at each mark, and it is read there"})
	default:
		res.Problems = append(res.Problems, qc.Refusal{Code: "nothing-found",
			Text: fmt.Sprintf("no %s of this size was found beside the card", words[opt.Kind]),
			Do:   "check the kind and the size, or tap the fastener"})
	}
	for i := range res.Locations {
		for k := range res.Locations[i].Readings {
			res.Locations[i].Readings[k].Photo = ph.SHA256
		}
	}
	return res
}

// reachMM is how far beside the card is looked, of what the photo shows: beyond what a phone that
// sees the card well sees sharply.
const reachMM = 250

// tiltNoteDeg is the tilt from which on the result says so: heads are seen at 25°, where their
// height makes the greater part of U, well before they are asked about (askSlope).
const tiltNoteDeg = 25

// poorPicture tells what about the picture itself may have hidden the scale. The limits are
// common practice: a phone's photo in focus has edges 1.5 to 3 pixels wide, a well exposed
// one a middle grey of 80 to 170 and hardly a clipped pixel.
func poorPicture(ph *photo.Photo) (notes []Note) {
	q := photo.Assess(ph.Picture)
	if q.EdgePx > 7 {
		notes = append(notes, Note{"soft", fmt.Sprintf("the picture is soft: even its sharper edges are %.0f pixels wide; hold still and let the phone focus on the card", q.EdgePx)})
	}
	if q.MedianLuma < 25 || q.Dark > 0.3 {
		notes = append(notes, Note{"dark", "the picture is very dark; add light"})
	}
	if q.Bright > 0.3 {
		notes = append(notes, Note{"bright", "much of the picture is overexposed; move the lamp or the work to avoid glare"})
	}
	return notes
}

var words = map[qc.Kind]string{qc.ShopHead: "shop head", qc.UniversalHead: "universal head", qc.PulledHead: "pulled head", qc.FlushHead: "flush head", qc.Hole: "hole"}

func findScale(ph *photo.Photo, opt *Options) (*sheetMap, error) {
	if opt.Card != "none" {
		m, err := mapByCard(ph, opt)
		if err == nil {
			if opt.TwoPoints != nil {
				err = m.rescale(opt.TwoPoints)
			}
			return m, err
		}
		if opt.TwoPoints == nil && opt.Round == nil {
			return nil, err
		}
	}
	switch {
	case opt.Round != nil:
		return mapByRound(ph, opt.Round)
	case opt.TwoPoints != nil:
		return mapByTwoPoints(ph, opt.TwoPoints)
	}
	return nil, &qc.Refusal{Code: "no-scale", Text: "there is no card to set the scale",
		Do: "lay the card beside the work, or mark two points a known distance apart"}
}

// fasteners finds and measures the round things; a size that looks wrong becomes a warning of res.
func (m *sheetMap) fasteners(ph *photo.Photo, opt *Options, res *Result) []fastener.Fastener {
	box := rectified.Box{MinX: m.around[0].X, MinY: m.around[0].Y, MaxX: m.around[1].X, MaxY: m.around[1].Y}
	fo := fastener.Options{Kind: opt.Kind, NominalMM: opt.NominalMM, Only: opt.Only,
		Around: rectified.Box{MinX: box.MinX - reachMM, MinY: box.MinY - reachMM, MaxX: box.MaxX + reachMM, MaxY: box.MaxY + reachMM},
		OnCard: func(p geom.SheetPoint) bool { return m.onCard(p, 0) }}
	if !opt.Mark {
		for _, t := range opt.Taps {
			fo.Taps = append(fo.Taps, m.cam.ToSheet(t, 0))
		}
	}
	if opt.Only && len(fo.Taps) == 0 {
		return nil
	}
	found := fastener.Find(ph.Picture, &m.cam, fo)
	if note, ok := otherSizes(opt, found.Fasteners, found.OtherDiametersMM); ok {
		res.Warnings = append(res.Warnings, note)
	}
	return found.Fasteners
}

// locate adds a location to res for each of fs, with what a person placed in place of what was found
// there, and gives what is at each.
func (m *sheetMap) locate(ph *photo.Photo, opt *Options, res *Result, fs []fastener.Fastener) []fastener.Fastener {
	if !opt.Mark {
		fs = m.placed(ph.Picture, opt, fs)
	}
	for i := range fs {
		f := &fs[i]
		loc := Location{Kind: opt.Kind, Centre: f.Centre, RadiusMM: f.RMM, CentrePx: m.cam.Project(f.Centre, 0), ByHand: f.Tapped || f.Placed,
			Probability: f.Probability, Clear: f.Clear, OutlinePx: seenPx(&m.cam, f)}
		loc.MiddlePx, loc.SidesPx = f.Handles(&m.cam, opt.Kind)
		how := m.how
		var hand []qc.Contribution
		if f.Placed {
			how, loc.Hand = qc.ByPhotoHand, FromEdge
			if f.ByMarks > 0 {
				loc.Hand = FromMarks
			}
			hand = []qc.Contribution{{Label: "outline placed by hand", UMM: f.ByMarks * handPx / f.PxPerMM}}
		}
		loc.Ask = whyAsk(f, opt)
		loc.centreU = position(f, opt.Kind, hand)
		if loc.Ask == nil {
			n := geom.SheetPoint{X: f.RMM}
			if m.scale.From == "card" {
				loc.Ask = tooFar(m.lengths(f.Centre.Sub(n), f.Centre.Add(n), f.HeightMM))
			}
			for _, r := range m.diameterReadings(f, opt.Kind, how, hand) {
				if loc.Ask != nil {
					break
				}
				loc.Readings = append(loc.Readings, Reading{Reading: r, ToIndex: -1})
			}
			if opt.Kind == qc.PulledHead && loc.Ask == nil {
				if r, ok := m.mandrel(ph, f, opt, how); ok {
					loc.Readings = append(loc.Readings, Reading{Reading: r, ToIndex: -1})
				}
			}
		}
		res.Locations = append(res.Locations, loc)
	}
	if opt.Mark {
		fs = m.marks(ph.Picture, opt, res, fs)
	}
	return fs
}

// otherSizes asks whether the size that was said is right, where what is found, or seen besides, is
// of another: within a fifth of each other, the others count as one size.
func otherSizes(opt *Options, found []fastener.Fastener, otherMM []float64) (n Note, ok bool) {
	const alike = 1.2
	usual := outline.ProfileOf(opt.Kind)
	var off []float64
	for i := range found {
		if d := found[i].MeanD(); !found[i].Placed && (d < usual.MinD*opt.NominalMM/unusual || d > usual.MaxD*opt.NominalMM*unusual) {
			off = append(off, d)
		}
	}
	if 2*len(off) > len(found) {
		return Note{"unusual-size", fmt.Sprintf("most of what was found is about %.1f mm across, which is unusual for a %s of this size: is the size right?", fit.Median(off), words[opt.Kind])}, true
	}
	slices.Sort(otherMM)
	var best []float64
	for i := range otherMM {
		k := i
		for k < len(otherMM) && otherMM[k] < alike*otherMM[i] {
			k++
		}
		if k-i > len(best) {
			best = otherMM[i:k]
		}
	}
	if len(best) == 0 {
		return n, false
	}
	things, were := "things", "were"
	if len(best) == 1 {
		things, were = "thing", "was"
	}
	return Note{"other-size", fmt.Sprintf("%d round %s of another size, about %.1f mm across, %s passed over: is the size right?", len(best), things, fit.Median(slices.Clone(best)), were)}, true
}

// unusual is by how much a diameter may lie outside of what is usual for its size before the
// size is doubted: the worst readings err by as much.
const unusual = 1.04

// edges finds the sheet's edges and adds the distances to them.
func (m *sheetMap) edges(ph *photo.Photo, opt *Options, res *Result, fs []fastener.Fastener) {
	if len(fs) == 0 {
		return
	}
	eo := sheetedge.Options{NominalDMM: opt.NominalMM, OnCard: m.onCard}
	reach := 5.5 * opt.NominalMM // edges are looked for within 5
	box := rectified.Box{MinX: math.Inf(1), MinY: math.Inf(1), MaxX: math.Inf(-1), MaxY: math.Inf(-1)}
	for i := range fs {
		c := fs[i].Centre
		eo.Fasteners = append(eo.Fasteners, geom.SheetCircle{Centre: c, RadiusMM: fs[i].RMM})
		box = rectified.Box{MinX: min(box.MinX, c.X), MinY: min(box.MinY, c.Y), MaxX: max(box.MaxX, c.X), MaxY: max(box.MaxY, c.Y)}
	}
	for _, t := range opt.EdgeTaps {
		eo.Hints = append(eo.Hints, m.cam.ToSheet(t, 0))
	}
	view := rectified.NewLightView(ph.Picture, &m.cam, rectified.SeenBox(ph.Picture, &m.cam, box, reach), edgeStepMM)
	es, unsure := sheetedge.Find(ph.Picture, &m.cam, view, eo)
	lines := append(slices.Clone(unsure), es...)
	for _, h := range opt.Edges {
		if e, ok := sheetedge.Placed(&m.cam, h.P0Px, h.P1Px, handPx); ok {
			es = append(es, e)
		}
	}
	res.seen.edges, res.seen.unsure = es, unsure
	for i := range es {
		res.EdgesPx = append(res.EdgesPx, [2]geom.PxPoint{es[i].P0Px, es[i].P1Px})
	}
	for i := range fs {
		loc := &res.Locations[i]
		if loc.Ask != nil {
			continue
		}
		read := sheetedge.Distances(eo.Fasteners[i], opt.NominalMM, es)
		for _, fe := range read {
			c := fs[i].Centre
			foot := fe.Foot(c)
			n := foot.Sub(c).Scale(1 / max(fe.DistanceMM, 1e-9))
			cs := m.lengths(c, foot, 0)
			cs = append(cs, toward(loc.centreU, n, m.cam.ViewSlope(c))...)
			cs = append(cs, fe.Contributions(c)...)
			how := m.how
			if fe.Tapped || loc.ByHand {
				how = qc.ByPhotoHand
			}
			r := reading(qc.EdgeDistance, fe.DistanceMM, cs, how)
			r.Warnings = append(r.Warnings, fe.Warnings...)
			if !fe.Tapped {
				r.LessMM = sheetedge.Nearer(eo.Fasteners[i], opt.NominalMM, fe.DistanceMM, lines, read)
			}
			loc.Readings = append(loc.Readings, Reading{Reading: r, ToIndex: -1,
				EdgePx: &[2]geom.PxPoint{fe.P0Px, fe.P1Px}, EdgeMM: &[2]geom.SheetPoint{fe.P0, fe.P1}})
		}
	}
}

// edgeStepMM is the grain of the view in which edges are sought: about a pixel of a photo
// at 10 px per mm, the coarsest that measures well.
const edgeStepMM = 0.1

// pitches adds the distances between the fasteners, each way.
func (m *sheetMap) pitches(opt *Options, res *Result) {
	for i := range res.Locations {
		a := &res.Locations[i]
		if a.Ask != nil {
			continue
		}
		for j := range res.Locations {
			b := &res.Locations[j]
			if i == j || b.Ask != nil {
				continue
			}
			v := b.Centre.Sub(a.Centre)
			l := v.Norm()
			n := v.Scale(1 / l)
			cs := m.lengths(a.Centre, b.Centre, 0)
			cs = append(cs, m.pair(a, b, n)...)
			how := m.how
			if a.ByHand || b.ByHand {
				how = qc.ByPhotoHand
			}
			to := b.CentrePx
			a.Readings = append(a.Readings, Reading{Reading: reading(qc.Pitch, l, cs, how), ToPx: &to, ToIndex: j})
		}
	}
	NoteUnmeasured(res.Locations, opt.NominalMM)
}

// NoteUnmeasured notes with each location's nearest pitch a fastener that is asked about and may
// stand nearer still.
func NoteUnmeasured(ls []Location, nominalMM float64) {
	for i := range ls {
		ls[i].unmeasuredNeighbour(ls, nearerD*nominalMM)
	}
}

// nearerD is how far, in shank diameters, the rough centre of a fastener that is asked about may
// lie off its true one: half a shop head's width is 0.75 D, and what is taken for its outline is
// seldom off by more than two thirds of that.
const nearerD = 0.5

// unmeasuredNeighbour notes with the nearest pitch that a fastener which is asked about may stand
// nearer still. roughMM is how far its centre may be off.
func (l *Location) unmeasuredNeighbour(all []Location, roughMM float64) {
	var nearest *Reading
	for i := range l.Readings {
		if r := &l.Readings[i]; r.Quantity == qc.Pitch && (nearest == nil || r.ValueMM < nearest.ValueMM) {
			nearest = r
		}
	}
	if nearest == nil {
		return
	}
	for i := range all {
		n := &all[i]
		if n.Ask == nil {
			continue
		}
		mm := n.Centre.Sub(l.Centre).Norm()
		if mm <= nearest.ValueMM+nearest.UMM+roughMM && (nearest.LessMM == 0 || mm < nearest.LessMM) {
			nearest.LessMM = mm
		}
	}
}

// pair gives what the uncertainties of two centres add to their distance in direction n. Heights err
// alike for heads of one kind in one photo only in part, so they count as independent,
// which errs to the wide side.
func (m *sheetMap) pair(a, b *Location, n geom.SheetPoint) []qc.Contribution {
	x := toward(a.centreU, n, m.cam.ViewSlope(a.Centre))
	y := toward(b.centreU, n, m.cam.ViewSlope(b.Centre))
	for i := range x {
		for k := range y {
			if y[k].Label == x[i].Label {
				x[i].UMM = math.Hypot(x[i].UMM, y[k].UMM)
				y[k].UMM = 0
			}
		}
	}
	for _, c := range y {
		if c.UMM > 0 {
			x = append(x, c)
		}
	}
	return x
}
