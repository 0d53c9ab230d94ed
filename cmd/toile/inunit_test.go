package main

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/units"
)

// Messages of the libraries in mm are told in the pattern's unit; 1 in = 25.4 mm
// by definition.
func TestRefusalsAreInThePatternsUnit(t *testing.T) {
	for _, c := range []struct {
		unit     units.Unit
		in, want string
	}{
		{units.Centimetre, `it lies off its edge: 199.987 mm along "panel seam", which is 150.047 mm long`, `it lies off its edge: 20 cm along "panel seam", which is 15 cm long`},
		{units.Centimetre, "its mouth runs from 10 to 505 mm; cross near (255.0, -270.0)", "its mouth runs from 1 cm to 50.5 cm; cross near (25.5 cm, −27 cm)"},
		{units.Centimetre, "no notch at (300.0, 300) mm", "no notch at (30 cm, 30 cm)"},
		{units.Inch, "at most 25.4 mm", "at most 1 in"},
		{units.Millimetre, "at most 25.4 mm", "at most 25.4 mm"},
		{units.Centimetre, `typed "40mm"; 20 mm² is little; 3 mmm`, `typed "40mm"; 20 mm² is little; 3 mmm`},
		{units.Centimetre, "gap of 0.02 mm between", "gap of 0.02 mm between"},
		{units.Centimetre, "0 mm to 0.001 mm", "0 cm to 0.001 mm"},
	} {
		require.Equal(t, c.want, restated(c.in, c.unit))
	}
	o := &opened{Pattern: pattern.New("test", units.Centimetre)}
	cause := errors.New("it is 40 mm long")
	require.EqualError(t, o.inItsUnit(cause), "it is 4 cm long")
	require.ErrorIs(t, o.inItsUnit(cause), cause)
	file := errors.New("pieces/back.yaml, line 3: it is 40 mm long")
	require.Equal(t, file, o.inItsUnit(file))
}
