package synth

// calm takes out the grain that chance paths leave: each value becomes a mean over
// neighbours that show the same thing and do not differ by more than the noise explains
// (after Rousselle, Knaus and Zwicker, ACM Trans. Graphics 31 (2012) 195). vari holds the
// variance of each pixel's brightness. Pixels at a border between things stay as they are.
func calm(p *plane3, ids []uint16, vari []float32) {
	const reach = 2
	w, h := p.w, p.h
	src := append([]float32(nil), p.v...)
	pure := make([]bool, w*h)
	for j := 1; j < h-1; j++ {
		for i := 1; i < w-1; i++ {
			k := j*w + i
			a := ids[k]
			pure[k] = ids[k-1] == a && ids[k+1] == a && ids[k-w] == a && ids[k+w] == a &&
				ids[k-w-1] == a && ids[k-w+1] == a && ids[k+w-1] == a && ids[k+w+1] == a
		}
	}
	smooth := spread(vari, pure, w, h)
	luma := func(k int) float32 { return 0.21*src[3*k] + 0.72*src[3*k+1] + 0.07*src[3*k+2] }
	for j := reach; j < h-reach; j++ {
		for i := reach; i < w-reach; i++ {
			k := j*w + i
			if !pure[k] {
				continue
			}
			y, v := luma(k), smooth[k]
			var sum [3]float32
			total := float32(0)
			for dj := -reach; dj <= reach; dj++ {
				for di := -reach; di <= reach; di++ {
					q := k + dj*w + di
					if !pure[q] || ids[q] != ids[k] {
						continue
					}
					d := luma(q) - y
					g := 1 / (1 + d*d/(4*(v+smooth[q])+1e-9))
					g *= g // near exp(-2 x) for small x, and quick
					sum[0] += g * src[3*q]
					sum[1] += g * src[3*q+1]
					sum[2] += g * src[3*q+2]
					total += g
				}
			}
			p.v[3*k], p.v[3*k+1], p.v[3*k+2] = sum[0]/total, sum[1]/total, sum[2]/total
		}
	}
}
