package album

import (
	"math"
	"strings"

	"toile/pattern/units"
)

// lengths writes lengths in mm for an album of a pattern in a unit.
type lengths struct{ unit units.Unit }

// leastFraction in mm is a quarter of an inch: below it a sixteenth, 1.6 mm, is
// too coarse.
const leastFraction = 25.4 / 4

// both says a length in centimetres and in inches.
func (l lengths) both(mm float64) string {
	return units.Centimetre.Format(mm) + " · " + l.inches(mm)
}

// other says a length in the unit of the two that the pattern is not in.
func (l lengths) other(mm float64) string {
	if l.unit == units.Inch {
		return units.Centimetre.Format(mm)
	}
	return l.inches(mm)
}

// inches says a length as a tape has it: to the nearest sixteenth, which is
// within 0.8 mm, below a quarter of an inch to a hundredth. A pattern in inches
// keeps its own figures.
func (l lengths) inches(mm float64) string {
	switch size := math.Abs(mm); {
	case l.unit == units.Inch:
		return units.Inch.Format(mm)
	case size < leastFraction:
		text := units.Number(mm/units.Inch.MM(), 2)
		return strings.Replace(text, "-", "\u2212", 1) + " in"
	}
	return units.Inch.Format(math.Round(mm/units.Inch.MM()*16) / 16 * units.Inch.MM())
}
