#include "textflag.h"

// Two rows of a convolution, eight samples (32 bytes) at a time; written for this program.
//
// A lane sums in the same order as correlateGo, product and sum each rounded: no fused
// multiply-add, which would round once and give other readings than the plain Go of the
// browser's build. What is fast here is eight lanes, and sums that stay in registers over
// all the input planes.
//
// DI, DX  the rows to make, from the block's first sample on
// SI      the block's samples in the current input plane, R10 bytes a row, R12 bytes a plane
// R8, R9  the weights of both output planes for that plane, R11 bytes of them
// CX      input planes still to do
// AX      the block's first sample; R13 the last block's
// Y0, Y1  the sums;          Y2, Y3  the sum of a row of the kernel
// Y4, Y5  that of three;     Y8 to Y11  scratch;     Y13 to Y15  bases and floor

// MUL multiplies the samples at src by the weights w bytes on, into a and b.
#define MUL(src, w, a, b) \
	VMOVUPS src, Y8              \
	VBROADCASTSS w(R8), Y9       \
	VBROADCASTSS w(R9), Y10      \
	VMULPS Y9, Y8, a             \
	VMULPS Y10, Y8, b

// TAP is MUL that adds to Y2 and Y3.
#define TAP(src, w) \
	MUL(src, w, Y9, Y10)         \
	VADDPS Y9, Y2, Y2            \
	VADDPS Y10, Y3, Y3

#define ADD(a, b, to0, to1) \
	VADDPS a, to0, to0           \
	VADDPS b, to1, to1

// func correlateAVX(r0, r1, src, w0, w1 *float32, n, in, taps, wide, plane int, base0, base1, floor float32)
TEXT ·correlateAVX(SB), NOSPLIT, $0-92
	MOVQ n+40(FP), R13
	SUBQ $8, R13
	MOVQ taps+56(FP), R11
	SHLQ $2, R11
	MOVQ wide+64(FP), R10
	SHLQ $2, R10
	MOVQ plane+72(FP), R12
	SHLQ $2, R12
	VBROADCASTSS base0+80(FP), Y13
	VBROADCASTSS base1+84(FP), Y14
	VBROADCASTSS floor+88(FP), Y15
	XORQ AX, AX

block:
	MOVQ src+16(FP), SI
	LEAQ (SI)(AX*4), SI
	MOVQ w0+24(FP), R8
	MOVQ w1+32(FP), R9
	MOVQ in+48(FP), CX
	VMOVAPS Y13, Y0
	VMOVAPS Y14, Y1

plane:
	CMPQ R11, $36
	JHI threeByFive
	JEQ threeByThree

	// 1 × 3
	MUL((SI), 0, Y2, Y3)
	TAP(4(SI), 4)
	TAP(8(SI), 8)
	ADD(Y2, Y3, Y0, Y1)
	JMP next

threeByThree: // the three rows' sums are added up, then to the sum so far
	MUL((SI), 0, Y4, Y5)
	MUL(4(SI), 4, Y9, Y10)
	ADD(Y9, Y10, Y4, Y5)
	MUL(8(SI), 8, Y9, Y10)
	ADD(Y9, Y10, Y4, Y5)
	MUL((SI)(R10*1), 12, Y2, Y3)
	TAP(4(SI)(R10*1), 16)
	TAP(8(SI)(R10*1), 20)
	ADD(Y2, Y3, Y4, Y5)
	MUL((SI)(R10*2), 24, Y2, Y3)
	TAP(4(SI)(R10*2), 28)
	TAP(8(SI)(R10*2), 32)
	ADD(Y2, Y3, Y4, Y5)
	ADD(Y4, Y5, Y0, Y1)
	JMP next

threeByFive: // each row's sum is added to the sum so far
	MUL((SI), 0, Y2, Y3)
	TAP(4(SI), 4)
	TAP(8(SI), 8)
	TAP(12(SI), 12)
	TAP(16(SI), 16)
	ADD(Y2, Y3, Y0, Y1)
	MUL((SI)(R10*1), 20, Y2, Y3)
	TAP(4(SI)(R10*1), 24)
	TAP(8(SI)(R10*1), 28)
	TAP(12(SI)(R10*1), 32)
	TAP(16(SI)(R10*1), 36)
	ADD(Y2, Y3, Y0, Y1)
	MUL((SI)(R10*2), 40, Y2, Y3)
	TAP(4(SI)(R10*2), 44)
	TAP(8(SI)(R10*2), 48)
	TAP(12(SI)(R10*2), 52)
	TAP(16(SI)(R10*2), 56)
	ADD(Y2, Y3, Y0, Y1)

next:
	ADDQ R12, SI
	ADDQ R11, R8
	ADDQ R11, R9
	DECQ CX
	JNZ plane

	// As "if v < floor { v = floor }" has it also for NaN and -0: where neither is the
	// greater, VMAXPS gives what stands first here.
	VMAXPS Y0, Y15, Y0
	VMAXPS Y1, Y15, Y1
	MOVQ r0+0(FP), DI
	MOVQ r1+8(FP), DX
	VMOVUPS Y0, (DI)(AX*4)
	VMOVUPS Y1, (DX)(AX*4)

	// On by eight; the last block ends with the row and may make some of its samples again.
	CMPQ AX, R13
	JEQ done
	ADDQ $8, AX
	CMPQ AX, R13
	JLE block
	MOVQ R13, AX
	JMP block

done:
	VZEROUPPER
	RET
