#include "textflag.h"

// One pair of inputs of one pixel: broadcast, times the weights in Y12, added up.
#define PAIR(addr, tmp, sum) \
	VPBROADCASTD addr, tmp; \
	VPMADDWD Y12, tmp, tmp; \
	VPADDD tmp, sum, sum

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

// Eight int32 to int16 within the limits.
#define STORE(sum, low) \
	VEXTRACTI128 $1, sum, X14; \
	VPACKSSDW X14, low, low; \
	VPMAXSW X12, low, low; \
	VPMINSW X13, low, low; \
	VMOVDQU low, (R12); \
	ADDQ R13, R12

// func kernel(p *patch)
// Twelve pixels, eight outputs: Y0 to Y11 hold the sums.
TEXT ·kernel(SB), NOSPLIT, $0-8
	MOVQ p+0(FP), AX
	MOVQ 8(AX), SI   // src
	MOVQ 16(AX), DI  // weights
	MOVQ 24(AX), R13 // dstPixel
	MOVQ 32(AX), R9  // srcPixel
	MOVQ 56(AX), DX  // rows
	LEAQ (R9)(R9*2), BX
	VPXOR Y0, Y0, Y0
	VPXOR Y1, Y1, Y1
	VPXOR Y2, Y2, Y2
	VPXOR Y3, Y3, Y3
	VPXOR Y4, Y4, Y4
	VPXOR Y5, Y5, Y5
	VPXOR Y6, Y6, Y6
	VPXOR Y7, Y7, Y7
	VPXOR Y8, Y8, Y8
	VPXOR Y9, Y9, Y9
	VPXOR Y10, Y10, Y10
	VPXOR Y11, Y11, Y11
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
	LEVEL(Y0)
	LEVEL(Y1)
	LEVEL(Y2)
	LEVEL(Y3)
	LEVEL(Y4)
	LEVEL(Y5)
	LEVEL(Y6)
	LEVEL(Y7)
	LEVEL(Y8)
	LEVEL(Y9)
	LEVEL(Y10)
	LEVEL(Y11)
	MOVQ 80(AX), R12 // res
	TESTQ R12, R12
	JZ limits
	RESIDUAL(Y0)
	RESIDUAL(Y1)
	RESIDUAL(Y2)
	RESIDUAL(Y3)
	RESIDUAL(Y4)
	RESIDUAL(Y5)
	RESIDUAL(Y6)
	RESIDUAL(Y7)
	RESIDUAL(Y8)
	RESIDUAL(Y9)
	RESIDUAL(Y10)
	RESIDUAL(Y11)
limits:
	VPBROADCASTD 88(AX), X12 // lo
	VPBROADCASTD 96(AX), X13 // hi
	MOVQ (AX), R12   // dst
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
	VZEROUPPER
	RET
