package recipe

// Error is a refused recipe: what is wrong with it, and what its author can do.
type Error struct {
	File   string
	Reason string // a clause without capital or full stop
	Remedy string // likewise, in the imperative
}

func (e *Error) Error() string { return e.File + ": " + e.Reason }

// fault is an Error that does not know its file yet.
type fault struct{ reason, remedy string }

func (f *fault) Error() string { return f.reason }
