package page

import (
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// takeBackup is the remedy where a ledger cannot be mended.
const takeBackup = "put the last backup back, under your data; what is there is kept beside it"

// remedies name the fields and pages that mend what other packages refuse; those packages
// know of neither.
var remedies = fault.Remedies{
	{cutting.ErrManySizes, "write fewer squares that you keep, or cut it in two first"},
	{find.ErrSmall, "take what was drawn back, or send a larger picture"},
	{find.ErrGrid, "%r, under “The photo as a whole”"},
	{plan.ErrBed, "%r, or write the size of the quilt"},
	{plan.ErrExtents, "fill in one of: blocks across and down, how many blocks, its size, or a bed"},
	{plan.ErrExtentsFixed, "fill in the size or the bed, or neither: this quilt has one layout"},
	{plan.ErrLayoutFixed, "leave out how many blocks there are, or take layout out of the recipe"},
	{plan.ErrBlockSmall, "write a larger block"},
	{plan.ErrBlockCount, "write the size instead"},
	{plan.ErrShrinks, "leave it empty, or write a size or choose a bed"},
	{desk.ErrNoneNamed, "write a recipe of your own, or leave the tick off"},
	{desk.ErrWithout, "leave the tick off, or those empty"},
	{recipe.ErrForm, "%r; “How a recipe is written”, on the page of each recipe, shows how"},
	{stash.ErrGone, takeBackup + "; to begin afresh, move the folder of the stash away first"},
	{stash.ErrNoCopy, "keep the backups you have; “Check it”, under your data, says what can be mended"},
	{stash.ErrLedger, takeBackup},
	{stash.ErrMissingPhoto, "stow it again, or tick to mend what can be mended: it is noted that it is not kept; its pieces stay"},
	{stash.ErrChangedPhoto, "tick to mend what can be mended: it is moved aside; then stow the photo again; its pieces stay"},
	{stash.ErrOrphan, "tick to mend what can be mended: it is moved aside"},
	{stash.ErrScripts, "tick to mend what can be mended: it is set again"},
	{stash.ErrCounts, "tick to mend what can be mended: they are counted again"},
	{stash.ErrNotTaught, "see the page of teaching for those that were"},
	{stash.ErrNoPiece, "see the page of pieces for the numbers"},
	{recipe.ErrNoBlock, "%r; “Recipes” shows those built in"},
}

// wording is how documents speak of the page's own fields.
var wording = report.Wording{
	PlanAgain: " For cloth that came in uncut, plan the quilt again, and keep it by the same name.",
	OneWay:    " Write its role under “Roles whose print has an up” to be told how many.",
	Aims:      " by the aim that it is cut by",
	Remedies:  remedies,
}
