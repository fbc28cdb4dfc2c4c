package main

import (
	_ "embed"
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"piecebag/internal/look"
)

// licences is the data and the modules that the program holds, with their licences.
//
//go:generate go test . -run TestLicencesOfAllThatIsLinked -update-licences
//go:embed licences.txt
var licences string

func newVersion(l *line) *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use:   "version",
		Short: "Say which piecebag this is, and the licences of what it holds",
		Long: `Version says which piecebag this is, and what reads the photos: where that is another,
'piecebag stow --again' may read your photos otherwise. --licences writes the licences
of all that others made and the program holds: modules, fonts and data.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			if all {
				return l.answer(map[string]any{"licences": licences}, licences)
			}
			version, by := "unknown", "unknown"
			if b, ok := debug.ReadBuildInfo(); ok {
				version, by = b.Main.Version, b.GoVersion
			}
			return l.answer(map[string]any{"version": version, "go": by, "reader": look.Reader()},
				fmt.Sprintf("piecebag %s, built with %s\nreader of photos: %s\n", version, by, look.Reader()))
		},
	}
	cmd.Flags().BoolVar(&all, "licences", false, "write the licences of all that the program holds")
	return cmd
}
