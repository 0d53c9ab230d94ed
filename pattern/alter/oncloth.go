package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// clothStays reports whether an alteration leaves the pieces lying on the sheet as they
// lay, but for what it opens or folds out: then a place of the cloth is found again by
// where it lies. The others say themselves what goes where.
func (m *making) clothStays() bool {
	return !slices.Contains([]string{"mirror", "split", "join", "separate", "unfold"}, m.recipe.Kind)
}

// onCloth is how far in mm from the start of an edge, as it runs now, the place of the
// cloth lies that lay at a length along it before. ok is false where the edge does not
// run through that place any more, but was moved aside or drawn anew there; gone says
// that the cloth there was cut off.
func (m *making) onCloth(before *pattern.Pattern, st pattern.Stretch, at float64) (along float64, ok, gone bool) {
	q, i, there := edgeOf(m.pattern, st)
	was, k, had := edgeOf(before, st)
	if !there || !had || !m.clothStays() || !m.changedSince(before, st) {
		return at, false, false
	}
	then, now := was.EdgePath(k), q.EdgePath(i)
	place, within, opened := then.PointAt(at), evenWithin, false
	for _, s := range m.slashes {
		if s.piece != stands(was) {
			continue
		}
		if opened = true; s.moves(place) {
			place = s.Motion.Apply(place)
		}
	}
	if opened {
		within = truedWithin // its sides were drawn anew at the cut
	}
	nearest, off := now.Nearest(place)
	along = now.LengthTo(nearest)
	const inside = 0.01 // of the ends, to which what was cut off lies nearest
	if off <= within && along >= inside && along <= now.Length()-inside {
		if math.Abs(along-at) < inside {
			along = at
		}
		return roundTo(along), true, false
	}
	return at, false, !opened && cutOff(then, now, at)
}

// truedWithin is how far in mm a side that was trued at a cut may lie off the place
// where it ran before.
const truedWithin = 15

// cutOff reports whether a length along a line lies beyond where it ends now.
func cutOff(then, now geom.Path, at float64) bool {
	start, offStart := then.Nearest(now.Start())
	end, offEnd := then.Nearest(now.End())
	return offStart <= evenWithin && at < then.LengthTo(start)-wholeWithin || offEnd <= evenWithin && at > then.LengthTo(end)+wholeWithin
}

// keepMouths has the mouths of darts and the intakes of pleats stay where they lie on
// the cloth when their edge is cut or run on at its start, from which they are counted.
// On a piece that was opened they were seen to already.
func (m *making) keepMouths(before *pattern.Pattern) {
	for _, q := range m.pattern.Pieces {
		old, err := before.Piece(q.Name)
		if err != nil || slices.ContainsFunc(m.slashes, func(s Slash) bool { return s.piece == stands(old) }) {
			continue
		}
		for k := range q.Marks {
			mark := &q.Marks[k]
			if mark.Kind != pattern.MarkDart && mark.Kind != pattern.MarkPleat || !slices.ContainsFunc(old.Marks, func(o pattern.Mark) bool {
				return o.Name == mark.Name && o.Edge == mark.Edge && o.From == mark.From && o.To == mark.To
			}) {
				continue
			}
			st := pattern.Stretch{Piece: q.Name, Edge: mark.Edge}
			from, ok, _ := m.onCloth(before, st, mark.From)
			to, all, _ := m.onCloth(before, st, mark.To)
			if !ok || !all || from == mark.From || math.Abs(to-from-(mark.To-mark.From)) > evenWithin {
				continue
			}
			mark.From, mark.To = from, roundTo(from+mark.To-mark.From)
			m.say("%s, %s %q: it stays where it lies on the cloth, %s to %s from the start of %q now", q.Name, mark.Kind, mark.Name, m.format(mark.From), m.format(mark.To), mark.Edge)
		}
	}
}

// keepOpenings has an opening that reaches to no end of its seam, as a pocket mouth,
// stay where it lies on the cloth when the seam is cut or run on at either end, or
// opened, and the notches at its ends with it.
func (m *making) keepOpenings(before *pattern.Pattern) error {
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		old := seamNamed(before, seam.Name)
		if old == nil || len(old.Openings) != len(seam.Openings) || !slices.Equal(old.First, seam.First) {
			continue
		}
		then, _, err := before.WalkChains(old)
		if err != nil {
			continue
		}
		now, _, err := m.pattern.WalkChains(seam)
		if err != nil {
			continue
		}
		seam.Openings = slices.Clone(seam.Openings)
		for k, o := range old.Openings {
			if seam.Openings[k] != o || o.From < leastPart || o.To > then.Length-leastPart {
				continue
			}
			if err := m.keepOpening(before, seam, &seam.Openings[k], then, now); err != nil {
				return err
			}
			m.keepStops(before, old, o)
		}
	}
	return nil
}

// keepOpening counts one opening anew along a chain as it was and is.
func (m *making) keepOpening(before *pattern.Pattern, seam *pattern.Seam, o *pattern.Opening, then, now pattern.Walked) error {
	from, lost := m.alongChain(before, then, now, o.From)
	to, lostToo := m.alongChain(before, then, now, o.To)
	if lost || lostToo || to < from+leastPart || to > now.Length {
		return m.noRoom(seam.First.String(), seam, *o, "")
	}
	if math.Abs(from-o.From) < wholeWithin && math.Abs(to-o.To) < wholeWithin {
		return nil
	}
	o.From, o.To = from, to
	m.say("the opening %q of the seam %q stays where it lies on the cloth: from %s to %s along %s now", o.Name, seam.Name, m.format(from), m.format(to), seam.First)
	return nil
}

// alongChain is how far along a chain as it is now the place of the cloth lies that lay
// so far along it before, in mm; gone where it was cut off. Where the edge there was
// moved aside it keeps its length from where the edge begins.
func (m *making) alongChain(before *pattern.Pattern, then, now pattern.Walked, at float64) (along float64, gone bool) {
	part, edgeAt := then.Place(at)
	k := slices.IndexFunc(then.Parts, func(w pattern.WalkedPart) bool { return w.Offset == part.Offset })
	if k < 0 || k >= len(now.Parts) {
		return at, false
	}
	st := pattern.Stretch{Piece: part.Piece.Name, Edge: part.Piece.Edges[part.Edge].Name}
	on, ok, gone := m.onCloth(before, st, edgeAt)
	if !ok {
		return roundTo(now.Parts[k].Offset + at - part.Offset), gone
	}
	return roundTo(now.Parts[k].Along(on)), false
}

// keepStops has the notches at the ends of an opening stay where they lie on the cloth:
// counted from the other end of their edge where that stayed.
func (m *making) keepStops(before *pattern.Pattern, seam *pattern.Seam, o pattern.Opening) {
	for _, s := range Stops(before, seam, o) {
		was := s.Piece.Notches[s.Notch]
		q, i, ok := edgeOf(m.pattern, pattern.Stretch{Piece: s.Piece.Name, Edge: was.Edge})
		k := -1
		if ok {
			k = q.NotchByName(was.Name)
		}
		if k < 0 || q.Notches[k] != was {
			continue
		}
		at := was.At
		if was.FromEnd {
			at = s.length - was.At
		}
		on, ok, _ := m.onCloth(before, pattern.Stretch{Piece: q.Name, Edge: was.Edge}, at)
		length := q.EdgePath(i).Length()
		n := &q.Notches[k]
		if !ok || math.Abs(on-counted(was, length)) < evenWithin {
			continue
		}
		if n.FromEnd = !was.FromEnd; n.FromEnd {
			n.At = roundTo(length - on)
		} else {
			n.At = on
		}
		m.say("%s, notch %q marks an end of the opening %q and stays with it on the cloth: it is %s from the %s of %q now", q.Name, was.Name, o.Name, m.format(n.At), endOfNotch(*n), was.Edge)
	}
}

// counted is how far in mm from the start of an edge of a length a notch lies.
func counted(n pattern.Notch, length float64) float64 {
	if n.FromEnd {
		return length - n.At
	}
	return n.At
}

// noRoom refuses an alteration that leaves no room where a seam has an opening; room
// says what of it fits.
func (m *making) noRoom(where string, seam *pattern.Seam, o pattern.Opening, room string) error {
	return fmt.Errorf("%s: there is no room left for the opening %q of the seam %q, from %s to %s; move it first, its notches with it, with `toile seam %q --open \"%s=FROM:TO\"`, or take it away with `toile seam %q --open \"%s=\"`; the pattern is as it was%s",
		where, o.Name, seam.Name, m.format(o.From), m.format(o.To), seam.Name, o.Name, seam.Name, o.Name, room)
}
