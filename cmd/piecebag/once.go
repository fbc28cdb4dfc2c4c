package main

import (
	"errors"

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
