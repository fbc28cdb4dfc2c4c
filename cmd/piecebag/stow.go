package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// stowFlags are those of stow and recount, as written.
type stowFlags struct {
	look  lookFlags
	which whichFlags
	names given
	again bool
	yes   bool
	alike bool
	json  *bool
}

func newStow(l *ledger) *cobra.Command {
	var f stowFlags
	cmd := &cobra.Command{
		Use:   "stow PHOTO… [FOLDER…]",
		Short: "Find the pieces in photos and add them to the stash",
		Long: `Stow looks at photos as look does and adds the pieces to the stash, each photo
as one change that 'piecebag undo' takes back. A photo that the stash knows is
not added twice, nor is a copy of it, saved again, turned or made smaller, unless
you say so; a part cut out of it is not known again. --as and --cut say what the
pieces are where you know it: a stack of folded strips, a tin of squares cut 2½.
Folders are searched for photos.

--again looks again at photos that the stash knows, at all it keeps where none is
named: a later piecebag may read them better. It says what would change, photo by
photo, and changes it only when you say yes, or add --yes. What you corrected stays,
and so do the numbers of pieces, their bins, baskets and prints. All of it is one
change that 'piecebag undo' takes back.`,
		Example: `  piecebag stow table.jpg --basket blues
  piecebag stow tin.jpg --as squares --cut 2½
  piecebag stow photos
  piecebag stow --again`,
		Args: func(cmd *cobra.Command, args []string) error {
			if f.again {
				return nil
			}
			return atLeastOne("no photo is given", "name photos or folders, e.g. piecebag stow basket.jpg")(cmd, args)
		},
	}
	f.which.define(cmd, "as", "cut", "basket")
	f.names.define(cmd)
	cmd.Flags().BoolVar(&f.again, "again", false, "look again at photos that the stash knows, and say what would change")
	cmd.Flags().BoolVar(&f.yes, "yes", false, "change what --again finds to change")
	f.alikeFlag(cmd)
	f.look.defineHelp(cmd)
	f.json = wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, which, err := f.options()
		if err != nil {
			return err
		}
		if f.yes && !f.again {
			return fault.Usage("", "--yes goes with --again, and that is not given", "leave it off; without --again nothing is asked that it could answer")
		}
		if len(args) == 0 && f.which != (whichFlags{}) {
			return fault.Usage("", "--as, --cut and --basket are of new photos, and none is named", "leave them off, or name photos")
		}
		files, refused := photo.Walk(args)
		if f.again && len(files) != 1 {
			for _, name := range ofOnePhoto {
				if cmd.Flags().Changed(name) {
					return fault.Usage("", "--"+name+" is of one photo, and --again would look so at "+map[bool]string{true: "all that the stash keeps", false: cloth.Count(len(files), "photo")}[len(args) == 0], "name the one photo that it is of, or leave it off")
				}
			}
		}
		if err := f.look.readPieces(&o, files); err != nil {
			return err
		}
		w := stower{
			l: l, which: which, names: f.names.of(f.which), alike: f.alike, tell: func(stowed) error { return nil },
			again: f.again, whole: len(args) == 0, yes: f.yes,
		}
		if !*f.json {
			w.tell = l.tellStowed
		}
		more, err := w.stow(cmd.Context(), files, o)
		refused = append(refused, more...)
		if errors.Is(err, context.Canceled) {
			l.s.note("interrupted: " + photosKept(w.all))
		}
		if err != nil && len(w.all) == 0 {
			return err
		}
		said := w.stowed(refused, err == nil, *f.json) // also what went in before it failed
		w.noteUnapplied(f.which)
		w.noteLeft()
		if err != nil {
			return err
		}
		return said
	}
	return cmd
}

// ofOnePhoto are the flags that say something of one photo; others are of how you cut.
var ofOnePhoto = []string{"kind", "grid", "outline", "crop", "white", "scale", "pieces"}

// photosKept says how many photos went in.
func photosKept(all []stowed) string {
	n := 0
	for _, s := range all {
		if !s.Known {
			n++
		}
	}
	return cloth.Count(n, "photo") + " kept"
}

// noteUnapplied says that what the flags say of the pieces was not said of photos
// that the stash knew before.
func (w *stower) noteUnapplied(f whichFlags) {
	var flags []string
	for _, x := range [][2]string{{"--as", f.as}, {"--cut", f.cut}, {"--basket", f.basket}} {
		if x[1] != "" {
			flags = append(flags, x[0])
		}
	}
	if flags == nil {
		return
	}
	for _, s := range w.all {
		if s.Known {
			w.l.s.note(s.file + ": already known, so " + strings.Join(flags, " and ") + " changed nothing; write 'piecebag recount' to count it anew, or 'piecebag fix' to correct its pieces")
		}
	}
}

// noteLeft says what became of what cameras wrote into the photos that were kept.
func (w *stower) noteLeft() {
	var files []string
	var left []stash.Left
	for _, s := range w.all {
		files, left = append(files, s.file), append(left, s.Left)
	}
	w.l.noteLeft(files, left)
}

func (l *ledger) noteLeft(files []string, left []stash.Left) {
	out := 0
	for i, what := range left {
		switch what {
		case stash.LeftOut:
			out++
		case stash.LeftIn:
			l.s.note(files[i] + ": what the camera wrote into it, such as place and time, could not be taken out of the copy kept; to have it without, take this back with 'piecebag undo' and stow the photo exported as JPEG")
		}
	}
	if out > 0 {
		l.s.note("what the camera wrote into " + cloth.Count(out, "photo") + ", such as place and time, is left out of the copies kept; the pictures are untouched, and your own files too")
	}
}

// options reads the flags: how to look, and what the pieces are.
func (f *stowFlags) options() (look.Options, stash.Filter, error) {
	o, err := f.look.options()
	if err != nil {
		return o, stash.Filter{}, err
	}
	which, err := f.which.filter()
	return o, which, err
}

// stowed is what became of one photo.
type stowed struct {
	file string
	stash.Stowed
	again *stash.Reread // of a known photo looked at again
	kept  bool          // its file was lost, and is kept again
	into  []placed
	asks  []ask
	notes []string // of the look at it
	seen  seen     // of a new one
	left  int      // things in it left out as too doubtful
	like  string   // the photo that it is a copy of, by your word
}

// stower puts photos into the stash. It opens one that is there, and makes one
// only when there is something to put in.
type stower struct {
	l     *ledger
	which stash.Filter       // what you say the pieces are
	names given              // that it writes
	again bool               // look again at photos that are known
	whole bool               // at all of them
	yes   bool               // and change what is found to change
	alike bool               // copies count
	tell  func(stowed) error // is told of each photo when it is done

	st     *stash.Stash // nil where there is none yet
	sorter sorter
	all    []stowed      // what is done
	known  []known       // to be looked at again
	change *stash.Change // what that changed; nil where nothing was changed
}

// done notes what became of a photo.
func (w *stower) done(one stowed) error {
	w.all = append(w.all, one)
	return w.tell(one)
}

func (w *stower) open(ctx context.Context) error {
	dir, err := w.l.folder()
	if err != nil {
		return err
	}
	if w.st, err = stash.Open(dir, stash.Options{Now: time.Now}); err != nil {
		return err
	}
	if err := w.l.newNames(ctx, w.st, w.names); err != nil {
		return err
	}
	w.sorter, err = taught(ctx, w.st)
	return err
}

func (w *stower) close() error {
	if w.st == nil {
		return nil
	}
	return w.st.Close()
}

// stow looks at files, as many at a time as are looked at together so that what
// is done is kept whatever becomes of the rest, and adds each to the stash.
func (w *stower) stow(ctx context.Context, files []string, o look.Options) (refused []*fault.Error, err error) {
	defer func() { err = errors.Join(err, w.close()) }()
	there, err := w.l.exists()
	if err == nil && there {
		err = w.open(ctx)
	}
	if err == nil && w.whole {
		return w.reread(ctx, o)
	}
	if err != nil {
		return nil, err
	}
	bar := w.l.s.progress("stowing", len(files))
	defer bar.done()
	for len(files) > 0 {
		some := files[:min(atOnce, runtime.GOMAXPROCS(0), len(files))]
		files = files[len(some):]
		var fresh []string
		for _, file := range some {
			hash, known, err := w.knows(ctx, file)
			if err != nil {
				return refused, err
			}
			if known {
				bar.clear()
				one, err := w.keep(ctx, file, hash)
				if err == nil && w.again {
					w.lookAgain(one, file)
				} else if err == nil {
					err = w.done(one)
				}
				if err != nil {
					return refused, err
				}
				bar.step()
				continue
			}
			fresh = append(fresh, file)
		}
		results, err := lookAll(ctx, fresh, o, bar.step)
		if err != nil {
			return refused, err
		}
		bar.clear()
		for i, r := range results {
			if r.err != nil {
				refused = append(refused, r.err)
				continue
			}
			one, err := w.put(ctx, fresh[i], r)
			if errors.Is(err, errAlike) {
				refused = append(refused, fault.Of(err))
				continue
			}
			if err == nil {
				err = w.done(one)
			}
			if err != nil {
				return refused, err
			}
		}
	}
	if w.known != nil {
		bar.done()
		more, err := w.reread(ctx, o)
		return append(refused, more...), err
	}
	return refused, nil
}

// put adds one photo.
func (w *stower) put(ctx context.Context, file string, r looked) (stowed, error) {
	sheet := r.sheet
	out := stowed{file: file, notes: sheet.Notes}
	if w.st == nil {
		if err := w.open(ctx); err != nil {
			return out, err
		}
	}
	p, err := stashPhoto(file, sheet, w.which)
	if err != nil {
		return out, err
	}
	known, err := knownBytes(ctx, w.st, p.Bytes)
	if err != nil {
		return out, err
	}
	if !known {
		of, err := w.copied(ctx, file, r)
		if of != nil {
			out.like, out.Stowed = of.Name, stash.Stowed{Hash: of.Hash, Known: true}
		}
		if of != nil || err != nil {
			return out, err
		}
	}
	sorted := w.sorter.sort(sheet.Pieces)
	p.Bins = sorted.bins
	if out.Stowed, err = w.st.Stow(ctx, p); err != nil {
		return out, err
	}
	if out.Known { // a copy of one that came in just before
		out.kept = out.Sum.ID != 0
		return out, nil
	}
	out.into, out.asks = sorted.into, sorted.asks
	if err := w.st.KeepLook(ctx, out.Hash, r.look[0]); err != nil {
		return out, err
	}
	ids, err := idsOf(ctx, w.st, out.Hash)
	for i := range out.asks {
		out.asks[i].ID = ids[out.asks[i].Piece]
	}
	out.seen, out.left = seen{file, sheet.Pieces, ids}, len(sheet.Left)
	return out, err
}

// stashPhoto reads the bytes of a photo that was looked at.
func stashPhoto(file string, sheet cloth.Sheet, which stash.Filter) (stash.Photo, error) {
	data, err := readInput(file, mostPhoto, checkName)
	if err != nil {
		return stash.Photo{}, err
	}
	return stash.Photo{Name: filepath.Base(file), Bytes: data, Sheet: sheet, As: which.Form, Basket: which.Basket, Cut: which.Cut}, nil
}

// knows tells whether the stash has a photo, by its bytes; one that cannot be
// read is left to those who look at it.
func (w *stower) knows(ctx context.Context, file string) (hash string, known bool, err error) {
	if w.st == nil {
		return "", false, nil
	}
	f, err := openInput(file, checkName)
	if err != nil {
		return "", false, nil
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", false, nil
	}
	hash, err = w.st.Known(ctx, hex.EncodeToString(sum.Sum(nil)))
	return hash, hash != "", err
}

// keep keeps the file of a photo that the stash knows where it was lost.
func (w *stower) keep(ctx context.Context, file, hash string) (stowed, error) {
	out := stowed{file: file, Stowed: stash.Stowed{Hash: hash, Known: true}}
	p, err := stashPhoto(file, cloth.Sheet{}, w.which)
	if err != nil {
		return out, err
	}
	_, out.kept, err = w.st.Keep(ctx, p.Name, p.Bytes)
	return out, err
}

// tellStowed says what became of a photo as soon as it is done: a folder takes
// minutes.
func (l *ledger) tellStowed(s stowed) error {
	name := plain(s.file)
	const again = "the photo was lost, and is kept again"
	text := name + ": " + piecesIn(s)
	switch {
	case s.again != nil:
		text = name + ": " + rereadText(*s.again)
		if s.kept {
			text = name + ": " + again + "\n" + text
		}
	case s.like != "":
		text = name + ": left out, as a copy of " + plain(s.like)
	case s.Known:
		text = name + ": already known"
		if s.kept {
			text += "; " + again
		}
	}
	if s.left > 0 {
		text += "\n  " + cloth.Count(s.left, "thing") + " that may be cloth left out as too doubtful; 'piecebag look' says where"
	}
	if len(s.MayBe) > 0 {
		text += "\n  prints that you may have: " + mayBeText(s.MayBe)
	}
	_, err := fmt.Fprint(l.s.out, text+"\n"+sortedText(s.into, s.asks))
	if why := look.WhyNone(s.notes); why != "" {
		l.s.note(name + ": " + why)
	}
	return answered(err)
}

// mayBeText says which prints may be ones that the stash knew.
func mayBeText(all []stash.MayBe) string {
	parts := make([]string, len(all))
	for i, m := range all {
		pieces := make([]string, len(m.Pieces))
		for k, n := range m.Pieces {
			pieces[k] = strconv.Itoa(n)
		}
		parts[i] = fmt.Sprintf("%s may be %s: %s", plain(m.Print), plain(m.Known), strings.Join(pieces, ", "))
	}
	return strings.Join(parts, "; ")
}

// stowed answers with the sum, or with all of it in JSON; photos that were
// refused are named after the answer. Where not all was done there is no sum.
func (w *stower) stowed(refused []*fault.Error, whole, asJSON bool) error {
	s := w.l.s
	var err error
	switch {
	case asJSON:
		err = answerJSON(s, w.json(refused))
	case whole:
		_, err = fmt.Fprint(s.out, w.sum(len(refused)))
		err = answered(err)
	}
	for _, r := range refused {
		s.error(r.Error(), r.Remedy)
	}
	if err == nil && len(refused) > 0 {
		return errRefused
	}
	return err
}

func (w *stower) sum(refused int) string {
	fresh, known, again, other := 0, 0, 0, 0
	for _, s := range w.all {
		switch {
		case s.again != nil:
			again++
			if changes(*s.again) {
				other++
			}
		case s.Known:
			known++
		default:
			fresh++
		}
	}
	var words []string
	if fresh > 0 || again == 0 {
		words = append(words, strconv.Itoa(fresh)+" stowed")
	}
	if known > 0 {
		words = append(words, strconv.Itoa(known)+" already known")
	}
	if again > 0 {
		words = append(words, strconv.Itoa(again)+" looked at again")
	}
	if refused > 0 {
		words = append(words, strconv.Itoa(refused)+" refused")
	}
	out := stowedFirst(w.doubted()) + strings.Join(words, ", ") + "\n"
	switch {
	case w.change != nil:
		out += cloth.Count(other, "photo") + " changed; 'piecebag undo' takes it back\n"
	case other > 0:
		out += cloth.Count(other, "photo") + " would change; nothing is changed yet\n"
	}
	return out
}

// doubted lists what may be wrong of all that went in.
func (w *stower) doubted() []doubted {
	var photos []seen
	for _, s := range w.all {
		photos = append(photos, s.seen)
	}
	return doubtedIn(photos)
}

func piecesIn(s stowed) string {
	if s.Added == 0 {
		return "no pieces found"
	}
	return cloth.Count(s.Added, "piece") + ": " + differenceWords(s.Sum)
}

func differenceWords(c stash.Change) string { return report.Difference(changesOf(c.Difference)) }

// binNames names bins to choose between.
func binNames(bins []string) []string {
	out := make([]string, len(bins))
	for i, b := range bins {
		out[i] = b
		if b == "" {
			out[i] = "none of your bins"
		}
	}
	return out
}

type (
	jsonStowed struct {
		Reader string     `json:"reader"` // as in look --json
		Photos []jsonStow `json:"photos"`
		// LookFirst are the pieces that went in of which something may well be wrong.
		LookFirst []jsonFirst `json:"look_first,omitempty"`
		Refused   []struct {
			File  string `json:"file"`
			Error string `json:"error"`
		} `json:"refused"`
		Change *jsonChange `json:"change,omitempty"` // of photos looked at again, where it was made
	}
	jsonStow struct {
		File   string      `json:"file"`
		Hash   string      `json:"hash"`
		Known  bool        `json:"known"`
		Kept   bool        `json:"kept_again,omitempty"` // its file, which was lost
		Added  int         `json:"added"`
		Camera stash.Left  `json:"camera_data,omitempty"` // "out" of the copy kept, or "kept" in it
		Change *jsonChange `json:"change,omitempty"`      // of one that went in
		Again  *jsonReread `json:"again,omitempty"`       // what looking again changes, or would
		Sorted []placed    `json:"sorted,omitempty"`      // into bins of yours
		Ask    []ask       `json:"ask,omitempty"`
		Doubt  []jsonDoubt `json:"toss_ups,omitempty"`
		MayBe  []jsonMayBe `json:"may_be,omitempty"`
		Notes  []string    `json:"notes,omitempty"` // of the photo, where it was looked at
	}
	// jsonMayBe is a print that got a name of its own, but that may be another.
	jsonMayBe struct {
		Print  string  `json:"print"`
		MayBe  string  `json:"may_be"`
		Trust  float64 `json:"trust"` // probability that it is
		Pieces []int   `json:"pieces"`
	}
)

// jsonDoubt is a piece that lies between two names, as look --json has it.
type jsonDoubt struct {
	Piece    int          `json:"piece"`
	Family   cloth.Family `json:"family"`
	FamilyOr cloth.Family `json:"family_or,omitempty"`
	Value    cloth.Value  `json:"value"`
	ValueOr  cloth.Value  `json:"value_or,omitempty"`
}

func doubts(pieces []cloth.Piece) (out []jsonDoubt) {
	for _, p := range pieces {
		if p.FamilyOr != "" || p.ValueOr != "" {
			out = append(out, jsonDoubt{p.ID, p.Family, p.FamilyOr, p.Value, p.ValueOr})
		}
	}
	return out
}

func (w *stower) json(refused []*fault.Error) jsonStowed {
	out := jsonStowed{Reader: look.Reader(), Photos: make([]jsonStow, len(w.all)), LookFirst: firstJSON(w.doubted())}
	if w.change != nil {
		c := changeJSON(*w.change)
		out.Change = &c
	}
	for i, s := range w.all {
		j := jsonStow{File: s.file, Hash: s.Hash, Known: s.Known, Kept: s.kept, Added: s.Added, Camera: s.Left, Sorted: s.into, Ask: s.asks, Doubt: doubts(s.seen.found), Notes: s.notes}
		for _, m := range s.MayBe {
			j.MayBe = append(j.MayBe, jsonMayBe{m.Print, m.Known, math.Round(100*m.Trust) / 100, m.Pieces})
		}
		switch {
		case s.again != nil:
			j.Again = rereadJSON(*s.again)
		case !s.Known:
			c := changeJSON(s.Sum)
			j.Change = &c
		}
		out.Photos[i] = j
	}
	out.Refused = make([]struct {
		File  string `json:"file"`
		Error string `json:"error"`
	}, len(refused))
	for i, r := range refusals(refused) {
		out.Refused[i].File, out.Refused[i].Error = r.File, r.Error
	}
	return out
}
