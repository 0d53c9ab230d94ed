package main

import (
	"fmt"
	"slices"

	"toile/pattern/change"
	"toile/pattern/units"
)

// sayPieceDiff tells what changed in one piece, and what it came to.
func (o *opened) sayPieceDiff(p change.PieceDiff, unit units.Unit) {
	head := p.Piece + ": " + string(p.State)
	if p.Before != "" {
		head += ", was " + p.Before
	}
	o.say("%s", head)
	if p.Origin != "" {
		o.say("  %s", p.Origin)
	}
	for _, ch := range p.Changes {
		o.say("  %s", ch.Says)
	}
	for _, e := range p.LengthsUntold() {
		o.say("  %q is %s long, was %s", e.Edge, unit.Format(e.Length[1]), unit.Format(e.Length[0]))
	}
	o.say("  %s", areasSaid(p, unit))
}

// areasSaid says how large a piece is and was. A part of a piece that was split
// or joined neither gained nor lost anything.
func areasSaid(p change.PieceDiff, unit units.Unit) string {
	now, was := area(unit, p.NetArea[1]), area(unit, p.NetArea[0])
	parted := func(k change.Kind) *change.Change {
		if i := slices.IndexFunc(p.Changes, func(c change.Change) bool { return c.Kind == k }); i >= 0 {
			return &p.Changes[i]
		}
		return nil
	}
	switch c := parted(change.PieceSplit); {
	case p.Old == nil && p.Origin != "":
		return fmt.Sprintf("net area %s", now)
	case p.New == nil && p.State == change.Joined:
		return fmt.Sprintf("net area was %s", was)
	case c != nil && len(c.Into) == 2:
		text := "net area " + now
		for _, c := range p.Changes {
			if c.Kind == change.PieceSplit {
				text += fmt.Sprintf(", and %q %s", c.Into[1], area(unit, c.PartArea))
			}
		}
		return text + "; the whole was " + was
	}
	if c := parted(change.PieceJoined); c != nil && len(c.Of) == 2 {
		return fmt.Sprintf("net area %s; the parts were %s and %s", now, was, area(unit, c.PartArea))
	}
	return fmt.Sprintf("added %s, removed %s; net area %s, was %s", area(unit, p.Added), area(unit, p.Removed), now, was)
}
