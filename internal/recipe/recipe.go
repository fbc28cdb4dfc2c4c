// Package recipe reads quilt blocks written as text, checks that their patches
// tile the block, and says where every patch of a quilt lies. It does no I/O.
package recipe
