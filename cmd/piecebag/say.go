package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/find"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// Exit codes. That of an interrupted command is the shells' own: 128 and the
// number of the signal.
const (
	exitFine        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitRefused     = 3
	exitInterrupted = 130
)

// exitHelp ends every help text.
const exitHelp = `
Exit codes:
  0    all went well
  1    it failed
  2    the command was wrong
  3    some photos or colours were refused, each named; the rest were kept
  130  it was interrupted
`

// errRefused says that some photos or colours were refused, each already named.
var errRefused = errors.New("some were refused")

// errFaults says that the stash has faults, each already named.
var errFaults = errors.New("the stash has faults")

// finish says what went wrong and turns it into an exit code. It is the only
// place that does.
func (s streams) finish(err error) int {
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errRefused):
		return exitRefused
	case errors.Is(err, errFaults):
		return exitFailed
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.Is(err, syscall.EPIPE):
		// Whoever read the answer had enough of it.
	case fault.Of(err) != nil:
		s.fault(fault.Of(err))
		if errors.Is(err, fault.ErrUsage) {
			return exitUsage
		}
	default:
		s.error(err.Error(), "this is a fault in piecebag; please report it, with the command you gave")
	}
	return exitFailed
}

func (s streams) error(reason, remedy string) {
	s.say("error", reason)
	s.say("hint", remedy)
}

// fault says what failed and what mends it.
func (s streams) fault(f *fault.Error) {
	f = worded(f)
	s.error(f.Error(), f.Remedy)
}

// faults says of each what failed and what mends it.
func (s streams) faults(all []*fault.Error) {
	for _, f := range all {
		s.fault(f)
	}
}

// refused names photos that were refused, after the answer: before it they would scroll
// out of sight. err is the failure to give the answer.
func (s streams) refused(all []*fault.Error, err error) error {
	s.faults(all)
	if err == nil && len(all) > 0 {
		return errRefused
	}
	return err
}

func (s streams) note(message string) { s.say("note", message) }

// longest is how many characters of a message are shown: what it quotes may be a
// whole file.
const longest = 1000

// say writes one line. Of one too long the middle is left out: the file stands at
// its beginning, the reason at its end.
func (s streams) say(kind, message string) {
	if r := []rune(message); len(r) > longest {
		message = string(r[:longest/2]) + " … " + string(r[len(r)-longest/2:])
	}
	fmt.Fprintf(s.err, "piecebag: %s: %s\n", kind, plain(message))
}

// flagError words what pflag says of a flag.
func flagError(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var bad *pflag.InvalidValueError
	see := "see '" + cmd.CommandPath() + " --help'"
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() != "":
		return fault.Usage("-"+unknown.GetSpecifiedShortnames(), "there is no such flag", see)
	case errors.As(err, &unknown):
		return fault.Usage("--"+unknown.GetSpecifiedName(), "there is no such flag", meantFlag(cmd, unknown.GetSpecifiedName(), see))
	case errors.As(err, &bare):
		return fault.Usage("--"+bare.GetFlag().Name, errEmpty.Error(), like(bare.GetFlag()))
	case errors.As(err, &bad) && errors.Is(err, errEmpty):
		return fault.Usage("--"+bad.GetFlag().Name, errEmpty.Error(), like(bad.GetFlag()))
	case errors.As(err, &bad) && errors.Is(err, errTwice):
		return fault.Usage("--"+bad.GetFlag().Name, errTwice.Error(), "give it once")
	case errors.As(err, &bad) && fault.Of(err) != nil:
		return aboutFlag(bad.GetFlag().Name, bad.GetValue(), err)
	case errors.As(err, &bad):
		return fault.Usage(fmt.Sprintf("--%s %s", bad.GetFlag().Name, bad.GetValue()), "it does not take this", like(bad.GetFlag()))
	}
	return fault.Usage("", err.Error(), see)
}

// otherFlags are names that flags are looked for by.
var otherFlags = map[string]string{
	"color": "family", "colour": "family", "hue": "family", "lightness": "value", "size": "cut", "width": "cut",
	"form": "as", "shape": "as", "box": "basket", "fabric": "print", "number": "id",
}

// meantFlag says which flag of a command was likely meant by a wrong name.
func meantFlag(cmd *cobra.Command, name, see string) string {
	if f := cmd.Flags().Lookup(otherFlags[strings.ToLower(name)]); f != nil {
		return like(f)
	}
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	if w, edits := cloth.Nearest(name, names); edits <= max(1, len(name)/4) {
		return like(cmd.Flags().Lookup(w))
	}
	return see
}

// like says how a flag is written.
func like(f *pflag.Flag) string {
	value, _ := pflag.UnquoteUsage(f)
	if f.NoOptDefVal != "" { // a switch
		value = "alone"
	}
	return "write --" + f.Name + " " + value
}

// door is how desk speaks on a terminal: a bar for what takes its time, notes, and
// questions.
type door struct {
	s   streams
	bar progress
}

// desk returns a desk over no stash, which looks at photos.
func (s streams) desk() *desk.Desk { return desk.New("", desk.Options{}).At((&door{s: s}).desk()) }

func (v *door) desk() desk.Door {
	return desk.Door{
		Begin: func(work desk.Work, steps int) { v.bar = v.s.progress(string(work), steps) },
		Step:  func() { v.bar.step() },
		End:   func() { v.bar.done() },
		Note:  v.note,
		Ask:   v.ask,
	}
}

func (v *door) note(n desk.Note) {
	v.bar.clear()
	switch n := n.(type) {
	case desk.NewName:
		v.s.note(fmt.Sprintf("a new %s: %s", n.Kind, n.Name))
	case desk.UnknownName:
		v.s.note(worded(n.Fault()).Full())
	case desk.NotKept:
		v.s.note(plain(n.Name) + ": the stash does not keep this photo, so it was not looked at again; name its file to have it looked at")
	}
}

func (v *door) ask(ctx context.Context, q desk.Question) (yes, asked bool, err error) {
	v.bar.clear()
	switch q := q.(type) {
	case desk.NearName:
		return v.s.ask(ctx, fmt.Sprintf("there is no %s %q yet, but there is %q. Make a new %s?", q.Kind, q.Name, q.Near, q.Kind))
	case desk.Copy:
		return v.s.ask(ctx, fmt.Sprintf("%s looks the same as %s, and its %s would count twice. Add it all the same?",
			q.File, desk.StowedOn(q.Of), cloth.Count(q.Pieces, "piece")))
	}
	if yes, asked, err = v.s.ask(ctx, "Change the stash so?"); !asked && err == nil {
		v.s.note("nothing was changed; to change the stash so, write the same with --yes")
	}
	return yes, asked, err
}

// ask asks on the terminal; where there is none, nothing was asked.
func (s streams) ask(ctx context.Context, question string) (yes, asked bool, err error) {
	in, isFile := s.in.(*os.File)
	if out, ok := s.err.(*os.File); !isFile || !ok || !term.IsTerminal(int(in.Fd())) || !term.IsTerminal(int(out.Fd())) {
		return false, false, nil
	}
	fmt.Fprintf(s.err, "piecebag: %s [y/N] ", plain(question))
	answer := make(chan string, 1)
	go func() {
		line, _ := bufio.NewReader(in).ReadString('\n') // the end of input is no answer
		answer <- strings.ToLower(strings.TrimSpace(line))
	}()
	select {
	case <-ctx.Done():
		return false, true, ctx.Err()
	case a := <-answer:
		return a == "y" || a == "yes", true, nil
	}
}

// takeBackup is the remedy where a ledger cannot be mended.
const takeBackup = "put the last backup back with 'piecebag restore FILE'; what is there is kept beside it"

// remedies are the commands and flags that mend what the other packages refuse, since
// none knows of either.
var remedies = fault.Remedies{
	{cutting.ErrManySizes, "name fewer by --cuts, or cut it in two first"},
	{find.ErrSmall, "leave --pieces off, or give a larger picture"},
	{find.ErrGrid, "%r with --outline"},
	{plan.ErrBed, "%r, or give --size"},
	{plan.ErrExtents, "give one of --blocks 24, --layout 4x6, --size 60x72 or --bed twin"},
	{plan.ErrExtentsFixed, "give --size or --bed, or neither: this quilt has one layout"},
	{plan.ErrLayoutFixed, "leave out --layout and --blocks, or take layout out of the recipe"},
	{plan.ErrBlockSmall, "give a larger --block"},
	{plan.ErrBlockCount, "give --size"},
	{plan.ErrShrinks, "leave --wash off, or write --size 60x72"},
	{recipe.ErrForm, "%r; 'piecebag recipe format' shows how"},
	{stash.ErrFolder, "%r with --stash"},
	{stash.ErrBusy, "wait for the other command, or end it, and try again"},
	{stash.ErrGone, takeBackup + "; to begin afresh, move this folder away first"},
	{stash.ErrNoCopy, "keep the backups you have; 'piecebag check' says what can be mended"},
	{stash.ErrLedger, takeBackup},
	{stash.ErrMissingPhoto, "stow it again, or run check with --repair to note that it is not kept; its pieces stay"},
	{stash.ErrChangedPhoto, "run check with --repair to move it aside, then stow the photo again; its pieces stay"},
	{stash.ErrOrphan, "run check with --repair to move it aside"},
	{stash.ErrScripts, "run check with --repair: it is set again"},
	{stash.ErrCounts, "run check with --repair: they are counted again"},
	{stash.ErrNotTaught, "see 'piecebag teach list'"},
	{files.ErrReplaceable, "%r, or add --force to replace it"},
	{recipe.ErrNoBlock, "%r; 'piecebag recipe list' lists those built in"},
	{desk.ErrNoStash, "stow a photo or add pieces first, or name the folder with --stash"},
	{desk.ErrNothingToAdd, addRemedy},
	{desk.ErrNoWeight, "write --weight 350g"},
	{desk.ErrYardWeight, "%r, like --yard 140g --width 42"},
	{desk.ErrNoColour, "%r; 'piecebag name --help' lists them"},
	{desk.ErrNoNumbers, numbersRemedy},
	{stash.ErrNoPiece, "see 'piecebag shelf --pieces' for the numbers"},
	{desk.ErrNoPiece, "see 'piecebag shelf --pieces' for the numbers"},
	{desk.ErrNoneNamed, "piecebag ideas RECIPE.toml --only"},
	{desk.ErrNoPrint, "see 'piecebag shelf --pieces' for the names"},
	{desk.ErrEmptyBasket, "see 'piecebag shelf --pieces' for the baskets"},
	{desk.ErrNoPatch, "%r; 'piecebag shelf --pieces' lists the numbers"},
	{desk.ErrWithout, "leave --no-stash off"},
	{desk.ErrNoFloor, "see 'piecebag floor list'"},
	{desk.ErrNothingTaught, "write 'piecebag teach basket BIN PHOTO…'"},
	{desk.ErrNothingSeen, "help the finder: see 'piecebag teach basket --help'"},
	{desk.ErrUnmeasured, "photograph it and 'piecebag recount' the photo, or write its colour, like '#f2ede0'"},
	{desk.ErrNoBackground, "name one with --background, like --background '#f2ede0'"},
	{desk.ErrNoGround, "stow it first, or leave --background off"},
	{desk.ErrPlanUnread, "take it away by 'piecebag plan --forget %q' and plan it anew"},
	{desk.ErrExampleUnread, "forget the bin by 'piecebag teach forget %q' and teach it again"},
	{desk.ErrNoNumber, "see 'piecebag look %s' for their numbers"},
	{desk.ErrAlike, "%r; if it shows other pieces, write 'piecebag stow --alike' with it"},
	{desk.ErrAlikeHere, "%r; if they show other pieces, add --alike"},
	{desk.ErrAlikeKept, "%r; if this photo shows other pieces, add --alike"},
}

// worded returns a failure with the command or the flag that mends it.
func worded(f *fault.Error) *fault.Error {
	out := *remedies.Worded(f)
	var near desk.NearName
	var unknown desk.UnknownName
	switch {
	case errors.As(f, &near):
		out.Remedy = fmt.Sprintf("write %s, or add --new to make a new %s", quoted(near.Near), near.Kind)
	case errors.As(f, &unknown) && unknown.Near != "":
		out.Remedy = "write " + quoted(unknown.Near)
	case errors.As(f, &unknown):
		out.Remedy = "see 'piecebag shelf --pieces' for the names there are"
	}
	return &out
}
