// Package card is the printable reference card: where its marks, its grey wedge
// and its rules lie, and how it is found again in a photo. It does no I/O.
package card
