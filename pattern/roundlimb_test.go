package pattern

import "testing"

// A piece is round a limb by a whole word of its name before a comma: "sleeveless" holds
// "sleeve", and the pocket side of a front is a front.
func TestRoundLimbByName(t *testing.T) {
	for name, want := range map[string]bool{
		"sleeve": true, "left sleeve": true, "Under-Sleeve": true, "oversleeve": true, "sleeves": true, "cuff 2": true, "patch pocket": true, "pocket flap": true,
		"sleeveless front": false, "cuffed leg": false, "pocketless back": false, "front, pocket side": false, "sleeve, left": true, "back": false,
	} {
		for _, cut := range []Cut{CutPair, CutOnFold} {
			q := &Piece{Name: name, Cut: cut}
			p := &Pattern{Pieces: []*Piece{q}}
			if got := p.RoundLimb(q); got != want {
				t.Errorf("%q, cut %s: round a limb %v, want %v", name, cut, got, want)
			}
		}
	}
}
