package histtest

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/history"
)

// World is a few devices that write about the same few things, for property tests. Device 2
// is an inspector's.
type World struct {
	Devices   [3]*Device
	Project   string
	Parts     []string
	Locations []Place
	Findings  []found
	known     [3]int // how much of all each device has seen
	all       []history.Entry
	photo     int
}

type found struct {
	place Place
	id    string
}

// NewWorld makes a world with a project, two parts and three locations.
func NewWorld(seed uint64) *World {
	w := &World{Devices: [3]*Device{
		NewDevice(seed, "Ines K.", history.Builder),
		NewDevice(seed+1_000_003, "Bo", history.Builder),
		NewDevice(seed+2_000_003, "E. Salo", history.Inspector),
	}}
	w.Devices[1].Clock = w.Devices[1].Clock.AddDate(-3, 0, 0) // a phone whose clock is years off
	w.Project = w.put(0, history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}).ID
	w.newPart(0)
	w.newPart(0)
	for range 3 {
		w.newLocation(0)
	}
	for i := range w.Devices {
		w.see(i)
	}
	return w
}

// All gives every entry written so far, in the order of writing.
func (w *World) All() []history.Entry { return w.all }

func (w *World) put(device int, d history.Draft) history.Entry {
	e := w.Devices[device].Put(d)
	w.all = append(w.all, e)
	return e
}

func (w *World) see(device int) {
	w.Devices[device].Saw(w.all...)
	w.known[device] = len(w.all)
}

func (w *World) n(device, n int) int { return w.Devices[device].Num.IntN(n) }

func (w *World) newPart(device int) {
	p := Place{Project: w.Project}
	s := ShopHead()
	e := w.put(device, p.Draft(history.KindPart, history.PartData{Name: fmt.Sprintf("Gusset %d", len(w.Parts)+1), Spec: &s,
		Layers: []history.Layer{{Material: "2024-T3", ThicknessMM: 0.81}}}))
	w.Parts = append(w.Parts, e.ID)
}

func (w *World) newLocation(device int) {
	p := Place{Project: w.Project, Part: w.Parts[w.n(device, len(w.Parts))]}
	p.Location = w.put(device, p.Draft(history.KindLocation, history.LocationData{
		Tag: fmt.Sprintf("R%d", len(w.Locations)+1), Pin: &history.Pin{X: 0.5, Y: 0.25}})).ID
	w.Locations = append(w.Locations, p)
}

// Photo gives new bytes that stand for a photo.
func (w *World) Photo() []byte {
	w.photo++
	return fmt.Appendf(nil, "photo %d of %s", w.photo, w.Project)
}

// Actions is how many different actions [World.Step] knows.
const Actions = 21

// Step lets a device do one thing. An inspector's device only looks, notes, decides and signs,
// whatever the action; a decision may meet a finding that was withdrawn meanwhile, and
// everything may come at a bad time.
func (w *World) Step(action, device int) {
	at := w.Locations[w.n(device, len(w.Locations))]
	if device == 2 {
		w.inspect(action, at)
		return
	}
	b := func(k history.Kind, data any) history.Entry { return w.put(device, at.Draft(k, data)) }
	switch action {
	case 0:
		w.see(device)
	case 1:
		w.newLocation(device)
	case 2:
		w.newPart(device)
	case 3:
		out := w.n(device, 2) == 0
		b(history.KindLocation, history.LocationData{Tag: fmt.Sprintf("S%d", w.n(device, 9)), Out: &out})
	case 4:
		b(history.KindStage, history.StageData{Stage: qc.PilotHole})
	case 5, 6, 7, 8:
		photo := w.Photo()
		sh := w.put(device, at.Draft(history.KindShot, Shot(photo, "", at.Location, w.Locations[0].Location)))
		f := HeadFinding(sh.ID, PhotoHash(photo), 6.2+2.4*w.Devices[device].Num.Float64(), 9+4*w.Devices[device].Num.Float64())
		if action == 8 {
			f = HoleFinding(sh.ID, PhotoHash(photo), 4.75+0.2*w.Devices[device].Num.Float64())
		}
		w.Findings = append(w.Findings, found{at, b(history.KindFinding, f).ID})
	case 9:
		b(history.KindDrilledOut, history.DrilledOutData{Reason: "too narrow"})
	case 10:
		b(history.KindAttempt, history.AttemptData{Tool: "squeezer"})
	case 11:
		b(history.KindNote, history.NoteData{Text: "looked at with a lens"})
	case 12:
		s := ShopHead()
		w.put(device, Place{Project: w.Project, Part: at.Part}.Draft(history.KindPart, history.PartData{Drawing: fmt.Sprintf("BH-%d", w.n(device, 200)), Spec: &s}))
	case 13:
		b(history.KindLimits, history.LimitsData{Set: qc.DefaultSet})
	case 14:
		w.put(device, history.Draft{Kind: history.KindSettings, Project: w.Project, Data: history.SettingsData{Units: qc.Inches}})
	case 20:
		b(history.KindFiled, history.FiledData{Edge: "lower edge"})
	default:
		w.react(action, device)
	}
}

// react does something about a finding.
func (w *World) react(action, device int) {
	if len(w.Findings) == 0 {
		return
	}
	f := w.Findings[w.n(device, len(w.Findings))]
	b := func(k history.Kind, data any) history.Draft { return f.place.Draft(k, data) }
	switch action {
	case 15, 16:
		act := []qc.Disposition{qc.DrillOut, qc.Keep, qc.ReMeasure, qc.Refer}[w.n(device, 4)]
		w.put(device, b(history.KindDisposition, history.DispositionData{Finding: f.id, Action: act, Reason: "seen"}))
	case 17:
		w.put(device, b(history.KindGauge, GaugeReading(f.id, 6.2+2.4*w.Devices[device].Num.Float64())))
	case 18:
		d := b(history.KindFinding, HeadFinding("", PhotoHash(w.Photo()), 7.4, 12))
		d.Supersedes, d.Why = []string{f.id}, "edge placed wrongly"
		w.Findings = append(w.Findings, found{f.place, w.put(device, d).ID})
	case 19:
		d := b(history.KindWithdrawal, history.WithdrawalData{})
		d.Supersedes, d.Why = []string{f.id}, "wrong location"
		w.put(device, d)
	}
}

func (w *World) inspect(action int, at Place) {
	const inspector = 2
	w.see(inspector)
	switch {
	case action%4 == 0:
		w.put(inspector, at.Draft(history.KindNote, history.NoteData{Text: "a photo of the other side"}))
	case action%4 == 1:
		ids, digest := history.Covers(at.Part, w.all[:w.known[inspector]])
		w.put(inspector, Place{Project: w.Project, Part: at.Part}.Draft(history.KindSignOff,
			history.SignOffData{Covers: ids, Digest: digest, Name: "E. Salo", Number: "0417"}))
	case len(w.Findings) > 0:
		f := w.Findings[w.n(inspector, len(w.Findings))]
		ans := []qc.Disposition{qc.Confirmed, qc.Rejected, qc.ReMeasure}[w.n(inspector, 3)]
		w.put(inspector, f.place.Draft(history.KindDecision, history.DecisionData{Finding: f.id, Answer: ans, Reason: "gap", Name: "E. Salo", Number: "0417"}))
	}
}
