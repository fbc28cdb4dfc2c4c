package page

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// teachRoutes teach bins of your own, and ask where the sorter is not sure.
var teachRoutes = []route{
	{"GET /teach", teachPage}, {"POST /teach/photos", shownBy(teachPage, teachPhotos)}, {"POST /teach/pieces", shownBy(back("/teach"), teachPieces)}, {"POST /teach/forget", shownBy(teachPage, forgetBin)},
	{"POST /teach/sort", shownBy(teachPage, sortIn)}, {"GET /teach/next", nextPage}, {"POST /teach/answer", shownBy(shownWith(nextPage, func(sent url.Values) url.Values { return url.Values{"pass": sent["pass"]} }), answerNext)},
}

const mostExamples = 6 // pieces that show what is in a bin

// exampled is a bin of yours with some of what is in it.
type exampled struct {
	Bin      string
	Examples int // that it was learnt from
	In       int // pieces in it
	To       string
	Tiles    []tile
}

// example gathers pieces of a bin, of different prints first.
func (s *Server) example(r *http.Request, bin string) (exampled, error) {
	out := exampled{Bin: bin, To: withQuery("/pieces", url.Values{"bin": {bin}})}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{Bin: bin}, Outlines: true})
	if err != nil || bin == "" {
		return out, err
	}
	all := p.InOrder()
	prints := map[string]bool{}
	fresh := func(x desk.OutlinedPiece) bool { return x.Print == "" || !prints[x.Print] }
	for _, again := range []bool{false, true} {
		for _, x := range all {
			if len(out.Tiles) < mostExamples && fresh(x) != again && len(x.Outline) > 2 && !slices.ContainsFunc(out.Tiles, func(t tile) bool { return t.ID == x.ID }) {
				prints[x.Print] = true
				out.Tiles = append(out.Tiles, tileOf(x))
			}
		}
	}
	for _, x := range all {
		out.In += x.Count
	}
	return out, nil
}

// teachPage lists your bins, and teaches them.
func teachPage(s *Server, r *http.Request) (answer, error) {
	bins, err := s.desk.TaughtBins(r.Context())
	if err != nil {
		return answer{}, err
	}
	var all []exampled
	for _, b := range bins {
		x, err := s.example(r, b.Bin)
		if err != nil {
			return answer{}, err
		}
		x.Examples = b.Examples
		all = append(all, x)
	}
	names, err := s.desk.Names(r.Context())
	if err != nil {
		return answer{}, err
	}
	v := map[string]any{"Bins": all, "Names": names}
	if len(all) > 0 {
		try, err := s.desk.TrySort(r.Context())
		if err != nil {
			return answer{}, err
		}
		if try.Vague {
			v["Vague"] = report.VagueWords(try.Bins[0])
		}
		v["Sure"], v["Unsure"] = len(try.Sorted), len(try.Unsure)
	}
	return answer{document: report.Titled("Bins of your own", "Teach how you sort, by photos of what is in a bin or by pieces; new pieces are then sorted as you would."), Frame: report.Frame{Before: s.form(r, "teach.html", v)}}, nil
}

// teachPhotos learns a bin from photos of what is in it.
func teachPhotos(s *Server, r *http.Request) (answer, error) {
	s.photos <- struct{}{}
	defer func() { <-s.photos }()
	files, drop, err := uploads(r, "photo")
	defer drop()
	if err != nil {
		return answer{}, err
	}
	f := &fields{r: r}
	bin := f.text("to")
	switch {
	case bin == "":
		return answer{}, inField{"to", errNoBin}
	case len(files) == 0:
		return answer{}, inField{"photo", fault.Usage("", "no photo was sent", "choose one or more photos of what is in the bin")}
	}
	out, err := s.desk.Teach(r.Context(), desk.TeachRequest{Bin: bin, New: f.ticked("new"), Files: files})
	if err != nil {
		if len(out.Refused) > 0 {
			err = out.Refused[0]
		}
		if near := (desk.NearName{}); errors.As(err, &near) {
			err = inField{"to", err}
		}
		return answer{}, err
	}
	done := bin + ": learnt from " + cloth.Count(out.Learnt, "piece")
	for _, x := range out.Refused {
		done += "; " + s.placeless(x.Error())
	}
	return after("/teach", done), nil
}

var errNoBin = fault.Usage("", "a bin needs a name", "write one, like sea greens")

// teachPieces learns a bin from pieces that were chosen.
func teachPieces(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	n, bin := f.numbers(), f.text("to")
	if f.err == nil && bin == "" {
		f.err = inField{"to", errNoBin}
	}
	if f.err != nil {
		return answer{}, f.err
	}
	change, err := s.desk.TeachPieces(r.Context(), bin, true, n)
	if errors.Is(err, desk.ErrNoPiece) {
		err = inField{"pieces", err}
	}
	return after("/teach", changed(change)), err
}

func forgetBin(s *Server, r *http.Request) (answer, error) {
	change, err := s.desk.Unteach(r.Context(), r.FormValue("bin"))
	return after("/teach", changed(change)), err
}

// sortIn sorts in what the sorter is sure of, and goes on to what it asks.
func sortIn(s *Server, r *http.Request) (answer, error) {
	out, err := s.desk.Sort(r.Context())
	if err != nil {
		return answer{}, err
	}
	done := cloth.Count(len(out.Sorted), "piece") + " sorted in"
	if len(out.Unsure) > 0 {
		return after("/teach/next", done), nil
	}
	return after("/teach", done), nil
}

// nextPage asks about the first piece that the sorter is not sure of, but for those that
// were passed over.
func nextPage(s *Server, r *http.Request) (answer, error) {
	try, err := s.desk.TrySort(r.Context())
	if err != nil {
		return answer{}, err
	}
	passed := r.URL.Query()["pass"]
	left := slices.DeleteFunc(try.Unsure, func(u desk.Unsure) bool { return slices.Contains(passed, strconv.FormatInt(u.ID, 10)) })
	if len(left) == 0 {
		a := after("/teach", "nothing is asked any more")
		if done := told(r); done != "" {
			a = after("/teach", done)
		}
		return a, nil
	}
	u := left[0]
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{IDs: []int64{u.ID}}, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	x := p.InOrder()[0]
	t := tileOf(x)
	t.At, t.Large = clothAt(x, largeSide), true
	v := map[string]any{"Tile": t, "Reason": u.Reason, "Left": len(left), "Passed": passed, "Pass": withQuery("/teach/next", url.Values{"pass": append(passed, strconv.FormatInt(u.ID, 10))})}
	var likely []exampled
	for _, bin := range u.Likely {
		if bin == "" {
			continue
		}
		e, err := s.example(r, bin)
		if err != nil {
			return answer{}, err
		}
		likely = append(likely, e)
	}
	v["Likely"] = likely
	return answer{document: report.Titled("Is this "+u.Likely[0]+"?", cloth.Count(len(left), "piece")+" to ask about."), Frame: report.Frame{Before: s.form(r, "next.html", v)}}, nil
}

// answerNext puts a piece where you say, or in none of your bins, and asks on.
func answerNext(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	n, bin := f.numbers(), f.text("bin")
	if f.err != nil {
		return answer{}, f.err
	}
	change, err := s.desk.Fix(r.Context(), desk.FixRequest{Pieces: n, Correction: stash.Correction{Bin: &bin}, New: true})
	to := "/teach/next"
	if passed := r.Form["pass"]; len(passed) > 0 {
		to = withQuery(to, url.Values{"pass": passed})
	}
	return after(to, changed(change)), err
}
