package history

import (
	"slices"
	"time"

	"bucktail/qc"
	partshape "bucktail/qc/shape"
	"bucktail/qc/toolroom"
)

// ToolData is one of the builder's own tools, as measured. A new entry that supersedes an older one
// changes it.
type ToolData struct {
	toolroom.Tool
	Out bool `json:"out,omitempty"` // no longer in the workshop
}

// Tool is a tool that is there.
type Tool struct {
	ID string `json:"id"` // of its latest entry
	toolroom.Tool
}

// tool takes in a tool in place of one of the same name.
func (p *Project) tool(e fact, d *ToolData) {
	p.Tools = slices.DeleteFunc(p.Tools, func(t Tool) bool { return t.Name == d.Name })
	if !d.Out {
		p.Tools = append(p.Tools, Tool{e.ID, d.Tool})
	}
}

// ShapeData is one measurement of a part's shape, and what it came to when it was written.
type ShapeData struct {
	partshape.Input
	Result partshape.Result `json:"result"`
}

// Shape is a measurement of a part's shape.
type Shape struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	// Stands tells that it is the one that counts among those of its name and kind: the latest released
	// one, or, where none was released yet, the latest; one that saw a crack until somebody looked anew.
	Stands bool `json:"stands,omitempty"`
	ShapeData
}

// Waits tells that a measurement stands and something is still to be done about it: its part is not
// released, or it is not within its target, or a crack was seen.
func (s Shape) Waits() bool {
	return s.Stands && (s.TargetMM != nil && s.Result.Verdict != qc.Within || s.Result.Verdict == qc.Out)
}

// shape takes in a measurement of the part's shape.
func (p *Part) shape(e fact, d *ShapeData) {
	p.Shapes = append(p.Shapes, Shape{Entry: e.ID, At: e.At, ShapeData: *d})
}

// settleShapes marks the measurements that count.
func (p *Part) settleShapes() {
	type measure struct {
		name string
		kind partshape.Kind
	}
	last := map[measure]int{}
	for i, s := range p.Shapes {
		m := measure{s.Name, s.Kind}
		if j, ok := last[m]; ok && s.Cracks != qc.Yes {
			was := p.Shapes[j]
			if was.Cracks == qc.Yes && s.Cracks != qc.No || was.State == partshape.Released && s.State != partshape.Released {
				continue
			}
		}
		last[m] = i
	}
	for _, i := range last {
		p.Shapes[i].Stands = true
	}
}

// measuredShape holds a measurement against what it must say: it must come to what is kept with it
// only when it is written, so that older ones still read when the rules become stricter.
func (c *checker) measuredShape(d *ShapeData) {
	c.text("name of the measure", d.Name, 1, maxName)
	c.text("source", d.Source, 0, maxName)
	c.text("instrument", d.Instrument, 0, maxName)
	c.need(d.Result.U > 0, "%s has no uncertainty", d.Name)
	c.need(d.TargetMM == nil || d.Source != "", "the target of %s names no source", d.Name)
	c.need(len(d.Result.Lines) > 0 && len(d.Result.Lines) <= maxList && len(d.Stations) <= maxList, "%s has %d lines and %d stations", d.Name, len(d.Result.Lines), len(d.Stations))
	if d.Result.Verdict != "" {
		c.verdict(d.Result.Verdict)
		c.need(d.State == partshape.Released || d.Result.Verdict == qc.Out, "%s is judged before it was released", d.Name)
	}
}
