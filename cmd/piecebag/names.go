package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// given are the names of places and prints that a command writes into the stash.
type given struct {
	bin, basket, print string
	isNew              bool // --new: they are meant as written
}

// define adds --new.
func (g *given) define(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&g.isNew, "new", false, "make a new bin, basket or print, though its name is like another's")
}

// of are the names that the flags of a command write.
func (g given) of(f whichFlags) given {
	g.bin, g.basket, g.print = f.bin, f.basket, f.print
	return g
}

// newNames tells of bins, baskets and prints that the stash does not know yet: a
// slip of the pen makes one too. Of a name that is like one it knows it asks, and
// where nobody can answer it refuses.
func (l *ledger) newNames(ctx context.Context, st *stash.Stash, g given) error {
	if g.bin == "" && g.basket == "" && g.print == "" {
		return nil
	}
	known, err := st.Names(ctx)
	if err != nil {
		return err
	}
	for _, x := range kindsOfNames(g.bin, g.basket, g.print, known) {
		if err := l.newName(ctx, x.kind, strings.TrimSpace(x.name), x.known, g.isNew); err != nil {
			return err
		}
	}
	return nil
}

// kindOfNames is one of the three kinds of names: one that a command was given, or
// none, and those that the stash knows.
type kindOfNames struct {
	kind, name string
	known      []string
}

func kindsOfNames(bin, basket, print string, known stash.Names) []kindOfNames {
	return []kindOfNames{{"bin", bin, known.Bins}, {"basket", basket, known.Baskets}, {"print", print, known.Prints}}
}

// named is a change that writes names.
func (l *ledger) named(g given, do change) change {
	return func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
		if err := l.newNames(ctx, st, g); err != nil {
			return stash.Change{}, err
		}
		return do(ctx, st)
	}
}

func (l *ledger) newName(ctx context.Context, kind, name string, known []string, isNew bool) error {
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
		l.s.note(fmt.Sprintf("a new %s: %s", kind, name))
		return nil
	}
	reason := fmt.Sprintf("there is no %s %q yet, but there is %q", kind, name, near)
	yes, asked, err := l.s.ask(ctx, fmt.Sprintf("%s. Make a new %s?", reason, kind))
	switch {
	case err != nil || yes:
		return err
	case asked:
		return fault.New("", "nothing was changed", "write "+quoted(near))
	}
	return fault.Usage("", reason, fmt.Sprintf("write %s, or add --new to make a new %s", quoted(near), kind))
}

// unknown says of the names that a command looks for which the stash does not know,
// and what to write instead; nil where it knows all.
func unknown(ctx context.Context, st *stash.Stash, which stash.Filter) (*fault.Error, error) {
	known, err := st.Names(ctx)
	if err != nil {
		return nil, err
	}
	for _, x := range kindsOfNames(which.Bin, which.Basket, which.Print, known) {
		if x.name == "" || slices.Contains(x.known, x.name) {
			continue
		}
		remedy := "see 'piecebag shelf --pieces' for the names there are"
		lower := make([]string, len(x.known))
		for i, k := range x.known {
			lower[i] = strings.ToLower(k)
		}
		if near, edits := cloth.Nearest(strings.ToLower(x.name), lower); near != "" && edits <= max(2, len([]rune(x.name))/3) {
			remedy = "write " + quoted(x.known[slices.Index(lower, near)])
		}
		return fault.Usage("", fmt.Sprintf("there is no %s %q", x.kind, x.name), remedy), nil
	}
	return nil, nil
}

// noteUnknown notes names that the stash does not know, where nothing comes of them.
func (l *ledger) noteUnknown(ctx context.Context, st *stash.Stash, which stash.Filter) error {
	u, err := unknown(ctx, st, which)
	if u != nil {
		l.s.note(u.Full())
	}
	return err
}

// alikeNames says whether one name may be a slip for another: as good as the same
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

// ask asks on the terminal; where there is none, nothing was asked.
func (s streams) ask(ctx context.Context, question string) (yes, asked bool, err error) {
	in, isFile := s.in.(*os.File)
	if out, ok := s.err.(*os.File); !isFile || !ok || !term.IsTerminal(int(in.Fd())) || !term.IsTerminal(int(out.Fd())) {
		return false, false, nil
	}
	fmt.Fprintf(s.err, "piecebag: %s [y/N] ", plain(question))
	answer := make(chan string, 1)
	go func() {
		line, _ := bufio.NewReader(in).ReadString('\n') // the end of input is no answer
		answer <- strings.ToLower(strings.TrimSpace(line))
	}()
	select {
	case <-ctx.Done():
		return false, true, ctx.Err()
	case a := <-answer:
		return a == "y" || a == "yes", true, nil
	}
}
