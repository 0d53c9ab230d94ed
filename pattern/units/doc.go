// Package units reads lengths and angles as people type them and writes them
// as people read them.
//
// The rest of the program counts in millimetres and radians; this package is
// the only place where centimetres, inches, fractions and degrees exist.
//
//   - ParseLength, ParsePositive and ParseAngle read what somebody typed.
//   - Unit.Format, Unit.FormatSigned and FormatAngle write for people, to the
//     precision a tape measure or a set square can show.
//   - Number and Round give the one printing of a number in files.
//
// Reading is exact: the decimal or fraction is kept as a ratio of whole
// numbers, multiplied by the unit and rounded to a float64 once, so 7cm, 70mm
// and 7.0cm are the same number to the last bit.
package units
