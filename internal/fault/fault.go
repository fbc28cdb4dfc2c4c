// Package fault is the one error that its reader can mend.
package fault

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// ErrUsage is the kind of an Error that says that the command was wrong.
var ErrUsage = errors.New("wrong use")

// Error is a failure that its reader can mend: what it is about, why it failed and
// what to do.
type Error struct {
	About  string // a file, a flag, a holding; empty where Why says it
	Why    string // a clause without capital or full stop
	Remedy string // likewise, in the imperative
	// Causes are what errors.Is and errors.As reach: the kind of failure, where
	// code asks for it, and the error beneath.
	Causes []error
}

// New makes an Error. Causes that are nil are left out.
func New(about, why, remedy string, causes ...error) *Error {
	e := &Error{About: about, Why: why, Remedy: remedy}
	for _, c := range causes {
		if c != nil {
			e.Causes = append(e.Causes, c)
		}
	}
	return e
}

// Usage makes an Error of the kind ErrUsage, and of what other kinds it is.
func Usage(about, why, remedy string, causes ...error) *Error {
	return New(about, why, remedy, append(causes, ErrUsage)...)
}

// Of returns the Error in err; nil where there is none.
func Of(err error) *Error {
	var e *Error
	errors.As(err, &e)
	return e
}

// Named returns a copy of e that is about another thing.
func (e *Error) Named(about string) *Error {
	named := *e
	named.About = about
	return &named
}

// In says what err is a part of: it stands before what the Error in err is about.
func In(whole string, err error) error {
	e := Of(err)
	if e == nil {
		return fmt.Errorf("%s: %w", whole, err)
	}
	if e.About != "" {
		whole += ": " + e.About
	}
	return e.Named(whole)
}

// Remedies are the words of one door for what mends the faults that come to it, by their
// kinds: its commands and flags, or the fields of its forms, of which no fault knows.
type Remedies []struct {
	Kind error
	// Words stand in the place of a fault's own remedy; %r in them stands for that, and %s or
	// %q for what the fault is about.
	Words string
}

// Worded returns e with the words for the first kind in r that it is of; e where there are none.
func (r Remedies) Worded(e *Error) *Error {
	for _, x := range r {
		if !errors.Is(e, x.Kind) {
			continue
		}
		out := *e
		out.Remedy = strings.NewReplacer("%r", e.Remedy, "%q", strconv.Quote(e.About), "%s", e.About).Replace(x.Words)
		return &out
	}
	return e
}

// Error returns what it is about and why, without the remedy.
func (e *Error) Error() string {
	if e.About == "" {
		return e.Why
	}
	return e.About + ": " + e.Why
}

// Full returns what Error gives and the remedy.
func (e *Error) Full() string { return e.Error() + ": " + e.Remedy }

// Unwrap returns the causes.
func (e *Error) Unwrap() []error { return e.Causes }
