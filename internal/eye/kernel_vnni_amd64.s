#include "textflag.h"

// One pair of inputs of one pixel: broadcast, times the weights in Z16, added up.
#define PAIR(addr, sum) VPDPWSSD.BCST addr, Z16, sum

// Eight pixels from base on.
#define EIGHT(base, a, b, c, d, e, f, g, h) \
	PAIR((base), a); \
	PAIR((base)(R9*1), b); \
	PAIR((base)(R9*2), c); \
	PAIR((base)(BX*1), d); \
	PAIR((base)(R9*4), e); \
	PAIR((base)(R10*1), f); \
	PAIR((base)(BX*2), g); \
	PAIR((base)(R11*1), h)

#define ZERO(sum) VPXORD sum, sum, sum

// round(sum · scale + bias)
#define LEVEL(sum) \
	VCVTDQ2PS sum, sum; \
	VMULPS Z16, sum, sum; \
	VADDPS Z17, sum, sum; \
	VCVTPS2DQ sum, sum

#define RESIDUAL(sum) \
	VPMOVSXWD.Z (R12), K1, Z18; \
	VPADDD Z18, sum, sum; \
	ADDQ R13, R12

// Sixteen int32 to int16 within the limits, until CX pixels are stored.
#define STORE(sum) \
	VPMOVSDW sum, Y18; \
	VPMAXSW Y16, Y18, Y18; \
	VPMINSW Y17, Y18, Y18; \
	VMOVDQU16 Y18, K1, (R12); \
	ADDQ R13, R12; \
	DECQ CX; \
	JZ done

// f for each of the sixteen sums.
#define EACH(f) \
	f(Z0); f(Z1); f(Z2); f(Z3); f(Z4); f(Z5); f(Z6); f(Z7); \
	f(Z8); f(Z9); f(Z10); f(Z11); f(Z12); f(Z13); f(Z14); f(Z15)

// func kernelVNNI(p *patch)
// Sixteen pixels, sixteen outputs: Z0 to Z15 hold the sums.
TEXT ·kernelVNNI(SB), NOSPLIT, $0-8
	MOVQ p+0(FP), AX
	MOVQ 8(AX), SI   // src
	MOVQ 16(AX), DI  // weights
	MOVQ 24(AX), R13 // dstPixel
	MOVQ 32(AX), R9  // srcPixel
	MOVQ 56(AX), DX  // rows
	KMOVQ 112(AX), K1 // mask
	LEAQ (R9)(R9*2), BX
	LEAQ (R9)(R9*4), R10
	LEAQ (BX)(R9*4), R11
	EACH(ZERO)
row:
	MOVQ SI, R8
	LEAQ (R8)(R9*8), R12
	MOVQ 48(AX), CX  // pairs
pair:
	VMOVDQU32 (DI), Z16
	EIGHT(R8, Z0, Z1, Z2, Z3, Z4, Z5, Z6, Z7)
	EIGHT(R12, Z8, Z9, Z10, Z11, Z12, Z13, Z14, Z15)
	ADDQ $4, R8
	ADDQ $4, R12
	ADDQ $64, DI
	DECQ CX
	JNZ pair
	ADDQ 40(AX), SI  // srcRow
	DECQ DX
	JNZ row
	MOVQ 64(AX), BX  // scale
	VMOVUPS (BX), Z16
	MOVQ 72(AX), BX  // bias
	VMOVUPS (BX), Z17
	EACH(LEVEL)
	MOVQ 80(AX), R12 // res
	TESTQ R12, R12
	JZ limits
	EACH(RESIDUAL)
limits:
	VPBROADCASTD 88(AX), Y16 // lo
	VPBROADCASTD 96(AX), Y17 // hi
	MOVQ (AX), R12   // dst
	MOVQ 104(AX), CX // pixels
	EACH(STORE)
done:
	VZEROUPPER
	RET
