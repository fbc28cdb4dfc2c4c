package page

import (
	"bytes"
	"cmp"
	"io"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"piecebag/internal/fault"
	"piecebag/internal/report"
)

// documentFiles are the files that every document can be kept as, and where a form asks
// for them: pages that need nothing else, and PDFs.
var documentFiles = []report.Way{{Words: "Page to keep", To: "html"}, {Words: "PDF to print, Letter", To: "letter"}, {Words: "PDF to print, A4", To: "a4"}}

// The files that some answers can be kept as besides.
var (
	asTable   = report.Way{Words: "Table (CSV)", To: "csv"}
	asPicture = report.Way{Words: "Picture (PNG)", To: "png"}
	asDrawing = report.Way{Words: "Drawing (SVG)", To: "svg"}
)

// mediaTypes are those of files to keep, by the ends of their names.
var mediaTypes = map[string]string{
	"html": "text/html; charset=utf-8", "pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "png": "image/png", "svg": "image/svg+xml",
}

// written is a kind of file that an answer has besides those of documents.
type written struct {
	report.Way
	write func(io.Writer) error
}

// file is what is not a page: a picture, or something to keep.
type file struct {
	kind string // its media type
	name string // to save it under; empty: it is shown
	data []byte
	path string // of a file to send in place of data; its folder is removed then
	// kept reports that the address names the content, so that a browser need not ask
	// again.
	kept bool
}

func (f *file) write(w http.ResponseWriter) {
	h := w.Header()
	h.Set("Content-Type", f.kind)
	if f.kept {
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	if f.name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.name}))
	}
	if f.path == "" {
		_, _ = w.Write(f.data)
		return
	}
	defer os.RemoveAll(filepath.Dir(f.path))
	if in, err := os.Open(f.path); err == nil {
		defer in.Close()
		_, _ = io.Copy(w, in)
	}
}

// asFile returns an answer as a file to keep, of the kind that the form asks for.
func asFile(name, as string, document func() report.Document, besides ...written) (answer, error) {
	end := as
	var write func(io.Writer) error
	k := slices.IndexFunc(besides, func(w written) bool { return w.To == as })
	switch {
	case k >= 0:
		write = besides[k].write
	case as == "html":
		write = document().HTML
	case slices.Contains(report.Papers, as):
		end, write = "pdf", func(w io.Writer) error { return document().PDF(w, as) }
	default:
		return answer{}, fault.Usage(as, "there is no such kind of file", "choose one of the page")
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return answer{}, err
	}
	return answer{file: &file{kind: mediaTypes[end], name: fileName(name) + "." + end, data: b.Bytes()}}, nil
}

// fileName returns a name without the letters that some file system refuses.
func fileName(s string) string {
	s = strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, s), " .")
	return cmp.Or(s, "quilt")
}

// saving is the form that keeps an answer as a file: where it is, and what was asked.
func saving(r *http.Request, besides ...report.Way) map[string]any {
	q := r.URL.Query()
	q.Del("as")
	q.Del("done")
	return map[string]any{"At": r.URL.Path, "Query": q, "Files": slices.Concat(documentFiles, besides)}
}
