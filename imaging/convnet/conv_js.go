package convnet

import (
	_ "embed"
	"math"
	"sync"
	"syscall/js"
	"unsafe"
)

// lanes is how many samples a SIMD register of WebAssembly holds.
const lanes = 4

// kernel is conv.wat, assembled.
//
//go:embed conv.wasm
var kernel []byte

// simdJob is what the kernel is told: all it reads and writes, at the offsets that it knows
// (a pointer has 8 bytes here, of which the upper 4 are nought).
type simdJob struct {
	out  *float32 // planes of rows
	pad  *float32 // padded samples
	w    *float32 // weights
	base *float32 // where the sums of a row start

	outs, rows int32 // of out
	rowBytes   int32 // of out, from a row to the next
	in         int32 // planes of pad
	kPhi       int32 // rows of the kernel
	kRho       int32 // weights of one

	wideBytes, planeBytes int32 // of pad, from a row to the next, from a plane to the next
	weightBytes           int32 // from an output plane's weights to the next one's

	basePlaneBytes, baseRowBytes int32 // from the start of a plane to that of the next, of a row to that of the next
	floor                        float32
}

// simd is the one job at a time. It stands here because the kernel gets its address, which on a
// stack might change.
var simd struct {
	sync.Mutex
	job simdJob
}

// correlateJS is findKernel, once.
var correlateJS = sync.OnceValue(findKernel)

// findKernel gives the kernel, working on this program's memory: a function of the address of
// a [simdJob]. It is undefined where the browser has no SIMD or the page did not hand out the memory
// as bucktailMemory, which no program can get at by itself.
func findKernel() js.Value {
	memory, wasm := js.Global().Get("bucktailMemory"), js.Global().Get("WebAssembly")
	code := js.Global().Get("Uint8Array").New(len(kernel))
	js.CopyBytesToJS(code, kernel)
	if !memory.Truthy() || !wasm.Call("validate", code).Bool() {
		return js.Undefined()
	}
	imports := map[string]any{"go": map[string]any{"mem": memory}}
	return wasm.Get("Instance").New(wasm.Get("Module").New(code), imports).Get("exports").Get("correlate")
}

// atOnce makes all rows by SIMD, or says that they are none for it.
func (c *convolution) atOnce() bool {
	l, x := c.layer, c.x
	known := l.kRho == 3 && (l.kPhi == 1 || l.kPhi == 3) || l.kRho == 5 && l.kPhi == 3
	if !known || x.rho < lanes || x.phi < 1 || x.n < 1 || x.n > l.in || l.out < 1 || correlateJS().IsUndefined() {
		return false
	}
	// The bounds that the kernel keeps to.
	per, high := l.in*l.kPhi*l.kRho, x.phi+l.kPhi-1
	out, pad, w := c.out.v[:l.out*x.phi*x.rho], c.pad[:x.n*high*c.wide], l.w[:l.out*per]
	base, basePlane, baseRow := l.b[:l.out], 1, 0
	if c.start != nil {
		base, basePlane, baseRow = c.start[:l.out*x.phi], x.phi, 1
	}
	floor := float32(math.Inf(-1))
	if c.relu {
		floor = 0
	}
	simd.Lock()
	defer simd.Unlock()
	simd.job = simdJob{
		out: &out[0], pad: &pad[0], w: &w[0], base: &base[0],
		outs: int32(l.out), rows: int32(x.phi), rowBytes: int32(4 * x.rho), in: int32(x.n),
		kPhi: int32(l.kPhi), kRho: int32(l.kRho),
		wideBytes: int32(4 * c.wide), planeBytes: int32(4 * high * c.wide), weightBytes: int32(4 * per),
		basePlaneBytes: int32(4 * basePlane), baseRowBytes: int32(4 * baseRow), floor: floor,
	}
	correlateJS().Invoke(uintptr(unsafe.Pointer(&simd.job)))
	simd.job = simdJob{} // holds nothing back
	return true
}

func (p *rowPair) correlate() { p.correlateGo() }
