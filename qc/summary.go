package qc

import "slices"

// Rows groups checks of one reading, as one line of a table shows them: the indices of each
// group. The row of the check that governs comes first, then the worst and else as they come; in
// each row the check that governs it comes first.
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
	for _, r := range rows {
		of := make([]Check, len(r))
		for i, k := range r {
			of[i] = checks[k]
		}
		toFront(r, Governing(of))
	}
	slices.SortStableFunc(rows, func(a, b []int) int { return checks[b[0]].Verdict.rank() - checks[a[0]].Verdict.rank() })
	if g := Governing(checks); g >= 0 {
		toFront(rows, slices.IndexFunc(rows, func(r []int) bool { return r[0] == g }))
	}
	return rows
}

// toFront moves s[i] to the head; the others stay in their order.
func toFront[T any](s []T, i int) {
	first := s[i]
	copy(s[1:i+1], s[:i])
	s[0] = first
}

// Shown is what is said of a location where there is room for one value.
type Shown struct {
	Quantity Quantity `json:"quantity"`
	ValueMM  float64  `json:"value_mm"`
	UMM      float64  `json:"U_mm"`               // that of the check, or of the reading where nothing was judged
	LaidOut  bool     `json:"laid_out,omitempty"` // nothing was measured: the layout says so
}

// OneOf is the value of the governing check, or, where nothing was judged, the first diameter or
// else the first reading; nil where nothing was read.
func OneOf(checks []Check, readings []Reading) *Shown {
	if i := Governing(checks); i >= 0 {
		c := checks[i]
		return &Shown{c.Reading.Quantity, c.Reading.ValueMM, c.UMM, c.Reading.How == ByLayout}
	}
	for _, r := range readings {
		if r.Quantity.Diameter() {
			return &Shown{r.Quantity, r.ValueMM, r.UMM, r.How == ByLayout}
		}
	}
	if len(readings) > 0 {
		return &Shown{readings[0].Quantity, readings[0].ValueMM, readings[0].UMM, readings[0].How == ByLayout}
	}
	return nil
}
