// Package contrast holds prints against a background, and a pull of prints
// against the values a quilt needs. It does no I/O.
package contrast
