package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// errTwice is a flag that was given twice: of two values one would be lost in
// silence.
var errTwice = errors.New("it is given twice")

// once is the value of a flag that may be given once.
type once struct {
	pflag.Value
	given bool
}

// Set is that of pflag.Value.
func (o *once) Set(s string) error {
	if o.given {
		return errTwice
	}
	o.given = true
	return o.Value.Set(s)
}

// giveOnce has every flag of a command and of those below it given once, but for
// those that gather all they are given.
func giveOnce(cmd *cobra.Command) {
	wrap := func(f *pflag.Flag) {
		_, done := f.Value.(*once)
		if _, many := f.Value.(pflag.SliceValue); !done && !many { // a list takes all that it is given
			f.Value = &once{Value: f.Value}
		}
	}
	cmd.Flags().VisitAll(wrap)
	cmd.PersistentFlags().VisitAll(wrap)
	for _, c := range cmd.Commands() {
		giveOnce(c)
	}
}

// word is the value of a flag that takes one of a few words, in any case: A4 and
// a4 are one paper.
type word struct{ to *string }

// wordVar defines a flag that takes one of a few words.
func wordVar(fl *pflag.FlagSet, to *string, name, value, usage string) {
	*to = value
	fl.Var(word{to}, name, usage)
}

// String is that of pflag.Value.
func (w word) String() string { return *w.to }

// Set is that of pflag.Value.
func (w word) Set(s string) error {
	*w.to = strings.ToLower(strings.TrimSpace(s))
	return nil
}

// Type is that of pflag.Value.
func (w word) Type() string { return "string" }
