package report

import (
	"bucktail/qc"
	"bucktail/qc/paper"
	"context"
	"os"
	"testing"
)

func TestZZ(t *testing.T) {
	d := newDemo(14)
	for name, parts := range map[string][]string{"one": {d.parts[0]}, "all": nil} {
		rec := d.record(t, parts...)
		f, _ := os.Create("/tmp/rep-" + name + ".pdf")
		o := Options{Picture: d.picture}
		if name == "all" {
			o.Paper = paper.Letter
			o.Units = qc.Inches
		}
		if err := PDF(context.Background(), f, rec, o); err != nil {
			t.Fatal(err)
		}
		f.Close()
		j, _ := os.Create("/tmp/rep-" + name + ".json")
		WriteJSON(j, rec)
		j.Close()
		c, _ := os.Create("/tmp/rep-" + name + ".csv")
		WriteCSV(c, rec, qc.Millimetres)
		c.Close()
	}
}
