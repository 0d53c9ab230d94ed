package paper

import (
	"fmt"
	"math"
	"strings"

	"toile/pattern/units"
)

// Margin is what stays free on each side of a sheet, in mm, and Overlap what
// neighbouring sheets share. Common practice for printers at home.
const (
	Margin  = 10.0
	Overlap = 10.0
)

// Size is a sheet of paper, upright, in mm.
type Size struct {
	Name       string
	Wide, High float64
}

// sizes are the sheets that have a name. A sizes: ISO 216; Letter: 8½ by 11 in.
var sizes = []Size{
	{"A4", 210, 297}, {"Letter", 215.9, 279.4}, {"A3", 297, 420}, {"A2", 420, 594}, {"A1", 594, 841}, {"A0", 841, 1189},
}

// The least and the greatest side of a sheet in mm: the plan page needs room
// for the square of 10 cm and words beside it, and a PDF page may not be longer
// than 200 in (ISO 32000-1, annex C).
const (
	leastSide    = 190.0
	greatestSide = 5080.0
)

// SizeNames lists the sheets that have a name.
func SizeNames() []string {
	names := make([]string, len(sizes))
	for i, s := range sizes {
		names[i] = s.Name
	}
	return names
}

// ParseSize reads the name of a sheet, or its two sides as WxH, bare numbers in
// the unit. The longer side is taken as the height.
func ParseSize(text string, unit units.Unit) (Size, error) {
	for _, s := range sizes {
		if strings.EqualFold(s.Name, strings.TrimSpace(text)) {
			return s, nil
		}
	}
	a, b, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(text, "×", "x")), "x")
	if !ok {
		return Size{}, fmt.Errorf("paper %q is not known; it is %s, or its two sides as in 60cmx90cm", text, strings.Join(SizeNames(), ", "))
	}
	wide, err := side(a, unit)
	if err != nil {
		return Size{}, fmt.Errorf("paper %q: its first side: %w", text, err)
	}
	high, err := side(b, unit)
	if err != nil {
		return Size{}, fmt.Errorf("paper %q: its second side: %w", text, err)
	}
	s := Size{Name: unit.Format(wide) + " × " + unit.Format(high), Wide: math.Min(wide, high), High: math.Max(wide, high)}
	if s.Wide < leastSide || s.High > greatestSide {
		return Size{}, fmt.Errorf("paper %q measures %s; a sheet needs at least %s on its shorter side, for the test square, and at most %s on the longer",
			text, s.Name, unit.Format(leastSide), unit.Format(greatestSide))
	}
	return s, nil
}

// side reads one side of a sheet. Rolls are sold in metres, so here they count.
func side(text string, unit units.Unit) (float64, error) {
	if metres, ok := strings.CutSuffix(strings.TrimSpace(text), "m"); ok {
		if v, err := units.ParsePositive(metres+"mm", unit); err == nil {
			return 1000 * v, nil
		}
	}
	return units.ParsePositive(text, unit)
}

// turned is the sheet with its longer side level.
func (s Size) turned(level bool) Size {
	if level {
		s.Wide, s.High = s.High, s.Wide
	}
	return s
}

// countWithin is how much longer than the sheets in mm a picture may be
// without taking another one: rounding, and no line is as thin.
const countWithin = 1e-6

// Count is how many sheets in a row, each using so many mm and sharing the
// overlap with the next, cover a length: n = ⌈(length − overlap)/(use − overlap)⌉.
func Count(length, use, overlap float64) int {
	return max(1, int(math.Ceil((length-overlap-countWithin)/(use-overlap))))
}
