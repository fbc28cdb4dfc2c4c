// Package cutting fits cut pieces onto cloth: yardage across its width, and which
// strips and pieces of the stash to cut for a list of wanted pieces, with the
// least cloth cut and wasted. It does no I/O.
package cutting
