package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/truth/scene"
)

// newMake makes photos with their truth.
func (p program) newMake() *cobra.Command {
	set := scene.Set{Kinds: []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}}
	var prints, reference string
	cmd := &cobra.Command{
		Use:   "make FOLDER",
		Short: "Make photos of cut cloth with their truth",
		Long: `Make draws photos of cut cloth, levels 1 to 3 in turn, and writes their truth
beside them. With --prints all cloth is cut from pictures of real prints, 50
pixels an inch, whose colours are taken as they are. --reference says which
photos have a card or white sheet in view: some (by chance), all, half (every
second), or pairs (each scene twice, NAME-with and NAME-without).`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fault.Usage("", "make needs one folder", "name a new one: truth make FOLDER")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case set.Per < 1:
				return fault.Usage("--per "+fmt.Sprint(set.Per), "so few are no set", "write 1 or more")
			case set.Long < 256 || set.Long > 8192 || set.Long%32 != 0:
				return fault.Usage("--long "+fmt.Sprint(set.Long), "no photo is made so long", "write a multiple of 32 from 256 to 8192")
			}
			switch reference {
			case "some":
			case "all":
				set.Reference = scene.Always
			case "half":
				set.Half = true
			case "pairs":
				set.Pairs = true
			default:
				return fault.Usage("--reference "+reference, "it says nothing about cards", "write some, all, half or pairs")
			}
			if prints != "" {
				var err error
				if set.Swatches, err = scene.ReadSwatches(prints); err != nil {
					return fault.New(prints, fmt.Sprintf("the prints cannot be read: %v", err), "name a folder of pictures of cloth, JPEG or PNG", err)
				}
				set.Real = 1
			}
			if there, err := os.ReadDir(args[0]); err == nil && len(there) > 0 {
				return fault.Usage(args[0], "the folder is not empty, and what is in it might be written over", "name a new one: truth make FOLDER")
			}
			bar := p.progress("making", len(set.Kinds))
			defer bar.Finish()
			for _, k := range set.Kinds {
				if err := cmd.Context().Err(); err != nil {
					return err
				}
				some := set
				some.Kinds = []cloth.Kind{k}
				if err := scene.WriteSet(args[0], some); err != nil {
					return fault.New(args[0], fmt.Sprintf("the photos cannot be written: %v", err), "choose another place, or make room there", err)
				}
				_ = bar.Add(1)
			}
			return nil
		},
	}
	cmd.Flags().IntVar(&set.Per, "per", 6, "so many `PHOTOS` of each kind")
	cmd.Flags().Uint64Var(&set.First, "first", 1, "the first `SEED`")
	cmd.Flags().IntVar(&set.Long, "long", scene.LongSide, "the longer side, in `PIXELS`")
	cmd.Flags().BoolVar(&set.Varied, "varied", false, "more layouts and worse cameras, as the eye is trained on")
	cmd.Flags().StringVar(&prints, "prints", "", "cut all cloth from the pictures of real prints in `FOLDER`")
	cmd.Flags().Uint64Var(&set.Shelf, "shelf", 0, "cut all cloth from the shelf of drawn prints of this `SEED`, so that photos show the same prints")
	cmd.Flags().IntVar(&set.Inks, "inks", 0, "let the prints of the shelf be of the same `NUMBER` of colours, and differ in pattern alone")
	cmd.Flags().StringVar(&reference, "reference", "some", "`WHICH` photos have a card or sheet: some, all, half or pairs")
	return cmd
}
