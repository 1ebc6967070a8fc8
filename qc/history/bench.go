package history

import (
	"slices"

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
