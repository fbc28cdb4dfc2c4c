package main

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"strconv"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/palette"
	"piecebag/internal/truth"
)

// newPrints prints how well pieces of one print are known as such.
func (p program) newPrints() *cobra.Command {
	var only string
	var pairs bool
	cmd := &cobra.Command{
		Use:   "prints FOLDER…",
		Short: "Print how well prints are known, within a photo and in any other photo of the folders",
		Long: `Prints looks at photos and counts the pairs of pieces that are said to be of one print,
and that are: within a photo, and in each two photos. With --pairs it writes as CSV what
each pair differs in, on which the program fits how much that counts.`,
		Args: folders,
		RunE: func(cmd *cobra.Command, args []string) error {
			cases, sheets, err := p.seen(cmd.Context(), args, only)
			if err != nil {
				return err
			}
			photos := make([]printedPhoto, len(cases))
			for i := range cases {
				if photos[i], err = printed(cases[i], &sheets[i]); err != nil {
					return err
				}
			}
			if pairs {
				return writePairs(csv.NewWriter(p.out), photos)
			}
			return writePrints(tabwriter.NewWriter(p.out, 0, 0, 2, ' ', tabwriter.AlignRight), photos)
		},
	}
	onlyFlag(cmd, &only)
	cmd.Flags().BoolVar(&pairs, "pairs", false, "write what each pair differs in, as CSV")
	return cmd
}

// printedPhoto is a photo's answers that are pieces: their true prints, what was said,
// and their signatures.
type printedPhoto struct {
	name   string
	kind   cloth.Kind
	prints []string
	labels []string
	marks  []palette.Signature
}

func printed(c *truth.Case, s *cloth.Sheet) (printedPhoto, error) {
	out := printedPhoto{name: c.Name, kind: c.Kind}
	for i, print := range truth.Prints(c, s) {
		if print == "" {
			continue
		}
		m, err := palette.ReadMark(s.Pieces[i].Mark)
		if err != nil {
			return out, err
		}
		at, long := s.Pieces[i].Polygon.Centroid(), float64(max(s.Width, s.Height))
		m.LieAt(at.X/long, at.Y/long) // the mark does not say
		out.prints, out.labels, out.marks = append(out.prints, print), append(out.labels, s.Pieces[i].Print), append(out.marks, m)
	}
	return out, nil
}

// known reports which pieces of p are said to be of the print of which pieces of q, which
// was seen before.
func (p *printedPhoto) known(q *printedPhoto) func(i, j int) bool {
	merged := func(p *printedPhoto) (labels []string, out []palette.Signature) {
		of := map[string][]palette.Signature{}
		for i, l := range p.labels {
			if of[l] == nil {
				labels = append(labels, l)
			}
			of[l] = append(of[l], p.marks[i])
		}
		for _, l := range labels {
			out = append(out, palette.Merge(of[l]))
		}
		return labels, out
	}
	labels, fresh := merged(p)
	before, seen := merged(q)
	known := make([]palette.Sighting, len(seen))
	for k := range seen {
		known[k] = palette.Sighting{Print: int64(k + 1), Photo: 1, Signature: seen[k]}
	}
	was := map[string]string{}
	for i, g := range palette.Known(fresh, known, len(known)) {
		if k := g.Print; k > 0 {
			was[labels[i]] = before[k-1]
		}
	}
	return func(i, j int) bool { return was[p.labels[i]] == q.labels[j] }
}

func writePrints(w *tabwriter.Writer, photos []printedPhoto) error {
	var names []string
	rows := map[string]*truth.Pairs{}
	row := func(name string) *truth.Pairs {
		if rows[name] == nil {
			names = append(names, name)
			rows[name] = &truth.Pairs{}
		}
		return rows[name]
	}
	for x := range photos {
		p := &photos[x]
		for i := range p.prints {
			for j := range i {
				row("in one "+string(p.kind)).Add(p.labels[i] == p.labels[j], p.prints[i] == p.prints[j])
			}
		}
	}
	for x := range photos {
		for y := range x {
			p, q := &photos[x], &photos[y]
			said := p.known(q)
			kind := "in two photos that lie flat"
			if p.kind == cloth.Stack || q.kind == cloth.Stack {
				kind = "in a stack and another photo"
			}
			for i := range p.prints {
				for j := range q.prints {
					row(kind).Add(said(i, j), p.prints[i] == q.prints[j])
				}
			}
		}
	}
	fmt.Fprintln(w, "pairs of pieces\tright\twrong\tmissed\tF1\t")
	for _, n := range names {
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%.3f\t\n", n, rows[n].Both, rows[n].Said, rows[n].True, rows[n].F1())
	}
	return w.Flush()
}

// Of the pairs of two photos that are of two prints one in so many is written.
const pairsSpared = 10

func writePairs(w *csv.Writer, photos []printedPhoto) error {
	if err := w.Write(append([]string{"photo", "other", "how", "same", "weight"}, palette.DifferenceNames...)); err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(1, 1))
	line := func(p, q *printedPhoto, i, j int, how string, weight int) error {
		same := "0"
		if p.prints[i] == q.prints[j] {
			same = "1"
		}
		row := []string{p.name, q.name, how, same, strconv.Itoa(weight)}
		for _, v := range palette.Differences(&p.marks[i], &q.marks[j], how == "folded", how == "across") {
			row = append(row, strconv.FormatFloat(v, 'g', 5, 64))
		}
		return w.Write(row)
	}
	for x := range photos {
		p := &photos[x]
		how := "flat"
		if p.kind == cloth.Stack {
			how = "folded"
		}
		for i := range p.prints {
			for j := range i {
				if err := line(p, p, i, j, how, 1); err != nil {
					return err
				}
			}
		}
		for y := range x {
			q := &photos[y]
			for i := range p.prints {
				for j := range q.prints {
					weight := 1
					if p.prints[i] != q.prints[j] {
						if weight = pairsSpared; rng.IntN(pairsSpared) > 0 {
							continue
						}
					}
					if err := line(p, q, i, j, "across", weight); err != nil {
						return err
					}
				}
			}
		}
	}
	w.Flush()
	return w.Error()
}
