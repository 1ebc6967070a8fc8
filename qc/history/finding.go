package history

import "bucktail/qc"

// FindingData is what was found at one location by one look: readings, what they were held
// against, what was seen. The limits as they were then stand in the checks, so the finding
// says the same for good, whatever limits are chosen later.
type FindingData struct {
	Shot     string       `json:"shot,omitempty"`     // id of the shot entry; none: no photo, answers alone
	Spec     qc.Spec      `json:"spec"`               // what was meant to stand there, with the limit set used
	Readings []qc.Reading `json:"readings,omitempty"` // all that were read, judged or not
	Result   qc.Result    `json:"result"`
	Answers  []qc.Answer  `json:"answers,omitempty"` // to the visual questions
	// AnswersVerdict is what the answers amounted to by the questions as they were then; empty
	// when every answer is no.
	AnswersVerdict qc.Verdict `json:"answers_verdict,omitempty"`
	Method         string     `json:"method,omitempty"` // version of the measuring method
	Crop           *Crop      `json:"crop,omitempty"`   // where it is in the shot
	Marks          []Mark     `json:"marks,omitempty"`  // what was placed by hand
	Places         *Places    `json:"places,omitempty"` // what is needed to draw it on the shot again
	// Views are the shots that were measured together, Shot among them, in the order in which they were
	// taken; none where Shot was measured alone.
	Views []View `json:"views,omitempty"`
	// MovedFrom is the id of the entry that was put to another location by mistake and that this
	// one says again here. It counts from the time of that entry on.
	MovedFrom string `json:"moved_from,omitempty"`
}

// View is one of several shots that were measured together.
type View struct {
	Shot   string  `json:"shot"`             // id of the shot entry
	Used   bool    `json:"used"`             // the outline there has a part in the readings
	Why    string  `json:"why,omitempty"`    // why not
	Places *Places `json:"places,omitempty"` // what is needed to draw the outline on that shot
}

// Mark is a hint that a hand placed on the photo, kept so that the reading can be had again.
type Mark struct {
	What     string    `json:"what"`      // "outline", "centre", "edge", "scale", "round thing"
	PointsPx []PointPx `json:"points_px"` // upright pixels of the shot; of an outline its four sides, by older programs its centre and a point of the rim
	LengthMM float64   `json:"length_mm,omitempty"`
	UMM      float64   `json:"U_mm,omitempty"`
	Note     string    `json:"note,omitempty"`
}

// PointPx is a place in a photo: upright pixels, (0,0) the middle of the first one, x right,
// y down.
type PointPx struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// IsHole says whether a hole was looked at, not a rivet.
func (d *FindingData) IsHole() bool { return d.Spec.Kind == qc.Hole }

// Verdict is the finding's verdict of what was read and seen in it: the worst of its checks and
// visual answers; empty when nothing was judged.
func (d *FindingData) Verdict() qc.Verdict {
	v := d.AnswersVerdict
	for _, c := range d.Result.Checks {
		v = qc.Worst(v, c.Verdict)
	}
	return v
}

// Look gives the finding as one measurement of its location; id is its entry's.
func (d *FindingData) Look(id string) qc.Look {
	return qc.Look{ID: id, Readings: d.Readings, Result: d.Result}
}

// GaugeData is what a hand gauge read, and the checks of these readings.
type GaugeData struct {
	Finding    string       `json:"finding,omitempty"` // id of the finding that it settles
	Spec       qc.Spec      `json:"spec"`
	Instrument string       `json:"instrument"` // "calipers 150 mm, no. 3"
	Identity   *Identity    `json:"identity,omitempty"`
	Readings   []qc.Reading `json:"readings"`
	Result     qc.Result    `json:"result"`
	Photos     []string     `json:"photos,omitempty"` // SHA-256 each: of the gauge in place
	Copies     Copies       `json:"copies,omitempty"`
	MovedFrom  string       `json:"moved_from,omitempty"` // see [FindingData]
}

// Look gives the hand readings as one measurement of their location; id is their entry's.
func (d *GaugeData) Look(id string) qc.Look {
	return qc.Look{ID: id, Readings: d.Readings, Result: d.Result, ByHand: true}
}

// gist is as much of a finding or gauge reading as its location's state needs. Adding a location
// up reads all its findings again each time, and most of a finding is budgets.
type gist struct {
	Finding        string        `json:"finding"`
	Spec           specGist      `json:"spec"`
	Readings       []readingGist `json:"readings"`
	Result         resultGist    `json:"result"`
	AnswersVerdict qc.Verdict    `json:"answers_verdict"`
	MovedFrom      string        `json:"moved_from"`
}

type specGist struct {
	Kind  qc.Kind `json:"kind"`
	Pilot bool    `json:"pilot"`
	Mark  bool    `json:"mark"`
}

type readingGist struct {
	Quantity  qc.Quantity `json:"quantity"`
	ValueMM   float64     `json:"value_mm"`
	UMM       float64     `json:"U_mm"`
	How       qc.How      `json:"how"`
	Photo     string      `json:"photo"`
	Of        *qc.Target  `json:"of"`
	FromShank bool        `json:"from_shank"`
	Layer     string      `json:"layer"`
}

func (g readingGist) reading() qc.Reading {
	return qc.Reading{Quantity: g.Quantity, ValueMM: g.ValueMM, UMM: g.UMM, How: g.How, Photo: g.Photo, Of: g.Of, FromShank: g.FromShank, Layer: g.Layer}
}

type limitGist struct {
	Quantity qc.Quantity `json:"quantity"`
	MinMM    float64     `json:"min_mm"`
	MaxMM    float64     `json:"max_mm"`
	Layer    string      `json:"layer"`
}

func (g limitGist) limit() qc.Limit {
	return qc.Limit{Quantity: g.Quantity, MinMM: g.MinMM, MaxMM: g.MaxMM, Layer: g.Layer}
}

type resultGist struct {
	Checks []struct {
		Reading readingGist `json:"reading"`
		Limit   limitGist   `json:"limit"`
		Verdict qc.Verdict  `json:"verdict"`
	} `json:"checks"`
	Unread []limitGist `json:"unread"`
}

func (g *gist) finding() *FindingData {
	f := &FindingData{Spec: qc.Spec{Kind: g.Spec.Kind, Pilot: g.Spec.Pilot, Mark: g.Spec.Mark}, AnswersVerdict: g.AnswersVerdict, MovedFrom: g.MovedFrom}
	for _, r := range g.Readings {
		f.Readings = append(f.Readings, r.reading())
	}
	for _, c := range g.Result.Checks {
		f.Result.Checks = append(f.Result.Checks, qc.Check{Verdict: c.Verdict, Reading: c.Reading.reading(), Limit: c.Limit.limit()})
	}
	for _, l := range g.Result.Unread {
		f.Result.Unread = append(f.Result.Unread, l.limit())
	}
	return f
}

func (g *gist) gauge() *GaugeData {
	f := g.finding()
	return &GaugeData{Finding: g.Finding, Spec: f.Spec, Readings: f.Readings, Result: f.Result, MovedFrom: f.MovedFrom}
}

// DispositionData is what the builder decided about a finding.
type DispositionData struct {
	Finding string         `json:"finding"`          // id of the finding (or of the gauge reading) decided on
	Action  qc.Disposition `json:"action"`           // drill out, keep, re-measure, or refer to the designer
	Reason  string         `json:"reason,omitempty"` // needed to keep what is out or too close
	Answer  string         `json:"answer,omitempty"` // the designer's, when it came: reference
}

// LimitsData chooses limits for a part or a location, from now on. What was judged before
// stays as it was.
type LimitsData struct {
	Set string        `json:"set"`           // name of a published set
	Own *qc.OwnLimits `json:"own,omitempty"` // the builder's own, from drawings
}

// LaxerData confirms once that a limit from a drawing is less strict than the published one and is
// meant so.
type LaxerData struct {
	Limit     qc.Limit `json:"limit"`     // the own limit, with the published one inside
	Reference string   `json:"reference"` // of the drawing: number, sheet, note
	Said      string   `json:"said,omitempty"`
}
