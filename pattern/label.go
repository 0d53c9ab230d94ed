package pattern

import (
	"slices"
	"strings"

	"toile/pattern/units"
)

// Labels of what is drawn on or in a piece beside the kinds of marks.
const (
	LabelNotch     = "notch"
	LabelGrain     = "grain"
	LabelReference = "reference line"
	LabelEdge      = "edge"
	LabelCut       = "cut"
	LabelSide      = "side"
)

// labelKinds are all kinds that a label can begin with.
var labelKinds = []string{
	LabelNotch, LabelGrain, LabelReference, LabelEdge, LabelCut, LabelSide,
	string(MarkButton), string(MarkButtonhole), string(MarkDot), string(MarkSlit), string(MarkPlacement),
	string(MarkFoldLine), string(MarkDart), string(MarkPleat), string(MarkText),
}

// Label says in a drawing what a line, point or sign is, so that it can be read
// back: `notch: hip`, `button: collar, size 12`. Names hold neither colons nor
// commas, so it is read in one way only.
type Label struct {
	Kind  string   // one of the kinds of marks, or of those above
	Name  string   // may be empty
	Facts []string // what else there is to say: "size 12", "hem"
}

// String writes the label.
func (l Label) String() string {
	return l.Kind + ": " + strings.Join(append([]string{l.Name}, l.Facts...), ", ")
}

// ParseLabel reads a label; capitals make no difference in its kind. ok is false
// for any other text.
func ParseLabel(text string) (l Label, ok bool) {
	kind, rest, ok := strings.Cut(text, ":")
	l.Kind = strings.ToLower(strings.TrimSpace(kind))
	if !ok || !slices.Contains(labelKinds, l.Kind) {
		return Label{}, false
	}
	parts := strings.Split(rest, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	l.Name, l.Facts = parts[0], parts[1:]
	return l, true
}

// Says reports whether a fact stands in the label.
func (l Label) Says(fact string) bool { return slices.Contains(l.Facts, fact) }

// Amount gives the number that follows a word among the facts, as the 12 of
// "size 12"; ok is false where there is none, or one that no file holds.
func (l Label) Amount(word string) (v float64, ok bool) {
	for _, fact := range l.Facts {
		if text, is := strings.CutPrefix(fact, word+" "); is {
			v, err := units.ParseLength(text, units.Millimetre)
			return v, err == nil
		}
	}
	return 0, false
}

// Fact is a word with a number, in at most three decimals.
func Fact(word string, v float64) string { return word + " " + units.Number(v, 3) }

// What a grain label can say: that the cloth lies one way up, that the piece is
// cut on the bias, or that the line was not drawn by anybody and stands where
// the grain usually runs.
const (
	GrainOneWay = "one way"
	GrainBias   = "bias"
	GrainUsual  = "usual"
)
