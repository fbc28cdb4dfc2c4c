package truth

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// NameClaim is a family or value that was said, and what was named beside it as
// nearly as likely.
type NameClaim struct {
	Claim
	Or      bool // whether another was named
	OrRight bool
	// Apart says that it is fitted apart from the others: a family that is dull, a value in
	// light that was estimated, with nothing white in view.
	Apart bool
}

// Parted returns the claims that are fitted together, and those apart.
func Parted(claims []NameClaim) (together, apart []NameClaim) {
	for _, c := range claims {
		if c.Apart {
			apart = append(apart, c)
		} else {
			together = append(together, c)
		}
	}
	return together, apart
}

// Names is how true the trust in families or in values is.
type Names struct {
	Said  int           `json:"said"`
	Right *float64      `json:"right"`
	Trust []Calibration `json:"trust"`
	Brier *float64      `json:"brier"`
	// Of those said with trust 0.9 or more.
	Sure      int      `json:"sure"`
	SureRight *float64 `json:"sure_right"`
	// Of those that name two: the first is right, one of the two is.
	TossUps     int      `json:"toss_ups"`
	FirstRight  *float64 `json:"first_right"`
	EitherRight *float64 `json:"either_right"`
	// Line is what to do to the log-odds of trust to make it true.
	Line Refit `json:"line"`
}

// Refit is at + slope × log-odds.
type Refit struct {
	At    float64 `json:"at"`
	Slope float64 `json:"slope"`
}

// NamesOf sums claims up.
func NamesOf(claims []NameClaim) Names {
	out := Names{Said: len(claims)}
	all := make([]Claim, len(claims))
	for i, c := range claims {
		all[i] = c.Claim
	}
	of := func(so func(c NameClaim) bool) int { return count(claims, so) }
	out.Sure, out.TossUps = of(func(c NameClaim) bool { return c.Trust >= 0.9 }), of(func(c NameClaim) bool { return c.Or })
	sure := of(func(c NameClaim) bool { return c.Trust >= 0.9 && c.Right })
	first := of(func(c NameClaim) bool { return c.Or && c.Right })
	either := of(func(c NameClaim) bool { return c.Or && (c.Right || c.OrRight) })
	out.Right, out.Trust, out.Brier = share(rightOf(all), len(all)), calibrate(all), brier(all)
	out.SureRight = share(sure, out.Sure)
	out.FirstRight, out.EitherRight = share(first, out.TossUps), share(either, out.TossUps)
	out.Line = fitLine(all)
	return out
}

// fitLine returns the logistic regression of right on the log-odds of trust, by Newton's
// method, held lightly to the line it starts from so that few claims move it little.
func fitLine(claims []Claim) Refit {
	const held = 1 // as much as four claims at even odds
	at, slope := 0.0, 1.0
	for range 50 {
		ga, gs := -held*at, -held*(slope-1)
		haa, has, hss := float64(held), 0.0, float64(held)
		for _, c := range claims {
			x := odds(c.Trust)
			p := Refit{at, slope}.of(c.Trust)
			d := -p
			if c.Right {
				d = 1 - p
			}
			ga += d
			gs += d * x
			w := p * (1 - p)
			haa += w
			has += w * x
			hss += w * x * x
		}
		det := haa*hss - has*has
		da, ds := (hss*ga-has*gs)/det, (haa*gs-has*ga)/det
		at += da
		slope += ds
		if math.Abs(da)+math.Abs(ds) < 1e-9 {
			break
		}
	}
	return Refit{at, slope}
}

// odds returns the log-odds of a trust, held to what can be counted.
func odds(trust float64) float64 {
	t := min(0.999, max(0.001, trust))
	return math.Log(t / (1 - t))
}

// of returns what the line makes of a trust.
func (l Refit) of(trust float64) float64 { return 1 / (1 + math.Exp(-l.At-l.Slope*odds(trust))) }

// After returns the line that first takes m and then l.
func (l Refit) After(m Refit) Refit {
	return Refit{l.At + l.Slope*m.At, l.Slope * m.Slope}
}

// WriteNames prints it as text.
func WriteNames(w io.Writer, name string, n Names) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d said, right %s, Brier score %s\n", name, n.Said, figure(n.Right, 3), figure(n.Brier, 3))
	fmt.Fprintf(&b, "  trust 0.9 or more: %d, right %s\n", n.Sure, figure(n.SureRight, 3))
	fmt.Fprintf(&b, "  two named: %d, the first right %s, one of them %s\n", n.TossUps, figure(n.FirstRight, 3), figure(n.EitherRight, 3))
	for _, k := range n.Trust {
		fmt.Fprintf(&b, "  from %.1f%9d%13.3f%13.3f\n", k.From, k.Said, k.Trust, k.Right)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
