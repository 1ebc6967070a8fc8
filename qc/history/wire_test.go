package history_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/layout"
	"bucktail/qc/shape"
	"bucktail/qc/toolroom"
)

var write = flag.Bool("write", false, "write files of testdata/wire that are not there yet")

// wireDir holds one file for each kind of entry, as canonical bytes and a line end. Files of
// every released version stay and must still be read.
const wireDir = "../../testdata/wire"

func TestEveryKindOnTheWireIsWrittenBackUnchanged(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(wireDir, "*.entry.json"))
	if err != nil || len(files) < len(history.Kinds) {
		t.Fatalf("%d files in %s, %v", len(files), wireDir, err)
	}
	kinds := map[history.Kind]bool{}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := history.Parse(b)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		kinds[e.Kind] = true
		if !bytes.Equal(append(slices.Clone(e.Bytes()), '\n'), b) {
			t.Errorf("%s: written back as\n%s", name, e.Bytes())
		}
		if strings.Contains(name, "unknown") != (len(e.Unknown()) > 0 || !e.Known()) {
			t.Errorf("%s: unknown members %v, known %v", name, e.Unknown(), e.Known())
		}
		// Through the Go types and back: nothing that this version knows may be lost.
		h, err := json.Marshal(e.Head)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(name, "unknown") {
			if c, err := history.Canonical(h); err != nil || !bytes.Equal(c, e.Bytes()) {
				t.Errorf("%s: through its Go type\n%s", name, c)
			}
		}
	}
	for _, k := range history.Kinds {
		if !kinds[k] {
			t.Errorf("no file for kind %q", k)
		}
	}
}

// state.json is the work list and the counts that the record of the wire files adds up to, for
// whoever reads entries in another language.
func TestTheWireRecordAddsUp(t *testing.T) {
	var all []history.Entry
	names, _ := filepath.Glob(filepath.Join(wireDir, "*.entry.json"))
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := history.Parse(b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all = append(all, e)
	}
	if f := history.CheckChain(all); len(f) > 0 {
		t.Errorf("the chains have faults: %v", f)
	}
	type part struct {
		Part      history.Part       `json:"part"`
		Counts    history.Counts     `json:"counts"`
		Locations []history.Location `json:"locations"`
	}
	out := struct {
		Hashes   map[string]string  `json:"hashes"` // entry id to SHA-256
		Projects []history.Project  `json:"projects"`
		Parts    []part             `json:"parts"`
		Work     []history.WorkItem `json:"work"`
	}{Hashes: map[string]string{}}
	s := history.StateOf(all)
	for _, e := range all {
		out.Hashes[e.ID] = e.Hash().String()
	}
	out.Projects, out.Work = s.Projects(), s.WorkList()
	for _, p := range out.Projects {
		for _, id := range s.Parts(p.ID) {
			pt, c, _ := s.Part(id)
			out.Parts = append(out.Parts, part{pt, c, s.Locations(id)})
		}
	}
	got, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	got = append(got, '\n')
	name := filepath.Join(wireDir, "state.json")
	if *write {
		if err := os.WriteFile(name, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("adds up to\n%s", got)
	}
}

// TestMain writes the wire files when asked to: go test ./qc/history -write.
func TestMain(m *testing.M) {
	if runtime.GOOS == "js" {
		// Several times slower there. The properties are the same ones, and the native run
		// tries each of them a hundred times.
		flag.Set("rapid.checks", "20")
	}
	flag.Parse()
	if *write {
		writeWire()
	}
	os.Exit(m.Run())
}

func writeWire() {
	if err := os.MkdirAll(wireDir, 0o755); err != nil {
		panic(err)
	}
	for i, e := range wireRecord() {
		name := strings.ReplaceAll(string(e.Kind), " ", "-")
		if len(e.Unknown()) > 0 || !e.Known() {
			name += "-unknown"
		}
		name = filepath.Join(wireDir, string(rune('a'+i/10))+string(rune('0'+i%10))+"-"+name+".entry.json")
		if _, err := os.Stat(name); err == nil {
			continue // released files stay
		}
		if err := os.WriteFile(name, append(slices.Clone(e.Bytes()), '\n'), 0o644); err != nil {
			panic(err)
		}
	}
}

// wireRecord is a morning at the baggage-hatch frame in which every kind of entry occurs.
func wireRecord() []history.Entry {
	d := histtest.NewDevice(7, "Ines K.", history.Builder)
	in := histtest.NewDevice(8, "E. Salo", history.Inspector)
	photo := []byte("not a photo, but it has a hash")
	hash := histtest.PhotoHash(photo)
	spec := histtest.ShopHead()
	d.Put(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "Ines's phone", App: "1"}})
	at := histtest.Place{}
	at.Project = d.Put(at.Draft(history.KindProject, history.ProjectData{Name: "Tarn 2", Aircraft: "two-seat amphibian", Builder: "Ines K."})).ID
	d.Put(at.Draft(history.KindSettings, history.SettingsData{Units: qc.Inches, Fractions: ptr(true), Paper: "letter", LimitSet: qc.DefaultSet, Authority: "as the builder names it"}))
	card := d.Put(at.Draft(history.KindCard, history.CardData{Sheet: "corner 2", Paper: "a4", CheckNominalMM: 150, CheckAcrossMM: 149.8, CheckAlongMM: 150.1,
		CheckUMM: 0.1, ThicknessMM: 0.32, ThicknessUMM: 0.02, MeasuredWith: "calipers"})).ID
	at.Part = d.Put(at.Draft(history.KindPart, history.PartData{Name: "Corner gusset, left", Drawing: "BH-112 sheet 2", Spec: &spec,
		Layers: []history.Layer{{Name: "gusset", Material: "2024-T3", ThicknessMM: 0.81}, {Name: "frame", Material: "6061-T6", ThicknessMM: 1.6}}})).ID
	d.Put(at.Draft(history.KindLayout, history.LayoutData{Photo: hash, WidthPx: 4000, HeightPx: 3000}))
	own := &qc.OwnLimits{Name: "BH-112", Reference: "drawing BH-112, notes 4 and 5", Limits: []qc.OwnLimit{{Quantity: "edge_distance", MinMM: 8.7}}}
	d.Put(at.Draft(history.KindLimits, history.LimitsData{Set: qc.DefaultSet, Own: own}))
	spec.Own = own
	limits, err := spec.Limits()
	if err != nil {
		panic(err)
	}
	i := slices.IndexFunc(limits, func(l qc.Limit) bool { return l.Laxer })
	d.Put(at.Draft(history.KindLaxer, history.LaxerData{Limit: limits[i], Reference: "drawing BH-112, note 4", Said: "the designer confirms 8.7 mm"}))
	at.Location = d.Put(at.Draft(history.KindLocation, history.LocationData{Tag: "R8", Pin: &history.Pin{X: 0.41, Y: 0.3}})).ID
	d.Put(at.Draft(history.KindStage, history.StageData{Stage: qc.PilotHole}))
	d.Put(at.Draft(history.KindAttempt, history.AttemptData{Tool: "squeezer"}))
	shot := d.Put(at.Draft(history.KindShot, histtest.Shot(photo, card, at.Location))).ID
	f := histtest.HeadFinding(shot, hash, 6.6, 12)
	f.Marks = []history.Mark{{What: "edge", PointsPx: []history.PointPx{{X: 1200.5, Y: 800}, {X: 2400, Y: 812.25}}, Note: "the other edge is the tube's"}}
	finding := d.Put(at.Draft(history.KindFinding, f)).ID
	d.Put(at.Draft(history.KindGauge, histtest.GaugeReading(finding, 6.4)))
	d.Put(at.Draft(history.KindDisposition, history.DispositionData{Finding: finding, Action: qc.DrillOut, Reason: "too narrow"}))
	d.Put(at.Draft(history.KindDrilledOut, history.DrilledOutData{Finding: finding, DrillMM: 4.7, Steps: []string{"punched", "drilled", "head off"}}))
	d.Put(at.Draft(history.KindNote, history.NoteData{Text: "hole clean: Ø about right, edges ≥ 2 D", Photos: []string{hash}}))
	second := d.Put(at.Draft(history.KindFinding, histtest.HeadFinding("", hash, 7.5, 12))).ID
	slip := at.Draft(history.KindWithdrawal, history.WithdrawalData{})
	slip.Supersedes, slip.Why = []string{d.Put(at.Draft(history.KindStage, history.StageData{Stage: qc.Marked})).ID}, "wrong location"
	d.Put(slip)
	in.Saw(d.Wrote...)
	in.Put(at.Draft(history.KindDecision, history.DecisionData{Finding: second, Answer: qc.Confirmed, Name: "E. Salo", Number: "0417"}))
	d.Saw(in.Wrote...)
	paper := &history.OnPaper{Photo: hash, Date: "14 November 2026", Page: "4"}
	d.Put(at.Draft(history.KindDecision, history.DecisionData{Finding: second, Answer: qc.ReMeasure, Reason: "the other side, please", Name: "E. Salo", OnPaper: paper}))
	in.Saw(d.Wrote...)
	part := histtest.Place{Project: at.Project, Part: at.Part}
	all := append(slices.Clone(d.Wrote), in.Wrote...)
	ids, digest := history.Covers(at.Part, all)
	in.Put(part.Draft(history.KindSignOff, history.SignOffData{Covers: ids, Digest: digest, Name: "E. Salo", Number: "0417", Remark: "looked at the part itself"}))
	// What a later version may send.
	m := *d.Maker
	n, err := m.Make(at.Draft(history.KindNote, history.NoteData{Text: "from a later version"}), d.Clock, d.Rand)
	if err != nil {
		panic(err)
	}
	later, err := history.Parse([]byte(strings.Replace(string(n.Bytes()), `"text":`, `"mood":{"calm":true},"text":`, 1)))
	if err != nil {
		panic(err)
	}
	strange := *in.Maker
	e, err := strange.Make(part.Draft(history.KindNote, history.NoteData{Text: "x"}), d.Clock, d.Rand)
	if err != nil {
		panic(err)
	}
	e, err = history.Parse([]byte(strings.Replace(string(e.Bytes()), `"kind":"note"`, `"kind":"torque"`, 1)))
	if err != nil {
		panic(err)
	}
	// A finding that says where it lies on its shot.
	next := *d
	next.Maker, next.Wrote = &m, nil
	m.Prev = later.Hash()
	part.Location = ""
	part.Location = next.Put(part.Draft(history.KindLocation, history.LocationData{Tag: "R9", Pin: &history.Pin{X: 0.47, Y: 0.3}})).ID
	f = histtest.HeadFinding(shot, hash, 7.5, 10.5)
	f.Places = &history.Places{WidthPx: 4000, HeightPx: 3000, Layout: "corner",
		Camera:   history.Camera{FocalPx: 3000, CxPx: 1999.5, CyPx: 1499.5, K1: -0.012, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{-10, 4, 150}},
		CentrePx: history.PxPair{2400, 1400.2}, SheetMM: [2]float64{30.03, 9}, RadiusMM: 3.75, OutlinePx: []history.PxPair{{2475, 1400}, {2400, 1475}, {2325, 1400}, {2400, 1325}},
		Spans: []history.ReadingPlace{{Reading: 3, EdgePx: &[2]history.PxPair{{2300, 1190}, {2500, 1190.4}}}, {Reading: 4, ToPx: &history.PxPair{2016, 1400}}}}
	next.Put(part.Draft(history.KindFinding, f))
	// What was added for laying out: a tool, a plan, a shape. It follows the released file as it is.
	if b, err := os.ReadFile(filepath.Join(wireDir, "c6-finding.entry.json")); err == nil {
		last, err := history.Parse(b)
		if err != nil {
			panic(err)
		}
		m.Prev = last.Hash()
	}
	part.Location = ""
	next.Put(histtest.Place{Project: at.Project}.Draft(history.KindTool, history.ToolData{Tool: toolroom.Tool{Name: "hand puller", Kind: toolroom.Puller, NoseMM: 12, LengthMM: 30, BodyMM: 19}}))
	plan := layout.Input{Name: "Corner gusset, left", Spec: qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}, MarginMM: 1,
		Legs: []layout.Leg{{WidthMM: 25, LengthMM: 80, ThicknessMM: 1.6, Bend: &toolroom.Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}}}}
	next.Put(part.Draft(history.KindLayout, history.LayoutData{WidthMM: 80, HeightMM: 25, Plan: &plan}))
	twist := shape.Input{Name: "twist of the frame", Kind: shape.Twist, State: shape.Released, Method: shape.Blocks, ValuesMM: []float64{6.25}, UMM: 0.25, WidthMM: 600,
		TargetMM: ptr(-8.0), ToleranceMM: 1, Source: "drawing BH-112, note 7"}
	res, err := shape.Judge(twist)
	if err != nil {
		panic(err)
	}
	next.Put(part.Draft(history.KindShape, history.ShapeData{Input: twist, Result: res}))
	// What was added for the work from drilling to riveting.
	if b, err := os.ReadFile(filepath.Join(wireDir, "c9-shape.entry.json")); err == nil {
		last, err := history.Parse(b)
		if err != nil {
			panic(err)
		}
		m.Prev = last.Hash()
	}
	next.Put(part.Draft(history.KindPrep, history.PrepData{Items: []history.PrepItem{{Text: "corners rounded", Done: true}, {Text: "film off", Note: "outside only", Photo: hash}},
		Coats: []history.Coat{{What: "primer", Name: "two-part epoxy", Batch: "L 4471", Date: "2026-11-14", Cure: "12 h", Wet: true}}}))
	next.Put(part.Draft(history.KindCoupon, history.CouponData{Spec: plan.Spec, Layers: []history.Layer{{Name: "gusset", Material: "2024-T3", ThicknessMM: 0.81}}, Lot: "7714", Photo: hash, Push: qc.No, Feeler: qc.NotLooked}))
	next.Put(part.Draft(history.KindOrder, history.OrderData{Locations: []string{at.Location}, CheckEvery: 4}))
	part.Location = at.Location
	next.Put(part.Draft(history.KindFiled, history.FiledData{Edge: "lower edge", Layer: "gusset", MM: 0.5}))
	next.Put(part.Draft(history.KindStage, history.StageData{Stage: qc.FinalHole, Step: qc.Deburred, Unreached: true}))
	next.Put(part.Draft(history.KindLocation, history.LocationData{Stray: ptr(true)}))
	part.Location, part.Part = "", ""
	next.Put(part.Draft(history.KindPart, history.PartData{Name: "Corner gusset, right", Like: &history.Like{Part: at.Part, Mirrored: true,
		Targets: []history.Target{{Name: "twist of the frame", Kind: shape.Twist, TargetMM: 8, ToleranceMM: 1, Source: "drawing BH-112, note 7"}}}}))
	// What was added to prove a phone.
	if b, err := os.ReadFile(filepath.Join(wireDir, "d6-part.entry.json")); err == nil {
		last, err := history.Parse(b)
		if err != nil {
			panic(err)
		}
		m.Prev = last.Hash()
	}
	study := histtest.Study(d.Maker.Device, hash, 1)
	study.Calibration = card
	next.Put(histtest.Place{Project: at.Project}.Draft(history.KindStudy, study))
	return append(append(append(slices.Clone(d.Wrote), in.Wrote...), later, e), next.Wrote...)
}
