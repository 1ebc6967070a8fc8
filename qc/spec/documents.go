package spec

import "strings"

// Document is a published document with its edition. Where a member is empty it was not noted when
// the figures were taken from it: look at your own copy. What is marked as recalled was not read there.
type Document struct {
	Name    string // as sources begin
	Title   string
	Edition string
	Date    string
}

// Documents are those that figures here come from.
var Documents = []Document{
	{"AC 43.13-1B", "Acceptable Methods, Techniques, and Practices: Aircraft Inspection and Repair", "1B, change 1", "8 September 1998, change 27 September 2001 (recalled)"},
	{"FAA-H-8083-31", "Aviation Maintenance Technician Handbook: Airframe, volume 1", "first (recalled)", "2012 (recalled)"},
	{"MIL-R-47196A(MI)", "Rivets, Buck Type, Preparation for and Installation of", "A", ""},
	{"Standard Aircraft Handbook", "Standard Aircraft Handbook for Mechanics and Technicians", "", ""},
	{"NASM20426", "Rivet, Solid, Countersunk 100°", "", ""},
	{"NASM20470", "Rivet, Solid, Universal Head", "", ""},
	{"TM 10-5410-221-14", "Technical manual", "", ""},
	{"ASME B94.11M", "Twist Drills", "1993 (recalled)", "1993 (recalled)"},
	{"IFI-114", "Break Mandrel Blind Rivets", "2003, reaffirmed 2008", "2003"},
	{"ISO 15977", "Open end blind rivets, break pull mandrel, protruding head, AIA/St", "2002", "2002"},
}

// DocumentOf finds the document that a source names, and where in it the figure stands: page,
// section, table. Edition and date of a source that is none of these are with whoever wrote it.
func DocumentOf(source string) (d Document, where string, ok bool) {
	for _, d := range Documents {
		if rest, ok := strings.CutPrefix(source, d.Name); ok {
			return d, strings.TrimLeft(rest, ":, "), true
		}
	}
	return Document{Name: source}, "", false
}
