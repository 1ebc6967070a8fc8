package history

import (
	"slices"

	"bucktail/qc"
)

// data holds a kind's data against what it must say.
func (c *checker) data(h Head, data any) {
	switch d := data.(type) {
	case *DeviceData:
		c.text("name", d.Name, 1, maxName)
		c.text("key", d.Key, 0, maxName)
	case *MemberData:
		c.need(isUUID(d.Device, 0), "device %.50q is not a UUID in lower case", d.Device)
		c.need(slices.Contains([]string{"joined", "rejoined", "key", "revoked"}, d.What), "%.20q is not what happens to a device", d.What)
		c.text("name", d.Name, 1, maxName)
		c.text("key", d.Key, 0, maxName)
	case *AcceptedData:
		n := len(d.Faults) + len(d.Lost)
		c.need(n > 0 && n <= maxList, "it accepts %d faults", n)
		for _, h := range d.Lost {
			c.photo("photo", h, true)
		}
		c.text("why", d.Why, 1, maxText)
	case *ProjectData:
		c.need(h.Project != "" || d.Name != "", "a new project needs a name")
		for _, s := range []string{d.Name, d.Aircraft, d.Mark, d.Builder} {
			c.text("name", s, 0, maxName)
		}
	case *SettingsData:
		c.need(d.Units == "" || d.Units == qc.Millimetres || d.Units == qc.Inches, "units %.20q are not known", d.Units)
		c.need(d.Paper == "" || d.Paper == "a4" || d.Paper == "letter", "paper %.20q is neither a4 nor letter", d.Paper)
		c.limitSet(d.LimitSet)
		c.text("authority", d.Authority, 0, maxName)
	case *CardData:
		c.card(d)
	case *StudyData:
		c.study(h, d)
	case *ToolData:
		if err := d.Valid(); err != nil {
			c.need(false, "%s", err)
		}
	case *ShapeData:
		c.measuredShape(d)
	case *PrepData:
		c.prepared(d)
	case *CouponData:
		c.coupon(d)
	case *OrderData:
		c.order(d)
	case *FiledData:
		c.text("edge", d.Edge, 1, maxName)
		c.text("layer", d.Layer, 0, maxName)
		c.between("what was taken off", d.MM, 0, 1000)
	case *PartData:
		c.part(h, d)
	case *LayoutData:
		c.layout(d)
	case *LimitsData:
		c.limitSet(d.Set)
		c.need(d.Set != "", "it names no limit set")
		if d.Own != nil {
			c.own(d.Own)
		}
	case *LaxerData:
		c.text("reference of the drawing", d.Reference, 1, maxName)
		c.text("words", d.Said, 0, maxText)
		c.need(d.Limit.Laxer && d.Limit.Published != nil, "it confirms a limit that is not less strict than a published one")
		c.need(d.Limit.Source != "", "the limit names no source")
	case *LocationData:
		c.need(h.Location != "" || d.Tag != "", "a new location needs a tag")
		c.text("tag", d.Tag, 0, maxTag)
		c.spec(d.Spec)
		if p := d.Pin; p != nil {
			c.between("pin x", p.X, 0, 1)
			c.between("pin y", p.Y, 0, 1)
		}
		c.stack(d.Stack)
	case *StageData:
		c.need(d.Stage == qc.Marked || d.Stage == qc.PilotHole || d.Stage == qc.FinalHole,
			"stage %.30q is not marked, pilot hole or final hole; a set rivet and a drilled-out one have entries of their own", d.Stage)
		c.need(d.Step == "" || d.Step.Valid() && d.Stage == qc.FinalHole, "step %.30q is none of a final hole", d.Step)
	case *ShotData:
		c.shot(d)
	case *NoteData:
		c.need(d.Text != "" || len(d.Photos) > 0, "a note without words or photos says nothing")
		c.text("text", d.Text, 0, maxText)
		c.photos(d.Photos)
		c.copies(d.Copies)
		c.id("finding", d.Finding, false)
	case *WithdrawalData:
		c.need(len(h.Supersedes) > 0, "it takes back nothing")
		c.text("why", h.Why, 1, maxText)
	default:
		c.judged(h, d)
	}
}

// moved: what is said again elsewhere was said before.
func (c *checker) moved(h Head, from string) {
	c.id("entry that was moved", from, false)
	c.need(from == "" || from < h.ID, "it was moved from an entry that is not older: %s", from)
}

// judged holds the data of entries about findings and what becomes of them.
func (c *checker) judged(h Head, data any) {
	switch d := data.(type) {
	case *FindingData:
		c.finding(d)
		c.moved(h, d.MovedFrom)
	case *GaugeData:
		c.id("finding", d.Finding, false)
		c.moved(h, d.MovedFrom)
		c.spec(&d.Spec)
		c.text("instrument", d.Instrument, 1, maxName)
		c.identity(d.Identity)
		c.need(len(d.Readings) > 0, "it holds no reading")
		c.readings(d.Readings, true)
		c.result(d.Result)
		c.photos(d.Photos)
		c.copies(d.Copies)
	case *DispositionData:
		c.id("finding", d.Finding, true)
		c.need(d.Action == qc.DrillOut || d.Action == qc.Keep || d.Action == qc.ReMeasure || d.Action == qc.Refer, "disposition %.30q is not known", d.Action)
		least := 0
		if d.Action == qc.Keep {
			least = 1
		}
		c.text("reason", d.Reason, least, maxText)
		c.text("answer", d.Answer, 0, maxText)
	case *DrilledOutData:
		c.id("finding", d.Finding, false)
		c.text("reason", d.Reason, 0, maxText)
		c.between("drill", d.DrillMM, 0, 1000)
		c.need(len(d.Steps) <= maxList, "%d steps are more than %d", len(d.Steps), maxList)
	case *AttemptData:
		c.spec(d.Spec)
		c.text("tool", d.Tool, 0, maxName)
	case *DecisionData:
		c.id("finding", d.Finding, true)
		c.need(slices.Contains([]qc.Disposition{qc.Confirmed, qc.Rejected, qc.ReMeasure}, d.Answer), "answer %.30q is not known", d.Answer)
		least := 1
		if d.Answer == qc.Confirmed {
			least = 0
		}
		c.text("reason", d.Reason, least, maxText)
		c.seen(d.Seen)
		c.copies(d.Copies)
		c.signed(h, d.Name, d.Number, d.OnPaper)
	case *SignOffData:
		c.need(len(d.Covers) > 0, "it covers no entry")
		for _, id := range d.Covers {
			c.id("covered entry", id, true)
		}
		c.need(slices.IsSorted(d.Covers), "the covered entries are not in order")
		c.need(IsPhotoHash(d.Digest), "digest %.70q is not a SHA-256", d.Digest)
		c.text("remark", d.Remark, 0, maxText)
		c.seen(d.Seen)
		c.copies(d.Copies)
		c.signed(h, d.Name, d.Number, d.OnPaper)
	}
}

// signed: an inspector signs on an inspector's device; a builder may only enter what an
// inspector wrote on paper, with a picture of the page.
func (c *checker) signed(h Head, name, number string, p *OnPaper) {
	c.text("name of the inspector", name, 1, maxName)
	c.text("authorisation number", number, 0, maxName)
	c.need(h.Role == Inspector || p != nil, "only an inspector decides; a builder can enter a decision made on paper, with a picture of the page")
	if p != nil {
		c.photo("picture of the page", p.Photo, true)
		c.text("date", p.Date, 0, maxName)
		c.text("page", p.Page, 0, maxName)
	}
}

func (c *checker) seen(ids []string) {
	c.need(len(ids) <= maxSeen, "it has seen %d decisions, more than %d", len(ids), maxSeen)
	for _, id := range ids {
		c.id("decision that was seen", id, true)
	}
}

func (c *checker) limitSet(name string) {
	_, ok := qc.FindSet(name)
	c.need(ok, "limit set %.50q is not known", name)
}

func (c *checker) photos(hashes []string) {
	c.need(len(hashes) <= maxList, "%d photos are more than %d", len(hashes), maxList)
	for _, h := range hashes {
		c.photo("photo", h, true)
	}
}

// card: check lines off by more than a few per cent mean that the printer scaled the page,
// and measuring with it would be wrong everywhere.
func (c *checker) card(d *CardData) {
	c.text("number of the sheet", d.Sheet, 1, maxName)
	c.between("drawn length of the check lines in mm", d.CheckNominalMM, 10, 1000)
	for _, l := range []struct {
		what string
		mm   float64
	}{{"across", d.CheckAcrossMM}, {"along", d.CheckAlongMM}} {
		c.need(l.mm > 0.8*d.CheckNominalMM && l.mm < 1.2*d.CheckNominalMM,
			"the check line %s was measured as %.6g mm, not near %v: the printer scaled the page", l.what, l.mm, d.CheckNominalMM)
	}
	c.need(d.CheckUMM > 0 && d.CheckUMM <= 5, "the check lines' uncertainty is %.6g mm", d.CheckUMM)
	c.between("thickness in mm", d.ThicknessMM, 0.01, 20)
	c.need(d.ThicknessUMM > 0 && d.ThicknessUMM <= 5, "the thickness's uncertainty is %.6g mm", d.ThicknessUMM)
	c.text("instrument", d.MeasuredWith, 0, maxName)
	c.identity(d.Identity)
}

func (c *checker) part(h Head, d *PartData) {
	c.need(h.Part != "" || d.Name != "", "a new part needs a name")
	c.text("name", d.Name, 0, maxName)
	c.text("drawing", d.Drawing, 0, maxName)
	c.need(len(d.Layers) <= 20, "%d layers are more than 20", len(d.Layers))
	for _, l := range d.Layers {
		c.text("material", l.Material, 0, maxName)
		c.text("name of a layer", l.Name, 0, maxName)
		c.between("thickness in mm", l.ThicknessMM, 0, 200)
	}
	c.spec(d.Spec)
	if d.Like != nil {
		c.like(d.Like)
	}
	if d.Was != nil {
		c.need(d.Was.Was == nil, "what was before has nothing before it")
		c.part(h, d.Was)
	}
}

// stack: one without layers says that it is the part's again, and names no rivet.
func (c *checker) stack(d *Stack) {
	if d == nil {
		return
	}
	c.text("rivet", d.Rivet, 0, maxName)
	for _, l := range d.Layers {
		c.text("name of a layer", l.Name, 0, maxName)
	}
	if len(d.Layers) == 0 {
		c.need(d.Rivet == "" && d.UMM == 0 && !d.Closed && d.TubeMM == 0, "a stack without layers says more than that")
	} else if err := d.Valid(); err != nil {
		c.need(false, "%s", err)
	}
}

func (c *checker) layout(d *LayoutData) {
	c.photo("photo", d.Photo, false)
	c.copies(d.Copies)
	c.need(d.From == "" || d.From == FromPhotos, "a layout from %.20q is not known", d.From)
	if d.Photo != "" {
		c.between("width in pixels", float64(d.WidthPx), 1, 100_000)
		c.between("height in pixels", float64(d.HeightPx), 1, 100_000)
		return
	}
	c.between("width in mm", d.WidthMM, 1, 100_000)
	c.between("height in mm", d.HeightMM, 1, 100_000)
	c.between("step in mm", d.StepMM, 0, 100_000)
	if d.Plan != nil {
		c.need(len(d.Plan.Legs) == 1 || len(d.Plan.Legs) == 2, "a plan of %d legs is none", len(d.Plan.Legs))
		c.text("name of the plan", d.Plan.Name, 0, maxName)
		c.spec(&d.Plan.Spec)
	}
}

func (c *checker) shot(d *ShotData) {
	c.photo("photo", d.Photo, true)
	c.copies(d.Copies)
	c.need(d.Bytes > 0 && d.Bytes <= 1<<30, "a photo of %d bytes", d.Bytes)
	c.need(d.Media == "image/jpeg" || d.Media == "image/png", "%.50q is neither image/jpeg nor image/png", d.Media)
	c.id("calibration", d.Calibration, false)
	c.need(len(d.Locations) <= maxShotOf, "%d locations are more than %d", len(d.Locations), maxShotOf)
	for _, id := range d.Locations {
		c.id("location", id, true)
	}
}

func (c *checker) finding(d *FindingData) {
	c.id("shot", d.Shot, false)
	c.spec(&d.Spec)
	c.readings(d.Readings, false)
	c.result(d.Result)
	c.need(len(d.Answers) <= maxList, "%d answers are more than %d", len(d.Answers), maxList)
	fault := false
	for _, a := range d.Answers {
		c.text("question", a.Question, 1, maxName)
		c.need(a.Seen == qc.Yes || a.Seen == qc.No || a.Seen == qc.NotLooked, "answer %.30q is not yes, no or not looked", a.Seen)
		c.text("note", a.Note, 0, maxText)
		fault = fault || a.Seen == qc.Yes
	}
	if fault || d.AnswersVerdict != "" {
		c.verdict(d.AnswersVerdict)
		c.need(!fault || d.AnswersVerdict != qc.Within, "a fault was seen, but the answers are said to be within")
	}
	c.need(len(d.Marks) <= maxList, "%d marks are more than %d", len(d.Marks), maxList)
	if d.Places != nil {
		if err := d.Places.Valid(len(d.Readings)); err != nil {
			c.need(false, "%s", err)
		}
	}
	c.need(len(d.Views) != 1 && len(d.Views) <= maxList, "%d shots were measured together", len(d.Views))
	for _, v := range d.Views {
		c.id("shot measured together", v.Shot, true)
		c.text("why a shot was not used", v.Why, 0, maxText)
		if v.Places != nil {
			if err := v.Places.Valid(0); err != nil {
				c.need(false, "%s", err)
			}
		}
	}
	if n := len(d.Views); n > 0 {
		c.need(slices.ContainsFunc(d.Views, func(v View) bool { return v.Shot == d.Shot }), "its own shot is none of those that were measured together")
	}
	for _, r := range d.Readings {
		c.need(r.Views >= 0 && r.Views <= max(len(d.Views), 1), "a reading stands on %d of %d shots", r.Views, len(d.Views))
	}
	c.need(len(d.Readings)+len(d.Answers) > 0, "it holds neither a reading nor an answer")
}
