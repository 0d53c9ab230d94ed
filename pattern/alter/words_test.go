package alter

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern/units"
)

// What smoothing a bend does to an edge's length is said as it is: longer, shorter, or
// kept where no pencil draws the difference.
func TestBlendSaysWhatBecomesOfTheLength(t *testing.T) {
	seen := map[string]bool{}
	for _, by := range []string{"-50", "3", "50", "120"} {
		p := smallSmock(t)
		was := edgePathOf(t, pieceOf(t, p, "back"), "side seam").Length()
		res := made(t, p, "flare", "back", "edge", "side seam", "by", by, "from", "200", "blend", "true")
		longer := edgePathOf(t, pieceOf(t, res.Pattern, "back"), "side seam").Length() - was
		k := 0
		for !strings.Contains(res.Says[k], "runs smoothly") {
			k++
		}
		said := regexp.MustCompile(`(?:is ([0-9.]+) mm (longer|shorter) for it|(keeps) its length, to a tenth of a millimetre)$`).FindStringSubmatch(res.Says[k])
		require.NotNil(t, said, res.Says[k])
		var amount float64
		fmt.Sscan(said[1], &amount)
		if said[2] == "shorter" {
			amount = -amount
		}
		require.InDelta(t, longer, amount, map[bool]float64{true: 0.1, false: 0.0501}[said[3] != ""], "%s: %s", by, res.Says[k])
		seen[said[2]+said[3]] = true
	}
	require.Len(t, seen, 2, "%v", seen)
	m := &making{pattern: smallSmock(t)}
	m.pattern.Unit = units.Centimetre
	require.Equal(t, "keeps its length, to a tenth of a millimetre", m.lengthKept(0.05))
	require.Equal(t, "is 0.014 cm longer for it", m.lengthKept(0.14))
	require.Equal(t, "is 0.25 cm shorter for it", m.lengthKept(-2.5))
}

// A notch that its own move would lead off its edge is not to be moved first; where it
// may go is said.
func TestMoveOffTheEdge(t *testing.T) {
	p := smallSmock(t)
	for _, by := range []string{"-241", "240"} { // the side seam is 471.7 long, hip lies at 240
		_, err := Make(p, recipe("move", "back", "name", "hip", "by", by))
		require.ErrorContains(t, err, `the notch "hip" lies 240 mm from the start of "side seam", which is 471.7 mm long`)
		require.ErrorContains(t, err, "give more than −240 mm and less than 231.7 mm")
		require.NotContains(t, err.Error(), "move it first")
	}
	made(t, p, "move", "back", "name", "hip", "by", "-239")
	_, err := Make(p, recipe("move", "front", "name", "hip", "by", "-241"))
	require.ErrorContains(t, err, `240 mm from the end of "side seam"`)
}

// Every edge of a piece has no edge sewn to it.
func TestAllowanceOfAllOnBoth(t *testing.T) {
	_, err := Partners(smallSmock(t), recipe("allowance", "back", "edge", "all", "to", "20"))
	require.ErrorContains(t, err, `"all" is every edge of this piece`)
	require.ErrorContains(t, err, "leave --both out")
}

// A place counted from two edges goes with the piece; two lengths are a place on the
// sheet.
func TestOfTheSheetIsBarePlaces(t *testing.T) {
	for text, sheet := range map[string]bool{
		"3cm from centre front, 10cm from waist": false, "0 from centre front, 1.5cm from neckline": false, "hip, 4cm in": false, "side seam@4cm@hip": false,
		"waist@4cm:hemline@20cm;waist@12cm:hemline@10cm": false, "side seam@200, 30 in": false,
		"12cm,31cm": true, "12, 31": true, "-1 3/8in,2in": true, "120,0:150,900": true, "12cm,31cm, 4cm down": true, "hip:3,4": true,
	} {
		_, places := OfTheSheet(recipe("mark", "front", "kind", "button", "at", text))
		require.Equal(t, sheet, len(places) > 0, text)
	}
}

// Where a back and a front meet in one seam alone, a line aslant comes round no other
// way, and none is told.
func TestTuckAslantComesRoundOnce(t *testing.T) {
	p := smallSmock(t)
	res := made(t, p, "shorten", "back", "edge", "hemline", "by", "40", "inside", "side seam@200:centre back@330")
	told := strings.Join(res.Says, "\n")
	require.Contains(t, told, "back: the line lies 200 mm from")
	require.Contains(t, told, "front: the line lies")
	require.NotContains(t, told, "the other way")
}
