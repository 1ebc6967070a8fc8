package store

// Progress is told how far a long piece of work is. It may be nil.
type Progress func(step string, done, of int64)

func (p Progress) tell(step string, done, of int64) {
	if p != nil {
		p(step, done, of)
	}
}
