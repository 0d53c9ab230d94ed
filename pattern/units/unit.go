package units

import (
	"fmt"
	"math/big"
	"strings"
)

// Unit is a unit of length. Its text is what files and messages show.
// The zero Unit counts as Centimetre, the default unit of a pattern.
type Unit string

// The units a pattern may be kept in.
const (
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Inch       Unit = "in"
)

// unitNames lists every accepted spelling, in lower case.
var unitNames = map[string]Unit{
	"mm": Millimetre, "millimetre": Millimetre, "millimetres": Millimetre,
	"millimeter": Millimetre, "millimeters": Millimetre,
	"cm": Centimetre, "centimetre": Centimetre, "centimetres": Centimetre,
	"centimeter": Centimetre, "centimeters": Centimetre,
	"in": Inch, "inch": Inch, "inches": Inch,
	`"`: Inch, "\u2033": Inch, "\u201d": Inch, // straight, double prime, closing quote
}

// ParseUnit reads the name of a unit: mm, cm, in, the double prime of an inch,
// or the whole word, singular or plural, in either English spelling and either
// case. The error names the value and the short forms.
func ParseUnit(s string) (Unit, error) {
	unit, ok := unitNames[strings.ToLower(strings.TrimSpace(s))]
	if !ok {
		return "", fmt.Errorf("%s is not a unit of length; write mm, cm or in", quoted(s))
	}
	return unit, nil
}

// MM returns how many millimetres one unit has; the inch is 25.4 mm by
// definition. A Unit that is none of the constants is a programmer's mistake
// and panics: text from outside goes through ParseUnit.
func (u Unit) MM() float64 {
	mm, _ := u.ratio().Float64()
	return mm
}

// ratio returns the millimetres in one unit, exactly.
func (u Unit) ratio() *big.Rat {
	switch u.orDefault() {
	case Millimetre:
		return big.NewRat(1, 1)
	case Centimetre:
		return big.NewRat(10, 1)
	case Inch:
		return big.NewRat(254, 10)
	}
	panic(fmt.Sprintf("units: %q is not one of the units", string(u)))
}

// orDefault turns the zero Unit into the default one.
func (u Unit) orDefault() Unit {
	if u == "" {
		return Centimetre
	}
	return u
}
