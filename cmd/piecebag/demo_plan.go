package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

// demoRecipe and its blocks are the quilt for the reading corner.
const (
	demoRecipe  = "reading-corner"
	demoColumns = 3
	demoRows    = 4
)

// demoPlans are the plan of the library quilt.
var demoPlans = []struct {
	name  string
	kind  fileKind
	write func(io.Writer, report.Document) error
}{
	{"plan.html", htmlFile, func(w io.Writer, d report.Document) error { return d.HTML(w) }},
	{"plan.pdf", pdfFile, func(w io.Writer, d report.Document) error { return d.PDF(w, report.Papers[0]) }},
}

// demoPlan plans the library quilt from the demo's stash, and says in one line
// how far that goes.
func demoPlan(ctx context.Context, s streams, dir string) (string, error) {
	r, err := recipe.BuiltIn(demoRecipe)
	if err != nil {
		return "", err
	}
	l := &ledger{flag: filepath.Join(dir, demoLedger), s: s}
	var p report.Plan
	err = l.at("working", func(d *desk.Desk) error {
		p.Plan, err = d.Plan(ctx, desk.PlanRequest{
			Name: "The library quilt", Order: plan.Order{Recipe: r, Columns: demoColumns, Rows: demoRows}, Shop: plan.Defaults(recipe.Inches()),
		})
		return err
	})
	if err != nil {
		return "", err
	}
	d := p.Document()
	for _, o := range demoPlans {
		file, err := create(target{path: filepath.Join(dir, o.name), kind: o.kind})
		if err != nil {
			return "", err
		}
		if err := file.write(func(w io.Writer) error { return o.write(w, d) }); err != nil {
			return "", err
		}
	}
	wanted, covered, _ := p.Pull.Totals()
	return fmt.Sprintf("The library quilt takes %d squares. The stash covers %d of them.", wanted, covered), nil
}
