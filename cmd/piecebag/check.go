package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newCheck(l *line) *cobra.Command {
	var repair bool
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Check the stash: the ledger is whole and no photo is missing",
		Long: `Check reads the whole ledger and looks for each photo. Faults are listed with what
to do; --repair mends what can be mended, and loses nothing. With faults left the
exit code is 1.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return l.at("working", func(d *desk.Desk) error {
				h, err := d.Check(cmd.Context(), repair)
				if err == nil {
					err = l.answer(report.HealthJSON(h), healthText(h))
				}
				switch {
				case err != nil || len(h.Faults) == 0:
					return err
				case l.json:
					l.error(fmt.Sprintf("the stash has %d faults", len(h.Faults)), "the answer names them and says what to do")
				default:
					for _, f := range h.Faults {
						l.error(f.Thing+": "+f.Reason, f.Remedy)
					}
				}
				return errFaults
			})
		},
	}
	cmd.Flags().BoolVar(&repair, "repair", false, "mend what can be mended")
	return cmd
}

// healthText says all but the faults, which are messages.
func healthText(h stash.Health) string {
	var b strings.Builder
	for _, r := range h.Repaired {
		b.WriteString("mended: " + plain(r) + "\n")
	}
	for _, p := range h.NotKept {
		b.WriteString("not kept: " + plain(p) + "; stow the photo again to keep it\n")
	}
	if n := len(h.Telling); n > 0 {
		b.WriteString(cloth.Count(n, "photo") + ": kept with what the camera wrote into it, such as place and time; 'piecebag check --repair' takes it out\n")
	}
	if n := len(h.Leftover); n > 0 {
		b.WriteString(cloth.Count(n, "file") + " of commands that were cut short: the next change of the stash sets them aside\n")
	}
	if len(h.Faults) == 0 {
		b.WriteString("the stash is whole\n")
	}
	return b.String()
}
