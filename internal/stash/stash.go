// Package stash is the ledger: what the quilter has, kept in one SQLite file and a
// folder of photos.
package stash
