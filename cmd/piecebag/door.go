package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
)

// door is how desk speaks on a terminal: a bar for what takes its time, notes, and
// questions.
type door struct {
	s   streams
	bar progress
}

// desk is a desk over no stash, which looks at photos.
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

// remedies are the commands and flags that mend what desk refuses, since it knows
// neither: each in the place of desk's own remedy.
var remedies = []struct {
	kind   error
	remedy func(f *fault.Error) string
}{
	{desk.ErrNoStash, says("stow a photo or add pieces first, or name the folder with --stash")},
	{desk.ErrNothingToAdd, says(addRemedy)},
	{desk.ErrNoWeight, says("write --weight 350g")},
	{desk.ErrNoColour, adds("; 'piecebag name --help' lists them")},
	{desk.ErrNoNumbers, says(numbersRemedy)},
	{desk.ErrNoPiece, says("see 'piecebag shelf --pieces' for the numbers")},
	{desk.ErrNoPrint, says("see 'piecebag shelf --pieces' for the names")},
	{desk.ErrEmptyBasket, says("see 'piecebag shelf --pieces' for the baskets")},
	{desk.ErrNoFloor, says("see 'piecebag floor list'")},
	{desk.ErrNothingTaught, says("write 'piecebag teach basket BIN PHOTO…'")},
	{desk.ErrNothingSeen, says("help the finder: see 'piecebag teach basket --help'")},
	{desk.ErrUnmeasured, says("photograph it and 'piecebag recount' the photo, or write its colour, like '#f2ede0'")},
	{desk.ErrNoBackground, says("name one with --background, like --background '#f2ede0'")},
	{desk.ErrNoGround, says("stow it first, or leave --background off")},
	{desk.ErrPlanUnread, func(f *fault.Error) string {
		return fmt.Sprintf("take it away by 'piecebag plan --forget %q' and plan it anew", f.About)
	}},
	{desk.ErrExampleUnread, func(f *fault.Error) string {
		return fmt.Sprintf("forget the bin by 'piecebag teach forget %q' and teach it again", f.About)
	}},
	{desk.ErrNoNumber, func(f *fault.Error) string { return "see 'piecebag look " + f.About + "' for their numbers" }},
	{desk.ErrAlike, adds("; if it shows other pieces, write 'piecebag stow --alike' with it")},
	{desk.ErrAlikeHere, adds("; if they show other pieces, add --alike")},
	{desk.ErrAlikeKept, adds("; if this photo shows other pieces, add --alike")},
}

func says(remedy string) func(*fault.Error) string {
	return func(*fault.Error) string { return remedy }
}

func adds(more string) func(*fault.Error) string {
	return func(f *fault.Error) string { return f.Remedy + more }
}

// worded is a failure with the command or the flag that mends it.
func worded(f *fault.Error) *fault.Error {
	out := *f
	for _, r := range remedies {
		if errors.Is(f, r.kind) {
			out.Remedy = r.remedy(f)
			return &out
		}
	}
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
