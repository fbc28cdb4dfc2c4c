package eye

import "golang.org/x/sys/cpu"

// kernelPixels is how many pixels of a row the kernel computes at once.
const kernelPixels = 12

var hasKernel = cpu.X86.HasAVX2

//go:noescape
func kernel(p *patch)
