package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image/jpeg"
	"image/png"
	"syscall/js"

	"bucktail/imaging/aim"
	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/history"
)

// taken is what can be said of a photo without decoding it.
type taken struct {
	SHA256 string `json:"sha256"`
	Media  string `json:"media"`
	Bytes  int    `json:"bytes"`
	// Copy is the SHA-256 of its copy without location data; empty where none can be made.
	Copy string `json:"copy,omitempty"`
	// Size as stored, not yet turned upright; 0 where the header is damaged.
	Width  int `json:"width"`
	Height int `json:"height"`
}

// measureIn is what the builder said, in the document's spelling. Points are [u, v] in upright
// pixels.
type measureIn struct {
	Spec  qc.Spec `json:"spec"`
	Size  string  `json:"size,omitempty"`
	Photo string  `json:"photo,omitempty"`
	Card  string  `json:"card,omitempty"`
	// Calibration of the printed sheet that the card was cut from; none: as printed by any
	// printer.
	Calibration *history.CardData `json:"calibration,omitempty"`
	// Proofs are the project's gauge studies, Device is this one; no device: nothing is said of them.
	Proofs    []qc.Proof        `json:"proofs,omitempty"`
	Device    string            `json:"device,omitempty"`
	SheetMM   float64           `json:"sheet_mm,omitempty"`
	Taps      []answer.Point    `json:"taps,omitempty"`
	EdgeTaps  []answer.Point    `json:"edge_taps,omitempty"`
	Only      bool              `json:"only,omitempty"`
	Outlines  []outlineIn       `json:"outlines,omitempty"`
	Edges     [][2]answer.Point `json:"edges,omitempty"`
	TwoPoints *twoPointsIn      `json:"two_points,omitempty"`
	Round     *roundIn          `json:"round,omitempty"`
}

// with names what a photo is measured with: photos measured alike may be joined.
func (m measureIn) with() string {
	b, err := json.Marshal(m)
	if err != nil {
		return "" // of numbers that JSON has not: none came in by it
	}
	return string(b)
}

// joined are photos that were measured together: of each what it has to do with the answer, and the
// answer as it shows it; null of one that is left out.
type joined struct {
	Photos    []answer.PhotoPart     `json:"photos"`
	Documents []*answer.Document     `json:"documents"`
	Views     [][]answer.FindingView `json:"views,omitempty"` // of each location, for its finding
}

type keptIn struct {
	SHA256 string `json:"sha256"` // of the photo
	measureIn
}

// outlineIn is an outline by its sides, in the order of [answer.Location.HandlesPx].
type outlineIn struct {
	Sides [4]answer.Point `json:"sides"`
}

func (o *outlineIn) px() (out [4]geom.PxPoint) {
	for i, p := range o.Sides {
		out[i] = px(p)
	}
	return out
}

type twoPointsIn struct {
	A  answer.Point `json:"a"`
	B  answer.Point `json:"b"`
	MM float64      `json:"mm"`
}

type roundIn struct {
	At         answer.Point `json:"at"`
	DiameterMM float64      `json:"diameter_mm"`
}

func px(p answer.Point) geom.PxPoint { return geom.PxPoint{U: p[0], V: p[1]} }

func pxs(ps []answer.Point) (out []geom.PxPoint) {
	for _, p := range ps {
		out = append(out, px(p))
	}
	return out
}

func (m measureIn) options() answer.Options {
	o := answer.Options{Spec: m.Spec, Size: m.Size, Photo: m.Photo, Measure: measure.Options{
		Progress: tellStep, Card: m.Card, SheetMM: m.SheetMM, Taps: pxs(m.Taps), EdgeTaps: pxs(m.EdgeTaps), Only: m.Only,
	}}
	if m.Device != "" {
		o.Proofs, o.Device = append([]qc.Proof{}, m.Proofs...), m.Device
	}
	if c := m.Calibration; c != nil {
		o.Sheet = c.Sheet
		// The record keeps expanded uncertainties (k = 2) in mm, measuring wants standard ones,
		// that of the scale relative.
		o.Measure.ScaleX, o.Measure.ScaleY = c.Scale()
		o.Measure.ScaleU = c.CheckUMM / 2 / c.CheckNominalMM
		o.Measure.ThicknessMM, o.Measure.ThicknessU = c.ThicknessMM, c.ThicknessUMM/2
	}
	for _, l := range m.Outlines {
		o.Measure.Outlines = append(o.Measure.Outlines, measure.HandOutline{SidesPx: l.px()})
	}
	for _, e := range m.Edges {
		o.Measure.Edges = append(o.Measure.Edges, measure.HandEdge{P0Px: px(e[0]), P1Px: px(e[1])})
	}
	if t := m.TwoPoints; t != nil {
		o.Measure.TwoPoints = &measure.TwoPoints{P0Px: px(t.A), P1Px: px(t.B), MM: t.MM}
	}
	if r := m.Round; r != nil {
		o.Measure.Round = &measure.RoundRef{AtPx: px(r.At), DiameterMM: r.DiameterMM}
	}
	return o
}

// tellStep tells the page what is begun.
func tellStep(s measure.Step) {
	if tell := js.Global().Get("bucktailProgress"); tell.Type() == js.TypeFunction {
		tell.Invoke(string(s))
	}
}

func init() {
	// take recognises a photo by its content and names it by its hash. What is neither JPEG nor
	// PNG is refused in the words of package photo.
	bridge.On("take", func(_ bridge.None, data []byte) (any, error) {
		sum := sha256.Sum256(data)
		t := taken{SHA256: hex.EncodeToString(sum[:]), Bytes: len(data)}
		config := jpeg.DecodeConfig
		switch {
		case len(data) > photo.MaxBytes: // refused below, whatever it is
			_, err := photo.Decode(data)
			return nil, err
		case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
			t.Media = "image/jpeg"
		case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
			t.Media, config = "image/png", png.DecodeConfig
		default:
			if _, err := photo.Decode(data); err != nil {
				return nil, err
			}
		}
		if c, err := config(bytes.NewReader(data)); err == nil {
			t.Width, t.Height = c.Width, c.Height
		}
		if stripped, err := photo.StripLocation(data); err == nil {
			sum := sha256.Sum256(stripped)
			t.Copy = hex.EncodeToString(sum[:])
		}
		return t, nil
	})

	// measure answers with the very document that `bucktail measure --json` prints, and keeps the
	// photo decoded, of earlier ones only what they gave.
	var kept *photo.Photo
	var views answer.Views
	bridge.On("measure", func(in measureIn, data []byte) (any, error) {
		o := in.options()
		kept = nil // let go before the next takes its room
		tellStep(measure.StepDecode)
		ph, err := photo.Decode(data)
		if err != nil {
			return answer.Measure(data, o) // says in the document what is wrong
		}
		kept = ph
		return views.Measure(ph, in.with(), o)
	})
	// circles measures the printed circles beside the card, for a gauge study.
	bridge.On("circles", func(in measureIn, data []byte) (any, error) {
		ph, err := photo.Decode(data)
		if err != nil {
			return nil, err
		}
		return answer.Circles(ph, in.options().Measure)
	})
	// measure.kept measures the photo that was measured last, with marks that were moved since.
	bridge.On("measure.kept", func(in keptIn, _ []byte) (any, error) {
		if kept == nil || kept.SHA256 != in.SHA256 {
			return nil, &qc.Refusal{Code: "not-at-hand", Text: "another photo was measured since", Do: "give the photo again"}
		}
		return views.Measure(kept, in.with(), in.options())
	})
	// together joins photos that were measured since the program began; the first may have marks.
	bridge.On("together", func(in []keptIn, _ []byte) (any, error) {
		var of []answer.View
		for i := range in {
			of = append(of, answer.View{SHA256: in[i].SHA256, With: in[i].with()})
		}
		if len(in) == 0 {
			in = append(in, keptIn{})
		}
		doc, err := views.Join(of, in[0].options())
		if err != nil {
			return nil, err
		}
		out := joined{Photos: doc.Photos, Documents: []*answer.Document{}}
		for i := range doc.Photos {
			out.Documents = append(out.Documents, doc.In(i))
		}
		out.Views = answer.FindingViews(out.Documents)
		return out, nil
	})

	// places gives what a finding keeps of each location, so that it can be drawn again; null
	// where nothing was read.
	bridge.On("places", func(in answer.Document, _ []byte) (any, error) {
		out := make([]*history.Places, len(in.Locations))
		for i := range out {
			out[i] = in.Places(i)
		}
		return out, nil
	})

	// strip gives the copy of a photo that may leave the house.
	bridge.OnBytes("strip", func(_ bridge.None, data []byte) (any, []byte, error) {
		out, err := photo.StripLocation(data)
		return bridge.None{}, out, err
	})

	// guide looks at one frame of the live view, given as RGBA.
	var eye aim.Eye
	bridge.On("guide", func(in aim.Frame, data []byte) (any, error) { return eye.Look(in, data) })
	bridge.On("guide.reset", func(bridge.None, []byte) (any, error) {
		eye = aim.Eye{}
		return bridge.None{}, nil
	})
}
