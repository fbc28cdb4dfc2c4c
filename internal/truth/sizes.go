package truth

import (
	"fmt"
	"io"
	"math"
	"strings"

	"piecebag/internal/cloth"
)

// SizeRow sums up how true sizes are in some photos. A nil figure was not asked
// for by any of them.
type SizeRow struct {
	Name       string   `json:"name"` // the kind of photo, and whether with a reference
	Photos     int      `json:"photos"`
	Scaled     *float64 `json:"scaled"`      // share of photos whose scale was told
	ScaleRight *float64 `json:"scale_right"` // of them
	Asked      int      `json:"asked"`       // sizes
	Answered   *float64 `json:"answered"`    // share of them that was answered
	Said       int      `json:"said"`        // sizes in all
	Right      *float64 `json:"right"`       // share of what was said
}

// Calibration compares what answers of like trust were said to be with what they
// were.
type Calibration struct {
	From  float64 `json:"from"` // trust, up to the next
	Said  int     `json:"said"`
	Trust float64 `json:"trust"` // mean
	Right float64 `json:"right"` // share
}

// Sizes is how true the sizes and scales of some photos are.
type Sizes struct {
	Rows   []SizeRow     `json:"rows"`
	Sizes  []Calibration `json:"sizes"`
	Scales []Calibration `json:"scales"`
	// Brier is the mean square of trust against truth (Brier 1950, Mon. Weather
	// Rev. 78(1)), of sizes; nil where none was said.
	Brier *float64 `json:"brier"`
}

// SizesOf sums results up by kind, and by whether a reference is in view.
func SizesOf(rs []Result) Sizes {
	var out Sizes
	add := func(name string, in func(Result) bool) {
		row := SizeRow{Name: name}
		scaled, scaleRight, answered, right := 0, 0, 0, 0
		for _, r := range rs {
			if !in(r) {
				continue
			}
			row.Photos++
			if r.Scale != nil {
				scaled++
				if r.Scale.Right {
					scaleRight++
				}
			}
			row.Asked += r.Measurable
			answered += r.Answered
			row.Said += len(r.Sizes)
			right += rightOf(r.Sizes)
		}
		if row.Photos == 0 {
			return
		}
		row.Scaled, row.ScaleRight = share(scaled, row.Photos), share(scaleRight, scaled)
		row.Answered, row.Right = share(answered, row.Asked), share(right, row.Said)
		out.Rows = append(out.Rows, row)
	}
	for _, k := range []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile, ""} {
		name := string(k)
		if k == "" {
			name = "all"
		}
		of := func(r Result) bool { return k == "" || r.Kind == k }
		add(name+" with", func(r Result) bool { return of(r) && r.HasReference })
		add(name+" without", func(r Result) bool { return of(r) && !r.HasReference })
	}
	add("all", func(Result) bool { return true })
	var sizes, scales []Claim
	for _, r := range rs {
		sizes = append(sizes, r.Sizes...)
		if r.Scale != nil {
			scales = append(scales, *r.Scale)
		}
	}
	out.Sizes, out.Scales = calibrate(sizes), calibrate(scales)
	out.Brier = brier(sizes)
	return out
}

// brier returns the mean square of trust against truth (Brier 1950); nil without claims.
func brier(claims []Claim) *float64 {
	if len(claims) == 0 {
		return nil
	}
	sum := 0.0
	for _, c := range claims {
		d := c.Trust
		if c.Right {
			d = 1 - c.Trust
		}
		sum += d * d / float64(len(claims))
	}
	return &sum
}

// calibrate puts claims into tenths of trust; 1 counts to the last.
func calibrate(claims []Claim) []Calibration {
	var bins [10]Calibration
	for _, c := range claims {
		b := &bins[min(9, max(0, int(math.Floor(10*c.Trust+1e-9))))]
		b.Said++
		b.Trust += c.Trust
		if c.Right {
			b.Right++
		}
	}
	var out []Calibration
	for i, b := range bins {
		if b.Said > 0 {
			n := float64(b.Said)
			out = append(out, Calibration{From: float64(i) / 10, Said: b.Said, Trust: b.Trust / n, Right: b.Right / n})
		}
	}
	return out
}

// WriteSizes prints it as text.
func WriteSizes(w io.Writer, s Sizes) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%-16s%9s%13s%13s%9s%13s%9s%13s\n", "reference", "photos", "scale told", "scale right", "asked", "answered", "said", "right")
	for _, r := range s.Rows {
		fmt.Fprintf(&b, "%-16s%9d%13s%13s%9d%13s%9d%13s\n", r.Name, r.Photos, figure(r.Scaled, 3), figure(r.ScaleRight, 3), r.Asked, figure(r.Answered, 3), r.Said, figure(r.Right, 3))
	}
	for _, c := range []struct {
		name string
		of   []Calibration
	}{{"sizes", s.Sizes}, {"scales", s.Scales}} {
		fmt.Fprintf(&b, "\n%-16s%9s%13s%13s\n", "trust of "+c.name, "said", "mean trust", "right")
		for _, k := range c.of {
			fmt.Fprintf(&b, "from %-11.1f%9d%13.3f%13.3f\n", k.From, k.Said, k.Trust, k.Right)
		}
	}
	if s.Brier != nil {
		fmt.Fprintf(&b, "\nBrier score of sizes %.4f\n", *s.Brier)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
