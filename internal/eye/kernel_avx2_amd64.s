#include "textflag.h"

// One pair of inputs of one pixel: broadcast, times the weights in Y12, added up.
#define PAIR(addr, tmp, sum) \
	VPBROADCASTD addr, tmp; \
	VPMADDWD Y12, tmp, tmp; \
	VPADDD tmp, sum, sum

#define ZERO(sum) VPXOR sum, sum, sum

// round(sum · scale + bias)
#define LEVEL(sum) \
	VCVTDQ2PS sum, sum; \
	VMULPS Y12, sum, sum; \
	VADDPS Y13, sum, sum; \
	VCVTPS2DQ sum, sum

#define RESIDUAL(sum) \
	VPMOVSXWD (R12), Y14; \
	VPADDD Y14, sum, sum; \
	ADDQ R13, R12

// Eight int32 to int16 within the limits, until CX pixels are stored.
#define STORE(sum, low) \
	VEXTRACTI128 $1, sum, X14; \
	VPACKSSDW X14, low, low; \
	VPMAXSW X12, low, low; \
	VPMINSW X13, low, low; \
	VMOVDQU low, (R12); \
	ADDQ R13, R12; \
	DECQ CX; \
	JZ done

// f for each of the twelve sums.
#define EACH(f) \
	f(Y0); f(Y1); f(Y2); f(Y3); f(Y4); f(Y5); \
	f(Y6); f(Y7); f(Y8); f(Y9); f(Y10); f(Y11)

// func kernelAVX2(p *patch)
// Twelve pixels, eight outputs: Y0 to Y11 hold the sums.
TEXT ·kernelAVX2(SB), NOSPLIT, $0-8
	MOVQ p+0(FP), AX
	MOVQ 8(AX), SI   // src
	MOVQ 16(AX), DI  // weights
	MOVQ 24(AX), R13 // dstPixel
	MOVQ 32(AX), R9  // srcPixel
	MOVQ 56(AX), DX  // rows
	LEAQ (R9)(R9*2), BX
	EACH(ZERO)
row:
	MOVQ SI, R8
	LEAQ (R8)(BX*1), R10
	LEAQ (R10)(BX*1), R11
	LEAQ (R11)(BX*1), R12
	MOVQ 48(AX), CX  // pairs
pair:
	VMOVDQU (DI), Y12
	PAIR((R8), Y13, Y0)
	PAIR((R8)(R9*1), Y14, Y1)
	PAIR((R8)(R9*2), Y15, Y2)
	PAIR((R10), Y13, Y3)
	PAIR((R10)(R9*1), Y14, Y4)
	PAIR((R10)(R9*2), Y15, Y5)
	PAIR((R11), Y13, Y6)
	PAIR((R11)(R9*1), Y14, Y7)
	PAIR((R11)(R9*2), Y15, Y8)
	PAIR((R12), Y13, Y9)
	PAIR((R12)(R9*1), Y14, Y10)
	PAIR((R12)(R9*2), Y15, Y11)
	ADDQ $4, R8
	ADDQ $4, R10
	ADDQ $4, R11
	ADDQ $4, R12
	ADDQ $32, DI
	DECQ CX
	JNZ pair
	ADDQ 40(AX), SI  // srcRow
	DECQ DX
	JNZ row
	MOVQ 64(AX), BX  // scale
	VMOVUPS (BX), Y12
	MOVQ 72(AX), BX  // bias
	VMOVUPS (BX), Y13
	EACH(LEVEL)
	MOVQ 80(AX), R12 // res
	TESTQ R12, R12
	JZ limits
	EACH(RESIDUAL)
limits:
	VPBROADCASTD 88(AX), X12 // lo
	VPBROADCASTD 96(AX), X13 // hi
	MOVQ (AX), R12   // dst
	MOVQ 104(AX), CX // pixels
	STORE(Y0, X0)
	STORE(Y1, X1)
	STORE(Y2, X2)
	STORE(Y3, X3)
	STORE(Y4, X4)
	STORE(Y5, X5)
	STORE(Y6, X6)
	STORE(Y7, X7)
	STORE(Y8, X8)
	STORE(Y9, X9)
	STORE(Y10, X10)
	STORE(Y11, X11)
done:
	VZEROUPPER
	RET
