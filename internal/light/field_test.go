package light

import (
	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// White is what white cloth at (x, y), in working pixels, would record, tone
// curve undone.
func (f *Field) White(x, y float64) colour.Linear {
	i, u := raster.Between(x/fieldStep, f.cols)
	j, v := raster.Between(y/fieldStep, f.rows)
	a, b := f.white[j*f.cols+i:], f.white[(j+1)*f.cols+i:]
	var c colour.Linear
	for k := range c {
		c[k] = (1-v)*((1-u)*a[0][k]+u*a[1][k]) + v*((1-u)*b[0][k]+u*b[1][k])
	}
	return c
}

// Albedo is the cloth's own colour under D65 where the picture holds c at
// (x, y), in working pixels.
func (f *Field) Albedo(c colour.Linear, x, y float64) colour.Linear {
	return colour.Linear(adaptation(f.White(x, y)).Apply(f.Tone.Undo(c)))
}
