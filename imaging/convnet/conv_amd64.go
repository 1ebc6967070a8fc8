package convnet

import (
	"math"

	"golang.org/x/sys/cpu"
)

// lanes is how many samples an AVX register holds.
const lanes = 8

// correlateAVX is correlateGo for rows of n ≥ lanes samples and kernels of taps = 3 (1 × 3),
// 9 (3 × 3) or 15 (3 × 5) weights; wide and plane are in samples. It cuts off what is below
// floor. It checks no bounds.
//
//go:noescape
func correlateAVX(r0, r1, src, w0, w1 *float32, n, in, taps, wide, plane int, base0, base1, floor float32)

func (c *convolution) atOnce() bool { return false }

// correlate makes the rows, eight samples at a time where the processor and the operating
// system know AVX.
func (p *rowPair) correlate() {
	if !cpu.X86.HasAVX || !p.correlateWide() {
		p.correlateGo()
	}
}

// correlateWide makes the rows by AVX, which has to be there, or says that they are none for it.
func (p *rowPair) correlateWide() bool {
	n, taps := len(p.r0), p.kPhi*p.kRho
	known := p.kRho == 3 && (p.kPhi == 1 || p.kPhi == 3) || p.kRho == 5 && p.kPhi == 3
	if !known || n < lanes || p.in < 1 {
		return false
	}
	// The bounds that the assembly keeps to.
	r1, w0, w1 := p.r1[:n], p.w0[:p.in*taps], p.w1[:p.in*taps]
	src := p.src[:(p.in-1)*p.plane+(p.kPhi-1)*p.wide+n+p.kRho-1]
	floor := float32(math.Inf(-1))
	if p.relu {
		floor = 0
	}
	correlateAVX(&p.r0[0], &r1[0], &src[0], &w0[0], &w1[0], n, p.in, taps, p.wide, p.plane, p.base0, p.base1, floor)
	return true
}
