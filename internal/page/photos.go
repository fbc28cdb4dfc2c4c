package page

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/disintegration/imaging"
	"golang.org/x/sync/errgroup"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// photoRoutes take photos in.
var photoRoutes = []route{
	{"GET /{$}", home}, {"GET /card", cardFile},
	{"POST /look", shownBy(home, send)},
	{"GET /look/{batch}", firstPhoto}, {"POST /look/{batch}/stow", shownBy(mendFirst, stow)}, {"POST /look/{batch}/drop", shownBy(mendFirst, drop)}, {"GET /look/{batch}/report", lookFile},
	{"GET /look/{batch}/{photo}", mendPage}, {"GET /look/{batch}/{photo}/picture", picture}, {"POST /look/{batch}/{photo}/say", shownBy(mendPage, say)},
}

const (
	photoSide    = 1600 // longer side of a photo as it is shown, pixels
	shownAs      = 84   // JPEG quality, 1..100
	mostNamed    = 100  // bytes of a photo's name
	mostTogether = 50   // photos of a batch
)

// home takes photos in and leads to those not stowed yet.
func home(s *Server, r *http.Request) (answer, error) {
	a := answer{document: report.Titled("What is in the bag?", "Photograph cut cloth lying on something plain, with a white card or sheet beside it.")}
	v := struct {
		Waiting []waitingView
		Lends   string // whose stash a newcomer may play with
	}{Waiting: s.waitingViews()}
	if n, err := s.desk.Latest(r.Context()); err == nil && n == 0 && len(v.Waiting) == 0 {
		v.Lends = s.lends()
	}
	a.Before = s.form(r, "home.html", v)
	a.Scripts = []string{"send.js"}
	return a, nil
}

// waitingView is a batch that is not stowed yet.
type waitingView struct{ At, Names, Photos string }

func (s *Server) waitingViews() (out []waitingView) {
	for _, b := range s.waiting.all() {
		names := b.now.Load().names
		out = append(out, waitingView{b.at(), cloth.Few(names), cloth.Count(len(names), "photo")})
	}
	return out
}

// cardFile answers with the reference card to print.
func cardFile(_ *Server, r *http.Request) (answer, error) {
	paper := r.FormValue("paper")
	if !slices.Contains(report.Papers, paper) {
		return answer{}, fault.Usage(paper, "this is no paper that the card is made for", "choose one of the page")
	}
	var b bytes.Buffer
	err := report.Card(&b, paper)
	return answer{file: &file{kind: mediaTypes["pdf"], name: "piecebag-card-" + paper + ".pdf", data: b.Bytes()}}, err
}

// send takes photos into the batch that the query names, or into a new one, and looks at
// them.
func send(s *Server, r *http.Request) (answer, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return answer{}, fault.Usage("", "no photo was sent", "choose one or more")
	}
	if err := take(r.Context(), s.waiting.coming); err != nil {
		return answer{}, err
	}
	defer func() { <-s.waiting.coming }()
	b, err := s.waiting.room(s.waiting.find(r.URL.Query().Get("batch")))
	if err != nil {
		return answer{}, err
	}
	in, err := s.waiting.begin()
	if err != nil {
		return answer{}, err
	}
	came, err := s.waiting.receive(in, parts)
	if err == nil && came == 0 {
		err = fault.Usage("", "no photo was sent", "choose one or more")
	}
	if err != nil {
		s.waiting.drop(in)
		return answer{}, err
	}
	for i, p := range in.photos { // sent again, a photo is mended as it was when it was stowed
		if m := s.waiting.stowed.mended(in.hash(i)); m != nil {
			p.Mends = []*desk.Mend{{}, m}
		}
	}
	b, err = s.waiting.join(in, b)
	defer b.mu.Unlock()
	if err == nil {
		err = s.waiting.show(b, mostBatches)
	}
	if err != nil {
		s.waiting.drop(in)
		return answer{}, err
	}
	if err := s.lookAt(r, b, b.every()...); err != nil { // they are kept, and looked at when they are asked for
		return answer{}, err
	}
	if err := s.unreadable(b, b.photos[len(b.photos)-came:]); err != nil {
		return answer{}, err
	}
	if wantsData(r) {
		return answer{data: b.sentData(s.root, came)}, nil
	}
	return answer{to: b.at()}, nil
}

// unreadable has photos not wait that were sent together and none of which can be read: the
// error says why. Where some can be read the page of the others says so.
func (s *Server) unreadable(b *batch, came []*sent) error {
	var why []string
	for _, p := range came {
		if p.looked.Err == nil {
			return nil
		}
		why = append(why, p.Name+": "+p.looked.Err.Why)
	}
	remedy := came[0].looked.Err.Remedy
	if len(came) == len(b.photos) {
		s.waiting.drop(b)
	} else {
		for _, p := range slices.Clone(came) {
			if err := b.release(p); err != nil {
				return err
			}
		}
	}
	return fault.New("", cloth.Few(why), remedy, nil)
}

// sentData tells a script of the photos that came last; root is what addresses begin with.
func (b *batch) sentData(root string, came int) any {
	type one struct {
		Name   string `json:"name"`
		At     string `json:"at"`
		Pieces int    `json:"pieces"`
		Wrong  string `json:"wrong,omitempty"`
	}
	var all []one
	for i, p := range b.photos {
		if i < len(b.photos)-came {
			continue
		}
		x := one{Name: p.Name, At: root + b.photoAt(i), Pieces: len(p.looked.Sheet.Pieces)}
		if f := p.looked.Err; f != nil {
			x.Wrong = f.Why + "; " + remedies.Worded(f).Remedy
		}
		all = append(all, x)
	}
	return map[string]any{"batch": b.id, "at": root + b.at(), "photos": all}
}

// receive keeps the photos of a form, under names of ours: nothing that was sent is a
// path.
func (w *waiting) receive(b *batch, parts *multipart.Reader) (came int, err error) {
	for {
		if _, err := w.room(b); err != nil {
			return came, err
		}
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return came, nil
		}
		if errors.Is(err, io.ErrUnexpectedEOF) {
			err = fault.Usage("", "the photos did not come whole", "send them again")
		}
		if err != nil {
			return came, err
		}
		if p.FormName() != "photo" || p.FileName() == "" {
			continue
		}
		if len(b.photos) == mostTogether {
			return came, fault.Usage("", "at most "+cloth.Count(mostTogether, "photo")+" are looked at together", "stow these first, then send the others")
		}
		if err := b.add(calledBase(p.FileName()), p); err != nil {
			return came, err
		}
		came++
	}
}

// calledBase returns a photo's name without its folders and without letters that a terminal
// or a file system refuses, at most mostNamed bytes long.
func calledBase(name string) string {
	name = strings.ReplaceAll(name, "%22", `"`) // as browsers send it: HTML Standard, multipart/form-data
	name = filepath.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(r rune) rune {
		if strings.ContainsRune(`<>:"/|?*`, r) || r == utf8.RuneError {
			return '_'
		}
		return r
	}, string(cloth.PrintableLines([]byte(name))))
	ext := filepath.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	for len(stem)+len(ext) > mostNamed && stem != "" {
		_, last := utf8.DecodeLastRuneInString(stem)
		stem = stem[:len(stem)-last]
	}
	name = stem + ext
	if name = strings.Trim(name, " "); strings.Trim(name, "./ ") == "" || len(name) > mostNamed {
		return "photo"
	}
	return name
}

// take waits for one of some places, as long as somebody waits for the answer.
func take(ctx context.Context, places chan struct{}) error {
	select {
	case places <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// lookAt looks at those photos of a batch that were not looked at since what you say of
// them last changed.
func (s *Server) lookAt(r *http.Request, b *batch, which ...int) error {
	if err := take(r.Context(), s.photos); err != nil {
		return err
	}
	defer func() { <-s.photos }()
	var all errgroup.Group
	for _, i := range which {
		if !b.photos[i].seen {
			all.Go(func() error { return s.lookOne(r, b, i) })
		}
	}
	if err := all.Wait(); err != nil {
		return err
	}
	return b.keep()
}

func (s *Server) lookOne(r *http.Request, b *batch, i int) error {
	p := b.photos[i]
	looked, err := s.desk.Look(r.Context(), []string{b.file(i)}, p.mend().Options())
	if err != nil {
		return err
	}
	p.looked, p.seen = looked[0], true
	p.looked.Sheet.File = p.Name
	if f := p.looked.Err; f != nil {
		p.looked.Err = f.Named(p.Name)
	}
	p.mend().Settle(p.looked.Sheet)
	return nil
}

// batchOf returns the batch that a path names, locked until done is called.
func (s *Server) batchOf(r *http.Request) (b *batch, done func(), err error) {
	b = s.waiting.find(r.PathValue("batch"))
	if b == nil {
		return nil, nil, errStowed
	}
	b.mu.Lock()
	if _, err := os.Stat(filepath.Join(b.dir, batchFile)); errors.Is(err, fs.ErrNotExist) { // taken away outside of the page
		s.waiting.lose(b)
	}
	if s.waiting.find(b.id) != b { // somebody was quicker
		b.mu.Unlock()
		return nil, nil, errStowed
	}
	return b, b.mu.Unlock, nil
}

var errStowed = fault.Usage("", "these photos are stowed, or were thrown away", "look for them on the shelf, or send them again")

// every returns the indices of all photos of the batch.
func (b *batch) every() []int {
	out := make([]int, len(b.photos))
	for i := range out {
		out[i] = i
	}
	return out
}

// photoOf returns the index of the photo that a path names by its number.
func (b *batch) photoOf(r *http.Request) (int, error) {
	n, err := strconv.Atoi(r.PathValue("photo"))
	i := slices.IndexFunc(b.photos, func(p *sent) bool { return p.Number == n })
	if err != nil || i < 0 {
		return 0, errNoPage(r)
	}
	return i, nil
}

// firstOf returns the address and the number of the first photo of a batch that can be mended.
func (s *Server) firstOf(r *http.Request) (at string, number int, err error) {
	b, done, err := s.batchOf(r)
	if err != nil {
		return "", 0, err
	}
	defer done()
	if err := s.lookAt(r, b, b.every()...); err != nil {
		return "", 0, err
	}
	i := max(0, slices.IndexFunc(b.photos, func(p *sent) bool { return p.looked.Err == nil }))
	return b.photoAt(i), b.photos[i].Number, nil
}

func firstPhoto(s *Server, r *http.Request) (answer, error) {
	at, _, err := s.firstOf(r)
	return after(at, told(r)), err
}

// mendFirst shows that photo.
func mendFirst(s *Server, r *http.Request) (answer, error) {
	_, number, err := s.firstOf(r)
	if err != nil {
		return answer{}, err
	}
	r.SetPathValue("photo", strconv.Itoa(number))
	return mendPage(s, r)
}

// picture is a photo as it is shown, made once.
func picture(s *Server, r *http.Request) (answer, error) {
	b, done, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	i, err := b.photoOf(r)
	if err != nil {
		return answer{}, err
	}
	data, err := os.ReadFile(b.shown(i))
	if err != nil {
		if err := take(r.Context(), s.photos); err != nil {
			return answer{}, err
		}
		defer func() { <-s.photos }()
		m, err := photo.Upright(b.file(i), photoSide)
		if err != nil {
			return answer{}, err
		}
		var w bytes.Buffer
		if err := imaging.Encode(&w, m, imaging.JPEG, imaging.JPEGQuality(shownAs)); err != nil {
			return answer{}, err
		}
		data = w.Bytes()
		if err := os.WriteFile(b.shown(i), data, 0o600); err != nil {
			return answer{}, err
		}
		b.size.Add(int64(len(data)))
	}
	return answer{file: &file{kind: "image/jpeg", data: data, kept: true}}, nil
}

// lookFiles are the files that a look can be kept as, without anything being stowed.
var lookFiles = []report.Way{documentFiles[0], asPicture, asTable}

// lookFile answers with what was found in the photos of a batch, as they are mended, as a file
// to keep.
func lookFile(s *Server, r *http.Request) (answer, error) {
	b, done, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	if err := s.lookAt(r, b, b.every()...); err != nil {
		return answer{}, err
	}
	var sheets []cloth.Sheet
	var files []string
	var refused []*fault.Error
	for i, p := range b.photos {
		if p.looked.Err != nil {
			refused = append(refused, p.looked.Err)
			continue
		}
		shown, _ := p.mend().Apply(p.looked.Sheet)
		sheets, files = append(sheets, shown), append(files, b.file(i))
	}
	l := report.NewLook(sheets, report.RefusedOf(refused, wording), shelf.Options{})
	l.Reader = look.Reader()
	pictures := desk.Pictures(r.Context(), files, photoSide)
	var w bytes.Buffer
	as := r.FormValue("as")
	switch as {
	case documentFiles[0].To:
		err = report.HTML(&w, l, pictures)
	case asPicture.To:
		err = report.Picture(&w, l, pictures)
	case asTable.To:
		err = report.CSV(&w, l)
	default:
		return answer{}, fault.Usage(as, "there is no such kind of file", "choose one of the page")
	}
	return answer{file: &file{kind: mediaTypes[as], name: fileName(strings.TrimSuffix(b.photos[0].Name, filepath.Ext(b.photos[0].Name))) + "." + as, data: w.Bytes()}}, err
}

// stow adds the photos of a batch to the stash as they are mended, or counts a basket by
// them anew.
func stow(s *Server, r *http.Request) (answer, error) {
	b, done, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	f := &fields{r: r}
	cut := f.cut("cut")
	if err = f.err; err == nil {
		err = s.lookAt(r, b, b.every()...)
	}
	if err != nil {
		return answer{}, err
	}
	ask := desk.StowRequest{As: cloth.Form(r.FormValue("as")), Basket: r.FormValue("basket"), CutIn: cut, New: f.ticked("new"), Alike: r.FormValue("alike") != ""}
	if r.FormValue("recount") != "" {
		said, err := s.recount(r, b, ask)
		if err != nil {
			return answer{}, err
		}
		s.waiting.drop(b)
		return after("/shelf", said), nil
	}
	said, err := s.stowAll(r, b, ask)
	if err != nil {
		return answer{}, err
	}
	if len(b.photos) > 0 { // what could not be read, or shows no piece, may be mended still
		return after(b.photoAt(0), said+"; "+cloth.Count(len(b.photos), "photo")+" waiting still"), nil
	}
	s.waiting.drop(b)
	return after("/shelf", said), nil
}

// stowing is the work of one press of the button Stow.
type stowing struct {
	*Server
	b             *batch
	press         string
	pieces, known int
	said          []string // beside how many
	held          []string // that stay waiting, and why
	remedy        string
}

// stowAll stows the photos in which pieces were found, and leaves the others waiting. What
// was said of one that the stash has is put onto its pieces there.
func (s *Server) stowAll(r *http.Request, b *batch, ask desk.StowRequest) (said string, err error) {
	w := &stowing{Server: s, b: b, press: secret()[:16]}
	for _, p := range slices.Clone(b.photos) {
		if p.looked.Err != nil || len(p.looked.Sheet.Pieces) == 0 {
			continue
		}
		if err := w.stow(r.Context(), p, ask); err != nil {
			if done := w.done(); done != "" {
				err = fault.In(done+" of the photos before it", err)
			}
			return "", err
		}
	}
	switch {
	case w.done() == "" && w.held != nil:
		return "", fault.Usage("", strings.Join(w.held, "; "), w.remedy)
	case w.done() == "":
		return "", fault.Usage("", "nothing was found to stow", "draw the pieces, or say what kind of photo it is")
	case w.held != nil:
		w.said = append(w.said, "not stowed: "+strings.Join(w.held, "; "))
	}
	return strings.Join(append([]string{w.done()}, w.said...), "; "), nil
}

// done says what was stowed so far.
func (w *stowing) done() string {
	switch {
	case w.known == 0 && w.pieces == 0:
		return ""
	case w.known == 0:
		return cloth.Count(w.pieces, "piece") + " stowed"
	}
	return cloth.Count(w.pieces, "piece") + " stowed; " + cloth.Count(w.known, "photo") + " known already"
}

// stow stows one photo. It is stowed to the end also where nobody waits for the answer any
// more.
func (w *stowing) stow(ctx context.Context, p *sent, ask desk.StowRequest) error {
	ctx = context.WithoutCancel(ctx)
	i := slices.Index(w.b.photos, p)
	looked, m := p.looked, p.mend()
	looked.Said = m.Stow()
	was := w.was(i)
	var out desk.Stowed
	stow := func() (_ int64, err error) {
		out, err = w.desk.StowLooked(ctx, w.b.file(i), looked, ask)
		if out.Known {
			return 0, err
		}
		return out.Sum.ID, err
	}
	known, err := w.desk.Knows(ctx, was.Hash)
	switch {
	case err != nil:
	case known == "":
		err = w.noted(ctx, stow, was)
	default:
		_, err = stow()
	}
	if f := fault.Of(err); f != nil && errors.Is(err, desk.ErrAlike) { // the others are not held up
		w.held, w.remedy = append(w.held, p.Name+": "+f.Why), "tick that it counts all the same, or throw it away"
		return nil
	}
	if err != nil {
		if was.Change != 0 { // it is stowed all the same
			err = errors.Join(err, w.b.release(p))
		}
		return err
	}
	if !out.Known {
		w.pieces += len(out.IDs)
		return w.b.release(p)
	}
	w.known++
	was = w.was(i)
	was.Hash, was.Known = out.Hash, true
	var told desk.Retold
	tell := func() (_ int64, err error) { return out.Sum.ID, nil }
	before := w.waiting.stowed.mended(out.Hash)
	differs := m.Differs(before)
	if differs {
		tell = func() (_ int64, err error) {
			told, err = w.desk.Retell(ctx, desk.RetellRequest{Hash: out.Hash, Looked: looked, Mend: *m, Before: before})
			return cmp.Or(told.Change.ID, out.Sum.ID), err
		}
	}
	if err := w.noted(ctx, tell, was); err != nil {
		return fault.In(p.Name, err)
	}
	if differs {
		w.said = append(w.said, p.Name+": "+retold(told))
	}
	return w.b.release(p)
}

// was returns what is to be remembered of a photo of the batch.
func (w *stowing) was(i int) *wasStowed {
	p := w.b.photos[i]
	return &wasStowed{Hash: w.b.hash(i), Batch: w.b.id, Number: p.Number, Name: p.Name, Mend: p.mend(), Press: w.press}
}

// noted stows photos, and remembers them, so that they wait again where that is taken back.
// Where they cannot be remembered they are stowed all the same.
func (w *stowing) noted(ctx context.Context, do func() (int64, error), photos ...*wasStowed) error {
	noted, err := w.noting(ctx, photos, do)
	if err == nil && noted != nil {
		w.log.Printf("what was said of stowed photos: %v", noted)
		w.said = append(w.said, "what you said of "+photos[0].Name+" could not be remembered: taken back it does not wait again")
	}
	return err
}

// retold says what became of your corrections of a photo that the stash had already.
func retold(t desk.Retold) string {
	var out []string
	for _, list := range []struct {
		all []desk.Told
		how string
	}{{t.Put, "put onto its pieces in the stash: "}, {t.Not, "not put, since the stash counts such a piece no more: "}} {
		var words []string
		for _, x := range list.all {
			switch {
			case x.ID != 0:
				words = append(words, fmt.Sprintf("%s of piece %d", x.Words, x.ID))
			case x.Piece != 0:
				words = append(words, fmt.Sprintf("%s of piece %d of the photo", x.Words, x.Piece))
			default:
				words = append(words, x.Words)
			}
		}
		if words != nil {
			out = append(out, list.how+strings.Join(words, ", "))
		}
	}
	out = append(out, differenceWords(t.Difference, func(id int64) bool {
		return slices.ContainsFunc(t.Put, func(x desk.Told) bool { return x.ID == id })
	})...)
	if out == nil {
		return "the stash said so already"
	}
	return strings.Join(out, "; ")
}

// differenceWords say how many pieces of a photo are more, fewer or otherwise by a look, but
// for those that are told of already.
func differenceWords(d desk.Difference, told func(id int64) bool) (out []string) {
	others := 0
	for _, p := range d.Stay {
		if p.Differs() && !told(p.Is.ID) {
			others++
		}
	}
	for _, n := range []struct {
		n    int
		what string
	}{{len(d.More), "more"}, {len(d.Fewer), "fewer"}, {others, "otherwise by this look"}} {
		if n.n > 0 {
			out = append(out, cloth.Count(n.n, "piece")+" "+n.what)
		}
	}
	return out
}

func (s *Server) recount(r *http.Request, b *batch, ask desk.StowRequest) (said string, err error) {
	q := desk.RecountRequest{Basket: ask.Basket, CutIn: ask.CutIn, As: ask.As, New: ask.New, Alike: ask.Alike}
	if q.Basket == "" && q.CutIn == 0 {
		return "", fault.Usage("", "it is not said what is counted anew", "name the basket, or the cut")
	}
	var looked []desk.Looked
	for i, p := range b.photos {
		l := p.looked
		l.Said = p.mend().Stow()
		q.Files, looked = append(q.Files, b.file(i)), append(looked, l)
	}
	ctx := context.WithoutCancel(r.Context())
	w := &stowing{Server: s, b: b, press: secret()[:16]}
	var photos []*wasStowed
	for i := range b.photos {
		was := w.was(i)
		known, err := s.desk.Knows(ctx, was.Hash)
		if err != nil {
			return "", err
		}
		was.Hash, was.Known = cmp.Or(known, was.Hash), known != ""
		photos = append(photos, was)
	}
	var out desk.Recounted
	if err := w.noted(ctx, func() (_ int64, err error) {
		out, err = s.desk.RecountLooked(ctx, q, looked)
		return out.Change.ID, err
	}, photos...); err != nil {
		return "", err
	}
	if len(out.Refused) > 0 {
		return "", out.Refused[0]
	}
	return strings.Join(append([]string{"counted anew: " + out.Change.What}, w.said...), "; "), nil
}

// drop throws away photos that are not stowed yet.
func drop(s *Server, r *http.Request) (answer, error) {
	b, done, err := s.batchOf(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	if n := r.FormValue("photo"); n != "" && len(b.photos) > 1 {
		r.SetPathValue("photo", n)
		i, err := b.photoOf(r)
		if err != nil {
			return answer{}, err
		}
		name := b.photos[i].Name
		return after(b.at(), name+" is thrown away"), b.release(b.photos[i])
	}
	s.waiting.drop(b)
	return after("/", "thrown away; the stash is as it was"), nil
}
