package feature

// upperMedian gives the value in the middle of x, of two the greater, and changes the order
// of x.
//
// Source: C. A. R. Hoare, Communications of the ACM 4 (1961) 321-322, algorithm 65.
func upperMedian[T float32 | float64](x []T) T {
	k, lo, hi := len(x)/2, 0, len(x)-1
	for lo < hi {
		pivot := x[k]
		i, j := lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if j < k {
			lo = i
		}
		if i > k {
			hi = j
		}
	}
	return x[k]
}
