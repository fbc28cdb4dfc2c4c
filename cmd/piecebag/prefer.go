package main

import (
	"github.com/spf13/cobra"

	"piecebag/internal/cutting"
)

// preferFlag says which of two cutting plans is better.
type preferFlag struct{ prefer string }

func (f *preferFlag) define(cmd *cobra.Command) {
	wordVar(cmd.Flags(), &f.prefer, "prefer", string(cutting.Scraps), "the `AIM` to cut by: scraps, waste or variety, in the orders above")
}

func (f *preferFlag) read() (cutting.Prefer, error) {
	switch p := cutting.Prefer(f.prefer); p {
	case cutting.Scraps, cutting.Waste, cutting.Variety:
		return p, nil
	}
	return "", wrong("prefer", f.prefer, "there is no such aim", "write scraps, waste or variety")
}
