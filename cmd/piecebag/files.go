package main

import (
	"os"

	"piecebag/internal/files"
	"piecebag/internal/report"
	"piecebag/internal/stash/archive"
)

// The most bytes that are read of a file of each kind. An export of 200,000
// pieces takes some 200 MB; a recipe that is built in one or two thousand.
const (
	mostImport   = 512 << 20
	mostOutlines = 16 << 20
	mostRecipe   = 1 << 20
)

// checkName is what to do about a file that is not there.
const checkName = "check the name and the folder it is in"

// The kinds of files that commands write.
var (
	htmlFile   = files.Format{Name: "an HTML page", Ending: ".html", Is: files.HTML, Ours: files.StartsWith(report.HTMLMark)}
	pdfFile    = files.Format{Name: "a PDF", Ending: ".pdf", Is: files.Begins("%PDF-"), Ours: files.Marked(report.PDFMark)}
	pngFile    = files.Format{Name: "a PNG picture", Ending: ".png", Is: files.Begins("\x89PNG"), Ours: files.Marked(report.PNGMark)}
	svgFile    = files.Format{Name: "an SVG drawing", Ending: ".svg", Is: files.SVG, Ours: files.Marked(report.SVGMark)}
	exportJSON = files.Format{Name: "a JSON file", Ending: ".json", Is: files.JSON, Ours: files.StartsWith(archive.JSONMark)}
	exportCSV  = files.Format{Name: "a CSV table", Ending: ".csv", Is: files.CSV, Ours: files.FirstRow(archive.Header())}
	lookJSON   = files.Format{Name: "a JSON file", Ending: ".json", Is: files.JSON, Ours: files.StartsWith(report.JSONMark)}
	lookCSV    = files.Format{Name: "a CSV table", Ending: ".csv", Is: files.CSV, Ours: files.FirstRow(report.CSVHead)}
	photoFile  = files.Format{Name: "a photo", Ending: ".jpg", Is: func([]byte) bool { return false }, Ours: nil}
	backupFile = files.Format{Name: "a backup of a stash", Ending: ".backup", Is: files.Begins("PK\x03\x04"), Ours: func(f *os.File) bool { return archive.IsBackup(f.Name()) }}
)
