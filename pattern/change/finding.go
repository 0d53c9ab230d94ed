package change

// FindingKind is what a finding is about.
type FindingKind string

// The kinds of findings. Those of the first group are mismatches where they go
// beyond the tolerance; all others are reminders.
const (
	SeamSection FindingKind = "seam-section" // the two sides of a section differ by more than their ease-in
	LayerOff    FindingKind = "layer"        // an inner piece does not lie on its outer
	BandOff     FindingKind = "band"         // a band does not have the length of what it follows

	AddingUp          FindingKind = "adding-up"
	NotSmooth         FindingKind = "not-smooth"
	NotSquare         FindingKind = "not-square"
	NotchAlone        FindingKind = "notch-without-partner"
	NotchNearCorner   FindingKind = "notch-near-corner"
	NotchLost         FindingKind = "notch-lost"
	MarkOff           FindingKind = "mark-off-piece"
	DartLegs          FindingKind = "dart-legs"
	Buttons           FindingKind = "buttons"
	OpeningSmall      FindingKind = "opening-small"
	AllowancesUnequal FindingKind = "allowances-unequal"
	AllowanceTooWide  FindingKind = "allowance-too-wide"
	NoCuttingLine     FindingKind = "no-cutting-line"
	HemTooFull        FindingKind = "hem-too-full"
	CutCounts         FindingKind = "cut-counts"
	HalvesDiffer      FindingKind = "halves-differ"
	LayersNotSewn     FindingKind = "layers-not-sewn"
	RoundedEnd        FindingKind = "rounded-end"
	DidNotFollow      FindingKind = "not-followed"
	NoteIsOpen        FindingKind = "note-open" // of the last fitting
)

// FindingKinds lists all kinds.
func FindingKinds() []FindingKind {
	return []FindingKind{SeamSection, LayerOff, BandOff, AddingUp, NotSmooth, NotSquare, NotchAlone, NotchNearCorner, NotchLost,
		MarkOff, DartLegs, Buttons, OpeningSmall, AllowancesUnequal, AllowanceTooWide, NoCuttingLine, HemTooFull, CutCounts,
		HalvesDiffer, LayersNotSewn, RoundedEnd, DidNotFollow, NoteIsOpen}
}

// Finding is what a check has to say about one place.
type Finding struct {
	Kind     FindingKind `json:"kind"`
	Where    string      `json:"where"`
	MM       float64     `json:"mm"` // how much; its sign is the kind's own, 0 where there is nothing to measure
	Says     string      `json:"says"`
	Do       string      `json:"do"`
	Mismatch bool        `json:"mismatch"` // a seam section, layer or band beyond its tolerance; else a reminder

	Pieces  []string `json:"pieces"`
	Seam    string   `json:"seam,omitempty"`
	Section string   `json:"section,omitempty"`
	Turn    *float64 `json:"turn_deg,omitempty"` // the bend, where a line is not smooth or not square to a fold
	At      *XY      `json:"at,omitempty"`       // on the sheet of the first piece
}

// Findings is what a check found, mismatches first.
type Findings struct {
	Findings []Finding `json:"findings"`
}

// Mismatch reports whether any finding is one.
func (f Findings) Mismatch() bool {
	for _, g := range f.Findings {
		if g.Mismatch {
			return true
		}
	}
	return false
}
