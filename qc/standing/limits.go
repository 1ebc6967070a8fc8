package standing

import (
	"bucktail/qc"
	"bucktail/qc/history"
)

// Origin says where the limits in force come from.
type Origin string

// The origins, the narrowest first.
const (
	ByLocation Origin = "location" // chosen for this location alone
	ByPart     Origin = "part"
	ByProject  Origin = "project"
	ByDefault  Origin = "default" // nobody chose any
)

// InForce gives what is meant to stand at a location, or anywhere on the part where l is nil,
// under the limits in force: those that were chosen for the location, else for the part, else
// those that its fastener was entered with, else the project's, else the default set. It is nil
// where neither location nor part says yet what is meant to stand there. This is the one place
// that says which limits are in force.
func InForce(p history.Project, pt history.Part, l *history.Location) (*qc.Spec, Origin) {
	spec, chosen, from, by := pt.Spec, pt.Limits, ByPart, ByPart
	if l != nil && l.Spec != nil {
		spec, from = l.Spec, ByLocation
	}
	if l != nil && l.Limits != nil {
		chosen, by = l.Limits, ByLocation
	}
	if spec == nil {
		return nil, ""
	}
	out := *spec
	switch {
	case chosen != nil:
		out.LimitSet, out.Own = chosen.Set, chosen.Own
		return &out, by
	case out.LimitSet != "" || out.Own != nil:
	case p.LimitSet != "" && p.LimitSet != qc.DefaultSet:
		out.LimitSet, from = p.LimitSet, ByProject
	default:
		from = ByDefault
	}
	if out.LimitSet == "" {
		out.LimitSet = qc.DefaultSet
	}
	return &out, from
}
