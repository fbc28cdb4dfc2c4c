package page

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// fields reads what was written into a form. What cannot be read is kept as its error, field
// by field, and what was left empty is zero.
type fields struct {
	r   *http.Request
	err error
}

func (f *fields) text(name string) string { return strings.TrimSpace(f.r.FormValue(name)) }

func (f *fields) ticked(name string) bool { return f.r.FormValue(name) != "" }

// read reads one field; what is wrong with it names what was written.
func read[T any](f *fields, name string, as func(string) (T, error)) (v T) {
	text := f.text(name)
	if text == "" {
		return v
	}
	v, err := as(text)
	if x := fault.Of(err); x != nil && x.About == "" {
		err = x.Named(text)
	}
	if err != nil {
		f.wrongIn(name, err)
	}
	return v
}

// wrongIn notes what is wrong with a field, beside what is with fields before it.
func (f *fields) wrongIn(name string, err error) {
	var all inFields
	var one inField
	switch is := (inField{name, err}); {
	case f.err == nil:
		f.err = is
	case errors.As(f.err, &all):
		f.err = append(all, is)
	case errors.As(f.err, &one):
		f.err = inFields{one, is}
	}
}

// number reads a whole number within bounds.
func number(least, most int) func(string) (int, error) {
	return func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < least || n > most {
			return 0, fault.Usage("", "this is not a number that is meant here", "write a whole number from "+strconv.Itoa(least)+" to "+strconv.Itoa(most))
		}
		return n, nil
	}
}

// mostPieces bounds a count of pieces: no stash holds more.
const mostPieces = 1_000_000

// colour reads a hue family, which may be written with a value before it, and a value.
func (f *fields) colour() (family cloth.Family, value cloth.Value) {
	var shade cloth.Value
	family = read(f, "family", func(s string) (cloth.Family, error) {
		fam, v, ok := cloth.ReadFamily(s)
		if !ok {
			return "", fault.Usage("", "there is no such hue family", "choose one of the list")
		}
		shade = v
		return fam, nil
	})
	if value = read(f, "value", desk.ReadValue); value == "" {
		value = shade
	}
	return family, value
}

// metric returns the unit of lengths that name none.
func (f *fields) metric() cloth.Unit {
	if f.ticked("metric") {
		return cloth.Centimetres
	}
	return cloth.Inches
}

// length reads a length that may be 0, in the unit of the form.
func (f *fields) length(name string) float64 {
	return read(f, name, func(s string) (float64, error) { return desk.ReadLengthIn(s, f.metric()) })
}

// cut reads a length that cloth is cut to, in the unit of the form.
func (f *fields) cut(name string) float64 { return f.cutIn(name, f.metric()) }

func (f *fields) cutIn(name string, bare cloth.Unit) float64 {
	return read(f, name, func(s string) (float64, error) { return desk.ReadCutIn(s, bare) })
}

// sides reads a width and a length. Where one of them is metric and the other names no unit,
// nobody knows what the other is in.
func (f *fields) sides(width, length string) (w, l float64) {
	unit := f.metric()
	if unit == cloth.Inches && cloth.IsMetric(f.text(width)+" "+f.text(length)) {
		unit = cloth.Unsaid
	}
	return f.cutIn(width, unit), f.cutIn(length, unit)
}

// numbers reads numbers of pieces: those chosen, and those written.
func (f *fields) numbers() desk.Numbers {
	_ = f.r.ParseForm() // what cannot be parsed has no pieces
	all := append(slices.Clone(f.r.Form["piece"]), f.text("pieces"))
	n, err := desk.ReadNumbers(strings.Join(all, ","))
	if err == nil && n.All == nil {
		err = fault.Usage("", "no piece is chosen", "tick the pieces that you mean, or write their numbers")
	}
	if err != nil {
		f.wrongIn("pieces", err)
	}
	return n
}

// filter reads which part of the stash is meant.
func (f *fields) filter() stash.Filter {
	out := stash.Filter{Form: read(f, "form", desk.ReadForm), Bin: f.text("bin"), Basket: f.text("basket"), Print: f.text("print"), Photo: f.text("photo"), Cut: f.cut("cut"), Length: f.cut("length")}
	out.Family, out.Value = f.colour()
	return out
}

// asQuery is a filter as the fields of a form.
func asQuery(which stash.Filter) url.Values {
	out := url.Values{}
	for name, v := range map[string]string{"family": string(which.Family), "value": string(which.Value), "form": string(which.Form), "bin": which.Bin, "basket": which.Basket, "print": which.Print, "photo": which.Photo} {
		if v != "" {
			out.Set(name, v)
		}
	}
	for name, in := range map[string]float64{"cut": which.Cut, "length": which.Length} {
		if in > 0 {
			out.Set(name, shelf.Length(in))
		}
	}
	return out
}

// back returns the page that a form came from, to lead back to. Only the pages listed here
// are taken.
func (f *fields) back(otherwise string) string {
	to := f.text("back")
	for _, part := range []string{"/pieces", "/shelf", "/teach"} {
		if to == part || strings.HasPrefix(to, part+"/") || strings.HasPrefix(to, part+"?") {
			return to
		}
	}
	return otherwise
}

// withQuery returns an address with more in its query.
func withQuery(to string, more url.Values) string {
	u, err := url.Parse(to)
	if err != nil { // it is no address of the page
		return "/"
	}
	q := u.Query()
	for name, v := range more {
		q[name] = v
	}
	u.RawQuery = q.Encode()
	return u.String()
}
