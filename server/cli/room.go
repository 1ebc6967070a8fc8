package cli

import (
	"errors"
	"fmt"

	"bucktail/qc"
	"bucktail/qc/toolroom"
)

const roomHead = `usage: bucktail room --axis X --sheet T --radius R --stand H --nose W [--rivet SIZE] [FLAGS]

Says whether a tool has room at a hole, or at its mark, beside a standing leg: the rivet's head on the
flat, the nose past fillet and leg, and the body wherever the leg is taller than the nose is long.
X goes from the outer face of the standing leg to the middle of the hole. The tool stands square to
the sheet: a tilt is no cure.

`

// toolRoom is the subcommand room.
func toolRoom(c console, args []string) int {
	b := newBench(c, "room")
	b.withRivet()
	axis := b.lengthVar("axis", "from the standing leg's outer face to the hole's middle")
	u := b.lengthVar("axis-u", "expanded uncertainty of that (default: 0.2 mm)")
	sheet := b.lengthVar("sheet", "thickness of the sheet")
	radius := b.lengthVar("radius", "inside radius of the bend")
	bent := b.Float64("bend", 90, "`DEGREES` that the standing leg is bent through")
	stand := b.lengthVar("stand", "how tall the standing leg is, from the outer face of the other")
	nose := b.lengthVar("nose", "width of the tool's nose")
	noseLength := b.lengthVar("nose-length", "how far the nose reaches before the body begins")
	body := b.lengthVar("body", "how far the body reaches from the nose's axis")
	narrow := b.lengthVar("narrow", "the same with the tool turned to its narrow side")
	margin := b.lengthVar("margin", "room to keep about the tool")
	head := b.lengthVar("head", "width of the rivet's head (default: by the rivet)")
	headHeight := b.lengthVar("head-height", "height of the rivet's head (default: by the rivet)")
	if status, done := b.read(roomHead, args); done {
		return status
	}
	if *bent == 0 { // which would be taken for an angle that nobody gave
		return b.wrong(errors.New("--bend 0: a sheet that is not bent has no standing leg"))
	}
	if *u == 0 {
		*u = 0.2
	}
	var h toolroom.Head
	if *b.rivet != "" {
		s, err := b.spec()
		if err != nil {
			return b.wrong(err)
		}
		h.DiameterMM, h.HeightMM, _ = s.HeadRoom()
	}
	if *head > 0 {
		h.DiameterMM = *head
	}
	if *headHeight > 0 {
		h.HeightMM = *headHeight
	}
	f, err := toolroom.Judge(qc.Reading{Quantity: qc.LegDistance, ValueMM: *axis, UMM: *u, How: qc.ByGauge},
		toolroom.Tool{Name: "tool", NoseMM: *nose, LengthMM: *noseLength, BodyMM: *body, NarrowMM: *narrow},
		toolroom.Bend{ThicknessMM: *sheet, RadiusMM: *radius, LegMM: *stand, AngleDeg: *bent}, h, *margin, b.shown())
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		return b.printJSON(f)
	}
	show := b.shown()
	for _, k := range f.Checks {
		fmt.Fprintf(b.c.out, "%-24s %-10s %s to spare, %s wanted; axis at least %s (%s; %s)\n", k.Obstacle, k.Verdict, show.WithU(k.GapMM, k.UMM), show.Value(k.NeedMM),
			show.Value(k.Limit.MinMM), k.Limit.Source, k.From)
	}
	fmt.Fprintf(b.c.out, "%s\n", f.Verdict)
	for _, s := range f.Cures {
		fmt.Fprintf(b.c.out, "  cure: %s\n", s)
	}
	if f.Verdict != qc.Within {
		return 1
	}
	return 0
}
