package units

import (
	"math"
	"math/big"
	"strings"
	"testing"
)

// FuzzParseLength holds what must be true of any text: what is read is finite,
// within bounds, not -0, has no sign of its own beyond the text's, and is shown
// and read again; what is refused names what can be typed and gives 0.
func FuzzParseLength(f *testing.F) {
	for _, text := range []string{
		"7cm", "70mm", "2.75in", "5/8in", "1 3/8in", `1-3/8"`, "−1⅜″", "+.5", "7,5cm", "1,250mm",
		"NaN", "-inf", "0x1p-4", "1e9", "1/0in", "99999999in", "\xff\xfe", "1\u20442", "- 6\u00a0cm", "010/1", "",
	} {
		f.Add(text, uint8(1))
	}
	all := []Unit{Millimetre, Centimetre, Inch, ""}
	f.Fuzz(func(t *testing.T, text string, which uint8) {
		unit := all[int(which)%len(all)]
		mm, err := ParseLength(text, unit)
		checkRefusal(t, text, mm, err)
		if err != nil {
			return
		}
		if !(math.Abs(mm) <= maxLength) || mm == 0 && math.Signbit(mm) {
			t.Fatalf("%q read as %v", text, mm)
		}
		if again, err := ParseLength(unit.Format(mm), unit); err != nil || math.Abs(again-mm) > 0.05+1e-9 {
			t.Fatalf("%q: %v mm shown as %q, read back as %v, %v", text, mm, unit.Format(mm), again, err)
		}
		if strings.Contains(text, "/") { // big.Rat takes 010/1 for octal, a sewist does not
			return
		}
		if exact, ok := new(big.Rat).SetString(strings.TrimSpace(text)); ok {
			want, _ := exact.Mul(exact, unit.ratio()).Float64()
			if want != mm {
				t.Fatalf("%q read as %v mm, exact arithmetic has %v", text, mm, want)
			}
		}
	})
}

// FuzzParseAngle is the same for angles.
func FuzzParseAngle(f *testing.F) {
	for _, text := range []string{
		"4.5deg", "4.5°", "4½°", "-90", "−1 1/2 degrees", "4,5deg", "361", "1e2", "nan", "0.1rad", "\xc2", "",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rad, err := ParseAngle(text)
		checkRefusal(t, text, rad, err)
		if err != nil {
			return
		}
		if !(math.Abs(rad) <= 2*math.Pi) || rad == 0 && math.Signbit(rad) {
			t.Fatalf("%q read as %v", text, rad)
		}
		shown := FormatAngle(rad)
		if again, err := ParseAngle(shown); err != nil || math.Abs(again-rad) > 0.005*math.Pi/180+1e-12 {
			t.Fatalf("%q: %v shown as %q, read back as %v, %v", text, rad, shown, again, err)
		}
	})
}

// checkRefusal holds that an error says what to write, on one line of bearable
// length, and comes with 0.
func checkRefusal(t *testing.T, text string, value float64, err error) {
	t.Helper()
	if err == nil {
		return
	}
	message := err.Error()
	if value != 0 || !strings.Contains(message, "; write ") || len(message) > 700 {
		t.Fatalf("%q: %v, %s", text, value, message)
	}
	if strings.ContainsAny(message, "\n\r\x00") {
		t.Fatalf("%q: the message holds control characters: %q", text, message)
	}
}
