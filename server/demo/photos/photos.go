// Package photos holds the demonstration's rendered photos and what is known of them as a person
// would know it: which card lies there, where each fastener shows. What stands on them is for
// measuring to say. Start with [Measure] and [Finding].
package photos

import (
	"crypto/sha256"
	"embed"
	"encoding/json"
	"fmt"
	"math"

	"bucktail/imaging/answer"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/history"
)

//go:embed *.jpg places.json
var files embed.FS

// Sheet is what was measured on the sheet that the scale cards were cut from: the rendered card
// has exactly this.
var Sheet = history.CardData{Sheet: "1", Paper: "a4", CheckNominalMM: 150, CheckAcrossMM: 150.3, CheckAlongMM: 149.85, CheckUMM: 0.1,
	ThicknessMM: 0.25, ThicknessUMM: 0.02, MeasuredWith: "calipers 150 mm"}

// nearPx is how far from its place a fastener may be found to be the one of that tag.
const nearPx = 40

// Shown is a photo with what was read off it.
type Shown struct {
	Data []byte
	Doc  *answer.Document
	// Tags gives for each of the document's locations the number of its tag, from 0; -1 where it is
	// none of the part's, or the photo asks about it.
	Tags []int
}

// Measure reads a photo by its name without ".jpg".
func Measure(name string, spec qc.Spec) (*Shown, error) {
	b, err := files.ReadFile("places.json")
	if err != nil {
		return nil, err
	}
	var places map[string][][2]float64
	if err := json.Unmarshal(b, &places); err != nil {
		return nil, fmt.Errorf("places of the demonstration: %w", err)
	}
	data, err := files.ReadFile(name + ".jpg")
	if err != nil {
		return nil, err
	}
	x, y := Sheet.Scale()
	doc, err := answer.Measure(data, answer.Options{Spec: spec, Measure: measure.Options{ScaleX: x, ScaleY: y,
		ScaleU: Sheet.CheckUMM / Sheet.CheckNominalMM / 2, ThicknessMM: Sheet.ThicknessMM, ThicknessU: Sheet.ThicknessUMM / 2}})
	if err != nil {
		return nil, err
	}
	if doc.Scale == nil {
		return nil, fmt.Errorf("no card was found on %s", name)
	}
	s := &Shown{Data: data, Doc: doc}
	for _, l := range doc.Locations {
		tag := -1
		for n, p := range places[name] {
			if l.Ask == nil && math.Hypot(l.CentrePx[0]-p[0], l.CentrePx[1]-p[1]) < nearPx {
				tag = n
			}
		}
		s.Tags = append(s.Tags, tag)
	}
	return s, nil
}

// Shot is the photo's entry; locations are the ids of the part's, by tag.
func (s *Shown) Shot(calibration string, locations []string) history.ShotData {
	var ids []string
	for _, tag := range s.Tags {
		if tag >= 0 {
			ids = append(ids, locations[tag])
		}
	}
	return history.ShotData{Copies: copies(s.Data), Photo: s.Doc.SHA256, Bytes: int64(len(s.Data)), Media: "image/jpeg", WidthPx: s.Doc.Width, HeightPx: s.Doc.Height,
		Calibration: calibration, Layout: s.Doc.Scale.Layout, Locations: ids, TakenAt: s.Doc.Taken}
}

// copies names the copy of a photo without location data.
func copies(data []byte) history.Copies {
	stripped, err := photo.StripLocation(data)
	if err != nil {
		panic("photos: " + err.Error()) // embedded
	}
	return history.Copies{fmt.Sprintf("%x", sha256.Sum256(data)): fmt.Sprintf("%x", sha256.Sum256(stripped))}
}

// Note gives words with a photo by its name without ".jpg", and the photo's bytes.
func Note(text, name string) (note history.NoteData, data []byte, err error) {
	data, err = files.ReadFile(name + ".jpg")
	if err == nil {
		note = history.NoteData{Text: text, Copies: copies(data), Photos: []string{fmt.Sprintf("%x", sha256.Sum256(data))}}
	}
	return note, data, err
}

// Finding is what the photo says of the document's location i, as the app would keep it. hole are
// readings of its hole from before the rivet was set; a nonempty seen answers every question.
func (s *Shown) Finding(i int, shot string, locations []string, hole []qc.Reading, seen qc.Seen) (history.FindingData, error) {
	l := &s.Doc.Locations[i]
	var readings []qc.Reading
	for _, r := range l.Readings {
		if r.To != nil && s.Tags[*r.To] >= 0 {
			r.Of = &qc.Target{Location: locations[s.Tags[*r.To]], Name: Tag(s.Tags[*r.To])}
		}
		readings = append(readings, r.Reading)
	}
	res, err := qc.JudgeLocation(s.Doc.Spec, readings, hole)
	if err != nil {
		return history.FindingData{}, err
	}
	f := history.FindingData{Shot: shot, Spec: s.Doc.Spec, Readings: readings, Result: res, Method: s.Doc.Method, Places: s.Doc.Places(i)}
	r := 60.0
	for _, o := range l.OutlinePx {
		r = max(r, math.Hypot(o[0]-l.CentrePx[0], o[1]-l.CentrePx[1]))
	}
	r *= 1.9 // as the app cuts it
	f.Crop = &history.Crop{X: l.CentrePx[0] - r, Y: l.CentrePx[1] - r, W: 2 * r, H: 2 * r}
	if seen != "" {
		for _, q := range qc.QuestionsFor(s.Doc.Spec.Kind) {
			f.Answers = append(f.Answers, qc.Answer{Question: q.ID, Seen: seen})
		}
		f.AnswersVerdict = qc.AnswersVerdict(f.Answers)
	}
	return f, nil
}

// Tag names a part's nth location, from 0.
func Tag(n int) string { return fmt.Sprintf("R%d", n+1) }

// Gusset are the places of six rivets on a corner gusset 92 mm wide and high: mm from its lower
// left corner, as they were rendered.
var Gusset = [][2]float64{{10, 9}, {23, 9}, {36, 9}, {49, 9}, {10, 22}, {10, 35}}
