package measure

import (
	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// A pulled dome's mandrel end stands in the middle of its top. The dome is about 0.38 D
// high (ISO 15977, from memory: head height about 0.4 times the body), good to 0.08 D.
const (
	domeTopD  = 0.38
	uDomeTopD = 0.08
)

// mandrel reads how far the mandrel's centre lies off the head's; false where no clear
// round shows there.
func (m *sheetMap) mandrel(ph *photo.Photo, f *fastener.Fastener, opt *Options, how qc.How) (qc.Reading, bool) {
	z := domeTopD * opt.NominalMM
	c, uMM, ok := fastener.Mandrel(ph.Picture, &m.cam, f, opt.NominalMM, z)
	if !ok {
		return qc.Reading{}, false
	}
	v := c.Sub(f.Centre)
	l := v.Norm()
	n := geom.SheetPoint{X: 1}
	if l > 1e-9 {
		n = v.Scale(1 / l)
	}
	d := m.cam.ViewSlope(f.Centre)
	cs := []qc.Contribution{{Label: "mandrel: noise", UMM: uMM}, {Label: "height of the dome", UMM: uDomeTopD * opt.NominalMM * d.Norm()}}
	cs = append(cs, toward(position(f, opt.Kind, nil), n, d)...)
	return reading(qc.MandrelOff, l, cs, how), true
}
