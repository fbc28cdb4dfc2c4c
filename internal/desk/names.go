package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// Names returns the names that the stash knows, none where there is no stash yet.
func (d *Desk) Names(ctx context.Context) (stash.Names, error) {
	return ask(d.reading, func(st *stash.Stash) (stash.Names, error) { return st.Names(ctx) })
}

// written are the names that a change writes into the stash.
type written struct {
	bin, basket, print string
	isNew              bool // they are meant as written, though they are nearly known ones
}

// naming opens the stash for a change that writes names into it, after newNames has seen to
// the new ones.
func (d *Desk) naming(ctx context.Context, open func() (*stash.Stash, error), w written) (*stash.Stash, error) {
	st, err := open()
	if err != nil {
		return nil, err
	}
	return st, d.newNames(ctx, st, w)
}

// kindOfNames is one of the three kinds of names: one that was given, or none, and
// those that the stash knows.
type kindOfNames struct {
	kind  NameKind
	name  string
	known []string
}

func kindsOfNames(bin, basket, print string, known stash.Names) []kindOfNames {
	return []kindOfNames{{BinName, bin, known.Bins}, {BasketName, basket, known.Baskets}, {PrintName, print, known.Prints}}
}

// newNames notes bins, baskets and prints that the stash does not know yet: a slip of
// the pen makes one too. Of a name that is nearly a known one it asks, and where nobody
// can answer it refuses it, with the NearName as a cause.
func (d *Desk) newNames(ctx context.Context, st *stash.Stash, w written) error {
	if w.bin == "" && w.basket == "" && w.print == "" {
		return nil
	}
	known, err := st.Names(ctx)
	if err != nil {
		return err
	}
	for _, x := range kindsOfNames(w.bin, w.basket, w.print, known) {
		if err := d.newName(ctx, x.kind, strings.TrimSpace(x.name), x.known, w.isNew); err != nil {
			return err
		}
	}
	return nil
}

func (d *Desk) newName(ctx context.Context, kind NameKind, name string, known []string, isNew bool) error {
	near := ""
	for _, k := range known {
		if k == name {
			return nil
		}
		if alikeNames(name, k) {
			near = k
		}
	}
	if name == "" {
		return nil
	}
	if near == "" || isNew {
		d.door.Note(NewName{kind, name})
		return nil
	}
	yes, asked, err := d.door.Ask(ctx, NearName{kind, name, near})
	switch {
	case err != nil || yes:
		return err
	case asked:
		return fault.New("", "nothing was changed", "write "+near)
	}
	return fault.New("", fmt.Sprintf("there is no %s %q yet, but there is %q", kind, name, near), "write "+near, NearName{kind, name, near}, fault.ErrUsage)
}

// unknown returns the first name that a filter looks for and the stash does not know, nil
// where it knows all.
func unknown(ctx context.Context, st *stash.Stash, which stash.Filter) (*UnknownName, error) {
	known, err := st.Names(ctx)
	if err != nil {
		return nil, err
	}
	for _, x := range kindsOfNames(which.Bin, which.Basket, which.Print, known) {
		if x.name == "" || slices.Contains(x.known, x.name) {
			continue
		}
		lower := make([]string, len(x.known))
		for i, k := range x.known {
			lower[i] = strings.ToLower(k)
		}
		u := &UnknownName{Kind: x.kind, Name: x.name}
		if near, edits := cloth.Nearest(strings.ToLower(x.name), lower); near != "" && edits <= max(2, len([]rune(x.name))/3) {
			u.Near = x.known[slices.Index(lower, near)]
		}
		return u, nil
	}
	return nil, nil
}

// noteUnknown notes a name that the stash does not know, where that is no error. Error:
// ErrNoPiece for a number that it does not have.
func (d *Desk) noteUnknown(ctx context.Context, st *stash.Stash, which stash.Filter) error {
	if st == nil {
		return nil
	}
	u, err := unknown(ctx, st, which)
	if u != nil {
		d.door.Note(*u)
	}
	if err != nil {
		return err
	}
	return lacking(ctx, st, which)
}

// Fault returns the error for a verb that needs the name to be known.
func (u UnknownName) Fault() *fault.Error {
	remedy := "name one that there is"
	if u.Near != "" {
		remedy = "write " + u.Near
	}
	return fault.New("", fmt.Sprintf("there is no %s %q", u.Kind, u.Name), remedy, u, fault.ErrUsage)
}

// alikeNames reports whether one name may be a slip for another: as good as the same
// letters. Numbers and single letters tell places apart, such as box 1 and box 2.
func alikeNames(a, b string) bool {
	marks := func(s string) string {
		var out []string
		for _, w := range strings.Fields(s) {
			if len([]rune(w)) == 1 || strings.ContainsAny(w, "0123456789") {
				out = append(out, w)
			}
		}
		return strings.Join(out, " ")
	}
	a, b = strings.Join(strings.Fields(strings.ToLower(a)), " "), strings.Join(strings.Fields(strings.ToLower(b)), " ")
	if marks(a) != marks(b) {
		return false
	}
	_, edits := cloth.Nearest(a, []string{b})
	return edits <= min(2, max(len([]rune(a)), len([]rune(b)))/4)
}

// lacking is the error of heldIn for the numbers that a filter names one by one.
func lacking(ctx context.Context, st *stash.Stash, which stash.Filter) error {
	if which.Named == nil {
		return nil
	}
	_, err := Numbers{All: which.Named, Said: which.Named}.heldIn(ctx, st)
	return err
}

func numbered(id int64) string { return fmt.Sprintf("piece %d", id) }
