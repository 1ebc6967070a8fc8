package convnet

import (
	"math"
	"math/rand"
	"slices"
	"syscall/js"
	"testing"
)

// anyConvolution is one of random numbers, of which some are 0 or -0; with zero, all the products
// and the sums' starts are -0. Its output stands in all, between margins of 77.
func anyConvolution(rng *rand.Rand, kernel [2]int, rho int, zero bool) (c *convolution, all []float32) {
	const margin = 16
	in, out, phi, unused := 1+rng.Intn(7), 1+rng.Intn(5), 1+rng.Intn(4), rng.Intn(3)
	r := anyRows(rng, kernel, rho, in, zero)
	l := &layer{in: in + unused, out: out, kPhi: kernel[0], kRho: kernel[1], b: make([]float32, out)}
	l.w = make([]float32, out*l.in*kernel[0]*kernel[1])
	for i := range l.w {
		l.w[i] = r.w0[rng.Intn(len(r.w0))]
	}
	base := func(v []float32) []float32 {
		for i := range v {
			v[i] = r.base0 * float32(i+1)
		}
		return v
	}
	base(l.b)
	wide := rho + kernel[1] - 1
	pad := make([]float32, in*(phi+kernel[0]-1)*wide)
	for i := range pad {
		pad[i] = r.src[rng.Intn(len(r.src))]
	}
	n := out * phi * rho
	all = make([]float32, n+2*margin)
	fill(all, 77)
	c = &convolution{
		layer: l, out: &Planes{n: out, phi: phi, rho: rho, v: all[margin : margin+n : margin+n]},
		x: &Planes{n: in, phi: phi, rho: rho}, pad: pad, wide: wide, relu: r.relu,
	}
	if rng.Intn(2) == 0 {
		c.start = base(make([]float32, out*phi))
	}
	return c, all
}

func bits(v []float32) []uint32 {
	b := make([]uint32, len(v))
	for i := range v {
		b[i] = math.Float32bits(v[i])
	}
	return b
}

// The kernel gives the same bits as the plain Go, the sign of a zero too, and writes nothing
// beside its planes.
func TestLayersBySIMDAreThePlainOnes(t *testing.T) {
	if correlateJS().IsUndefined() {
		t.Fatal("there is no SIMD here: .ci/wasm-exec hands out the memory, and Node knows it")
	}
	rng := rand.New(rand.NewSource(14))
	negativeZeros, cut := 0, 0
	for _, kernel := range kernels {
		for rho := 1; rho < 70; rho++ {
			for round := range 12 {
				c, all := anyConvolution(rng, kernel, rho, round < 2)
				if made := c.atOnce(); made != (rho >= lanes) {
					t.Fatalf("%d samples: made by SIMD: %v", rho, made)
				} else if !made {
					continue
				}
				got := bits(all)
				for i := range c.out.v {
					c.out.v[i] = 0
				}
				c.rows(0, c.x.phi, make([]float32, rho))
				if want := bits(all); !slices.Equal(got, want) {
					t.Fatalf("kernel %v, %d planes to %d of %d × %d: got\n%x\nplain Go gives\n%x", kernel, c.x.n, c.out.n, c.x.phi, rho, got, want)
				}
				for _, v := range c.out.v {
					if v == 0 && math.Signbit(float64(v)) {
						negativeZeros++
					} else if v == 0 && c.relu {
						cut++
					}
				}
			}
		}
	}
	if negativeZeros == 0 || cut == 0 {
		t.Errorf("the planes held %d negative zeros and %d cut samples", negativeZeros, cut)
	}
}

// The kernel also reaches memory that came after it.
func TestSIMDWhereTheMemoryHasGrown(t *testing.T) {
	correlateJS()
	buffer := js.Global().Get("bucktailMemory").Get("buffer")
	before := buffer.Get("byteLength").Int()
	c, all := anyConvolution(rand.New(rand.NewSource(15)), kernels[0], 24, false)
	far := make([]float32, before/4) // as large as all memory was
	copy(far[len(far)-len(all):], all)
	here := c.out.v
	c.out.v = far[len(far)-len(all)+16:][:len(here)]
	if js.Global().Get("bucktailMemory").Get("buffer").Get("byteLength").Int() <= before || !c.atOnce() {
		t.Fatal("the memory has not grown, or SIMD was not used")
	}
	got := c.out.v
	c.out.v = here
	if c.rows(0, c.x.phi, make([]float32, 24)); !slices.Equal(bits(got), bits(here)) {
		t.Errorf("got %v, plain Go gives %v", got, here)
	}
}

// Kernels that the assembly does not know are left to the plain Go.
func TestOtherKernelsAreNotForSIMD(t *testing.T) {
	c, _ := anyConvolution(rand.New(rand.NewSource(13)), [2]int{5, 3}, 16, false)
	if c.atOnce() {
		t.Error("a 5 × 3 kernel was taken")
	}
}

// A browser without SIMD, a page that does not hand out the memory: plain Go runs, and a network
// sees the same to the last bit.
func TestWithoutSIMDPlainGoRuns(t *testing.T) {
	rng := rand.New(rand.NewSource(16))
	l := layer{in: 3, out: 3, kPhi: 3, kRho: 5, w: make([]float32, 3*3*15), b: make([]float32, 3)}
	for i := range l.w {
		l.w[i] = float32(rng.NormFloat64())
	}
	ws := &Workspace{}
	x := ws.Planes(3, 6, 9)
	for i := range x.v {
		x.v[i] = float32(rng.NormFloat64())
	}
	with := l.conv(ws, x, true, nil)
	wasm, memory := js.Global().Get("WebAssembly"), js.Global().Get("bucktailMemory")
	validate, kept := wasm.Get("validate"), correlateJS
	never := js.FuncOf(func(js.Value, []js.Value) any { return false })
	defer never.Release()
	for name, take := range map[string]func(){
		"no SIMD":   func() { wasm.Set("validate", never) },
		"no memory": func() { js.Global().Delete("bucktailMemory") },
	} {
		take()
		found := findKernel()
		wasm.Set("validate", validate)
		js.Global().Set("bucktailMemory", memory)
		if !found.IsUndefined() {
			t.Errorf("%s: a kernel was found", name)
		}
		correlateJS = func() js.Value { return found }
		c := &convolution{layer: &l, out: ws.Planes(3, 6, 9), x: x}
		without := l.conv(ws, x, true, nil)
		if c.atOnce() || !slices.Equal(bits(without.v), bits(with.v)) {
			t.Errorf("%s: got %v, want %v", name, without.v, with.v)
		}
		correlateJS = kept
	}
}
