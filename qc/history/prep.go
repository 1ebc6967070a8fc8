package history

import (
	"time"

	"bucktail/qc"
	partshape "bucktail/qc/shape"
)

// Like says which part another one was made from.
type Like struct {
	Part     string `json:"part"`
	Mirrored bool   `json:"mirrored,omitempty"` // it is the other hand
	// Targets are those of the part's shape, as they are for this hand.
	Targets []Target `json:"targets,omitempty"`
}

// Target is what a measure of a part's shape is to come to.
type Target struct {
	Name        string         `json:"name"`
	Kind        partshape.Kind `json:"kind"`
	TargetMM    float64        `json:"target_mm"`
	ToleranceMM float64        `json:"tolerance_mm"`
	Source      string         `json:"source"`
}

// PrepData is a part's preparation list, all of it, as far as it is ticked off.
type PrepData struct {
	Items []PrepItem `json:"items"`
	Coats []Coat     `json:"coats,omitempty"`
}

// PrepItem is one line of the list.
type PrepItem struct {
	Text  string `json:"text"`
	Done  bool   `json:"done,omitempty"`
	Note  string `json:"note,omitempty"`
	Photo string `json:"photo,omitempty"` // SHA-256
}

// Coat is primer or sealant.
type Coat struct {
	What  string `json:"what"` // "primer", "sealant"
	Name  string `json:"name"`
	Batch string `json:"batch,omitempty"`
	Date  string `json:"date,omitempty"` // as written
	Cure  string `json:"cure,omitempty"`
	Wet   bool   `json:"wet,omitempty"` // rivets are set while it is wet
}

// Prep is the preparation list that stands.
type Prep struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	PrepData
}

// Left is how many lines are not ticked off.
func (d *PrepData) Left() (n int) {
	for _, x := range d.Items {
		if !x.Done {
			n++
		}
	}
	return n
}

// CouponData is a test coupon: the same stack and lot of rivets as on the part, set in the session.
type CouponData struct {
	Spec   qc.Spec `json:"spec"`
	Layers []Layer `json:"layers,omitempty"` // of its stack
	Lot    string  `json:"lot"`              // of the rivets
	Photo  string  `json:"photo,omitempty"`  // SHA-256 of the photo of its head
	// What was tried by hand: Yes says that it failed.
	Push   qc.Seen `json:"push"`   // the stem was pushed out or is loose
	Feeler qc.Seen `json:"feeler"` // the feeler entered under the head too far
	Note   string  `json:"note,omitempty"`
}

// Coupon is a test coupon of a part.
type Coupon struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	CouponData
}

// OrderData is the order in which a part's rivets are set.
type OrderData struct {
	Locations []string `json:"locations"` // ids, the first one first
	// CheckEvery asks for the shape to be measured after each so many rivets; 0: only at the end.
	CheckEvery int    `json:"check_every,omitempty"`
	Source     string `json:"source,omitempty"` // whose order it is; "" as the program proposes by practice
}

// prepared holds a preparation list against what it must say.
func (c *checker) prepared(d *PrepData) {
	c.need(len(d.Items) > 0 && len(d.Items) <= maxList, "a list of %d lines is none", len(d.Items))
	for _, x := range d.Items {
		c.text("line of the list", x.Text, 1, maxName)
		c.text("note", x.Note, 0, maxText)
		c.photo("photo", x.Photo, false)
	}
	c.need(len(d.Coats) <= maxList, "%d coats are more than %d", len(d.Coats), maxList)
	for _, x := range d.Coats {
		c.text("what it is coated with", x.What, 1, maxName)
		for _, s := range []string{x.Name, x.Batch, x.Date, x.Cure} {
			c.text("words of a coat", s, 0, maxName)
		}
	}
}

func (c *checker) coupon(d *CouponData) {
	c.spec(&d.Spec)
	c.text("lot of the rivets", d.Lot, 1, maxName)
	c.text("note", d.Note, 0, maxText)
	c.photo("photo of the head", d.Photo, false)
	c.need(len(d.Layers) <= 20, "%d layers are more than 20", len(d.Layers))
	for _, s := range []qc.Seen{d.Push, d.Feeler} {
		c.need(s == qc.Yes || s == qc.No || s == qc.NotLooked, "answer %.30q is not yes, no or not looked", s)
	}
}

func (c *checker) order(d *OrderData) {
	c.need(len(d.Locations) > 0 && len(d.Locations) <= maxOrder, "an order of %d rivets is none", len(d.Locations))
	for _, id := range d.Locations {
		c.id("location", id, true)
	}
	c.need(len(unique(append([]string{}, d.Locations...))) == len(d.Locations), "a location stands in the order twice")
	c.need(d.CheckEvery >= 0 && d.CheckEvery <= maxOrder, "the shape is checked after each %d rivets", d.CheckEvery)
	c.text("source", d.Source, 0, maxName)
}

func (c *checker) like(d *Like) {
	c.id("part that it was made from", d.Part, true)
	c.need(len(d.Targets) <= maxList, "%d targets are more than %d", len(d.Targets), maxList)
	for _, t := range d.Targets {
		c.text("name of a target", t.Name, 1, maxName)
		c.text("source of a target", t.Source, 1, maxName)
		c.between("target", t.TargetMM, -10_000, 10_000)
		c.between("tolerance", t.ToleranceMM, 0, 10_000)
	}
}

// maxOrder bounds the rivets of one part's order.
const maxOrder = 5000
