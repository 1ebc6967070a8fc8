package standing

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Open is one kind of thing that is not settled on a part.
type Open struct {
	What string   `json:"what"`
	Tags []string `json:"tags"`         // the locations where it is so; none: the part as a whole
	Do   string   `json:"do,omitempty"` // what settles it, where that is not plain
}

// place is what is asked of one location.
type place struct {
	history.Location
	view  View
	first history.Entry // of the finding that stands; without a kind where there is none
	odd   bool          // times of what was measured there are to be asked about
}

// OpenOf lists what is open on a part, the most serious first. The report's first page, the
// sign-off and the form name all of it, so that nobody signs what was not told.
func OpenOf(st *history.State, part string) []Open {
	says := func(what string) func(*place) string { return func(*place) string { return what } }
	kinds := []struct {
		what func(p *place) string
		is   func(p *place) bool
	}{
		{says("Rejected by the inspector"), func(p *place) bool { return p.Decision == qc.Rejected }},
		{says("Inspectors disagree"), func(p *place) bool { return p.waits(history.WorkDisagree) }},
		{says("To be measured again, says the inspector"), func(p *place) bool { return p.Decision == qc.ReMeasure }},
		{says("Out"), func(p *place) bool { return p.Whole == qc.Out }},
		{says("Can't tell"), func(p *place) bool { return p.Whole == qc.TooClose }},
		{says("To be drilled out, though not out"), func(p *place) bool { return p.Whole != qc.Out && p.waits(history.WorkDrillOut) }},
		{says("To be measured by hand"), func(p *place) bool { return p.Whole != qc.TooClose && p.waits(history.WorkMeasure) }},
		{says("With the designer"), func(p *place) bool { return p.waits(history.WorkRefer) }},
		{says("To be decided"), func(p *place) bool { return p.Whole != qc.Out && p.waits(history.WorkDecide) }},
		{says("Drilled out, without a new rivet"), func(p *place) bool { return p.waits(history.WorkSetRivet) || p.Stage == qc.DrilledOut }},
		{says("Never measured"), func(p *place) bool { return p.view.Last() == nil }},
		{says("New rivet not measured"), func(p *place) bool {
			return p.view.Last() != nil && p.Finding == "" && p.Stage != qc.DrilledOut
		}},
		{(*place).notRead, func(p *place) bool { return p.NotRead > 0 }},
		{says("Not everything looked at"), (*place).notLooked},
		{says("Hole never measured under the rivet that stands"), func(p *place) bool { return p.view.NoHole() }},
		{says("Times that are to be asked about"), func(p *place) bool { return p.odd }},
		{says("Awaits the inspector"), func(p *place) bool { return p.Awaits }},
	}
	about := map[string]history.Entry{}
	for _, e := range st.Concerning(part) {
		about[e.ID] = e
	}
	places := placesOf(st, part, about)
	out := []Open{}
	add := func(what, tag string) {
		i := slices.IndexFunc(out, func(o Open) bool { return o.What == what })
		if i < 0 {
			i, out = len(out), append(out, Open{What: what, Tags: []string{}})
		}
		out[i].Tags = append(out[i].Tags, tag)
	}
	for _, k := range kinds {
		for i := range places {
			if p := &places[i]; k.is(p) {
				add(k.what(p), p.Tag)
			}
		}
	}
	p, _, _ := st.Part(part)
	for _, s := range p.Shapes {
		if s.Waits() {
			out = append(out, Open{What: shapeWords(s), Tags: []string{}})
		}
	}
	for _, c := range p.Clashes {
		out = append(out, Open{What: "Two devices changed the " + c.Words(), Tags: []string{}, Do: "look which is right and save it once more"})
	}
	if !hasPhoto(p, about) {
		out = append(out, Open{What: "No photo of the whole part", Tags: []string{},
			Do: "a note with a photo on the part's page gives one, or a photo as its layout"})
	}
	return out
}

// placesOf gives a part's locations, without those that were taken out. about has the part's entries.
func placesOf(st *history.State, part string, about map[string]history.Entry) (out []place) {
	for _, l := range st.Locations(part) {
		if l.Out {
			continue
		}
		p := place{Location: l, first: about[l.Finding]}
		p.view, _ = Of(st, l.ID)
		for _, a := range l.Attempts {
			for _, id := range a.Findings {
				w := history.When{At: about[id].At, Came: st.Came(id), Began: st.Began(l.Project), Replaced: st.Replaced(l.ID, a.N)}
				if d, err := history.DataOf[history.FindingData](about[id]); err == nil {
					s, _ := history.DataOf[history.ShotData](about[d.Shot])
					w.Taken = s.TakenAt
				}
				p.odd = p.odd || len(w.Odd()) > 0
			}
		}
		out = append(out, p)
	}
	return out
}

func (p *place) waits(k history.WorkKind) bool {
	return slices.ContainsFunc(p.Work, func(w history.Work) bool { return w.Kind == k })
}

// notRead names what there are limits for and no reading.
func (p *place) notRead() string {
	var words []string
	for _, m := range p.view.Current().Missing {
		words = append(words, m.What)
	}
	return "Not read (" + strings.Join(words, ", ") + ")"
}

// notLooked tells that a question that only an eye answers has no answer at the finding that stands.
func (p *place) notLooked() bool {
	d, err := history.DataOf[history.FindingData](p.first)
	return err == nil && len(qc.Unlooked(d.Spec.Kind, d.Answers)) > 0
}

// NoHole tells that a rivet stands whose hole nobody measured: no photo shows how it is filled.
func (v *View) NoHole() bool {
	now := v.Current()
	return now != nil && now.Spec.Kind != qc.Hole && len(v.Hole) == 0
}

func shapeWords(s history.Shape) string {
	if s.Result.Verdict == "" {
		return fmt.Sprintf("Shape, %s: %s, not released yet", s.Name, s.State)
	}
	return fmt.Sprintf("Shape, %s: %s", s.Name, s.Result.Verdict)
}

// hasPhoto tells whether a photo shows the part as a whole: its pins lie on one, or one of its notes
// has one. A drawn grid shows no metal.
func hasPhoto(p history.Part, about map[string]history.Entry) bool {
	return p.Layout != nil && p.Layout.Photo != "" || slices.ContainsFunc(p.Notes, func(id string) bool {
		d, _ := history.DataOf[history.NoteData](about[id])
		return len(d.Photos) > 0
	})
}
