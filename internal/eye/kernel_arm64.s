#include "textflag.h"

// Instructions that Go's assembler does not know, by their encoding (Arm
// Architecture Reference Manual for A-profile, C7.2). Arguments are register
// numbers.

// SMLAL and SMLAL2 Vd.4S, Vn.4H or .8H, Vm.H[i]
#define SMLAL(d, n, m, i) WORD $(0x0F402000 | (i)<<20 | (m)<<16 | (n)<<5 | (d))
#define SMLAL2(d, n, m, i) WORD $(0x4F402000 | (i)<<20 | (m)<<16 | (n)<<5 | (d))
#define SCVTF(d, n) WORD $(0x4E21D800 | (n)<<5 | (d))
#define FCVTNS(d, n) WORD $(0x4E21A800 | (n)<<5 | (d))
#define FMUL(d, n, m) WORD $(0x6E20DC00 | (m)<<16 | (n)<<5 | (d))
#define FADD(d, n, m) WORD $(0x4E20D400 | (m)<<16 | (n)<<5 | (d))
#define SADDW(d, n, m) WORD $(0x0E601000 | (m)<<16 | (n)<<5 | (d))
#define SADDW2(d, n, m) WORD $(0x4E601000 | (m)<<16 | (n)<<5 | (d))
#define EOR(d, n, m) WORD $(0x6E201C00 | (m)<<16 | (n)<<5 | (d))
#define SQXTN(d, n) WORD $(0x0E614800 | (n)<<5 | (d))
#define SQXTN2(d, n) WORD $(0x4E614800 | (n)<<5 | (d))
#define SMAX(d, n, m) WORD $(0x4E606400 | (m)<<16 | (n)<<5 | (d))
#define SMIN(d, n, m) WORD $(0x4E606C00 | (m)<<16 | (n)<<5 | (d))

// One pair of inputs of one pixel, at R8: V0 and V1 hold the weights of the
// first and the second input.
#define PAIR(freg, v, a, b) \
	FMOVS (R8), freg; \
	ADD R5, R8, R8; \
	SMLAL(a, 0, v, 0); \
	SMLAL2(b, 0, v, 0); \
	SMLAL(a, 1, v, 1); \
	SMLAL2(b, 1, v, 1)

#define ZERO(a, b) \
	EOR(a, a, a); \
	EOR(b, b, b)

// round(sum · scale + bias)
#define LEVEL(a, b) \
	SCVTF(a, a); \
	SCVTF(b, b); \
	FMUL(a, a, 2); \
	FMUL(b, b, 3); \
	FADD(a, a, 4); \
	FADD(b, b, 5); \
	FCVTNS(a, a); \
	FCVTNS(b, b)

#define RESIDUAL(a, b) \
	VLD1 (R8), [V0.H8]; \
	ADD R4, R8, R8; \
	SADDW(a, a, 0); \
	SADDW2(b, b, 0)

// Eight int32 to int16 within the limits, until R10 pixels are stored.
#define STORE(a, b) \
	SQXTN(0, a); \
	SQXTN2(0, b); \
	SMAX(0, 0, 6); \
	SMIN(0, 0, 7); \
	VST1 [V0.H8], (R8); \
	ADD R4, R8, R8; \
	SUBS $1, R10, R10; \
	BEQ done

// f for each pixel's pair of sums.
#define EACH(f) \
	f(16, 17); f(18, 19); f(20, 21); f(22, 23); \
	f(24, 25); f(26, 27); f(28, 29); f(30, 31)

// func kernelNEON(p *patch)
// Eight pixels, eight outputs: V16 to V31 hold the sums.
TEXT ·kernelNEON(SB), NOSPLIT, $0-8
	MOVD p+0(FP), R0
	MOVD 8(R0), R2   // src
	MOVD 16(R0), R3  // weights
	MOVD 24(R0), R4  // dstPixel
	MOVD 32(R0), R5  // srcPixel
	MOVD 40(R0), R6  // srcRow
	MOVD 56(R0), R9  // rows
	EACH(ZERO)
row:
	MOVD R2, R7
	MOVD 48(R0), R10 // pairs
pair:
	VLD2.P 32(R3), [V0.H8, V1.H8]
	MOVD R7, R8
	PAIR(F8, 8, 16, 17)
	PAIR(F9, 9, 18, 19)
	PAIR(F10, 10, 20, 21)
	PAIR(F11, 11, 22, 23)
	PAIR(F12, 12, 24, 25)
	PAIR(F13, 13, 26, 27)
	PAIR(F14, 14, 28, 29)
	PAIR(F15, 15, 30, 31)
	ADD $4, R7, R7
	SUBS $1, R10, R10
	BNE pair
	ADD R6, R2, R2
	SUBS $1, R9, R9
	BNE row
	MOVD 64(R0), R8  // scale
	VLD1 (R8), [V2.S4, V3.S4]
	MOVD 72(R0), R8  // bias
	VLD1 (R8), [V4.S4, V5.S4]
	EACH(LEVEL)
	MOVD 80(R0), R8  // res
	CBZ R8, limits
	EACH(RESIDUAL)
limits:
	MOVD 88(R0), R10 // lo
	VDUP R10, V6.S4
	MOVD 96(R0), R10 // hi
	VDUP R10, V7.S4
	MOVD (R0), R8    // dst
	MOVD 104(R0), R10 // pixels
	EACH(STORE)
done:
	RET
