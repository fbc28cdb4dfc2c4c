package page

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"mime"
	"net/http"
	"path"
)

//go:embed static
var staticFiles embed.FS

// staticRoutes serve style sheets and scripts.
var staticRoutes = []route{{"GET /static/{sum}/{name}", static}}

// staticSum is a hash of all static files, which is part of their addresses: a browser may
// keep them for good, for another release has other addresses.
var staticSum = func() string {
	h := sha256.New()
	files, err := fs.Glob(staticFiles, "static/*")
	if err != nil {
		panic(err) // the pattern is our own
	}
	for _, f := range files {
		data, err := staticFiles.ReadFile(f)
		if err != nil {
			panic(err) // it is embedded
		}
		h.Write(data)
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}()

// staticAt returns the address of one of the files in static.
func (s *Server) staticAt(name string) string { return s.root + staticPath(name) }

// staticPath is the same outside of the root.
func staticPath(name string) string { return "/static/" + staticSum + "/" + name }

func static(_ *Server, r *http.Request) (answer, error) {
	name := r.PathValue("name")
	data, err := staticFiles.ReadFile("static/" + name)
	if err != nil || r.PathValue("sum") != staticSum {
		return answer{}, errNoPage(r)
	}
	return answer{file: &file{kind: mime.TypeByExtension(path.Ext(name)), data: data, kept: true}}, nil
}

// icon is the picture of the page in a browser's tab. Browsers ask for it by this address,
// outside of the root.
func icon(w http.ResponseWriter, r *http.Request) {
	http.ServeFileFS(w, r, staticFiles, "static/icon.svg")
}
