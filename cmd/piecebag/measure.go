package main

import (
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/truth"
	"piecebag/internal/truth/scene"
)

// newMeasure is for contributors: it is not shown in the help.
func newMeasure(s streams) *cobra.Command {
	var each, asJSON bool
	var only string
	cmd := &cobra.Command{
		Use:    "measure FOLDER…",
		Short:  "Look at photos of which everything is known and print how true the answers are",
		Hidden: true,
		Long: `Measure looks at the photos of folders that hold their truth beside them
(NAME.jpg, NAME.json, NAME_mask.png) and prints one table, by kind of photo and
by level of difficulty. 'piecebag measure make FOLDER' makes such a folder.`,
		Args: atLeastOne("no folder is given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runMeasure(cmd.Context(), s, args, only, each, asJSON)
		},
	}
	cmd.Flags().BoolVar(&each, "each", false, "a row for each photo as well")
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	cmd.Flags().StringVar(&only, "only", "", "only photos whose name holds `TEXT`")
	cmd.AddCommand(newMeasureMake(s), newMeasureSigns(s), newMeasureJoins(s), newMeasureNames(s), newMeasureSizes(s), newMeasurePrints(s))
	return cmd
}

func runMeasure(ctx context.Context, s streams, dirs []string, only string, each, asJSON bool) error {
	scores, err := s.scored(ctx, dirs, only)
	if err != nil {
		return err
	}
	rows := truth.Rows(scores, each)
	if asJSON {
		return answered(indented(s.out, rows))
	}
	return answered(truth.WriteTable(s.out, rows))
}

func indented(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	return enc.Encode(v)
}

// scored looks at the photos of folders whose names hold a text, and compares the
// answers with their truth.
func (s streams) scored(ctx context.Context, dirs []string, only string) ([]truth.Result, error) {
	cases, sheets, err := s.seen(ctx, dirs, only)
	if err != nil {
		return nil, err
	}
	judge := truth.Judge{DeltaE: colour.DeltaE00, Family: family.Of}
	scores := make([]truth.Result, len(cases))
	for i := range cases {
		scores[i] = judge.Score(cases[i], &sheets[i])
	}
	return scores, nil
}

// seen looks at the photos of folders whose names hold a text, and reads their truth.
func (s streams) seen(ctx context.Context, dirs []string, only string) ([]*truth.Case, []cloth.Sheet, error) {
	var cases []*truth.Case
	for _, d := range dirs {
		found, err := truth.ReadDir(d)
		if err != nil {
			reason := fmt.Sprintf("the photos and their truth cannot be read: %v", bare(err))
			if errors.Is(err, truth.ErrNoTruth) {
				reason = "it holds no photo with its truth"
			}
			return nil, nil, fault.New(d, reason, "make a folder with 'piecebag measure make FOLDER'", err)
		}
		for _, c := range found {
			if strings.Contains(c.Name, only) {
				cases = append(cases, c)
			}
		}
	}
	if len(cases) == 0 {
		return nil, nil, wrong("only", only, "no photo has this in its name", "leave it off to measure them all")
	}
	files := make([]string, len(cases))
	for i, c := range cases {
		files[i] = c.File
	}
	results, err := s.lookAll(ctx, files, look.Options{Seed: seed})
	if err != nil {
		return nil, nil, err
	}
	sheets := make([]cloth.Sheet, len(cases))
	for i, r := range results {
		if r.err != nil {
			return nil, nil, r.err
		}
		sheets[i] = r.sheet
	}
	return cases, sheets, nil
}

// newMeasureSizes prints how true sizes and scales are, and their trust.
func newMeasureSizes(s streams) *cobra.Command {
	var asJSON bool
	var only string
	cmd := &cobra.Command{
		Use:   "sizes FOLDER…",
		Short: "Print how true sizes and scales are, with and without a card in view, and how true their trust",
		Args:  atLeastOne("no folder is given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(cmd *cobra.Command, args []string) error {
			scores, err := s.scored(cmd.Context(), args, only)
			if err != nil {
				return err
			}
			sizes := truth.SizesOf(scores)
			if asJSON {
				return answered(indented(s.out, sizes))
			}
			return answered(truth.WriteSizes(s.out, sizes))
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	cmd.Flags().StringVar(&only, "only", "", "only photos whose name holds `TEXT`")
	return cmd
}

// newMeasureNames prints how true the trust in families and values is, and the lines
// that would make it true.
func newMeasureNames(s streams) *cobra.Command {
	var asJSON bool
	var only string
	cmd := &cobra.Command{
		Use:   "names FOLDER…",
		Short: "Print how true the trust in families and values is, and fit it anew",
		Args:  atLeastOne("no folder is given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(cmd *cobra.Command, args []string) error {
			scores, err := s.scored(cmd.Context(), args, only)
			if err != nil {
				return err
			}
			var families, values []truth.NameClaim
			for _, r := range scores {
				families = append(families, r.Families...)
				values = append(values, r.Values...)
			}
			of := map[string]truth.Names{
				"family": truth.NamesOf(families),
				"value":  truth.NamesOf(truth.Guessed(values, false)), "guessed": truth.NamesOf(truth.Guessed(values, true)),
			}
			if asJSON {
				return answered(indented(s.out, of))
			}
			f, v, g := family.Lines()
			for _, n := range []struct {
				name string
				line family.Line
			}{{"family", f}, {"value", v}, {"guessed", g}} {
				if err := truth.WriteNames(s.out, n.name, of[n.name]); err != nil {
					return answered(err)
				}
				fit := of[n.name].Line.After(truth.Line(n.line))
				if _, err := fmt.Fprintf(s.out, "  fitted: %sLine = Line{At: %.2f, Slope: %.2f}\n", n.name, fit.At, fit.Slope); err != nil {
					return answered(err)
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	cmd.Flags().StringVar(&only, "only", "", "only photos whose name holds `TEXT`")
	return cmd
}

// newMeasureSigns writes what trust is fitted on: for every outline what speaks
// for it, and how well it fits the truth.
func newMeasureSigns(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "signs FOLDER…",
		Short: "Write what speaks for each outline found, and its true overlap, as CSV",
		Args:  atLeastOne("no folder given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(_ *cobra.Command, args []string) error {
			return s.table(args, append([]string{"photo", "kind", "overlap"}, find.SignNames...), signRows)
		},
	}
}

// newMeasureJoins writes what the join of fragments is fitted on.
func newMeasureJoins(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "joins FOLDER…",
		Short: "Write what speaks for each two fragments being of one piece, and whether they are, as CSV",
		Args:  atLeastOne("no folder given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(_ *cobra.Command, args []string) error {
			return s.table(args, append([]string{"photo", "same", "weight"}, find.JoinNames...), joinRows)
		},
	}
}

// table writes CSV: what rows says of each photo of some folders.
func (s streams) table(dirs, head []string, rows func(c *truth.Case, pic *cloth.Picture) ([][]string, error)) error {
	w := csv.NewWriter(s.out)
	err := w.Write(head)
	for _, dir := range dirs {
		cases, err := truth.ReadDir(dir)
		if err != nil {
			return err
		}
		for _, c := range cases {
			pic, _, err := photo.Open(c.File, photo.Options{})
			if err != nil {
				return err
			}
			lines, err := rows(c, pic)
			if err != nil {
				return err
			}
			if err := w.WriteAll(lines); err != nil {
				return err
			}
		}
	}
	w.Flush()
	return answered(cmp.Or(err, w.Error()))
}

func signRows(c *truth.Case, pic *cloth.Picture) (rows [][]string, err error) {
	found, err := find.Find(pic, find.Options{All: true})
	if err != nil {
		return nil, err
	}
	sheet := cloth.Sheet{Width: pic.FullW, Height: pic.FullH}
	var signs [][]float64
	for i, r := range found.Regions {
		if found.Signs[i] != nil {
			sheet.Pieces = append(sheet.Pieces, cloth.Piece{Polygon: r.Polygon.Scale(pic.Shrink)})
			signs = append(signs, found.Signs[i])
		}
	}
	for i, v := range truth.Overlaps(c, &sheet) {
		rows = append(rows, append([]string{c.Name, string(c.Kind), strconv.FormatFloat(v, 'f', 4, 64)}, texts(signs[i])...))
	}
	return rows, nil
}

func joinRows(c *truth.Case, pic *cloth.Picture) (rows [][]string, err error) {
	sx, sy := float64(c.W)/float64(pic.W), float64(c.H)/float64(pic.H)
	for _, p := range find.Pairs(pic, func(x, y float64) int {
		return int(c.Mask[max(0, min(c.H-1, int(y*sy)))*c.W+max(0, min(c.W-1, int(x*sx)))])
	}) {
		same := "0"
		if p.Same {
			same = "1"
		}
		rows = append(rows, append([]string{c.Name, same, strconv.FormatFloat(p.Weight, 'f', 3, 64)}, texts(p.Signs)...))
	}
	return rows, nil
}

func texts(v []float64) []string {
	out := make([]string, len(v))
	for i, x := range v {
		out[i] = strconv.FormatFloat(x, 'g', 6, 64)
	}
	return out
}

func newMeasureMake(s streams) *cobra.Command {
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
				return fault.Usage("", "make needs one folder", "name a new one: piecebag measure make FOLDER")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case set.Per < 1:
				return wrong("per", fmt.Sprint(set.Per), "so few are no set", "write 1 or more")
			case set.Long < 256 || set.Long > 8192 || set.Long%32 != 0:
				return wrong("long", fmt.Sprint(set.Long), "no photo is made so long", "write a multiple of 32 from 256 to 8192")
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
				return wrong("reference", reference, "it says nothing about cards", "write some, all, half or pairs")
			}
			if prints != "" {
				var err error
				if set.Swatches, err = scene.ReadSwatches(prints); err != nil {
					return fault.New(prints, fmt.Sprintf("the prints cannot be read: %v", bare(err)), "name a folder of pictures of cloth, JPEG or PNG", err)
				}
				set.Real = 1
			}
			if there, err := os.ReadDir(args[0]); err == nil && len(there) > 0 {
				return fault.Usage(args[0], "the folder is not empty, and what is in it might be written over", "name a new one: piecebag measure make FOLDER")
			}
			bar := s.progress("making", len(set.Kinds))
			defer bar.done()
			for _, k := range set.Kinds {
				if err := cmd.Context().Err(); err != nil {
					return err
				}
				some := set
				some.Kinds = []cloth.Kind{k}
				if err := scene.WriteSet(args[0], some); err != nil {
					return fault.New(args[0], fmt.Sprintf("the photos cannot be written: %v", bare(err)), "choose another place, or make room there", err)
				}
				bar.step()
			}
			return nil
		},
	}
	cmd.Flags().IntVar(&set.Per, "per", 6, "so many `PHOTOS` of each kind")
	cmd.Flags().Uint64Var(&set.First, "first", 1, "the first `SEED`")
	cmd.Flags().IntVar(&set.Long, "long", scene.LongSide, "the longer side, in `PIXELS`")
	cmd.Flags().StringVar(&prints, "prints", "", "cut all cloth from the pictures of real prints in `FOLDER`")
	cmd.Flags().Uint64Var(&set.Shelf, "shelf", 0, "cut all cloth from the shelf of drawn prints of this `SEED`, so that photos show the same prints")
	cmd.Flags().IntVar(&set.Inks, "inks", 0, "let the prints of the shelf be of the same `NUMBER` of colours, and differ in pattern alone")
	cmd.Flags().StringVar(&reference, "reference", "some", "`WHICH` photos have a card or sheet: some, all, half or pairs")
	return cmd
}
