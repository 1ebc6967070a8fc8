package spec

// Caution is a usual caution, in short words. Local rules and the tool's own manual go further.
type Caution struct {
	ID   string   `json:"id"`
	Task []string `json:"task"` // "drill", "punch", "rivet gun", "pull", "clean", "primer"
	Text string   `json:"text"`
	Cite
}

// Cautions lists them.
var Cautions = []Caution{
	{"S01", []string{"drill", "punch"}, "Wear eye protection: chips and broken heads fly.", Cite{"component maintenance manual 20-00-02, Method 410B warning", Read, ""}},
	{"S02", []string{"drill", "punch", "pull"}, "Others who stand near need eye protection too.", Cite{"29 CFR 1910.133", Read, ""}},
	{"S03", []string{"drill"}, "Unplug the drill or its air before the bit is changed.", Cite{"EHS-416 powered hand tools procedure", Read, ""}},
	{"S04", []string{"drill", "rivet gun"}, "Wear hearing protection: riveting and drilling pass 85 dB(A).", Cite{"29 CFR 1910.95", Memory, ""}},
	{"S05", []string{"drill"}, "No electric drill near fuel vapour: its brushes arc. Use an air drill.", Cite{"NAVEDTRA 14018 ch 13", Read, ""}},
	{"S09", []string{"punch"}, "No punch or chisel with a mushroomed head, no hammer with a loose or split handle.", Cite{"29 CFR 1915.133(c)(d)", Read, ""}},
	{"S10", []string{"pull"}, "The broken stem can leave the tool at speed: point it away from people.", Cite{CommonPractice, Memory, ""}},
	{"S11", []string{"rivet gun"}, "Keep the set in its retaining spring; never fire the gun off the work or at a person.", Cite{"FAA-H-8083-31 ch 4", Memory, ""}},
	{"S12", []string{"clean"}, "Blow chips off with less than 30 psi (2 bar) and a guard, or brush them away.", Cite{"29 CFR 1910.242(b)", Memory, ""}},
	{"S13", []string{"primer"}, "Chromate primer dust is toxic: don't sand it dry without a respirator.", Cite{"29 CFR 1910.1026", Memory, ""}},
}

// CautionsFor returns the cautions for any of some tasks, in the order of the list.
func CautionsFor(tasks ...string) []Caution {
	var out []Caution
	for _, c := range Cautions {
		if shares(c.Task, tasks) {
			out = append(out, c)
		}
	}
	return out
}

func shares(a, b []string) bool {
	for _, x := range a {
		for _, y := range b {
			if x == y {
				return true
			}
		}
	}
	return false
}

// ReworkRule is one rule about taking a rivet out and putting another in.
type ReworkRule struct {
	No   string `json:"no"`
	Text string `json:"text"`
	Cite
}

// ReworkRules lists them.
var ReworkRules = []ReworkRule{
	{"W03", "drill with one size under the shank, to the base of the manufactured head, then punch", Cite{"FAA airframe study questions", Read, ""}},
	{"W15", "replace with the same size and strength where possible", Cite{"AC 43.13-1B 4-57b", Read, ""}},
	{"W16", "drill or ream an enlarged hole to the next larger rivet", Cite{"AC 43.13-1B 4-57b", Read, ""}},
	{"W17", "edge distance and spacing must still meet the minimum for the new size", Cite{"AC 43.13-1B 4-57b", Read, ""}},
	{"W18", "a weaker rivet only if larger size or more rivets make up for it", Cite{"AC 43.13-1B 4-57b", Read, ""}},
	{"W19", "2117 may replace 2017 up to 3/16 in and 2024 up to 5/32 in when 1/32 in larger", Cite{"AC 43.13-1B 4-57b", Read, ""}},
	{"W20", "the next larger size: steps of 1/32 in up to 1/4 in, 1/16 in above", Cite{"MIL-R-47196A 3.4", Read, ""}},
	{"W21", "the next larger diameter is allowed if the least row spacing, pitch and edge margin hold", Cite{"MIL-R-47196A 3.4.1", Read, ""}},
	{"W22", "oversize rivets in one pattern: at most 20 percent of them and at most 10", Cite{"MIL-R-47196A 3.4.3", Read, ""}},
	{"W23", "more than two oversize rivets side by side need special handling", Cite{"MIL-R-47196A 3.4.3", Read, ""}},
	{"W24", "rivets under 3/32 in are not for structure", Cite{"NAVEDTRA 14018 ch 13", Read, ""}},
	{"C01", "centre-punch the manufactured head first; file a flat where it is damaged", Cite{CommonPractice, Memory, ""}},
	{"C02", "the drill is never larger than the hole: the size of the shank, one drill size or 1/32 in under", Cite{CommonPractice, Memory, ""}},
	{"C03", "drill as deep as the manufactured head only, then lever or knock it off", Cite{CommonPractice, Memory, ""}},
	{"C04", "drive the shank out with a punch under its diameter, the sheet backed up close to the rivet", Cite{CommonPractice, Memory, ""}},
	{"C05", "pulled rivet: drive the stem out first, drill the head off, push the body out; leave no body or stem loose inside", Cite{CommonPractice, Memory, ""}},
	{"C06", "a second rivet in a hole is likelier to be poor, for the hole is larger: measure it before it is filled", Cite{CommonPractice, Memory, ""}},
}

// ReworkRuleNo returns the rule with a number, and the zero rule for an unknown one.
func ReworkRuleNo(no string) ReworkRule {
	for _, r := range ReworkRules {
		if r.No == no {
			return r
		}
	}
	return ReworkRule{}
}
