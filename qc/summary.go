package qc

import "slices"

// Rows groups checks of one reading, as one line of a table shows them: the indices of each
// group, the worst rows first and else as they come.
func Rows(checks []Check) [][]int {
	var rows [][]int
next:
	for i, c := range checks {
		for k, r := range rows {
			if f := checks[r[0]]; f.Reading.Same(c.Reading) && f.UMM == c.UMM {
				rows[k] = append(r, i)
				continue next
			}
		}
		rows = append(rows, []int{i})
	}
	slices.SortStableFunc(rows, func(a, b []int) int { return rowVerdict(checks, b).rank() - rowVerdict(checks, a).rank() })
	return rows
}

func rowVerdict(checks []Check, row []int) (v Verdict) {
	for _, i := range row {
		v = Worst(v, checks[i].Verdict)
	}
	return v
}

// Shown is what is said of a location where there is room for one value.
type Shown struct {
	Quantity Quantity `json:"quantity"`
	ValueMM  float64  `json:"value_mm"`
	UMM      float64  `json:"U_mm"` // that of the check, or of the reading where nothing was judged
}

// OneOf is the value of the governing check, or, where nothing was judged, the first diameter or
// else the first reading; nil where nothing was read.
func OneOf(checks []Check, readings []Reading) *Shown {
	if i := Governing(checks); i >= 0 {
		c := checks[i]
		return &Shown{c.Reading.Quantity, c.Reading.ValueMM, c.UMM}
	}
	for _, r := range readings {
		if r.Quantity.Diameter() {
			return &Shown{r.Quantity, r.ValueMM, r.UMM}
		}
	}
	if len(readings) > 0 {
		return &Shown{readings[0].Quantity, readings[0].ValueMM, readings[0].UMM}
	}
	return nil
}
