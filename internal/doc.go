// Package internal is the map of Piecebag. Each package may import those above
// it in this list and none below; deps_test.go holds the code to it.
//
//	testtable  tables of testdata and what is kept in files, for tests alone
//	fault    the one error: what, why, remedy
//	geom     plane geometry: points, polygons, homographies
//	colour   colour mathematics: sRGB, CIELAB, OKLab, CIEDE2000, Munsell
//	raster   planes, masks and their parts, sampling, fits, work over processors
//	cloth    the vocabulary: Picture, Region, Piece, Family, Value, lengths
//	photo    bytes to an upright, colour-managed picture in linear light
//	eye      a learned net: for every pixel, cloth or not, and what belongs together
//	find     what the eye sees to pieces: outlines, the kind of photo, trust
//	card     the printable reference card, and how it is found in a photo
//	scale    pixels to inches; which quadrilateral is a card or a sheet
//	light    what is white here, at every place of the picture
//	palette  a piece's pixels to its colours; which pieces are one print
//	family   colours to hue families
//	look     one photo down that pipeline
//	teach    your own bins, learnt from what you have sorted
//	shelf    bins, thin bins, stacks, balance
//	recipe   quilt blocks as text; where every patch lies
//	cutting  fitting cut pieces onto cloth
//	contrast prints against a background
//	arrange  pieces to their places in a quilt, so that nothing alike touches
//	plan     a quilt's needs against the stash: what to cut, what to buy
//	stash/disk  files that are whole or not there
//	stash/stashtest  children that are killed, a clock and errors, for tests alone
//	stash    the ledger, in SQLite
//	stash/archive  what a stash holds as JSON and CSV and as a backup, out of it and into another
//	desk     the work: one plain request, one plain answer, a verb each
//	report   terminal, JSON, CSV, HTML, PDF, contact sheet
//	files    files that you name, read and written
//	page     all of it as a local page, for a browser
//	truth    how true an answer is
//	truth/scene  photos made up for tests, with their truth
//	eye/train/renders  scenes as raw files, for training the eye
//
// The commands in cmd/piecebag stand below all of them. Photos are decoded
// by photo alone; flags, exit codes and messages belong to cmd/piecebag alone.
package internal
