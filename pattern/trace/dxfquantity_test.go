package trace

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// The forms of QUANTITY: what is a pair comes in as one, and whatever is not
// taken is told of.
func TestDXFQuantity(t *testing.T) {
	for text, want := range map[string]struct{ cut, says string }{
		"1.0": {}, "1.00,0": {},
		"2.0":     {string(pattern.CutPair), "is taken as a pair"},
		"1 PR":    {string(pattern.CutPair), "is taken as a pair"},
		"1 pair":  {string(pattern.CutPair), "is taken as a pair"},
		"2 PAIRS": {"", "is left out"}, "1.5": {"", "is left out"},
		"1": {}, "1,0": {}, " 1 , 0 ": {},
		"2":   {string(pattern.CutPair), "is taken as a pair"},
		"1,1": {string(pattern.CutPair), "is taken as a pair"},
		"1/1": {string(pattern.CutPair), "is taken as a pair"},
		"2,0": {"", "is left out: it is neither one (1) nor a pair"},
		"4":   {"", "is left out"}, "two": {"", "is left out"}, "1,1,1": {"", "is left out"}, "-1": {"", "is left out"},
	} {
		piece := dxfText1("PIECE NAME: cuff") + dxfText1("QUANTITY: "+text) +
			dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0}, [3]float64{0, 80, 0})
		d := mustDXF(t, piecesFile(piece))
		assert.Equal(t, want.cut, d.Outlines[0].Cut, text)
		says := strings.Join(d.Ignored, "\n")
		if want.says == "" {
			assert.Empty(t, says, text)
		} else {
			assert.Contains(t, says, want.says, text)
		}
		d = mustDXF(t, piecesFile(piece+dxfText1("cut: one")))
		assert.Equal(t, "one", d.Outlines[0].Cut, "what says more goes before")
		assert.Empty(t, d.Ignored)
	}
	d := mustDXF(t, piecesFile(dxfText1("PIECE NAME: cuff")+dxfText1("QUANTITY: 2")+dxfLine("6", 0, 0, 0, 80)+
		dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0}, [3]float64{0, 80, 0})))
	assert.Empty(t, d.Outlines[0].Cut)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], "with a fold is left out")
}

// A name far too long is quoted by its beginning, and once.
func TestLongNameInMessages(t *testing.T) {
	_, err := ToPiece(pattern.New("Smock", "cm"), mustDXF(t, inMM(dxfPolyline(strings.Repeat("L", 200),
		[3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0}))).Outlines[0], Request{})
	require.ErrorContains(t, err, "has 200 characters; 80 is the most")
	assert.Less(t, strings.Count(err.Error(), "L"), 110)
}
