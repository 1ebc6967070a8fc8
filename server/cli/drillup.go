package cli

import (
	"flag"
	"fmt"
	"strings"

	"bucktail/qc/drillup"
)

const drillupHead = `usage: bucktail drillup --rivet SIZE [--pulled] [FLAGS]

Says how a rivet's hole is drilled up: pilot and final drill, what each hole may measure, how far a pilot hole may be off and still clean up, and what calipers read from its rim to the edge.

`

// mostInRow bounds the holes of one row.
const mostInRow = 1000

// drillUp is the subcommand drillup.
func drillUp(c console, args []string) int {
	b := newBench(c, "drillup")
	b.withRivet()
	row := b.Int("row", 0, "`NUMBER` of holes in the row: says which of them get a temporary fastener")
	if status, done := b.read(drillupHead, args); done {
		return status
	}
	s, err := b.spec()
	if err != nil {
		return b.wrong(err)
	}
	d, err := drillup.Plan(s, b.shown())
	if err != nil {
		return b.refused(err)
	}
	said := false
	b.Visit(func(f *flag.Flag) { said = said || f.Name == "row" })
	if said && (*row < 1 || *row > mostInRow) {
		return b.wrong(fmt.Errorf("--row %d: give the number of holes, 1 to %d", *row, mostInRow))
	}
	var tags []string
	for i := range *row {
		tags = append(tags, fmt.Sprintf("R%d", i+1))
	}
	clamps := d.Clamp(tags)
	if *b.json {
		return b.printJSON(struct {
			drillup.Drilling
			Clamps []drillup.Clamps `json:"clamps,omitempty"`
		}{d, clamps})
	}
	u := b.shown()
	for _, x := range d.Steps {
		fmt.Fprintf(b.c.out, "%-10s %-4s %s  hole %s to %s; rim to edge at least %s  (%s; %s)\n", x.Stage, x.Drill, u.Value(x.DrillMM), u.Number(x.MinMM), u.Value(x.MaxMM), u.Value(x.RimMM), x.Source, x.From)
	}
	if d.CleanMM > 0 {
		fmt.Fprintf(b.c.out, "a pilot hole off by at most %s still cleans up\n", u.Value(d.CleanMM))
	}
	fmt.Fprintf(b.c.out, "axis to the edge at least %s (%s)\n", u.Value(d.EdgeMM), d.EdgeFrom)
	if d.Temporary != "" {
		fmt.Fprintln(b.c.out, d.Temporary)
	}
	for _, k := range clamps {
		fmt.Fprintf(b.c.out, "%s: %d temporary fasteners for %s, in %s\n", k.Stage, len(k.Tags), strings.TrimSpace(k.Drill+" "+u.Value(k.HoleMM)), strings.Join(k.Tags, ", "))
	}
	for _, n := range d.Notes {
		fmt.Fprintf(b.c.out, "note: %s\n", n)
	}
	return 0
}
