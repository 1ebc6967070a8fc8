package history

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"bucktail/qc"
)

// Lengths of text in characters, generous for people, small for machines.
const (
	maxName       = 200
	maxTag        = 32
	maxText       = 20_000
	maxSupersedes = 1000
	maxList       = 2000 // readings, photos, marks
	maxSeen       = 20_000
	maxShotOf     = 200 // locations on one shot: each is added up anew when the shot comes
)

// check says what is wrong with an entry by itself, beyond its head.
func (e Entry) check() error {
	c := checker{kind: e.Kind, err: e.lookalike(), strict: true}
	rule, known := kindRules[e.Kind]
	if c.err != nil || !known || e.Format > Format {
		return c.err
	}
	d := reflect.New(rule.data)
	if err := json.Unmarshal(e.Data, d.Interface()); err != nil {
		return refuse("entry-data", fmt.Sprintf("the data of this %q entry does not have the right form: %s", e.Kind, jsonReason(err)), "send it again; if that fails, export it and report it")
	}
	c.text("by", e.By, 1, maxName)
	c.about(e.Head, rule.scope)
	c.data(e.Head, d.Interface())
	// What no rule above looks at, such as the source of a limit: canonical bytes have all such
	// characters as they are.
	c.plain("a text of this entry", string(e.Data))
	return c.err
}

func jsonReason(err error) string {
	var typ *json.UnmarshalTypeError
	if errors.As(err, &typ) {
		return fmt.Sprintf("%q can't be a %s", typ.Field, typ.Value)
	}
	return err.Error()
}

// checker keeps the first thing that is wrong.
type checker struct {
	kind   Kind
	err    error
	strict bool // hold texts against what a new entry may hold; older ones may hold more
}

func (c *checker) need(ok bool, format string, args ...any) {
	if ok || c.err != nil {
		return
	}
	c.err = refuse("entry-data", fmt.Sprintf("%s entry: ", c.kind)+fmt.Sprintf(format, args...), "correct it and save again")
}

func (c *checker) head(h Head) {
	c.need(h.Format >= 1, "format %d is not one", h.Format)
	c.need(isUUID(h.ID, '7'), "id %.50q is not a UUID of version 7 in lower case", h.ID)
	c.need(isUUID(h.Device, 0), "device %.50q is not a UUID in lower case", h.Device)
	c.need(h.Seq >= 1 && h.Seq < 1<<53, "seq %d is not a place in a chain", h.Seq)
	if h.Seq == 1 {
		c.need(h.Prev == "", "the first entry of a chain has nothing before it, but prev is %.70q", h.Prev)
	} else {
		c.need(IsPhotoHash(h.Prev), "prev %.70q is not a SHA-256 in 64 lower case hex digits", h.Prev)
	}
	c.need(!h.At.IsZero() && h.At.Year() >= 1970 && h.At.Year() <= 9999, "at %v is not a time", h.At)
	c.text("by", h.By, 1, maxName)
	c.need(h.Role == Builder || h.Role == Inspector, "role %.20q is neither builder nor inspector", h.Role)
	c.text("kind", string(h.Kind), 1, maxName)
	for _, r := range []struct{ what, id string }{{"project", h.Project}, {"part", h.Part}, {"location", h.Location}} {
		c.need(r.id == "" || isUUID(r.id, '7'), "%s %.50q is not an id", r.what, r.id)
	}
	c.need(len(h.Supersedes) <= maxSupersedes, "it supersedes %d entries, more than %d", len(h.Supersedes), maxSupersedes)
	for _, id := range h.Supersedes {
		c.need(isUUID(id, '7'), "it supersedes %.50q, which is not an id", id)
		c.need(id != h.ID, "it supersedes itself")
	}
	c.text("why", h.Why, 0, maxText)
	c.need(len(h.Data) > 0 && bytes.HasPrefix(h.Data, []byte("{")), "data is not an object")
}

// about holds project, part and location against what the kind needs.
func (c *checker) about(h Head, s scope) {
	project, part, location := h.Project != "", h.Part != "", h.Location != ""
	switch s {
	case ofDevice:
		c.need(!project && !part && !location, "it is about a device, not about a project, part or location")
	case makesProject:
		c.need(!part && !location, "it is about a project, not about a part or location")
	case ofProject:
		c.need(project && !part && !location, "it must name its project and nothing narrower")
	case makesPart:
		c.need(project && !location, "it must name its project and no location")
	case ofPart:
		c.need(project && part && !location, "it must name its project and part and no location")
	case makesLocation:
		c.need(project && part, "it must name its project and part")
	case ofLocation:
		c.need(project && part && location, "it must name its project, part and location")
	case partOrLocation:
		c.need(project && part, "it must name its project and part")
	case ofAny:
		c.need(project && (part || !location), "it must name its project, and the part of its location")
	}
}

func (c *checker) text(what, s string, least, most int) {
	n := utf8.RuneCountInString(s)
	c.need(n <= most, "%s is %d characters long, more than %d", what, n, most)
	c.need(least == 0 || strings.TrimSpace(s) != "", "%s is empty", what)
	if strings.IndexFunc(s, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }) >= 0 {
		c.need(false, "%s holds a control character", what)
	}
	c.plain(what, s)
}

func (c *checker) plain(what, s string) {
	c.need(!c.strict || Plain(s), "%s holds a character that can't be seen or turns the text around", what)
}

// Plain says whether a text holds only what can be seen: no marks that turn its direction, nothing
// of zero width, no half of a surrogate pair (which reading JSON leaves as U+FFFD).
func Plain(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar }) < 0
}

func (c *checker) id(what, id string, needed bool) {
	c.need(id != "" || !needed, "%s is missing", what)
	c.need(id == "" || isUUID(id, '7'), "%s %.50q is not an id", what, id)
}

func (c *checker) photo(what, hash string, needed bool) {
	c.need(hash != "" || !needed, "%s is missing", what)
	c.need(hash == "" || IsPhotoHash(hash), "%s %.70q is not a SHA-256 in 64 lower case hex digits", what, hash)
}

func (c *checker) between(what string, v, least, most float64) {
	c.need(!math.IsNaN(v) && v >= least && v <= most, "%s is %v, outside %v to %v", what, v, least, most)
}

func (c *checker) spec(s *qc.Spec) {
	if s == nil {
		return
	}
	if err := s.Valid(); err != nil {
		c.need(false, "%s", err)
	}
	if s.Own != nil {
		c.own(s.Own)
	}
}

func (c *checker) own(o *qc.OwnLimits) {
	if err := o.Valid(); err != nil {
		c.need(false, "%s", err)
	}
}

// readings: no reading without its uncertainty, and none from a photo without the photo.
func (c *checker) readings(rs []qc.Reading, gauge bool) {
	c.need(len(rs) <= maxList, "%d readings are more than %d", len(rs), maxList)
	for _, r := range rs {
		c.text("quantity of a reading", string(r.Quantity), 1, maxName)
		c.between(string(r.Quantity), r.ValueMM, 0, 100_000)
		c.need(r.UMM > 0 && r.UMM <= 100_000, "%s %.6g mm has no uncertainty", r.Quantity, r.ValueMM)
		switch r.How {
		case qc.ByPhoto, qc.ByPhotoHand:
			c.need(!gauge, "%s was read from a photo, not by gauge", r.Quantity)
			c.photo("photo of "+string(r.Quantity), r.Photo, true)
		case qc.ByGauge:
		case qc.ByLayout:
			c.need(!gauge, "%s was laid out, not read by gauge", r.Quantity)
		default:
			c.need(false, "%s does not say how it was obtained: %q", r.Quantity, r.How)
		}
		c.text("layer", r.Layer, 0, maxName)
		if t := r.Of; t != nil {
			c.text("edge or neighbour", t.Name, 0, maxName)
			c.id("neighbour", t.Location, false)
			c.need(t.Reading >= 0 && t.Reading <= maxList, "%s goes to reading %d of its finding", r.Quantity, t.Reading)
		}
	}
}

// result: no check without the source of its limit.
func (c *checker) result(r qc.Result) {
	c.need(len(r.Checks) <= maxList, "%d checks are more than %d", len(r.Checks), maxList)
	for _, k := range r.Checks {
		c.readings([]qc.Reading{k.Reading}, false)
		c.need(k.Limit.Source != "", "the limit for %s names no source", k.Limit.Quantity)
		c.verdict(k.Verdict)
		c.need(k.UMM > 0, "the check of %s has no uncertainty", k.Limit.Quantity)
	}
}

func (c *checker) verdict(v qc.Verdict) {
	c.need(v == qc.Within || v == qc.Out || v == qc.TooClose, "verdict %.30q is not one", v)
}
