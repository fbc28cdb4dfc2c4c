//go:build !amd64 && !arm64

package eye

var kernels []kernel
