package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

func newTeach(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "teach",
		Short: "Teach bins of your own, from photos of your baskets or from pieces",
		Long: `Teach learns how you sort. Show it photos of what is in one bin, or name pieces of
the stash that belong there; five examples of a bin are a good beginning. From
then on new pieces are sorted as you sort, and your bins go before the hue
families. Where the sorter is not sure of a piece, it asks you.`,
		Example: `  piecebag teach basket 'sea greens' seagreens.jpg
  piecebag teach piece 'sea greens' 12 15
  piecebag teach sort`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return fault.Usage(args[0], "teach does not do this", "write 'piecebag teach basket', 'teach piece', 'teach sort', 'teach list' or 'teach forget'")
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newTeachBasket(l), newTeachPiece(l), newTeachSort(l), newTeachList(l), newTeachForget(l))
	return cmd
}

// binAnd wants the name of a bin and something more.
func binAnd(what, like string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < 2 {
			return fault.Usage("", "name the bin and "+what, "write it as "+like)
		}
		return noBlank(args[0])
	}
}

func noBlank(bin string) error {
	if strings.TrimSpace(bin) == "" {
		return fault.Usage("", "a bin needs a name", "write one, like 'sea greens'")
	}
	return nil
}

func newTeachBasket(l *ledger) *cobra.Command {
	var f lookFlags
	cmd := &cobra.Command{
		Use:   "basket BIN PHOTO… [FOLDER…]",
		Short: "Learn a bin from photos of what is in it",
		Args:  binAnd("a photo of what is in it", "piecebag teach basket 'sea greens' seagreens.jpg"),
	}
	f.defineHelp(cmd)
	var names given
	names.define(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, err := f.options()
		if err != nil {
			return err
		}
		files, refused := photo.Walk(args[1:])
		if err := f.readPieces(&o, files); err != nil {
			return err
		}
		results, err := l.s.lookAll(cmd.Context(), files, o)
		if err != nil {
			return err
		}
		var examples [][]byte
		var photos []seen
		for i, r := range results {
			if r.err != nil {
				refused = append(refused, r.err)
				continue
			}
			for _, p := range r.sheet.Pieces {
				x, err := exampleOf(teach.FeaturesOf(p))
				if err != nil {
					return err
				}
				examples = append(examples, x)
			}
			photos = append(photos, seen{files[i], r.sheet.Pieces, nil})
		}
		defer func() { // after the answer, as look names them
			for _, r := range refused {
				l.s.error(r.Error(), r.Remedy)
			}
		}()
		if len(examples) == 0 {
			if len(refused) > 0 {
				return errRefused
			}
			return fault.New("", "no piece was found to learn from", "help the finder: see 'piecebag teach basket --help'")
		}
		err = l.make(cmd, *asJSON, l.named(names.of(whichFlags{bin: args[0]}), func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
			return st.Teach(ctx, args[0], examples...)
		}))
		if err == nil && !*asJSON {
			_, err = fmt.Fprint(l.s.out, taughtFirst(doubtedIn(photos)))
			err = answered(err)
		}
		if err == nil && len(refused) > 0 {
			return errRefused
		}
		return err
	}
	return cmd
}

func newTeachPiece(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "piece BIN NUMBER…",
		Short: "Learn a bin from pieces of the stash",
		Args:  binAnd("the number of a piece", "piecebag teach piece 'sea greens' 12 15"),
	}
	var names given
	names.define(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		ids, err := somePieceNumbers(args[1:])
		if err != nil {
			return err
		}
		return l.remake(cmd, *asJSON, l.named(names.of(whichFlags{bin: args[0]}), func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
			return teachPieces(ctx, st, args[0], ids)
		}))
	}
	return cmd
}

// teachPieces learns a bin from pieces of the stash and puts them there.
func teachPieces(ctx context.Context, st *stash.Stash, bin string, ids pieceNumbers) (stash.Change, error) {
	held, err := ids.heldIn(ctx, st)
	if err != nil {
		return stash.Change{}, err
	}
	examples := map[int64][]byte{}
	for _, h := range held {
		f, ok := teach.FeaturesOfHolding(h)
		if !ok {
			return stash.Change{}, fault.New(fmt.Sprintf("piece %d", h.ID), "its colours were never measured, so nothing can be learnt from it", "teach from pieces that came from a photo")
		}
		if examples[h.ID], err = exampleOf(f); err != nil {
			return stash.Change{}, err
		}
	}
	return st.TeachPieces(ctx, bin, examples)
}

// sortedHolding is an entry of the stash that went into a bin of yours, and why.
type sortedHolding struct {
	ID     int64  `json:"id"`
	Bin    string `json:"bin"`
	Reason string `json:"reason"`
}

// unsureHolding is an entry of the stash of which the sorter is not sure, and
// why.
type unsureHolding struct {
	ID     int64    `json:"id"`
	Likely []string `json:"likely"`
	Reason string   `json:"reason"`
}

func newTeachSort(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "sort",
		Short: "Sort the pieces that are in none of your bins",
		Long: `Sort goes through all pieces that are in none of your bins, puts those that belong
into them, as one change, and says why. It lists the pieces that it is not sure of:
sort those yourself with 'piecebag fix NUMBERS --bin BIN' or '--no-bin'.`,
		Args: noArgs("teach sort"),
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return l.rewrite(func(st *stash.Stash) error { return l.sortStash(cmd.Context(), st, *asJSON) })
	}
	return cmd
}

func (l *ledger) sortStash(ctx context.Context, st *stash.Stash, asJSON bool) error {
	s, err := taught(ctx, st)
	if err != nil {
		return err
	}
	if len(s.Bins()) == 0 {
		return fault.New("", "you have taught no bin yet", "write 'piecebag teach basket BIN PHOTO…'")
	}
	held, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return err
	}
	bins := map[int64]string{}
	into := []sortedHolding{}
	unsure := []unsureHolding{}
	for _, h := range held {
		f, ok := teach.FeaturesOfHolding(h)
		if h.Bin != "" || !ok {
			continue
		}
		a := s.Sort(f)
		switch {
		case a.Ask:
			unsure = append(unsure, unsureHolding{h.ID, likely(a), a.Reason})
		case a.Bin != "":
			bins[h.ID] = a.Bin
			into = append(into, sortedHolding{h.ID, a.Bin, a.Reason})
		}
	}
	var c stash.Change
	if len(bins) > 0 {
		if c, err = st.Sort(ctx, bins); err != nil {
			return err
		}
	}
	if asJSON {
		return answerJSON(l.s, map[string]any{"change": changeJSON(c), "sorted": into, "unsure": unsure})
	}
	_, err = fmt.Fprint(l.s.out, sortText(s.Bins(), into, unsure))
	return answered(err)
}

// sortText says bin by bin what went in and why, then asks about the rest, with
// the command that answers for all of one likeliest bin.
func sortText(bins []string, into []sortedHolding, unsure []unsureHolding) string {
	var b strings.Builder
	for _, bin := range bins {
		var lines []string
		for _, x := range into {
			if x.Bin == bin {
				lines = append(lines, fmt.Sprintf("  piece %d (%s)\n", x.ID, plain(x.Reason)))
			}
		}
		if lines != nil {
			fmt.Fprintf(&b, "%s: %d sorted in\n%s", plain(bin), len(lines), strings.Join(lines, ""))
		}
	}
	if len(into) == 0 {
		b.WriteString("nothing to sort in\n")
	}
	asks := make([]ask, len(unsure))
	for i, u := range unsure {
		fmt.Fprintf(&b, "piece %d: %s? (%s)\n", u.ID, plain(strings.Join(binNames(u.Likely), " or ")), plain(u.Reason))
		asks[i] = ask{ID: u.ID, Likely: u.Likely}
	}
	b.WriteString(answersText(asks))
	return b.String()
}

func newTeachList(l *ledger) *cobra.Command {
	cmd := &cobra.Command{Use: "list", Short: "List your bins and how many examples each has", Args: noArgs("teach list")}
	asJSON := wantsJSON(cmd)
	type taughtBin struct {
		Bin      string `json:"bin"`
		Examples int    `json:"examples"`
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return l.read(func(st *stash.Stash) error {
			all := []taughtBin{}
			at := map[string]int{}
			if st != nil {
				kept, err := st.Taught(cmd.Context())
				if err != nil {
					return err
				}
				for _, k := range kept {
					i, ok := at[k.Bin]
					if !ok {
						i = len(all)
						at[k.Bin] = i
						all = append(all, taughtBin{Bin: k.Bin})
					}
					all[i].Examples++
				}
			}
			if *asJSON {
				return answerJSON(l.s, map[string]any{"bins": all})
			}
			text := ""
			for _, b := range all {
				text += plain(b.Bin) + ": " + cloth.Count(b.Examples, "example") + "\n"
			}
			if text == "" {
				text = "you have taught no bin yet\n"
			}
			_, err := fmt.Fprint(l.s.out, text)
			return answered(err)
		})
	}
	return cmd
}

func newTeachForget(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "forget BIN",
		Short: "Forget what a bin was taught; the pieces in it stay there",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fault.Usage("", "say which bin to forget", "write one name, as 'piecebag teach list' has it")
			}
			return noBlank(args[0])
		},
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return l.remake(cmd, *asJSON, func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
			return st.Unteach(ctx, args[0])
		})
	}
	return cmd
}
