package eye

// kernels: NEON is part of every arm64.
var kernels = []kernel{{"NEON", 8, 8, kernelNEON}}

//go:noescape
func kernelNEON(p *patch)
