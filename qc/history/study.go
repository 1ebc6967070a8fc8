package history

import (
	"cmp"
	"slices"
	"time"

	"bucktail/qc"
	"bucktail/qc/gaugestudy"
)

// StudyData is a gauge study of the phone that writes it: what photos read of objects of known size,
// and what that came to when it was written. It counts until the next one of the same phone, camera,
// sheet, card, kind and light: see [qc.InForce].
type StudyData struct {
	qc.Setup              // its device is the writer's
	Size        string    `json:"size"`                  // of the objects, as given: "4", "3.2mm"
	Light       string    `json:"light,omitempty"`       // in which they were photographed: "bench lamp"
	Calibration string    `json:"calibration,omitempty"` // id of the card entry
	Instrument  string    `json:"instrument"`            // that gave the references
	Identity    *Identity `json:"identity,omitempty"`
	gaugestudy.Input
	Result gaugestudy.Result `json:"result"`
	Method string            `json:"method"` // of measuring
	Photos []string          `json:"photos"` // SHA-256 each, in the order in which they were taken
	Copies Copies            `json:"copies,omitempty"`
}

// Study is a gauge study of a phone.
type Study struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	Phone string    `json:"phone"` // the id under which that phone writes now, see [Phones]
	StudyData
}

// study takes in a gauge study.
func (p *Project) study(e fact, d *StudyData) {
	p.Studies = append(p.Studies, Study{e.ID, e.At, d.Device, *d})
	if d.Result.Factor >= 1 && d.Result.Verdict != gaugestudy.TooFew {
		p.Proofs = append(p.Proofs, qc.Proof{Study: e.ID, Setup: d.Setup, Light: d.Light, Factor: d.Result.Factor})
	}
}

// Phones tells of each device that lost its key under which id it went on. It is the same phone, and its
// gauge studies go on with it.
type Phones map[string]string

// Take takes in what an entry says of it.
func (p *Phones) Take(e Entry) {
	if e.Kind != KindMember {
		return
	}
	if m, err := DataOf[MemberData](e); err == nil && m.Before != "" {
		if *p == nil {
			*p = Phones{}
		}
		(*p)[m.Before] = m.Device
	}
}

// Now gives the id under which a device writes now.
func (p Phones) Now(device string) string {
	for range p { // no longer than there are: a record may say anything
		next, ok := p[device]
		if !ok {
			break
		}
		device = next
	}
	return device
}

// Follow gives projects whose studies are those of all of them, oldest first, of the phones as they write
// now: a phone that was proven for one aircraft was proven.
func (p Phones) Follow(all []Project) []Project {
	var studies []Study
	var proofs []qc.Proof
	for _, of := range all {
		for _, s := range of.Studies {
			s.Phone = p.Now(s.Device)
			studies = append(studies, s)
		}
		for _, x := range of.Proofs {
			x.Device, x.Elsewhere = p.Now(x.Device), of.ID
			proofs = append(proofs, x)
		}
	}
	sortBy(studies, func(a, b Study) int { return cmp.Compare(a.Entry, b.Entry) })
	sortBy(proofs, func(a, b qc.Proof) int { return cmp.Compare(a.Study, b.Study) })
	out := slices.Clone(all)
	for i := range out {
		out[i].Studies, out[i].Proofs = studies, slices.Clone(proofs)
		for k := range out[i].Proofs {
			if x := &out[i].Proofs[k]; x.Elsewhere == out[i].ID {
				x.Elsewhere = ""
			}
		}
	}
	return out
}

// study holds a gauge study against what it must say: whether U holds is not worked out here, so that
// older ones still read when that rule changes.
func (c *checker) study(h Head, d *StudyData) {
	c.need(d.Device == h.Device && (d.Kind.Valid() || d.Kind == qc.PrintedCircles), "it is of another device than the one that writes it, or of an unknown kind")
	for _, s := range []string{d.Camera, d.Sheet, d.Layout, d.Light, d.Size} {
		c.text("name", s, 0, maxName)
	}
	c.text("instrument", d.Instrument, 1, maxName)
	c.identity(d.Identity)
	c.id("calibration", d.Calibration, false)
	n := len(d.Photos)
	c.need(n > 0 && len(d.Objects) > 0 && len(d.Objects) <= maxList, "it has %d objects on %d photos", len(d.Objects), n)
	c.photos(d.Photos)
	c.copies(d.Copies)
	for _, o := range d.Objects {
		c.text("name of an object", o.Name, 1, maxName)
		c.need(o.ReferenceMM > 0 && o.UMM > 0 && len(o.ReadMM) == n && len(o.ReadUMM) == n, "%s has no size with its uncertainty, or was not read once on each photo", o.Name)
	}
	c.between("factor of U", d.Result.Factor, 1, 1000)
	c.need(d.Result.Verdict != "", "it came to nothing")
}
