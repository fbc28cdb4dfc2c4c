// Package plan turns a recipe and a size into patches, cuts and yardage, holds
// them against the stash, and says what to cut and what to buy. It does no I/O.
package plan
