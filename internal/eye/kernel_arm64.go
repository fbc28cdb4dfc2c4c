package eye

// kernelPixels is how many pixels of a row the kernel computes at once.
const kernelPixels = 8

// hasKernel: NEON is part of every arm64.
var hasKernel = true

//go:noescape
func kernel(p *patch)
