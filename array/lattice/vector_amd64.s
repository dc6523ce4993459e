//go:build !purego

#include "textflag.h"

// Inner loops on AVX2 and FMA. A 256-bit register holds two complex numbers; what
// rows.go and columns.go do to one column is done to two. Complex numbers are
// pairs (real, imaginary), so that
//
//	x·w      = addsub(x·re(w), swap(x)·im(w))
//	a + i·d  = addsub(a, swap(d))
//	a - i·d  = subadd(a, swap(d))
//
// where swap exchanges the two parts (VPERMILPD $5) and addsub subtracts in the
// real part and adds in the imaginary one.

DATA one<>+0(SB)/8, $1.0
GLOBL one<>(SB), RODATA, $8
DATA sqrtHalf<>+0(SB)/8, $0.70710678118654752440
GLOBL sqrtHalf<>(SB), RODATA, $8

DATA half<>+0(SB)/8, $0.5
GLOBL half<>(SB), RODATA, $8
DATA sin60<>+0(SB)/8, $0.86602540378443864676
GLOBL sin60<>(SB), RODATA, $8
DATA cos72<>+0(SB)/8, $0.30901699437494742410
GLOBL cos72<>(SB), RODATA, $8
DATA sin72<>+0(SB)/8, $0.95105651629515357212
GLOBL sin72<>(SB), RODATA, $8
DATA cos144<>+0(SB)/8, $-0.80901699437494742410
GLOBL cos144<>(SB), RODATA, $8
DATA sin144<>+0(SB)/8, $0.58778525229247312917
GLOBL sin144<>(SB), RODATA, $8

// func cpuid(leaf, sub uint32) (a, b, c, d uint32)
TEXT ·cpuid(SB), NOSPLIT, $0-24
	MOVL leaf+0(FP), AX
	MOVL sub+4(FP), CX
	CPUID
	MOVL AX, a+8(FP)
	MOVL BX, b+12(FP)
	MOVL CX, c+16(FP)
	MOVL DX, d+20(FP)
	RET

// func xgetbv() (a uint32)
TEXT ·xgetbv(SB), NOSPLIT, $0-4
	XORL CX, CX
	XGETBV
	MOVL AX, a+0(FP)
	RET

// TWIDDLE(x, re, im, t): x = x·w, re and im the parts of w in all places.
#define TWIDDLE(x, re, im, t) \
	VPERMILPD      $5, x, t    \
	VMULPD         im, t, t    \
	VFMADDSUB213PD t, re, x

// EIGHT is the radix-8 butterfly without twiddle factors on Y0, Y2, Y4, Y6 (inputs
// 0, 4, 2, 6), which become the even half's results 0…3, and Y1, Y3, Y5, Y7 (inputs
// 1, 5, 3, 7). Y14 holds √½, Y15 holds 1. Results: 0 Y8, 1 Y9, 2 Y10, 3 Y11, 4 Y0,
// 5 Y1, 6 Y2, 7 Y3.
#define EIGHT \
	VADDPD         Y2, Y0, Y8    \ // a0
	VSUBPD         Y2, Y0, Y9    \ // a1
	VADDPD         Y6, Y4, Y10   \ // a2
	VSUBPD         Y6, Y4, Y11   \
	VPERMILPD      $5, Y11, Y11  \ // a3 = i·this
	VADDPD         Y10, Y8, Y0   \ // e0
	VSUBPD         Y10, Y8, Y2   \ // e2
	VADDSUBPD      Y11, Y9, Y4   \ // e1
	VFMSUBADD213PD Y11, Y15, Y9  \ // e3
	VADDPD         Y3, Y1, Y8    \ // b0
	VSUBPD         Y3, Y1, Y10   \ // b1
	VADDPD         Y7, Y5, Y11   \ // b2
	VSUBPD         Y7, Y5, Y12   \
	VPERMILPD      $5, Y12, Y12  \ // b3 = i·this
	VADDPD         Y11, Y8, Y1   \ // o0
	VSUBPD         Y11, Y8, Y3   \
	VPERMILPD      $5, Y3, Y3    \ // o2 = i·this
	VADDSUBPD      Y12, Y10, Y5  \ // c1
	VFMSUBADD213PD Y12, Y15, Y10 \ // c3
	VPERMILPD      $5, Y5, Y6    \
	VADDSUBPD      Y6, Y5, Y5    \ // o1 = √½·this
	VPERMILPD      $5, Y10, Y6   \
	VADDSUBPD      Y6, Y10, Y10  \
	VPERMILPD      $5, Y10, Y10  \
	VMULPD         Y14, Y10, Y10 \ // o3 = i·this
	VMOVAPD        Y9, Y7        \ // e3
	VADDPD         Y1, Y0, Y8    \
	VSUBPD         Y1, Y0, Y0    \
	VADDSUBPD      Y10, Y7, Y11  \
	VFMSUBADD213PD Y10, Y15, Y7  \
	VADDSUBPD      Y3, Y2, Y10   \
	VFMSUBADD213PD Y3, Y15, Y2   \
	VMOVAPD        Y4, Y9        \
	VFMADD231PD    Y14, Y5, Y9   \
	VFNMADD231PD   Y14, Y5, Y4   \
	VMOVAPD        Y4, Y1        \
	VMOVAPD        Y7, Y3

// TIMES(k, x): x = the product of element k of two rows with that of two factors.
#define TIMES(k, x, xx) \
	VMOVUPD      (16*k)(SI), xx       \
	VINSERTF128  $1, (16*k)(DX), x, x \
	VBROADCASTSD (8*k)(R8), Y9        \
	VBROADCASTSD (8*k)(R9), Y10       \
	VBLENDPD     $12, Y10, Y9, Y9     \
	VMULPD       Y9, x, x

// func times8AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)
TEXT ·times8AVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ blocks+40(FP), CX
	VBROADCASTSD sqrtHalf<>(SB), Y14
	VBROADCASTSD one<>(SB), Y15

times8:
	TIMES(0, Y0, X0)
	TIMES(4, Y2, X2)
	TIMES(2, Y4, X4)
	TIMES(6, Y6, X6)
	TIMES(1, Y1, X1)
	TIMES(5, Y3, X3)
	TIMES(3, Y5, X5)
	TIMES(7, Y7, X7)
	EIGHT
	VMOVUPD Y8, 0(DI)
	VMOVUPD Y9, 32(DI)
	VMOVUPD Y10, 64(DI)
	VMOVUPD Y11, 96(DI)
	VMOVUPD Y0, 128(DI)
	VMOVUPD Y1, 160(DI)
	VMOVUPD Y2, 192(DI)
	VMOVUPD Y3, 224(DI)
	ADDQ $128, SI
	ADDQ $128, DX
	ADDQ $64, R8
	ADDQ $64, R9
	ADDQ $256, DI
	DECQ CX
	JNZ  times8
	VZEROUPPER
	RET

// func times4AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)
TEXT ·times4AVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ blocks+40(FP), CX
	VBROADCASTSD one<>(SB), Y15

times4:
	TIMES(0, Y0, X0)
	TIMES(2, Y2, X2)
	TIMES(1, Y1, X1)
	TIMES(3, Y3, X3)
	VADDPD         Y2, Y0, Y4
	VSUBPD         Y2, Y0, Y5
	VADDPD         Y3, Y1, Y6
	VSUBPD         Y3, Y1, Y7
	VPERMILPD      $5, Y7, Y7
	VADDPD         Y6, Y4, Y0
	VSUBPD         Y6, Y4, Y2
	VADDSUBPD      Y7, Y5, Y1
	VFMSUBADD213PD Y7, Y15, Y5
	VMOVUPD Y0, 0(DI)
	VMOVUPD Y1, 32(DI)
	VMOVUPD Y2, 64(DI)
	VMOVUPD Y5, 96(DI)
	ADDQ $64, SI
	ADDQ $64, DX
	ADDQ $32, R8
	ADDQ $32, R9
	ADDQ $128, DI
	DECQ CX
	JNZ  times4
	VZEROUPPER
	RET

// func first8AVX2(x *complex128, pitch, pairs int)
//
// Eight rows, pitch bytes apart, 2·pairs numbers each.
TEXT ·first8AVX2(SB), NOSPLIT, $0-24
	MOVQ x+0(FP), SI
	MOVQ pitch+8(FP), DX
	MOVQ pairs+16(FP), CX
	LEAQ (DX)(DX*2), R8         // 3 pitches
	LEAQ (SI)(DX*4), DI
	VBROADCASTSD sqrtHalf<>(SB), Y14
	VBROADCASTSD one<>(SB), Y15

first8:
	VMOVUPD (SI), Y0
	VMOVUPD (DI), Y2
	VMOVUPD (SI)(DX*2), Y4
	VMOVUPD (DI)(DX*2), Y6
	VMOVUPD (SI)(DX*1), Y1
	VMOVUPD (DI)(DX*1), Y3
	VMOVUPD (SI)(R8*1), Y5
	VMOVUPD (DI)(R8*1), Y7
	EIGHT
	VMOVUPD Y8, (SI)
	VMOVUPD Y9, (SI)(DX*1)
	VMOVUPD Y10, (SI)(DX*2)
	VMOVUPD Y11, (SI)(R8*1)
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, (DI)(DX*1)
	VMOVUPD Y2, (DI)(DX*2)
	VMOVUPD Y3, (DI)(R8*1)
	ADDQ $32, SI
	ADDQ $32, DI
	DECQ CX
	JNZ  first8
	VZEROUPPER
	RET

// FOUR is the radix-4 butterfly with the twiddle factors in Y8…Y13 up to its halves
// on Y0…Y3: Y4 = x0+y2, Y5 = x0-y2, Y6 = y1+y3, Y7 = swap(y1-y3).
#define FOUR \
	TWIDDLE(Y1, Y8, Y9, Y4)   \
	TWIDDLE(Y2, Y10, Y11, Y5) \
	TWIDDLE(Y3, Y12, Y13, Y6) \
	VADDPD    Y2, Y0, Y4      \
	VSUBPD    Y2, Y0, Y5      \
	VADDPD    Y3, Y1, Y6      \
	VSUBPD    Y3, Y1, Y7      \
	VPERMILPD $5, Y7, Y7

#define FACTORS4 \
	VBROADCASTSD 0(R11), Y8   \
	VBROADCASTSD 8(R11), Y9   \
	VBROADCASTSD 16(R11), Y10 \
	VBROADCASTSD 24(R11), Y11 \
	VBROADCASTSD 32(R11), Y12 \
	VBROADCASTSD 40(R11), Y13

// func radix4AVX2(x *complex128, pitch, pairs, span int, w *[3]complex128)
//
// A block of 4·span rows.
TEXT ·radix4AVX2(SB), NOSPLIT, $0-40
	MOVQ x+0(FP), SI
	MOVQ pitch+8(FP), DX
	MOVQ pairs+16(FP), CX
	MOVQ span+24(FP), BX
	MOVQ w+32(FP), R11
	MOVQ DX, R8
	IMULQ BX, R8                // a quarter of the block
	LEAQ (R8)(R8*2), R9
	VBROADCASTSD one<>(SB), Y15

radix4row:
	FACTORS4
	MOVQ SI, DI
	MOVQ CX, AX

radix4:
	VMOVUPD (DI)(R8*1), Y1
	VMOVUPD (DI)(R8*2), Y2
	VMOVUPD (DI)(R9*1), Y3
	VMOVUPD (DI), Y0
	FOUR
	VADDPD         Y6, Y4, Y0
	VSUBPD         Y6, Y4, Y2
	VADDSUBPD      Y7, Y5, Y1
	VFMSUBADD213PD Y7, Y15, Y5
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, (DI)(R8*1)
	VMOVUPD Y2, (DI)(R8*2)
	VMOVUPD Y5, (DI)(R9*1)
	ADDQ $32, DI
	DECQ AX
	JNZ  radix4
	ADDQ DX, SI
	ADDQ $48, R11
	DECQ BX
	JNZ  radix4row
	VZEROUPPER
	RET

// FACTOR(q, x, t, u): x = x·w, w the twiddle factor of input q of the row at R11.
#define FACTOR(q, x, t, u) \
	VBROADCASTSD   (16*q-8)(R11), t  \
	VPERMILPD      $5, x, u          \
	VMULPD         t, u, u           \
	VBROADCASTSD   (16*q-16)(R11), t \
	VFMADDSUB213PD u, t, x

// THREE(x0, x1, x2, s): the radix-3 butterfly; Y12 holds ½, Y13 sin 60°, Y15 1.
// Results: 0 s, 1 x1, 2 x0.
#define THREE(x0, x1, x2, s) \
	VADDPD         x2, x1, s   \
	VSUBPD         x2, x1, x2  \
	VMULPD         Y13, x2, x2 \
	VPERMILPD      $5, x2, x2  \
	VMOVAPD        x0, x1      \
	VFNMADD231PD   Y12, s, x0  \
	VADDPD         x1, s, s    \
	VADDSUBPD      x2, x0, x1  \
	VFMSUBADD213PD x2, Y15, x0

// FIVE is the radix-5 butterfly on Y0…Y4; Y11…Y14 hold cos 72°, cos 144°, sin 72°
// and sin 144°, Y15 1. Results: 0 Y0, 1 Y1, 2 Y2, 3 Y8, 4 Y7.
#define FIVE \
	VADDPD         Y4, Y1, Y5  \ // a1
	VSUBPD         Y4, Y1, Y1  \ // b1
	VADDPD         Y3, Y2, Y6  \ // a2
	VSUBPD         Y3, Y2, Y2  \ // b2
	VMOVAPD        Y0, Y7      \
	VMOVAPD        Y0, Y8      \
	VADDPD         Y5, Y0, Y0  \
	VADDPD         Y6, Y0, Y0  \
	VFMADD231PD    Y11, Y5, Y7 \
	VFMADD231PD    Y12, Y6, Y7 \ // c1
	VFMADD231PD    Y12, Y5, Y8 \
	VFMADD231PD    Y11, Y6, Y8 \ // c2
	VMULPD         Y13, Y1, Y3 \
	VFMADD231PD    Y14, Y2, Y3 \ // d1
	VMULPD         Y14, Y1, Y4 \
	VFNMADD231PD   Y13, Y2, Y4 \ // d2
	VPERMILPD      $5, Y3, Y3  \
	VPERMILPD      $5, Y4, Y4  \
	VADDSUBPD      Y3, Y7, Y1  \
	VFMSUBADD213PD Y3, Y15, Y7 \
	VADDSUBPD      Y4, Y8, Y2  \
	VFMSUBADD213PD Y4, Y15, Y8

// SIX is the radix-6 butterfly on Y0…Y5; Y12 holds ½, Y13 sin 60°, Y15 1. Results:
// 0 Y9, 1 Y2, 2 Y6, 3 Y10, 4 Y7, 5 Y0.
#define SIX \
	VADDPD Y3, Y0, Y6 \ // a0
	VSUBPD Y3, Y0, Y0 \ // b0
	VADDPD Y5, Y2, Y7 \ // a1
	VSUBPD Y5, Y2, Y2 \ // b1
	VADDPD Y1, Y4, Y8 \ // a2
	VSUBPD Y1, Y4, Y4 \ // b2
	THREE(Y6, Y7, Y8, Y9) \
	THREE(Y0, Y2, Y4, Y10)

// func times3AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)
TEXT ·times3AVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ blocks+40(FP), CX
	VBROADCASTSD half<>(SB), Y12
	VBROADCASTSD sin60<>(SB), Y13
	VBROADCASTSD one<>(SB), Y15

times3:
	TIMES(0, Y0, X0)
	TIMES(1, Y1, X1)
	TIMES(2, Y2, X2)
	THREE(Y0, Y1, Y2, Y3)
	VMOVUPD Y3, 0(DI)
	VMOVUPD Y1, 32(DI)
	VMOVUPD Y0, 64(DI)
	ADDQ $48, SI
	ADDQ $48, DX
	ADDQ $24, R8
	ADDQ $24, R9
	ADDQ $96, DI
	DECQ CX
	JNZ  times3
	VZEROUPPER
	RET

// func times5AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)
TEXT ·times5AVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ blocks+40(FP), CX
	VBROADCASTSD cos72<>(SB), Y11
	VBROADCASTSD cos144<>(SB), Y12
	VBROADCASTSD sin72<>(SB), Y13
	VBROADCASTSD sin144<>(SB), Y14
	VBROADCASTSD one<>(SB), Y15

times5:
	TIMES(0, Y0, X0)
	TIMES(1, Y1, X1)
	TIMES(2, Y2, X2)
	TIMES(3, Y3, X3)
	TIMES(4, Y4, X4)
	FIVE
	VMOVUPD Y0, 0(DI)
	VMOVUPD Y1, 32(DI)
	VMOVUPD Y2, 64(DI)
	VMOVUPD Y8, 96(DI)
	VMOVUPD Y7, 128(DI)
	ADDQ $80, SI
	ADDQ $80, DX
	ADDQ $40, R8
	ADDQ $40, R9
	ADDQ $160, DI
	DECQ CX
	JNZ  times5
	VZEROUPPER
	RET

// func times6AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)
TEXT ·times6AVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ blocks+40(FP), CX
	VBROADCASTSD half<>(SB), Y12
	VBROADCASTSD sin60<>(SB), Y13
	VBROADCASTSD one<>(SB), Y15

times6:
	TIMES(0, Y0, X0)
	TIMES(1, Y1, X1)
	TIMES(2, Y2, X2)
	TIMES(3, Y3, X3)
	TIMES(4, Y4, X4)
	TIMES(5, Y5, X5)
	SIX
	VMOVUPD Y9, 0(DI)
	VMOVUPD Y2, 32(DI)
	VMOVUPD Y6, 64(DI)
	VMOVUPD Y10, 96(DI)
	VMOVUPD Y7, 128(DI)
	VMOVUPD Y0, 160(DI)
	ADDQ $96, SI
	ADDQ $96, DX
	ADDQ $48, R8
	ADDQ $48, R9
	ADDQ $192, DI
	DECQ CX
	JNZ  times6
	VZEROUPPER
	RET

// func radix3AVX2(x *complex128, pitch, pairs, span int, w *[2]complex128)
//
// A block of 3·span rows.
TEXT ·radix3AVX2(SB), NOSPLIT, $0-40
	MOVQ x+0(FP), SI
	MOVQ pitch+8(FP), DX
	MOVQ pairs+16(FP), CX
	MOVQ span+24(FP), BX
	MOVQ w+32(FP), R11
	MOVQ DX, R8
	IMULQ BX, R8
	VBROADCASTSD half<>(SB), Y12
	VBROADCASTSD sin60<>(SB), Y13
	VBROADCASTSD one<>(SB), Y15

radix3row:
	MOVQ SI, DI
	MOVQ CX, AX

radix3:
	VMOVUPD (DI), Y0
	VMOVUPD (DI)(R8*1), Y1
	VMOVUPD (DI)(R8*2), Y2
	FACTOR(1, Y1, Y8, Y9)
	FACTOR(2, Y2, Y8, Y9)
	THREE(Y0, Y1, Y2, Y3)
	VMOVUPD Y3, (DI)
	VMOVUPD Y1, (DI)(R8*1)
	VMOVUPD Y0, (DI)(R8*2)
	ADDQ $32, DI
	DECQ AX
	JNZ  radix3
	ADDQ DX, SI
	ADDQ $32, R11
	DECQ BX
	JNZ  radix3row
	VZEROUPPER
	RET

// func radix5AVX2(x *complex128, pitch, pairs, span int, w *[4]complex128)
//
// A block of 5·span rows.
TEXT ·radix5AVX2(SB), NOSPLIT, $0-40
	MOVQ x+0(FP), SI
	MOVQ pitch+8(FP), DX
	MOVQ pairs+16(FP), CX
	MOVQ span+24(FP), BX
	MOVQ w+32(FP), R11
	MOVQ DX, R8
	IMULQ BX, R8
	LEAQ (R8)(R8*2), R9
	VBROADCASTSD cos72<>(SB), Y11
	VBROADCASTSD cos144<>(SB), Y12
	VBROADCASTSD sin72<>(SB), Y13
	VBROADCASTSD sin144<>(SB), Y14
	VBROADCASTSD one<>(SB), Y15

radix5row:
	MOVQ SI, DI
	MOVQ CX, AX

radix5:
	VMOVUPD (DI)(R8*1), Y1
	VMOVUPD (DI)(R8*2), Y2
	VMOVUPD (DI)(R9*1), Y3
	VMOVUPD (DI)(R8*4), Y4
	FACTOR(1, Y1, Y8, Y9)
	FACTOR(2, Y2, Y8, Y9)
	FACTOR(3, Y3, Y8, Y9)
	FACTOR(4, Y4, Y8, Y9)
	VMOVUPD (DI), Y0
	FIVE
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, (DI)(R8*1)
	VMOVUPD Y2, (DI)(R8*2)
	VMOVUPD Y8, (DI)(R9*1)
	VMOVUPD Y7, (DI)(R8*4)
	ADDQ $32, DI
	DECQ AX
	JNZ  radix5
	ADDQ DX, SI
	ADDQ $64, R11
	DECQ BX
	JNZ  radix5row
	VZEROUPPER
	RET

// func radix6AVX2(x *complex128, pitch, pairs, span int, w *[5]complex128)
//
// A block of 6·span rows.
TEXT ·radix6AVX2(SB), NOSPLIT, $0-40
	MOVQ x+0(FP), SI
	MOVQ pitch+8(FP), DX
	MOVQ pairs+16(FP), CX
	MOVQ span+24(FP), BX
	MOVQ w+32(FP), R11
	MOVQ DX, R8
	IMULQ BX, R8
	LEAQ (R8)(R8*2), R9
	LEAQ (R8)(R8*4), R10
	VBROADCASTSD half<>(SB), Y12
	VBROADCASTSD sin60<>(SB), Y13
	VBROADCASTSD one<>(SB), Y15

radix6row:
	MOVQ SI, DI
	MOVQ CX, AX

radix6:
	VMOVUPD (DI), Y0
	VMOVUPD (DI)(R8*1), Y1
	VMOVUPD (DI)(R8*2), Y2
	VMOVUPD (DI)(R9*1), Y3
	VMOVUPD (DI)(R8*4), Y4
	VMOVUPD (DI)(R10*1), Y5
	FACTOR(1, Y1, Y8, Y9)
	FACTOR(2, Y2, Y8, Y9)
	FACTOR(3, Y3, Y8, Y9)
	FACTOR(4, Y4, Y8, Y9)
	FACTOR(5, Y5, Y8, Y9)
	SIX
	VMOVUPD Y9, (DI)
	VMOVUPD Y7, (DI)(R8*4)
	VMOVUPD Y6, (DI)(R8*2)
	VMOVUPD Y10, (DI)(R9*1)
	VMOVUPD Y2, (DI)(R8*1)
	VMOVUPD Y0, (DI)(R10*1)
	ADDQ $32, DI
	DECQ AX
	JNZ  radix6
	ADDQ DX, SI
	ADDQ $80, R11
	DECQ BX
	JNZ  radix6row
	VZEROUPPER
	RET

// func timesAVX2(dst, l0, l1 *complex128, f0, f1 *float64, n int)
TEXT ·timesAVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ n+40(FP), CX

times:
	TIMES(0, Y0, X0)
	VMOVUPD Y0, (DI)
	ADDQ $16, SI
	ADDQ $16, DX
	ADDQ $8, R8
	ADDQ $8, R9
	ADDQ $32, DI
	DECQ CX
	JNZ  times
	VZEROUPPER
	RET

// func timesComplexAVX2(dst, l0, l1, f0, f1 *complex128, n int)
TEXT ·timesComplexAVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ l0+8(FP), SI
	MOVQ l1+16(FP), DX
	MOVQ f0+24(FP), R8
	MOVQ f1+32(FP), R9
	MOVQ n+40(FP), CX
	XORQ AX, AX

timesComplex:
	VMOVUPD (SI)(AX*1), X0
	VINSERTF128 $1, (DX)(AX*1), Y0, Y0
	VMOVUPD (R8)(AX*1), X1
	VINSERTF128 $1, (R9)(AX*1), Y1, Y1
	VPERMILPD $15, Y1, Y2
	VMOVDDUP Y1, Y1
	TWIDDLE(Y0, Y1, Y2, Y3)
	VMOVUPD Y0, (DI)(AX*2)
	ADDQ $16, AX
	DECQ CX
	JNZ  timesComplex
	VZEROUPPER
	RET

// func lastPairAVX2(a0, a1, b0, b1, x *complex128, span, count int, w *[3]complex128)
//
// The first two outputs of a last stage over two rows that stand in x number by
// number; the first row's go to a0 and a1, the second one's to b0 and b1.
TEXT ·lastPairAVX2(SB), NOSPLIT, $0-64
	MOVQ a0+0(FP), AX
	MOVQ a1+8(FP), BX
	MOVQ b0+16(FP), CX
	MOVQ b1+24(FP), DX
	MOVQ x+32(FP), SI
	MOVQ span+40(FP), R8
	MOVQ count+48(FP), R10
	MOVQ w+56(FP), R11
	SHLQ $5, R8
	LEAQ (R8)(R8*2), R9
	XORQ DI, DI

lastPair:
	FACTORS4
	VMOVUPD (SI)(R8*1), Y1
	VMOVUPD (SI)(R8*2), Y2
	VMOVUPD (SI)(R9*1), Y3
	VMOVUPD (SI), Y0
	FOUR
	VADDPD    Y6, Y4, Y0
	VADDSUBPD Y7, Y5, Y1
	VMOVUPD   X0, (AX)(DI*1)
	VEXTRACTF128 $1, Y0, (CX)(DI*1)
	VMOVUPD   X1, (BX)(DI*1)
	VEXTRACTF128 $1, Y1, (DX)(DI*1)
	ADDQ $16, DI
	ADDQ $32, SI
	ADDQ $48, R11
	DECQ R10
	JNZ  lastPair
	VZEROUPPER
	RET

// SPLIT(x, y, re, im): the real parts of the four numbers in x and y, and their
// imaginary parts backwards.
#define SPLIT(x, y, re, im) \
	VUNPCKLPD y, x, re      \
	VUNPCKHPD y, x, im      \
	VPERMPD   $0xD8, re, re \
	VPERMPD   $0x27, im, im

// func lastColumnsAVX2(r0, i0, r1, i1 *float64, x *complex128, quarter, n int, w *[3]complex128)
//
// The first two outputs of a last stage for the first n/4·4 of a row of n ≥ 4
// numbers, quarter bytes between the four inputs. Imaginary parts are written
// backwards, from place n-1 of i0 and i1.
TEXT ·lastColumnsAVX2(SB), NOSPLIT, $0-64
	MOVQ r0+0(FP), AX
	MOVQ i0+8(FP), BX
	MOVQ r1+16(FP), CX
	MOVQ i1+24(FP), DX
	MOVQ x+32(FP), SI
	MOVQ quarter+40(FP), R8
	MOVQ n+48(FP), R10
	MOVQ w+56(FP), R11
	LEAQ (R8)(R8*2), R9
	LEAQ (BX)(R10*8), BX
	LEAQ (DX)(R10*8), DX
	SHRQ $2, R10
	FACTORS4

lastColumns:
	VMOVUPD (SI)(R8*1), Y1
	VMOVUPD (SI)(R8*2), Y2
	VMOVUPD (SI)(R9*1), Y3
	VMOVUPD (SI), Y0
	FOUR
	VADDPD    Y6, Y4, Y14
	VADDSUBPD Y7, Y5, Y15
	VMOVUPD 32(SI)(R8*1), Y1
	VMOVUPD 32(SI)(R8*2), Y2
	VMOVUPD 32(SI)(R9*1), Y3
	VMOVUPD 32(SI), Y0
	FOUR
	VADDPD    Y6, Y4, Y0
	VADDSUBPD Y7, Y5, Y1
	SPLIT(Y14, Y0, Y2, Y3)
	SPLIT(Y15, Y1, Y4, Y5)
	SUBQ $32, BX
	SUBQ $32, DX
	VMOVUPD Y2, (AX)
	VMOVUPD Y3, (BX)
	VMOVUPD Y4, (CX)
	VMOVUPD Y5, (DX)
	ADDQ $32, AX
	ADDQ $32, CX
	ADDQ $64, SI
	DECQ R10
	JNZ  lastColumns
	VZEROUPPER
	RET

// func lastPairFourAVX2(a, b *complex128, quarter int, x *complex128, span, count int, w *[3]complex128, kept int)
//
// lastPairAVX2 with the first three or four outputs, quarter bytes apart.
TEXT ·lastPairFourAVX2(SB), NOSPLIT, $0-64
	MOVQ a+0(FP), AX
	MOVQ b+8(FP), CX
	MOVQ quarter+16(FP), BX
	MOVQ x+24(FP), SI
	MOVQ span+32(FP), R8
	MOVQ count+40(FP), R10
	MOVQ w+48(FP), R11
	MOVQ kept+56(FP), R12
	SHLQ $5, R8
	LEAQ (R8)(R8*2), R9
	LEAQ (BX)(BX*2), DX
	VBROADCASTSD one<>(SB), Y15

lastPairFour:
	FACTORS4
	VMOVUPD (SI)(R8*1), Y1
	VMOVUPD (SI)(R8*2), Y2
	VMOVUPD (SI)(R9*1), Y3
	VMOVUPD (SI), Y0
	FOUR
	VADDPD         Y6, Y4, Y0
	VSUBPD         Y6, Y4, Y2
	VADDSUBPD      Y7, Y5, Y1
	VFMSUBADD213PD Y7, Y15, Y5
	VMOVUPD   X0, (AX)
	VEXTRACTF128 $1, Y0, (CX)
	VMOVUPD   X1, (AX)(BX*1)
	VEXTRACTF128 $1, Y1, (CX)(BX*1)
	VMOVUPD   X2, (AX)(BX*2)
	VEXTRACTF128 $1, Y2, (CX)(BX*2)
	CMPQ R12, $4
	JNE  lastPairThree
	VMOVUPD   X5, (AX)(DX*1)
	VEXTRACTF128 $1, Y5, (CX)(DX*1)

lastPairThree:
	ADDQ $16, AX
	ADDQ $16, CX
	ADDQ $32, SI
	ADDQ $48, R11
	DECQ R10
	JNZ  lastPairFour
	VZEROUPPER
	RET

// STORE(y, re, im): the real parts of the two numbers in y to re, their imaginary
// parts backwards to im.
#define STORE(y, x, re, im) \
	VPERMPD      $0x78, y, y   \
	VMOVUPD      x, (re)(DI*1) \
	VEXTRACTF128 $1, y, (im)

// func lastColumnsFourAVX2(out *[8]*float64, x *complex128, quarter, n int, w *[3]complex128)
//
// lastColumnsAVX2 with all four outputs, for the first n/2·2 of n ≥ 2 numbers. out
// holds the places of the real parts and then of the imaginary ones.
TEXT ·lastColumnsFourAVX2(SB), NOSPLIT, $0-40
	MOVQ out+0(FP), R12
	MOVQ x+8(FP), SI
	MOVQ quarter+16(FP), R8
	MOVQ n+24(FP), R10
	MOVQ w+32(FP), R11
	LEAQ (R8)(R8*2), R9
	FACTORS4
	VBROADCASTSD one<>(SB), Y15
	SHLQ $3, R10
	MOVQ 32(R12), AX
	MOVQ 40(R12), BX
	MOVQ 48(R12), CX
	MOVQ 56(R12), DX
	ADDQ R10, AX
	ADDQ R10, BX
	ADDQ R10, CX
	ADDQ R10, DX
	SHRQ $4, R10
	XORQ DI, DI

lastColumnsFour:
	VMOVUPD (SI)(R8*1), Y1
	VMOVUPD (SI)(R8*2), Y2
	VMOVUPD (SI)(R9*1), Y3
	VMOVUPD (SI), Y0
	FOUR
	VADDPD         Y6, Y4, Y0
	VSUBPD         Y6, Y4, Y2
	VADDSUBPD      Y7, Y5, Y1
	VFMSUBADD213PD Y7, Y15, Y5
	SUBQ $16, AX
	SUBQ $16, BX
	SUBQ $16, CX
	SUBQ $16, DX
	MOVQ 0(R12), R13
	STORE(Y0, X0, R13, AX)
	MOVQ 8(R12), R13
	STORE(Y1, X1, R13, BX)
	MOVQ 16(R12), R13
	STORE(Y2, X2, R13, CX)
	MOVQ 24(R12), R13
	STORE(Y5, X5, R13, DX)
	ADDQ $16, DI
	ADDQ $32, SI
	DECQ R10
	JNZ  lastColumnsFour
	VZEROUPPER
	RET

// func addWindowAVX2(out, kernel *float64, rows, cols, outPitch, kernelPitch int, by float64)
//
// out += by·kernel on rows × cols values; pitches in bytes.
TEXT ·addWindowAVX2(SB), NOSPLIT, $0-56
	MOVQ out+0(FP), DI
	MOVQ kernel+8(FP), SI
	MOVQ rows+16(FP), BX
	MOVQ cols+24(FP), CX
	MOVQ outPitch+32(FP), R8
	MOVQ kernelPitch+40(FP), R9
	VBROADCASTSD by+48(FP), Y15

addRow:
	XORQ AX, AX
	MOVQ CX, DX
	SUBQ $16, DX
	JLT  addFours

addSixteen:
	VMOVUPD (DI)(AX*8), Y0
	VMOVUPD 32(DI)(AX*8), Y1
	VMOVUPD 64(DI)(AX*8), Y2
	VMOVUPD 96(DI)(AX*8), Y3
	VFMADD231PD (SI)(AX*8), Y15, Y0
	VFMADD231PD 32(SI)(AX*8), Y15, Y1
	VFMADD231PD 64(SI)(AX*8), Y15, Y2
	VFMADD231PD 96(SI)(AX*8), Y15, Y3
	VMOVUPD Y0, (DI)(AX*8)
	VMOVUPD Y1, 32(DI)(AX*8)
	VMOVUPD Y2, 64(DI)(AX*8)
	VMOVUPD Y3, 96(DI)(AX*8)
	ADDQ $16, AX
	SUBQ $16, DX
	JGE  addSixteen

addFours:
	ADDQ $12, DX
	JLT  addOnes

addFour:
	VMOVUPD (DI)(AX*8), Y0
	VFMADD231PD (SI)(AX*8), Y15, Y0
	VMOVUPD Y0, (DI)(AX*8)
	ADDQ $4, AX
	SUBQ $4, DX
	JGE  addFour

addOnes:
	ADDQ $3, DX
	JLT  addNext

addOne:
	VMOVSD (DI)(AX*8), X0
	VFMADD231SD (SI)(AX*8), X15, X0
	VMOVSD X0, (DI)(AX*8)
	ADDQ $1, AX
	SUBQ $1, DX
	JGE  addOne

addNext:
	ADDQ R8, DI
	ADDQ R9, SI
	DECQ BX
	JNZ  addRow
	VZEROUPPER
	RET
