package history

import "slices"

// Subject names a thing that entries add up to: a location, a part, a project or a device's
// name. Each is a function of the entries about it alone, so that one new entry costs no more
// than its own thing.
type Subject struct {
	Of Of     `json:"of"`
	ID string `json:"id"`
}

// Of says what a subject is.
type Of string

// What subjects are.
const (
	OfLocation Of = "location"
	OfPart     Of = "part"
	OfProject  Of = "project"
	OfDevice   Of = "device"
)

// Subjects lists what the entry is about, the narrowest: a shot of several locations is about
// each of them.
func (e Entry) Subjects() []Subject {
	if e.Kind == KindShot {
		if out := e.shotOf(); len(out) > 0 {
			return out
		}
	}
	switch {
	case e.Location != "":
		return []Subject{{OfLocation, e.Location}}
	case e.Kind == KindLocation:
		return []Subject{{OfLocation, e.ID}}
	case e.Part != "":
		return []Subject{{OfPart, e.Part}}
	case e.Kind == KindPart:
		return []Subject{{OfPart, e.ID}}
	case e.Project != "":
		return []Subject{{OfProject, e.Project}}
	case e.Kind == KindProject:
		return []Subject{{OfProject, e.ID}}
	}
	return []Subject{{OfDevice, e.Device}}
}

// shotOf lists the locations that a shot shows.
func (e Entry) shotOf() []Subject {
	d, ok := e.data().(*ShotData)
	if !ok || len(d.Locations) == 0 {
		return nil
	}
	var out []Subject
	for _, id := range unique(append(slices.Clone(d.Locations), e.Location)) {
		out = append(out, Subject{OfLocation, id})
	}
	return out
}

// ConcernsPart gives the part that the entry belongs to, itself or one of its locations;
// empty when none.
func (e Entry) ConcernsPart() string {
	if e.Part == "" && e.Kind == KindPart {
		return e.ID
	}
	return e.Part
}

// Photos lists the photos that the entry refers to, by SHA-256.
func (e Entry) Photos() []string {
	var out []string
	add := func(hashes ...string) {
		for _, h := range hashes {
			if h != "" {
				out = append(out, h)
			}
		}
	}
	switch d := e.data().(type) {
	case *ShotData:
		add(d.Photo)
	case *LayoutData:
		add(d.Photo)
	case *NoteData:
		add(d.Photos...)
	case *StudyData:
		add(d.Photos...)
	case *PrepData:
		for _, x := range d.Items {
			add(x.Photo)
		}
	case *CouponData:
		add(d.Photo)
	case *FindingData:
		for _, r := range d.Readings {
			add(r.Photo)
		}
	case *GaugeData:
		add(d.Photos...)
	case *DecisionData:
		if d.OnPaper != nil {
			add(d.OnPaper.Photo)
		}
	case *SignOffData:
		if d.OnPaper != nil {
			add(d.OnPaper.Photo)
		}
	}
	return unique(out)
}

// Page gives the photo of the page of a decision or sign-off on paper, "" for all other entries.
func (e Entry) Page() string {
	switch d := e.data().(type) {
	case *DecisionData:
		if d.OnPaper != nil {
			return d.OnPaper.Photo
		}
	case *SignOffData:
		if d.OnPaper != nil {
			return d.OnPaper.Photo
		}
	}
	return ""
}

// Refers lists the entries that the entry names and can't be understood without: the thing it
// is about, the finding, the shot, the calibration, what it supersedes. They may come later.
func (e Entry) Refers() []string {
	out := append([]string{e.Project, e.Part, e.Location}, e.Supersedes...)
	switch d := e.data().(type) {
	case *ShotData:
		out = append(append(out, d.Calibration), d.Locations...)
	case *FindingData:
		out = append(out, d.Shot)
		for _, v := range d.Views {
			out = append(out, v.Shot)
		}
	case *StudyData:
		out = append(out, d.Calibration)
	case *GaugeData:
		out = append(out, d.Finding)
	case *DispositionData:
		out = append(out, d.Finding)
	case *DrilledOutData:
		out = append(out, d.Finding)
	case *DecisionData:
		out = append(out, d.Finding)
	case *NoteData:
		out = append(out, d.Finding)
	case *PartData:
		if d.Like != nil {
			out = append(out, d.Like.Part)
		}
	case *OrderData:
		out = append(out, d.Locations...)
	case *SignOffData:
		out = append(out, d.Covers...)
	}
	return unique(out)
}

// unique drops empty strings and repetitions, keeping the order.
func unique(in []string) []string {
	seen := make(map[string]bool, len(in))
	out := in[:0]
	for _, s := range in {
		if s != "" && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}
