package eye

import "golang.org/x/sys/cpu"

// kernels are those of this processor, the fastest first.
var kernels = func() (k []kernel) {
	x := &cpu.X86
	if x.HasAVX512VNNI && x.HasAVX512F && x.HasAVX512BW && x.HasAVX512VL {
		k = append(k, kernel{"AVX-512 VNNI", 16, 16, kernelVNNI})
	}
	if x.HasAVX2 {
		k = append(k, kernel{"AVX2", 8, 12, kernelAVX2})
	}
	return k
}()

//go:noescape
func kernelVNNI(p *patch)

//go:noescape
func kernelAVX2(p *patch)
