package render

import "toile/pattern/change"

// The words of an overlay of two different pieces, where nothing was before
// and nothing is now: what else speaks of before and now names the pieces.

// againstWords says of which two pieces a drawing is, and where they are from.
func againstWords(d change.Diff, p change.PieceDiff) string {
	return p.Piece + " of " + versionWords(d.To) + ", against " + p.Before + " of " + versionWords(d.From)
}

// oldLabel stands along the old outline.
func (d *drawing) oldLabel() string {
	if d.names[0] != "" {
		return d.names[0]
	}
	return "was"
}

// only says of what one side (0 or 1) has alone that it came or went, or whose
// it is.
func (d *drawing) only(side int) string {
	if d.names[0] != "" {
		return "only in " + d.names[side]
	}
	return [2]string{"gone", "new"}[side]
}

// legendText explains a line or sign.
func (d *drawing) legendText(item legendItem) string {
	if d.names[0] == "" {
		if item == legendMoved && d.legend.used[legendNumber] {
			return "moved; the distance is in the list"
		}
		return legendWords[item]
	}
	switch item {
	case legendNew:
		return "sewing line of " + d.names[1]
	case legendOld:
		return "sewing line of " + d.names[0]
	case legendAdded:
		return "only in " + d.names[1]
	case legendRemoved:
		return "only in " + d.names[0]
	case legendOldNotch:
		return "notch of " + d.names[0]
	case legendCut:
		return "cutting line of " + d.names[1]
	case legendOldCut:
		return "cutting line of " + d.names[0]
	case legendOldMark:
		return "mark or grain of " + d.names[0]
	}
	return legendWords[item]
}
