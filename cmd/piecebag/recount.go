package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newRecount(l *ledger) *cobra.Command {
	var f stowFlags
	cmd := &cobra.Command{
		Use:   "recount PHOTO… [FOLDER…]",
		Short: "Replace what the stash holds of a basket or a cut by what photos show",
		Long: `Recount looks at photos of all that is in a basket, or of all that is of one cut,
and makes the stash hold just that. It says of what there is more now, and of what
less. If a photo cannot be read, or is a copy of another that was saved again, turned
or made smaller, nothing is changed. 'piecebag undo' takes a recount back.`,
		Example: `  piecebag recount basket.jpg --basket blues
  piecebag recount tin.jpg --cut 2½ --as squares`,
		Args: atLeastOne("no photo is given", "name photos, e.g. piecebag recount basket.jpg --basket blues"),
	}
	f.which.define(cmd, "basket", "cut", "as")
	f.names.define(cmd)
	f.alikeFlag(cmd)
	f.look.defineHelp(cmd)
	f.json = wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, which, err := f.options()
		if err != nil {
			return err
		}
		if which.Basket == "" && which.Cut == 0 {
			return fault.Usage("", "say what is to be recounted", "name the basket or the cut: --basket blues or --cut 2½")
		}
		files, refused := photo.Walk(args)
		if err := f.look.readPieces(&o, files); err != nil {
			return err
		}
		results, err := l.s.lookAll(cmd.Context(), files, o)
		if err != nil {
			return err
		}
		for _, r := range results {
			if r.err != nil {
				refused = append(refused, r.err)
			}
		}
		if !f.alike {
			more, err := copies(files, results)
			if err != nil {
				return err
			}
			refused = append(refused, more...)
		}
		for i, r := range results {
			if why := look.WhyNone(r.sheet.Notes); why != "" {
				l.s.note(plain(files[i]) + ": " + why)
			}
		}
		if len(refused) > 0 {
			return l.refuseRecount(refused)
		}
		return l.write(func(st *stash.Stash) error {
			if err := l.newNames(cmd.Context(), st, f.names.of(f.which)); err != nil {
				return err
			}
			return l.recount(cmd.Context(), st, files, results, which, f.alike, *f.json)
		})
	}
	return cmd
}

func (l *ledger) refuseRecount(refused []*fault.Error) error {
	for _, r := range refused {
		l.s.error(r.Error(), r.Remedy)
	}
	l.s.note("nothing was recounted: the photos must show all there is, and each piece once")
	return errRefused
}

func (l *ledger) recount(ctx context.Context, st *stash.Stash, files []string, results []looked, which stash.Filter, alike, asJSON bool) error {
	sorter, err := taught(ctx, st)
	if err != nil {
		return err
	}
	photos := make([]stash.Photo, len(files))
	for i, r := range results {
		if photos[i], err = stashPhoto(files[i], r.sheet, which); err != nil {
			return err
		}
		photos[i].Bins = sorter.sort(r.sheet.Pieces).bins
	}
	if !alike {
		refused, err := copiesKept(ctx, st, files, results, photos, which)
		if err != nil {
			return err
		}
		if len(refused) > 0 {
			return l.refuseRecount(refused)
		}
	}
	before, err := beforeRecount(ctx, st, which.Basket, photos)
	if err != nil {
		return err
	}
	c, left, err := st.Recount(ctx, which.Basket, which.Cut, photos...)
	if err != nil {
		return err
	}
	l.noteLeft(files, left)
	first := make([]seen, len(files))
	for i, r := range results {
		hash, err := st.HashOf(ctx, photos[i].Bytes)
		if err != nil {
			return err
		}
		ids, err := idsOf(ctx, st, hash)
		if err != nil {
			return err
		}
		first[i] = seen{files[i], r.sheet.Pieces, ids}
	}
	if asJSON {
		out := map[string]any{"change": changeJSON(c), "new_basket": before.newBasket, "moved": before.moved}
		if d := firstJSON(doubtedIn(first)); d != nil {
			out["look_first"] = d
		}
		return answerJSON(l.s, out)
	}
	text := stowedFirst(doubtedIn(first)) + before.text() + changeText(c)
	if len(c.Difference) == 0 {
		text += "no change\n"
	}
	for _, line := range report.Changes(changesOf(c.Difference)) {
		text += "  " + line + "\n"
	}
	_, err = fmt.Fprint(l.s.out, text)
	return answered(err)
}

// recounted is what a recount finds before it changes anything.
type recounted struct {
	newBasket bool
	moved     []moved
}

// moved are pieces of a known photo that were kept elsewhere.
type moved struct {
	Photo  string `json:"photo"`
	Basket string `json:"basket"` // where they were; empty: in none
	Pieces int    `json:"pieces"`
}

// beforeRecount says whether a basket is new, which a slip of the pen makes it
// too, and where the pieces of photos that the stash knows were.
func beforeRecount(ctx context.Context, st *stash.Stash, basket string, photos []stash.Photo) (recounted, error) {
	out := recounted{moved: []moved{}}
	if basket == "" {
		return out, nil
	}
	held, err := st.Holdings(ctx, stash.Filter{Basket: basket})
	if err != nil {
		return out, err
	}
	out.newBasket = len(held) == 0
	for _, p := range photos {
		hash, err := st.HashOf(ctx, p.Bytes)
		if err != nil {
			return out, err
		}
		held, err := st.Holdings(ctx, stash.Filter{Photo: hash})
		if err != nil {
			return out, err
		}
		from := map[string]int{}
		for _, h := range held {
			if h.Basket != basket {
				from[h.Basket] += h.Count
			}
		}
		for _, b := range slices.Sorted(maps.Keys(from)) {
			out.moved = append(out.moved, moved{p.Name, b, from[b]})
		}
	}
	return out, nil
}

func (r recounted) text() string {
	var b strings.Builder
	for _, m := range r.moved {
		where := "from no basket"
		if m.Basket != "" {
			where = "from basket " + m.Basket
		}
		fmt.Fprintf(&b, "%s: %s %s\n", plain(m.Photo), cloth.Count(m.Pieces, "piece"), plain(where))
	}
	return b.String()
}
