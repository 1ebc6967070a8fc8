package qc

// Refusal says that something about a photo or an input kept the program from
// answering, and what the builder can do about it. It is an error about the photo,
// not about the world: it is shown as it is.
type Refusal struct {
	Code string `json:"code"` // stable, for programs: "no-card", "too-tilted"
	Text string `json:"text"` // what is: lower case start, no full stop at the end
	Do   string `json:"do"`   // what to do next
}

// Error gives both sentences in one line.
func (r *Refusal) Error() string {
	if r.Do == "" {
		return r.Text
	}
	return r.Text + ": " + r.Do
}
