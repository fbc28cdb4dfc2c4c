package page

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

// dataRoutes take all of the stash elsewhere and back, and check it.
var dataRoutes = []route{
	{"GET /data", dataPage}, {"GET /data/{file}", dataFile},
	{"POST /data/import", shownBy(dataPage, importFile)}, {"POST /data/restore", shownBy(dataPage, restore)}, {"POST /data/check", shownBy(dataPage, check)},
	{"POST /data/again", slowly(theForm, shownBy(dataPage, lookAgainAtAll))},
}

func dataPage(s *Server, r *http.Request) (answer, error) {
	return answer{document: report.Titled("Your data", "All of it is yours: take it elsewhere, bring it back, keep a copy."), Frame: report.Frame{Before: s.form(r, "data.html", map[string]any{"There": s.desk.There() == nil})}}, nil
}

// dataFile answers with all that the stash holds, as a file to keep.
func dataFile(s *Server, r *http.Request) (answer, error) {
	name := r.PathValue("file")
	var b bytes.Buffer
	switch name {
	case "stash.json":
		err := s.desk.Export(r.Context(), &b, false)
		return answer{file: &file{kind: "application/json", name: name, data: b.Bytes()}}, err
	case "stash.csv":
		err := s.desk.Export(r.Context(), &b, true)
		return answer{file: &file{kind: "text/csv; charset=utf-8", name: name, data: b.Bytes()}}, err
	case "stash.backup":
		dir, err := passing("backup")
		if err != nil {
			return answer{}, err
		}
		to := filepath.Join(dir, name)
		if err := s.desk.Backup(r.Context(), to); err != nil {
			os.RemoveAll(dir)
			return answer{}, err
		}
		return answer{file: &file{kind: "application/octet-stream", name: name, path: to}}, nil
	}
	return answer{}, errNoPage(r)
}

// importFile adds what is in a file that was exported, or in a spreadsheet.
func importFile(s *Server, r *http.Request) (answer, error) {
	sent, drop, err := upload(r, "file", "choose what was exported, or a spreadsheet saved as CSV")
	defer drop()
	if err != nil {
		return answer{}, err
	}
	data, err := os.ReadFile(sent)
	if err != nil {
		return answer{}, err
	}
	name := filepath.Base(sent)
	got, err := s.desk.Import(r.Context(), name, data)
	if err != nil {
		return answer{}, err
	}
	done := name + ": already known"
	if !got.Known {
		done = strings.Join(append([]string{fmt.Sprintf("%s: %d added (%s), %d skipped", name, got.Added, got, got.Skipped)}, got.Notes...), "; ")
	}
	return after("/shelf", done), nil
}

// restore puts a backup in the place of the stash.
func restore(s *Server, r *http.Request) (answer, error) {
	sent, drop, err := upload(r, "file", "choose a backup that piecebag wrote")
	defer drop()
	if err != nil {
		return answer{}, err
	}
	if r.FormValue("sure") == "" {
		return answer{}, inField{"sure", fault.Usage("", "a backup takes the place of all that the stash holds", "tick that you mean it")}
	}
	if err := s.desk.Close(); err != nil { // it is opened again by whoever needs it
		return answer{}, err
	}
	kept, err := s.desk.Restore(r.Context(), sent)
	done := "the stash is that of " + filepath.Base(sent)
	if kept != "" {
		done += "; what was there before is kept beside it, in the folder " + filepath.Base(kept)
	}
	return after("/shelf", done), err
}

// check reports what is damaged in the stash, and mends it where the form asks for that.
func check(s *Server, r *http.Request) (answer, error) {
	h, err := s.desk.Check(r.Context(), r.FormValue("repair") != "")
	if err != nil {
		return answer{}, err
	}
	for i, f := range h.Faults {
		f = remedies.Worded(f)
		h.Faults[i] = fault.New(s.placeless(f.About), s.placeless(f.Why), s.placeless(f.Remedy))
	}
	for i, done := range h.Repaired {
		h.Repaired[i] = s.placeless(done)
	}
	title := "The stash is whole"
	if len(h.Faults) > 0 {
		title = "The stash is not whole"
	}
	a := answer{document: report.Titled(title, cloth.Count(h.Photos, "photo")+" looked at."), Frame: report.Frame{Before: s.form(r, "health.html", h)}}
	if len(h.Faults) > 0 {
		a.Wrong, a.Remedy = cloth.Count(len(h.Faults), "fault")+" in the stash", "each is named below with what to do"
	}
	return a, nil
}

// lookAgainAtAll looks again at all photos that the stash keeps, and shows what would change
// in it, or changes it where the form asks for that.
func lookAgainAtAll(s *Server, r *http.Request) (answer, error) {
	done, err := s.desk.Stow(r.Context(), desk.StowRequest{Again: true, Yes: r.FormValue("yes") != ""})
	if err != nil {
		return answer{}, err
	}
	if done.Change != nil {
		return after("/shelf", "looked again: "+done.Change.What), nil
	}
	type line struct{ Name, Words string }
	var v struct{ Photos, Refused []line }
	for _, p := range done.Photos {
		if words := differenceWords(desk.Compare(*p.Again), func(int64) bool { return false }); words != nil {
			v.Photos = append(v.Photos, line{p.Again.Name, strings.Join(words, ", ")})
		}
	}
	for _, f := range done.Refused {
		wrong, remedy := s.said(f)
		v.Refused = append(v.Refused, line{wrong, remedy})
	}
	lead := fmt.Sprintf("%s looked at; %d would be read otherwise. Nothing is changed yet.", cloth.Count(len(done.Photos), "photo"), len(v.Photos))
	return answer{document: report.Titled("Looked at again", lead), Frame: report.Frame{Before: s.form(r, "again.html", v)}}, nil
}
