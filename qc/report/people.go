package report

import (
	"cmp"
	"slices"
	"strings"
)

// measurers names who measured on some parts, those who did most first. Where an entry names a
// device and no person, that is said.
func (w *writer) measurers(parts []*Part) string {
	devices := map[string]bool{}
	for _, d := range w.rec.Chain.Devices {
		devices[d.Name] = d.Name != ""
	}
	n := map[string]int{}
	nobody := 0
	for _, p := range parts {
		for i := range p.Locations {
			for _, a := range p.Locations[i].Attempts {
				for _, f := range a.Findings {
					if devices[f.By] {
						nobody++
					} else {
						n[f.By]++
					}
				}
			}
		}
	}
	var names []string
	for name := range n {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(n[b]-n[a], strings.Compare(a, b)) })
	if nobody > 0 {
		names = append(names, "no person named, "+itoa(nobody))
	}
	return strings.Join(names, ", ")
}

// person is who an entry names, or that it names none.
func (w *writer) person(by string) string {
	for _, d := range w.rec.Chain.Devices {
		if d.Name != "" && d.Name == by {
			return "no person named (" + by + ")"
		}
	}
	return by
}

// signed says in short what was decided and signed on some parts.
func (w *writer) signed(parts []*Part) {
	s := w.sheet
	s.heading2("Decided and signed", 12)
	var confirmed, rejected, again, onPaper int
	for _, p := range parts {
		for i := range p.Locations {
			for _, a := range p.Locations[i].Attempts {
				for _, f := range a.Findings {
					for _, d := range f.Decisions {
						switch d.Answer {
						case "confirmed":
							confirmed++
						case "rejected":
							rejected++
						default:
							again++
						}
						if d.OnPaper != nil {
							onPaper++
						}
					}
				}
			}
		}
	}
	if all := confirmed + rejected + again; all == 0 {
		s.para("No inspector has decided anything yet.", text)
	} else {
		words := plural(all, "decision", "decisions") + ": " + itoa(confirmed) + " confirmed, " + itoa(rejected) + " rejected, " + itoa(again) + " to be measured again"
		if onPaper > 0 {
			words += "; " + itoa(onPaper) + " of them on paper"
		}
		s.para(words+".", text)
	}
	kept := 0
	for _, p := range parts {
		kept += len(deviationsOf(p))
	}
	if kept == 0 {
		s.para("No deviation was kept or referred to the designer.", text)
	} else {
		s.para(plural(kept, "deviation was", "deviations were")+" kept or referred to the designer: they are listed with their parts.", text)
	}
	for _, p := range parts {
		if len(p.SignOffs) == 0 {
			s.para(p.Name+": not signed off.", text)
		}
		for _, so := range p.SignOffs {
			s.para(p.Name+": signed by "+so.Name+" on "+w.when.day(so.At)+"; "+stateOf(so)+".", text)
		}
	}
	s.y += 0.8
}
