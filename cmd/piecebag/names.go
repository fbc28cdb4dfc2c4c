package main

import "github.com/spf13/cobra"

// newFlag adds --new to a command that writes names of bins, baskets or prints.
func newFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("new", false, "make a new bin, basket or print, though its name is like another's")
}
