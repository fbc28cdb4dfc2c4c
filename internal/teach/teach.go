// Package teach learns a quilter's own bins from pieces she has sorted, and
// sorts new pieces as she does, with the reason. It does no I/O.
package teach
