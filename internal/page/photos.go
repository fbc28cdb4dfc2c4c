package page

import (
	"errors"
	"fmt"
	"image"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// photoRoutes take photos in.
var photoRoutes = []route{
	{"GET /{$}", home},
	{"POST /look", send}, {"GET /look/{batch}", found}, {"POST /look/{batch}/again", again}, {"POST /look/{batch}/stow", stow},
}

// batch is photos that were sent together and looked at.
type batch struct {
	id     string
	files  []string // where they lie
	names  []string // as they were called
	looked []desk.Looked
	made   look.Options
}

const photoSide = 1600 // longer side of a photo as it is shown, pixels

// home takes photos in and leads to those not stowed yet.
func home(s *Server, r *http.Request) (answer, error) {
	a := answer{document: report.Titled("What is in the bag?", "Photograph cut cloth lying on something plain, with a white card or sheet beside it.")}
	s.mu.Lock()
	defer s.mu.Unlock()
	type waiting struct{ ID, Names string }
	var w []waiting
	for _, b := range s.batches {
		w = append(w, waiting{b.id, strings.Join(b.names, ", ")})
	}
	a.Before = form("home.html", map[string]any{"Waiting": w})
	return a, nil
}

// send takes photos, and looks at them.
func send(s *Server, r *http.Request) (answer, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return answer{}, fault.Usage("", "no photo was sent", "choose one or more")
	}
	s.photos <- struct{}{}
	defer func() { <-s.photos }()
	b := &batch{id: secret()[:16]}
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			b.drop()
			return answer{}, err
		}
		if p.FormName() != "photo" || p.FileName() == "" {
			continue
		}
		// The name on the disk is ours: nothing that was sent is a path.
		file := filepath.Join(s.folder, b.id+"-"+strconv.Itoa(len(b.files)))
		f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if err == nil {
			b.files, b.names = append(b.files, file), append(b.names, calledBase(p.FileName()))
			_, err = io.Copy(f, p)
			err = errors.Join(err, f.Close())
		}
		if err != nil {
			b.drop()
			return answer{}, err
		}
	}
	if len(b.files) == 0 {
		return answer{}, fault.Usage("", "no photo was sent", "choose one or more")
	}
	if err := s.lookAt(r, b); err != nil {
		b.drop()
		return answer{}, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.batches = append(s.batches, b)
	for len(s.batches) > mostBatches {
		s.batches[0].drop()
		s.batches = s.batches[1:]
	}
	return answer{to: "/look/" + b.id}, nil
}

// calledBase is what a photo is called, without folders and what no terminal shows.
func calledBase(name string) string {
	name = string(cloth.PrintableLines([]byte(filepath.Base(strings.ReplaceAll(name, `\\`, "/")))))
	if strings.Trim(name, "./ ") == "" {
		return "photo"
	}
	return name
}

func (b *batch) drop() {
	for _, f := range b.files {
		os.Remove(f)
		os.RemoveAll(f + ".d")
	}
}

func (s *Server) lookAt(r *http.Request, b *batch) error {
	looked, err := s.desk.Look(r.Context(), b.files, b.made)
	if err != nil {
		return err
	}
	for i := range looked {
		looked[i].Sheet.File = b.names[i]
		if f := looked[i].Err; f != nil {
			looked[i].Err = f.Named(b.names[i])
		}
	}
	b.looked = looked
	return nil
}

// batchOf is the batch that a path names.
func (s *Server) batchOf(r *http.Request) (*batch, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, b := range s.batches {
		if b.id == r.PathValue("batch") {
			return b, nil
		}
	}
	return nil, fault.Usage("", "these photos are stowed, or too many came after them", "send them again")
}

// found shows what was found in photos, to stow it or to look again.
func found(s *Server, r *http.Request) (answer, error) {
	b, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	var sheets []cloth.Sheet
	var shown []int
	var refused []*fault.Error
	for i, l := range b.looked {
		if l.Err != nil {
			refused = append(refused, l.Err)
			continue
		}
		sheets, shown = append(sheets, l.Sheet), append(shown, i)
	}
	l := report.NewLook(sheets, report.RefusedOf(refused), shelf.Options{})
	l.Reader = look.Reader()
	d, err := l.Page(func(i int) (image.Image, error) { return photo.Upright(b.files[shown[i]], photoSide) })
	if err != nil {
		return answer{}, err
	}
	a := answer{document: d}
	for _, f := range refused {
		a.Wrong = strings.TrimPrefix(f.About+": "+f.Why, ": ")
		a.Remedy = f.Remedy
	}
	kinds := []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}
	a.Before = form("found.html", map[string]any{"ID": b.id, "Forms": words(cloth.Forms), "Kinds": words(kinds), "Made": b.made, "Pieces": len(l.Shelf.Items)})
	return a, nil
}

// again looks at photos once more, with what you said of them.
func again(s *Server, r *http.Request) (answer, error) {
	b, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	o := look.Options{Kind: cloth.Kind(r.FormValue("kind"))}
	if g := r.FormValue("grid"); g != "" {
		if _, err := fmt.Sscanf(strings.ReplaceAll(strings.ToLower(g), "×", "x"), "%dx%d", &o.Rows, &o.Cols); err != nil || o.Rows < 1 || o.Cols < 1 {
			return answer{}, fault.Usage(g, "this is not a grid", "write rows and columns, like 6x8")
		}
	}
	if v := r.FormValue("white"); v != "" {
		var x, y float64
		if _, err := fmt.Sscanf(v, "%f,%f", &x, &y); err != nil {
			return answer{}, fault.Usage(v, "this is not a place", "write pixels from the left and from the top, like 400,300")
		}
		o.White = &geom.Point{X: x, Y: y}
	}
	if v := r.FormValue("scale"); v != "" {
		if o.PxPerInch, err = strconv.ParseFloat(v, 64); err != nil || !(o.PxPerInch > 0 && o.PxPerInch < desk.Farthest) {
			return answer{}, fault.Usage(v, "this is not a scale", "write how many pixels an inch has, like 41.1")
		}
	}
	s.photos <- struct{}{}
	defer func() { <-s.photos }()
	b.made = o
	return answer{to: "/look/" + b.id}, s.lookAt(r, b)
}

// stow adds photos that were looked at to the stash.
func stow(s *Server, r *http.Request) (answer, error) {
	b, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	ask := desk.StowRequest{As: cloth.Form(r.FormValue("as")), Basket: r.FormValue("basket"), New: true, Alike: r.FormValue("alike") != ""}
	if v := r.FormValue("cut"); v != "" {
		in, err := cloth.ParseLengths([]string{v}, cloth.Inches)
		if err != nil {
			return answer{}, fault.Usage(v, "this is not a width", "write it like 2½ or 6cm")
		}
		ask.CutIn = in[0]
	}
	pieces, known := 0, 0
	for i, l := range b.looked {
		if l.Err != nil {
			continue
		}
		file, err := named(b.files[i], b.names[i])
		if err != nil {
			return answer{}, err
		}
		out, err := s.desk.StowLooked(r.Context(), file, l, ask)
		if err != nil {
			return answer{}, err
		}
		if out.Known {
			known++
		} else {
			pieces += len(out.Found)
		}
	}
	s.mu.Lock()
	for i, other := range s.batches {
		if other == b {
			s.batches = append(s.batches[:i], s.batches[i+1:]...)
			break
		}
	}
	s.mu.Unlock()
	b.drop()
	done := cloth.Count(pieces, "piece") + " stowed"
	if known > 0 {
		done += "; " + cloth.Count(known, "photo") + " known already"
	}
	return answer{to: "/shelf?" + url.Values{"done": {done}}.Encode()}, nil
}

// named is a file under the name that its photo has, in a folder of its own.
func named(file, name string) (string, error) {
	dir := file + ".d"
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	to := filepath.Join(dir, name)
	return to, os.Rename(file, to)
}
