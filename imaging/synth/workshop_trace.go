package synth

// part is what some of a pixel's paths brought that met the same thing: its mark, how many
// they were and the sum of their light.
type part struct {
	mark  uint16
	n     int
	light rgb
}

// addPart counts paths to the part with their mark.
func addPart(parts []part, p part) []part {
	for i := range parts {
		if q := &parts[i]; q.mark == p.mark {
			q.n, q.light = q.n+p.n, q.light.add(p.light)
			return parts
		}
	}
	return append(parts, p)
}

// traceWorkshop gives the linear picture of a workshop scene. Each pixel gets the scene's
// base of paths, more near round things, and more again where its paths met different things.
func (w *world) traceWorkshop() *plane3 {
	s := w.s
	n := s.Width * s.Height
	out := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*n)}
	tone := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*n)}
	vari, ids, pure, guides := make([]float32, n), make([]uint16, n), make([]bool, n), make([]guide, n)
	paths := w.workshop.effort(w)
	mixed := map[int][]part{}
	for j := range s.Height {
		r := newRandom(s.Seed<<20 + uint64(j))
		for i := range s.Width {
			k := j*s.Width + i
			count := int(paths[k])
			t := w.pixel(i, j, 1, count, r)
			if more := s.Effort.Edge - count; len(t.parts) > 1 && more > 0 {
				u := w.pixel(i, j, 1, more, r)
				t.light, t.tone, t.square = t.light.add(u.light), t.tone.add(u.tone), t.square+u.square
				for _, p := range u.parts {
					t.parts = addPart(t.parts, p)
				}
				count = s.Effort.Edge
			}
			t.store(k, float64(count), out, tone, vari)
			m := 1 / float32(paths[k])
			guides[k] = guide{t.guide.nx * m, t.guide.ny * m, t.guide.rough * m}
			if ids[k], pure[k] = t.parts[0].mark, len(t.parts) == 1; !pure[k] {
				mixed[k] = t.parts
			}
		}
	}
	clean(out, ids, pure, vari, guides)
	for i, t := range tone.v {
		out.v[i] *= t
	}
	out.mend(ids, mixed)
	return out
}

// mend puts the pixels together that show several things: each thing counts by its fraction of
// the paths, with the light that it has in the pixels around. Few paths thus give clean
// borders.
func (p *plane3) mend(ids []uint16, mixed map[int][]part) {
	const reach = 2
	mended := make(map[int]rgb, len(mixed))
	for k, parts := range mixed {
		i, j := k%p.w, k/p.w
		var sum rgb
		total := 0
		for _, part := range parts {
			var light rgb
			weight := 0.0
			for y := max(0, j-reach); y <= min(p.h-1, j+reach); y++ {
				for x := max(0, i-reach); x <= min(p.w-1, i+reach); x++ {
					q := y*p.w + x
					near := 1 / float64(1+(x-i)*(x-i)+(y-j)*(y-j))
					others, isMixed := mixed[q]
					if !isMixed {
						if ids[q] == part.mark {
							light = light.add(rgb{float64(p.v[3*q]), float64(p.v[3*q+1]), float64(p.v[3*q+2])}.scale(8 * near))
							weight += 8 * near
						}
						continue
					}
					for _, o := range others {
						if o.mark == part.mark {
							light = light.add(o.light.scale(near))
							weight += near * float64(o.n)
						}
					}
				}
			}
			sum = sum.add(light.scale(float64(part.n) / weight))
			total += part.n
		}
		mended[k] = sum.scale(1 / float64(total))
	}
	for k, c := range mended {
		p.v[3*k], p.v[3*k+1], p.v[3*k+2] = float32(c[0]), float32(c[1]), float32(c[2])
	}
}
