package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

var (
	// errTwice is a flag that was given twice: of two values one would be lost in
	// silence.
	errTwice = errors.New("it is given twice")
	// errEmpty is a flag that was given nothing, as an unset variable of a shell gives
	// it: it would pass for a flag left off.
	errEmpty = errors.New("its value is missing")
)

// once is the value of a flag that may be given once, and not empty.
type once struct {
	pflag.Value
	given bool
}

// Set is that of pflag.Value.
func (o *once) Set(s string) error {
	switch {
	case o.given:
		return errTwice
	case s == "":
		return errEmpty
	}
	o.given = true
	return o.Value.Set(s)
}

// giveOnce has every flag of a command and of those below it given once, but for
// those that gather all they are given.
func giveOnce(cmd *cobra.Command) {
	wrap := func(f *pflag.Flag) {
		_, done := f.Value.(*once)
		if _, many := f.Value.(*gathered); !done && !many {
			f.Value = &once{Value: f.Value}
		}
	}
	cmd.Flags().SortFlags = false // help lists them in the order of use
	cmd.Flags().VisitAll(wrap)
	cmd.PersistentFlags().VisitAll(wrap)
	for _, c := range cmd.Commands() {
		giveOnce(c)
	}
}

// parsed is the value of a flag that is read as soon as it is given. A fault of reading
// it is about the flag: see flagError.
type parsed struct {
	text string
	read func(string) error
}

// String is that of pflag.Value.
func (p *parsed) String() string { return p.text }

// Type is that of pflag.Value.
func (p *parsed) Type() string { return "string" }

// Set is that of pflag.Value.
func (p *parsed) Set(s string) error {
	if err := p.read(s); err != nil {
		return err
	}
	p.text = s
	return nil
}

// readTo defines a flag that is read as it is given; value is the text of what it holds
// where it is not.
func readTo(fl *pflag.FlagSet, name, value, usage string, read func(string) error) {
	fl.Var(&parsed{value, read}, name, usage)
}

// readVar is readTo for what is read into one variable.
func readVar[T any](fl *pflag.FlagSet, to *T, name, value, usage string, read func(string) (T, error)) {
	readTo(fl, name, value, usage, into(to, read))
}

// gathered is the value of a flag that may be given more than once.
type gathered struct{ parsed }

// manyVar is readVar for a flag that gathers all that it is given.
func manyVar[T any](fl *pflag.FlagSet, to *[]T, name, usage string, read func(string) ([]T, error)) {
	fl.Var(&gathered{parsed{read: func(s string) error {
		more, err := read(s)
		*to = append(*to, more...)
		return err
	}}}, name, usage)
}

func into[T any](to *T, read func(string) (T, error)) func(string) error {
	return func(s string) (err error) {
		*to, err = read(s)
		return err
	}
}

// unread returns why the value of a flag was not read, and what to write instead.
func unread(reason, remedy string) error { return fault.Usage("", reason, remedy) }

// lower reads a word in any case: A4 and a4 are one paper.
func lower(s string) (string, error) { return strings.ToLower(strings.TrimSpace(s)), nil }

// oneOf reads one of a few words, in any case; reason says that there is no other.
func oneOf[T ~string](words []T, reason string) func(string) (T, error) {
	return func(s string) (T, error) {
		word, _ := lower(s)
		if !slices.Contains(words, T(word)) {
			return "", unread(reason, "write "+orList(words))
		}
		return T(word), nil
	}
}

// count reads a number from least to most.
func count(least, most int, reason, remedy string) func(string) (int, error) {
	return func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < least || n > most {
			return 0, unread(reason, remedy)
		}
		return n, nil
	}
}

// before has flags of a command checked together before it runs.
func before(cmd *cobra.Command, check func(*pflag.FlagSet) error) {
	others := cmd.PreRunE
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error {
		if others != nil {
			if err := others(cmd, args); err != nil {
				return err
			}
		}
		return check(cmd.Flags())
	}
}

// notTogether refuses flags of a command of which each says what another says otherwise.
func notTogether(cmd *cobra.Command, remedy string, names ...string) {
	before(cmd, func(fl *pflag.FlagSet) error {
		if len(given(fl, names...)) < 2 {
			return nil
		}
		last := len(names) - 1
		return fault.Usage("", "--"+strings.Join(names[:last], ", --")+" and --"+names[last]+" cannot be given together", remedy)
	})
}

// given returns those flags that are given.
func given(fl *pflag.FlagSet, names ...string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !fl.Changed(name) })
}

// newVar defines --new of a command that writes names of bins, baskets or prints.
func newVar(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "new", false, "make a new bin, basket or print, though its name is like another's")
}

// forceFlag defines --force, for commands that write files named by the user.
func forceFlag(fl *pflag.FlagSet) *bool {
	return fl.Bool("force", false, "replace a file of the same kind that piecebag did not write")
}

// takes returns the rule of a command that works on so many words: few and many say what is
// wrong, of the first word too many.
func takes(least, most int, few, many *fault.Error) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return few
		case len(args) > most:
			return many.Named(args[most])
		}
		return nil
	}
}

// atLeastOne refuses a command without what it works on.
func atLeastOne(reason, remedy string) cobra.PositionalArgs {
	return takes(1, mostPieces, fault.Usage("", reason, remedy), nil)
}

// noArgs refuses what stands after a command that takes only flags.
func noArgs(cmd *cobra.Command, args []string) error {
	_, name, _ := strings.Cut(cmd.CommandPath(), " ")
	return takes(0, 0, nil, fault.Usage("", name+" takes only flags", "see '"+cmd.CommandPath()+" --help'"))(cmd, args)
}

// oneNumber returns the rule of a command that works on one number, from 1 to most. Without
// it the number stays as it is, or the command is refused by none; wrong says of another
// word what is wrong.
func oneNumber(to *int, most int, none, wrong *fault.Error) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) == 0 && none != nil {
			return none
		}
		if len(args) == 0 {
			return nil
		}
		n, ok := readCount(args[0], 1)
		if !ok || n > most || len(args) > 1 {
			return wrong.Named(args[len(args)-1])
		}
		*to = n
		return nil
	}
}

// group returns a command that only gathers others; remedy names them.
func group(cmd *cobra.Command, remedy string, commands ...*cobra.Command) *cobra.Command {
	cmd.Args = func(_ *cobra.Command, args []string) error {
		return takes(0, 0, nil, fault.Usage("", cmd.Name()+" does not do this", remedy))(cmd, args)
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
	cmd.AddCommand(commands...)
	return cmd
}

// mostPieces bounds a count of pieces: no stash holds more.
const mostPieces = 1_000_000

// readCount reads a number of pieces, from least up.
func readCount(s string, least int) (int, bool) {
	n, err := count(least, mostPieces, "", "")(s)
	return n, err == nil
}

// wrong refuses the value of a flag.
func wrong(flag, value, reason, remedy string) error {
	return fault.Usage(fmt.Sprintf("--%s %s", flag, value), reason, remedy)
}

func orList[T ~string](names []T) string {
	words := make([]string, len(names))
	for i, n := range names {
		words[i] = string(n)
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// plain returns a name fit for a terminal.
func plain(s string) string { return cloth.Printable(s) }

// measureWords stand in help for values that may be several words, such as 3 1/2.
var measureWords = []string{"LENGTH", "WIDTH", "WIDTHS", "SIZES", "WEIGHT", "SEAM", "ROWSxCOLUMNS", "COLUMNSxROWS", "WIDTHxLENGTH", "BED"}

// joinMeasures joins what a shell made several words of: --cut 3 1/2 was once 3
// inches and a photo called 1/2.
func joinMeasures(root *cobra.Command, args []string) []string {
	cmd, _, err := root.Find(args)
	if err != nil {
		return args
	}
	args = slices.Clone(args)
	for i := 0; i < len(args) && args[i] != "--"; i++ {
		word, isFlag := strings.CutPrefix(args[i], "--")
		name, value, here := strings.Cut(word, "=")
		flag := cmd.Flags().Lookup(name)
		if !isFlag || flag == nil {
			continue
		}
		if word, _ := pflag.UnquoteUsage(flag); !slices.Contains(measureWords, word) {
			continue
		}
		if !here {
			if i++; i == len(args) {
				break
			}
			value = args[i]
		}
		for i+1 < len(args) && goesOn(value, args[i+1]) {
			value += " " + args[i+1]
			args[i] += " " + args[i+1]
			args = slices.Delete(args, i+1, i+2)
		}
	}
	return args
}

var (
	wholeEnd   = regexp.MustCompile(`(?:^|[\s,x×*])\d+$`)
	openEnd    = regexp.MustCompile(`[,x×*]$`)
	numberWord = regexp.MustCompile(`^[\d.⅛¼⅜½⅝¾⅞]`)
	fraction   = regexp.MustCompile(`^(?:\d{1,3}[/⁄]\d{1,3}|[⅛¼⅜½⅝¾⅞])(?:in|"|″|cm|mm)?(?:[x×*,].*)?$`)
	unitWord   = regexp.MustCompile(`(?i)^(?:in|inch|inches|cm|mm|m|yds?|yards?|metres?|meters?|g|kg|oz|lb)(?:[x×*,].*)?$`)
	crossWord  = regexp.MustCompile(`(?i)^[x×*][\d.,/⁄⅛¼⅜½⅝¾⅞]*(?:in|"|″|cm|mm)?$`)
)

// goesOn reports whether a word goes on with the measure that those before it began:
// the fraction of 3 1/2, the unit of 6 cm, the x of 60 x 72.
func goesOn(measure, next string) bool {
	switch {
	case openEnd.MatchString(measure):
		return numberWord.MatchString(next)
	case wholeEnd.MatchString(measure) && fraction.MatchString(next):
		return true
	}
	return unitWord.MatchString(next) || crossWord.MatchString(next)
}

// measures are flags of a command that take lengths. They are read together, since what
// names no unit is in centimetres with --metric, else in inches; beside lengths in
// centimetres or millimetres it may be either, as cloth is sold in the one and cut in
// the other, and is refused.
type measures struct {
	metric bool // --metric
	all    []measure
}

type measure struct {
	name string
	text *string
	read func(text string, bare cloth.Unit) error
}

// add defines a flag that read reads; what it refuses is about the flag.
func (m *measures) add(fl *pflag.FlagSet, name, value, usage string, read func(text string, bare cloth.Unit) error) {
	m.all = append(m.all, measure{name, fl.String(name, value, usage), read})
}

// unit returns what lengths that name none are in, of the flags and of others beside them.
func (m *measures) unit(others ...string) cloth.Unit {
	if m.metric {
		return cloth.Centimetres
	}
	for _, x := range m.all {
		others = append(others, *x.text)
	}
	return unitBeside(others...)
}

func unitBeside(given ...string) cloth.Unit {
	if slices.ContainsFunc(given, cloth.IsMetric) {
		return cloth.Unsaid
	}
	return cloth.Inches
}

// read reads the flags that were given or have a value of their own.
func (m *measures) read(bare cloth.Unit) error {
	for _, x := range m.all {
		if *x.text == "" {
			continue
		}
		if err := x.read(*x.text, bare); err != nil {
			return aboutFlag(x.name, *x.text, err)
		}
	}
	return nil
}

// aboutFlag says of what the value of a flag is refused for that it is about the flag.
func aboutFlag(name, value string, err error) error {
	switch f := fault.Of(err); {
	case errors.Is(err, cloth.ErrUnit):
		return wrong(name, value, noUnit, unitRemedy)
	case f != nil && f.About == "":
		return fault.Usage(fmt.Sprintf("--%s %s", name, value), f.Why, f.Remedy, f.Causes...)
	}
	return err
}

const (
	noUnit     = "it names no unit, and a length beside it is in centimetres or millimetres"
	unitRemedy = "write the unit of each: in, cm or mm"
)

// lengthTo reads a length.
func lengthTo(to *float64, reason, remedy string) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) error {
		in, err := cloth.ParseLengths([]string{s}, bare)
		if err != nil {
			return fault.New("", reason, remedy, err)
		}
		*to = in[0]
		return nil
	}
}

// lengthOrNoneTo reads a length that may be 0.
func lengthOrNoneTo(to *float64) func(string, cloth.Unit) error {
	read := lengthTo(to, "this is not a length", "write it like ½ or 1cm, or 0 for none")
	return func(s string, bare cloth.Unit) error {
		if s == "0" {
			return nil
		}
		return read(s, bare)
	}
}

// cutTo reads a length of cloth.
func cutTo(to *float64) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) (err error) {
		*to, err = desk.ReadCutIn(s, bare)
		return err
	}
}

// readCuts reads lengths to cut with commas between, which name all a unit or none.
func readCuts(s string) ([]float64, error) { return desk.ReadCuts(s, unitBeside(s)) }

// cutsTo reads lengths to cut with commas between.
func cutsTo(to *[]float64) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) (err error) {
		*to, err = desk.ReadCuts(s, bare)
		return err
	}
}

// seamTo defines the flag for a seam allowance.
func (m *measures) seamTo(fl *pflag.FlagSet, to *recipe.System) {
	m.add(fl, "seam", "¼", "the `SEAM` allowance: ¼, scant, 6.5mm, 7.5mm", func(s string, unit cloth.Unit) (err error) {
		*to, err = desk.ReadSystem(s, unit)
		return err
	})
}

// blockTo defines the flag for the width of a block.
func (m *measures) blockTo(fl *pflag.FlagSet, to *float64) {
	m.add(fl, "block", "", "make the block another finished `WIDTH`, e.g. 9 or 15cm",
		lengthTo(to, "this is not a width", "write the width of the finished block, like 9 or 15cm"))
}

// metricFlag defines --metric.
func (m *measures) metricFlag(fl *pflag.FlagSet) {
	fl.BoolVar(&m.metric, "metric", false, "read and write centimetres; lengths in cm or mm have them written too")
}
