package change

import (
	"math"

	"toile/pattern/units"
)

// AmountWords prints a length in mm as sentences and drawings do: in the unit,
// and below a millimetre to a hundredth of one, which the unit's own digits
// would swallow.
func AmountWords(mm float64, unit units.Unit) string {
	const least, hundredths = 0.005, uint(2)
	if mm == 0 || math.Abs(mm) >= 1 || unit == units.Inch {
		return unit.Format(mm)
	}
	digits, scale, name := hundredths, 1.0, " mm"
	if unit == units.Centimetre {
		digits, scale, name = hundredths+1, 10, " cm"
	}
	if math.Abs(mm) < least {
		return "less than " + units.Number(0.01/scale, digits) + name
	}
	return units.Number(mm/scale, digits) + name
}
