package main

import (
	"fmt"
	"net"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/page"
)

func newServe(l *line) *cobra.Command {
	var port int
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Open the local page: the same work in a browser on this machine",
		Long: `Serve answers at an address of this machine alone, which it writes: open it in a
browser. The address holds a key, so that nobody else who uses this machine comes in.
Photos stay on this machine, and no other host is asked for anything. Ctrl-C ends it.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			at, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
			if err != nil {
				return fault.New("port "+strconv.Itoa(port), "it cannot be listened at: "+bare(err).Error(), "give another with --port, or none", err)
			}
			return l.at("working", func(d *desk.Desk) error {
				s, err := page.New(d)
				if err != nil {
					return err
				}
				if _, err := fmt.Fprintf(l.out, "open %s\n", s.Address(at.Addr())); err != nil {
					return answered(err)
				}
				return s.Serve(cmd.Context(), at)
			})
		},
	}
	cmd.Flags().IntVar(&port, "port", 0, "the `PORT` to answer at; 0: any that is free")
	return cmd
}
