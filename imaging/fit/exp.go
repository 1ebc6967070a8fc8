package fit

import "math"

// Exp is e to the x, the same to the last bit on every build: math.Exp has assembly of its
// own on some processors, which rounds otherwise than the browser's build does, and an
// iteration downstream can make micrometres of that. [math.Exp2] is plain Go on both.
func Exp(x float64) float64 { return math.Exp2(x * math.Log2E) }
