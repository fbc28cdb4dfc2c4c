package main

import (
	"encoding/csv"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/find"
	"piecebag/internal/photo"
	"piecebag/internal/truth"
)

// newSigns writes what trust is fitted on: for every outline what speaks
// for it, and how well it fits the truth.
func (p program) newSigns() *cobra.Command {
	return p.table(&cobra.Command{
		Use:   "signs FOLDER…",
		Short: "Write what speaks for each outline found, and its true overlap, as CSV",
	}, append([]string{"photo", "kind", "overlap"}, find.SignNames...), signRows)
}

// newJoins writes what the join of fragments is fitted on.
func (p program) newJoins() *cobra.Command {
	return p.table(&cobra.Command{
		Use:   "joins FOLDER…",
		Short: "Write what speaks for each two fragments being of one piece, and whether they are, as CSV",
	}, append([]string{"photo", "same", "weight"}, find.JoinNames...), joinRows)
}

// table makes cmd write CSV: what rows says of each photo of some folders.
func (p program) table(cmd *cobra.Command, head []string, rows func(c *truth.Case, pic *cloth.Picture) ([][]string, error)) *cobra.Command {
	cmd.Args = folders
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		cases, err := read(args, "")
		if err != nil {
			return err
		}
		w := csv.NewWriter(p.out)
		if err := w.Write(head); err != nil {
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
		return nil
	}
	return cmd
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
