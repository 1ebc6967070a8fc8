//go:build !js

package report

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/layout"
	"bucktail/qc/paper"
	"bucktail/qc/rivetchoice"
	"bucktail/qc/toolroom"
)

// benchDemo is the demonstration's first part, laid out and prepared.
func benchDemo(t *testing.T) *demo {
	t.Helper()
	d := newDemo(14)
	part := histtest.Place{Project: d.project, Part: d.parts[0]}
	d.builder.Saw(d.entries...)
	put := func(h history.Draft) { d.entries = append(d.entries, d.builder.Put(h)) }
	plan := layout.Input{Spec: qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625}, Legs: []layout.Leg{{WidthMM: 40, LengthMM: 200, ThicknessMM: 1}}}
	a, err := layout.Lay(plan)
	if err != nil {
		t.Fatal(err)
	}
	put(part.Draft(history.KindLayout, history.LayoutData{WidthMM: a.Sketch.Max[0] - a.Sketch.Min[0], HeightMM: a.Sketch.Max[1] - a.Sketch.Min[1], Plan: &plan}))
	ticked, _ := d.photo(201)
	coupon, _ := d.photo(202)
	put(part.Draft(history.KindPrep, history.PrepData{Items: []history.PrepItem{{Text: "corners rounded", Done: true, Photo: ticked}, {Text: "film off", Note: "outside only"}},
		Coats: []history.Coat{{What: "primer", Name: "two-part epoxy", Batch: "L 4471", Date: "14 November", Cure: "12 h", Wet: true}}}))
	put(part.Draft(history.KindCoupon, history.CouponData{Spec: plan.Spec, Lot: "7714", Photo: coupon, Push: qc.No, Feeler: qc.Yes, Note: "one of three"}))
	put(history.Draft{Kind: history.KindTool, Project: d.project, Data: history.ToolData{Tool: toolroom.Tool{Name: "hand squeezer", NoseMM: 12, ReachMM: 40}}})
	locs := d.record(t).Parts[0].Locations
	yes := true
	at := part
	at.Location = locs[0].ID
	put(at.Draft(history.KindLocation, history.LocationData{Pin: &history.Pin{X: 0.25, Y: 0.5}}))
	put(at.Draft(history.KindFiled, history.FiledData{Edge: "lower edge"}))
	stack := func(rivet string, mm ...float64) *history.Stack {
		s := &history.Stack{Rivet: rivet}
		for _, t := range mm {
			s.Layers = append(s.Layers, rivetchoice.Layer{ThicknessMM: t})
		}
		s.Layers[0].Name = "gusset"
		return s
	}
	eighth := &qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
	for i, s := range []*history.Stack{stack("", 0.813, 1.6, 1.6), stack("number 43", 1.6, 1.6), stack("", 1.6, 1.6)} {
		at.Location = locs[2+i].ID
		put(at.Draft(history.KindLocation, history.LocationData{Spec: eighth, Stack: s}))
	}
	at.Location = locs[1].ID
	put(at.Draft(history.KindLocation, history.LocationData{Stray: &yes}))
	put(part.Draft(history.KindOrder, history.OrderData{Locations: []string{locs[2].ID, locs[0].ID}, CheckEvery: 1, Source: "drawing BH-112, note 9"}))
	return d
}

func TestTheBenchPage(t *testing.T) {
	d := benchDemo(t)
	for _, o := range []Options{{}, {Paper: paper.Letter, Units: qc.Inches}} {
		var b bytes.Buffer
		if err := Bench(context.Background(), &b, d.record(t), o); err != nil {
			t.Fatal(err)
		}
		pdf := save(t, "bench.pdf", b.Bytes())
		tool(t, "qpdf", "--check", pdf)
		text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", pdf, "-")), " ")
		along := "R1 50.00 20.00"
		if o.Units == qc.Inches {
			along = "R1 1.969 0.787"
		}
		for _, want := range []string{"For the bench: Corner gusset, left", along, "1 31/32", "#21", "#11", "hand squeezer", "throat", "Corners rounded", "Film off: outside only", "batch L 4471",
			"R3, measure the shape; R1, measure the shape", "drawing BH-112, note 9", "a stray hole", "pilot", "deburr", "R3: number 43, grip", "R4: number 43, grip", "R5: not settled", "gap between two rows",
			"There: drill #30, pilot #40.", "Pulled head width, greatest"} {
			if !strings.Contains(text, want) {
				t.Errorf("the page does not say %q", want)
			}
		}
		const edge = frame / paper.MMPerPt
		for i, pg := range boxes(t, b.Bytes()).Pages {
			for _, w := range pg.Words {
				if w.X0 < edge || w.X1 > pg.Width-edge || w.Y0 < edge || w.Y1 > pg.Height-edge {
					t.Errorf("page %d: %q runs out of the frame", i+1, w.Text)
				}
			}
		}
	}
}

// The photos of the preparation list and of a test coupon are in the bundle, and FORMAT.txt tells so.
func TestThePreparationsPhotosAreInTheBundle(t *testing.T) {
	data, _ := benchDemo(t).bundle(t)
	if v := verify(t, data); !v.Whole() {
		t.Error(words(v))
	}
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		return
	}
	if out, whole := checked(t, data); !whole {
		t.Errorf("the checker from FORMAT.txt says: %s", out)
	}
}

func TestTheReportSaysHowItWasPrepared(t *testing.T) {
	rec := benchDemo(t).record(t)
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{}); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(tool(t, "pdftotext", save(t, "report.pdf", b.Bytes()), "-")), " ")
	for _, want := range []string{"Preparation and protection", "Done: corners rounded.", "Not ticked off: film off: outside only.", "batch L 4471", "rivets set wet",
		"rivets of lot 7714: stem push passed; feeler failed; one of three", "Order of riveting (drawing BH-112, note 9): R3, R1", "Stray holes, which count as neighbours: R2", "Filed: lower edge near R1", "Rivet of R4: number 43, grip 3.20 mm (gusset 1.60 + 1.60)."} {
		if !strings.Contains(text, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
}
