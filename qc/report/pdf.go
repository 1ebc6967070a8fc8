package report

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"time"

	"bucktail/qc"
	"bucktail/qc/drawing"
	"bucktail/qc/paper"
)

// Options say how a report looks. The zero value is A4, millimetres, times in UTC and no
// pictures.
type Options struct {
	Paper paper.Size // zero: A4
	Units qc.Units   // empty: millimetres
	// Fractions adds to each judged reading the nearest 64th of an inch with its remainder;
	// it goes with inches.
	Fractions bool
	Zone      *time.Location // of the times; nil: UTC

	// Picture gives the picture of a finding. Package report knows no pixels: whoever has the
	// photo cuts it out and plans what is drawn over it. An error is written where the picture
	// would stand; nil for the whole field leaves pictures out. It is called from several
	// goroutines at once.
	Picture func(ctx context.Context, r PictureRequest) (Picture, error)
	// Layout gives the part's layout picture likewise, upright; pins are drawn here. It is
	// asked only where the layout is a photo.
	Layout func(ctx context.Context, part *Part, maxPx int) ([]byte, error)
	// Page gives the photo of a page that an inspector wrote, upright.
	Page func(ctx context.Context, photo string, maxPx int) ([]byte, error)
	// Progress is told after each step; total does not change in between.
	Progress func(done, total int)
}

// Picture is a finding's picture.
type Picture struct {
	Data []byte // JPEG or PNG, upright, without location data
	// Drawing plans outlines and dimension lines for the picture where it stands so wide on the
	// page; nil: there are none.
	Drawing func(widthMM float64) *drawing.Drawing
}

// PictureRequest says which picture is wanted.
type PictureRequest struct {
	Part     *Part
	Location *Location
	Finding  *Finding
	Units    qc.Units
	WidthMM  float64 // of the place on the page
	// MaxPx bounds the longer side: more would only make the file large. A small one is for
	// the attempts side by side.
	MaxPx int
	// Aspect is width over height of the place on the page.
	Aspect float64
}

// Resolution of pictures on the page: 170 dots per inch show a line that was scribed well.
const pictureDPI = 170.0

func pixels(mm float64) int { return int(mm / 25.4 * pictureDPI) }

// pictureOf is what is wanted of a finding in a place of this width.
func (w *writer) pictureOf(p *Part, l *Location, f *Finding, widthMM float64) PictureRequest {
	return PictureRequest{Part: p, Location: l, Finding: f, Units: w.u, WidthMM: widthMM, MaxPx: pixels(widthMM), Aspect: photoWidth / photoHeight}
}

// PDF writes the report of a record.
func PDF(ctx context.Context, w io.Writer, rec *Record, o Options) error {
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	if o.Units == "" {
		o.Units = qc.Millimetres
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	count, err := counted(ctx, rec, o)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	pw := newWriter(ctx, rec, o)
	pw.pictures = aheadOf(ctx, count.wanted, o.Picture)
	pw.sheet.pagesTotal, pw.pageOf, pw.total, pw.arrangement = count.sheet.d.Pages(), count.seen, count.done, count.arrangement
	if err := pw.all(); err != nil {
		return err
	}
	return pw.sheet.d.Save(w)
}

// counted lays the report out without pictures, whose places do not depend on what is in them:
// page numbers are known only then. A location that goes over one page gets a smaller picture
// where that brings it onto one; where nothing does, the room for the inspector's decision stands
// at the foot of its first page, with the finding. A sign-off stands on one page with all that is
// open.
func counted(ctx context.Context, rec *Record, o Options) (*writer, error) {
	lay := func(a arrangement) (*writer, error) {
		c := newWriter(ctx, rec, o)
		c.count()
		c.arrangement = a
		return c, c.all()
	}
	c, err := lay(arrangement{})
	if err != nil {
		return nil, err
	}
	narrow := c.long
	if len(narrow) > 0 {
		if c, err = lay(arrangement{narrow: narrow}); err != nil {
			return nil, err
		}
		before := len(narrow)
		for id := range c.long { // in vain
			delete(narrow, id)
		}
		if len(narrow) < before {
			if c, err = lay(arrangement{narrow: narrow}); err != nil {
				return nil, err
			}
		}
	}
	if len(c.over) > 0 {
		if c, err = lay(arrangement{narrow: narrow, foot: c.over}); err != nil {
			return nil, err
		}
	}
	if len(c.apart) == 0 {
		return c, nil
	}
	return lay(arrangement{narrow: narrow, foot: c.foot, whole: c.apart})
}

// arrangement is what a first writing found for those that follow.
type arrangement struct {
	narrow map[string]bool // ids of locations whose picture is to be small
	foot   map[string]bool // ids of locations whose decision's room is to stand at the first page's foot
	whole  map[string]bool // ids of parts whose sign-off is to begin a page
}

// writer lays out one report.
type writer struct {
	ctx      context.Context
	rec      *Record
	o        Options
	u        qc.Units
	when     clock
	sheet    *sheet
	counting bool
	pageOf   map[string]int  // by the id of a location or part, from the first layout
	seen     map[string]int  // likewise, of this one
	long     map[string]bool // ids of locations that go a little over one page in this layout
	over     map[string]bool // ids of locations that go over one page in this layout
	apart    map[string]bool // ids of parts whose sign-off goes over a page in this layout
	arrangement
	done     int
	total    int
	wanted   []PictureRequest // of the first layout, in the order of the pages
	pictures *ahead           // of the second
	fault    error            // of the layout itself
	above    struct {         // the picture at the top of the location's page
		of  *Finding
		pic Picture
		err error
	}
}

func newWriter(ctx context.Context, rec *Record, o Options) *writer {
	title := rec.Project.Name
	if len(rec.Parts) == 1 {
		title = rec.Parts[0].Name
	}
	d := paper.New(o.Paper, paper.Info{
		Title: "Inspection record: " + title, Author: rec.Project.Builder,
		Subject: "Holes and rivets, record " + rec.Chain.Number, Made: rec.Made,
	})
	when := clock{o.Zone}
	aircraft := rec.Project.Name
	if rec.Project.Aircraft != "" {
		aircraft += ", " + rec.Project.Aircraft
	}
	return &writer{
		ctx: ctx, rec: rec, o: o, u: o.Units, when: when, seen: map[string]int{}, long: map[string]bool{}, over: map[string]bool{}, apart: map[string]bool{}, pageOf: map[string]int{},
		sheet: &sheet{d: d, aircraft: aircraft, number: rec.Chain.Number, made: when.day(rec.Made), part: "all parts", drawing: "–"},
	}
}

// count makes it a writer that only counts.
func (w *writer) count() {
	w.counting = true
	w.sheet.d.Draft()
}

// step counts work that takes time.
func (w *writer) step() error {
	w.done++
	if w.fault != nil {
		return w.fault
	}
	if err := w.ctx.Err(); err != nil {
		return fmt.Errorf("report stopped: %w", err)
	}
	if !w.counting && w.o.Progress != nil {
		w.o.Progress(w.done, w.total)
	}
	return nil
}

// page of something laid out before; empty while counting.
func (w *writer) page(id string) string {
	if n := w.pageOf[id]; n > 0 {
		return itoa(n)
	}
	return ""
}

func itoa(n int) string { return strconv.Itoa(n) }

// all writes every page.
func (w *writer) all() error {
	s := w.sheet
	if len(w.rec.Parts) != 1 {
		s.newPage()
		s.d.Bookmark(w.rec.Project.Name, 0)
		s.d.Tag(paper.Section, "", w.overview)
	}
	for i := range w.rec.Parts {
		p := &w.rec.Parts[i]
		s.part, s.drawing = p.Name, p.Drawing
		s.newPage()
		w.seen[p.ID] = s.d.Pages()
		s.d.Bookmark(p.Name, 0)
		if err := w.part(p); err != nil {
			return err
		}
	}
	if len(w.rec.Parts) != 1 {
		s.part, s.drawing = "all parts", "–"
	}
	s.newPage()
	s.d.Bookmark("How sure the readings are", 0)
	s.d.Tag(paper.Section, "", w.certainty)
	s.newPage()
	s.d.Bookmark("How to check this record", 0)
	s.d.Tag(paper.Section, "", w.checking)
	return w.step()
}

// part writes the pages of one part.
func (w *writer) part(p *Part) error {
	var err error
	s := w.sheet
	s.d.Tag(paper.Section, "", func() { err = w.firstPage(p) })
	if err != nil {
		return err
	}
	s.need(90) // else where the first page has room
	s.d.Bookmark("Locations", 1)
	s.d.Tag(paper.Section, "", func() { w.locations(p); err = w.notes(p) })
	if err != nil {
		return err
	}
	for i := range p.Locations {
		l := &p.Locations[i]
		if !needsPage(l) {
			continue
		}
		s.newPage()
		first := s.d.Pages()
		w.seen[l.ID] = first
		s.d.Bookmark(l.Tag+": "+qc.Headline(l.Whole, len(l.NotRead)), 1)
		s.d.Tag(paper.Section, "", func() { err = w.location(p, l) })
		if err != nil {
			return err
		}
		if s.d.Pages() > first {
			w.over[l.ID] = true
		}
		// A smaller picture and a dense table win no more than this.
		if s.d.Pages() == first+1 && s.y < margin+70 {
			w.long[l.ID] = true
		}
	}
	s.d.Tag(paper.Section, "", func() { w.signOff(p) })
	if len(writtenFor(p)) > 0 {
		s.d.Tag(paper.Section, "", func() { err = w.written(p) })
	}
	return err
}

// needsPage tells whether a location has something to show: a finding that is out or too
// close in any attempt, or one that somebody decided about.
func needsPage(l *Location) bool {
	if l.Verdict == qc.Out || l.Verdict == qc.TooClose || len(l.Work) > 0 && l.Finding != "" {
		return true
	}
	for _, a := range l.Attempts {
		for _, f := range a.Findings {
			if f.Verdict == qc.Out || f.Verdict == qc.TooClose || len(f.Dispositions)+len(f.Decisions) > 0 {
				return true
			}
		}
	}
	return false
}
