package qc

import (
	"slices"

	"bucktail/qc/spec"
)

// Question is what only an eye on the part can answer.
type Question struct {
	ID      string     `json:"id"`
	Kinds   []Kind     `json:"kinds"`
	Text    string     `json:"text"`    // answered yes or no; yes is the fault
	Verdict Verdict    `json:"verdict"` // of a yes: out, or too close where the sources give no number
	Source  string     `json:"source"`
	Basis   spec.Basis `json:"basis"`
	Note    string     `json:"note,omitempty"`
}

var (
	driven  = []Kind{ShopHead}
	made    = []Kind{UniversalHead, FlushHead}
	solid   = []Kind{ShopHead, UniversalHead, FlushHead}
	pulled  = []Kind{PulledHead}
	heads   = []Kind{ShopHead, UniversalHead, FlushHead, PulledHead}
	flushes = []Kind{FlushHead}
	holes   = []Kind{Hole}
)

// Questions lists the visual questions in the order in which they are asked. Each is a paraphrase
// of a published condition. None of the sources gives a number for a tilted head, so that a yes
// there asks for a hand and an inspector instead of naming the rivet out.
var Questions = []Question{
	{"cracked", heads, "Is the head or the rivet cracked?", Out, "AC 43.13-1B 4-58", spec.Read, ""},
	{"gap-shop", driven, "Is there a gap anywhere round under the shop head?", Out, "TM 1-1520-240-BD 2-4c", spec.Read, "a feeler of 0.05 mm (0.002 in) tells"},
	{"gap-made", made, "Does a 0.05 mm (0.002 in) feeler enter anywhere under the head?", Out, "TM 1-1520-240-BD 2-4b", spec.Read, "on a round surface a head that bears along two lines is as it should be (TM 10-5410-221-14)"},
	{"gap-pulled", pulled, "Does a 0.05 mm (0.002 in) feeler enter round more than 40 % of the head?", Out, "TM 10-5410-221-14, items before 4-48, (5)", spec.Read, "on a round surface a partial gap is accepted where the head bears along two lines (6)"},
	{"tilted", []Kind{ShopHead, UniversalHead, PulledHead}, "Does the head stand tilted or stepped?", TooClose, "TM 1-1520-240-BD 2-4b", spec.Read, "no published number was found: let an inspector look"},
	{"flush-seat", flushes, "Does the head stand clearly above or below the sheet, or off the middle of its countersink?", Out, "TM 1-1520-240-BD 2-4a", spec.Read, "no number given there"},
	{"loose", heads, "Does the rivet move by hand?", Out, "TM 1-1520-240-BD 2-4e", spec.Read, ""},
	{"tool-mark", solid, "Has a slipped bar, set or drill marked the rivet or the sheet?", Out, "TM 1-1520-240-BD 2-4d", spec.Read, ""},
	{"cut", solid, "Is the head cut, or too flat with cracked edges?", Out, "TM 9-2320-302-34 Table 6", spec.Read, ""},
	{"separated", heads, "Do the sheets stand apart, with the shank swelled between them?", Out, "TM 9-2320-302-34 Table 6", spec.Read, ""},
	{"stem-loose", pulled, "Is the stem loose, or does it move under a steady push of 45 N (10 lbf)?", Out, "TM 10-5410-221-14, items before 4-48, (4)", spec.Read, "a steady push, no blow"},
	{"stem-high", pulled, "Does the broken stem stand high, or is it missing?", TooClose, spec.CommonPractice, spec.Memory, "no published number was found for plain break stems: compare with the maker's figure"},
	{"hole-crack", holes, "Is the hole cracked at its edge?", Out, "AC 43.13-1B 4-58", spec.Read, ""},
	{"hole-burr", holes, "Is there a burr or a chip left at the hole or between the sheets?", TooClose, "AC 43.13-1B 4-58", spec.Read, "deburr, clean, look again"},
	{"hole-shape", holes, "Is the hole elongated, figure-eight or slanting?", Out, "AC 43.13-1B 4-58; MIL-R-47196A", spec.Read, "round, straight, square to the sheet"},
}

// QuestionsFor lists the questions for a kind.
func QuestionsFor(k Kind) []Question {
	var out []Question
	for _, q := range Questions {
		for _, x := range q.Kinds {
			if x == k {
				out = append(out, q)
			}
		}
	}
	return out
}

// Unlooked lists the questions for a kind that nobody has answered yet.
func Unlooked(k Kind, answers []Answer) []Question {
	return slices.DeleteFunc(QuestionsFor(k), func(q Question) bool {
		return slices.ContainsFunc(answers, func(a Answer) bool { return a.Question == q.ID && (a.Seen == Yes || a.Seen == No) })
	})
}

// Seen is an answer to a question.
type Seen string

const (
	Yes       Seen = "yes" // the fault is there
	No        Seen = "no"
	NotLooked Seen = "not looked"
)

// Answer is what somebody saw.
type Answer struct {
	Question string `json:"question"` // Question.ID
	Seen     Seen   `json:"seen"`
	Note     string `json:"note,omitempty"`
}
