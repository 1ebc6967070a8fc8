package paper

import "fmt"

// Role is what an element is, by the standard structure types of ISO 32000-1, 14.8.4.
type Role string

// The roles that are used. The first five only hold other elements.
const (
	Document Role = "Document"
	Section  Role = "Sect"
	Table    Role = "Table"
	Row      Role = "TR"
	List     Role = "L"

	Heading1 Role = "H1"
	Heading2 Role = "H2"
	Para     Role = "P"
	Header   Role = "TH"
	Cell     Role = "TD"
	Item     Role = "LI"
	Figure   Role = "Figure"
	Caption  Role = "Caption"
)

func (r Role) container() bool {
	switch r {
	case Document, Section, Table, Row, List:
		return true
	}
	return false
}

// element is one node of the structure tree.
type element struct {
	role Role
	alt  string
	kids []int // elements
	page int   // of its content, from 1
	mcid int   // of its content on that page; -1 for a container
	up   int
}

// tree is the structure of a document.
type tree struct {
	all    []element
	at     int     // the element that new ones go into
	marks  [][]int // by page: element of each marked content
	inLeaf bool
	opened bool // an artifact is open on the page
	// leafText tells that the open content holds text already.
	leafText bool

	info     Info
	pictures []*picture
}

func (t *tree) begin() {
	t.all = []element{{role: Document, mcid: -1, up: -1}}
}

func (t *tree) page() { t.marks, t.opened = append(t.marks, nil), false }

// Tag draws an element. alt is its alternative text, for a [Figure]; other roles speak by
// their text. A role that holds content ends with the page it began on and holds no further
// tags; [Section], [Table] and the like may go over pages.
func (d *Doc) Tag(role Role, alt string, draw func()) {
	t := &d.tags
	if t.inLeaf {
		panic("paper: " + string(role) + " inside tagged content")
	}
	if d.draft {
		draw()
		return
	}
	i := len(t.all)
	t.all = append(t.all, element{role: role, alt: Printable(alt), mcid: -1, up: t.at})
	t.all[t.at].kids = append(t.all[t.at].kids, i)
	if role.container() {
		t.at = i
		draw()
		t.at = t.all[i].up
		return
	}
	d.closeArtifact()
	page := len(t.marks)
	e := &t.all[i]
	e.page, e.mcid = page, len(t.marks[page-1])
	t.marks[page-1] = append(t.marks[page-1], i)
	d.pdf.RawWriteStr(fmt.Sprintf("/%s <</MCID %d>> BDC", role, e.mcid))
	t.inLeaf, t.leafText = true, false
	draw()
	t.inLeaf, t.leafText = false, false
	d.pdf.RawWriteStr("EMC")
}

// Artifact draws what is no content: frames, rules, page furniture.
func (d *Doc) Artifact(draw func()) {
	if d.tags.inLeaf || d.draft {
		draw()
		return
	}
	d.closeArtifact()
	d.pdf.RawWriteStr("/Artifact BMC")
	d.tags.inLeaf, d.tags.leafText = true, false
	draw()
	d.tags.inLeaf, d.tags.leafText = false, false
	d.pdf.RawWriteStr("EMC")
}

// open is called before each mark on the page: outside of any tag it is an artifact.
func (d *Doc) open() {
	if d.tags.inLeaf || d.tags.opened {
		return
	}
	d.tags.opened = true
	d.pdf.RawWriteStr("/Artifact BMC")
}

func (d *Doc) closeArtifact() {
	if d.tags.opened {
		d.tags.opened = false
		d.pdf.RawWriteStr("EMC")
	}
}
