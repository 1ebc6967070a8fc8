package history

import (
	"time"

	"bucktail/qc"
)

// Project is what the entries about a project itself add up to.
type Project struct {
	ID        string     `json:"id"`
	Known     bool       `json:"known"` // false: the entry that made it has not come yet
	Name      string     `json:"name"`
	Aircraft  string     `json:"aircraft,omitempty"`
	Mark      string     `json:"mark,omitempty"`
	Builder   string     `json:"builder,omitempty"`
	Units     qc.Units   `json:"units"`
	Fractions bool       `json:"fractions,omitempty"`
	Paper     string     `json:"paper"`
	LimitSet  string     `json:"limit_set"`
	Authority string     `json:"authority,omitempty"`
	Cards     []Card     `json:"cards,omitempty"`   // all calibrations, oldest first; the last of a sheet is the one to use
	Tools     []Tool     `json:"tools,omitempty"`   // the builder's own
	Studies   []Study    `json:"studies,omitempty"` // of all phones, oldest first
	Proofs    []qc.Proof `json:"proofs,omitempty"`  // what those that tell something say of readings, see [qc.InForce]
	Notes     []string   `json:"notes,omitempty"`
	Remarks   []Remark   `json:"remarks,omitempty"`
	Entries   int        `json:"entries"`
	LastID    string     `json:"last_id"`
}

// Card is one calibration of a printed sheet.
type Card struct {
	ID string    `json:"id"` // of its entry: shots name it
	At time.Time `json:"at"`
	CardData
}

// ProjectOf adds up the entries about a project itself, in any order, with repetitions.
// Until a setting is chosen it is millimetres, A4 and the default limit set.
func ProjectOf(id string, entries []Entry) Project {
	entries = inTime(entries)
	effective, remarks := settle(entries)
	p := Project{ID: id, Units: qc.Millimetres, Paper: "a4", LimitSet: qc.DefaultSet, Remarks: remarks, Entries: len(entries)}
	if n := len(entries); n > 0 {
		p.LastID = entries[n-1].ID
	}
	for _, e := range effective {
		switch d := e.data.(type) {
		case *ProjectData:
			p.Known = p.Known || e.Project == ""
			set(&p.Name, d.Name)
			set(&p.Aircraft, d.Aircraft)
			set(&p.Mark, d.Mark)
			set(&p.Builder, d.Builder)
		case *SettingsData:
			set(&p.Units, d.Units)
			set(&p.Paper, d.Paper)
			set(&p.LimitSet, d.LimitSet)
			set(&p.Authority, d.Authority)
			if d.Fractions != nil {
				p.Fractions = *d.Fractions
			}
		case *CardData:
			p.Cards = append(p.Cards, Card{e.ID, e.At, *d})
		case *StudyData:
			p.study(e, d)
		case *ToolData:
			p.tool(e, d)
		case *NoteData:
			p.Notes = append(p.Notes, e.ID)
		}
	}
	sortRemarks(p.Remarks)
	return p
}

// set changes a value unless the new one is empty.
func set[T ~string](v *T, to T) {
	if to != "" {
		*v = to
	}
}

// DeviceName is the name a device gave itself last; empty when it gave none.
func DeviceName(entries []Entry) string {
	name := ""
	effective, _ := settle(inTime(entries))
	for _, e := range effective {
		if d, ok := e.data.(*DeviceData); ok {
			set(&name, d.Name)
		}
	}
	return name
}
