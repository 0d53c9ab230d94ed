package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// clothStays reports whether an alteration leaves the pieces lying on the sheet as they
// lay, but for what it opens or folds out: then a place of the cloth is found again by
// where it lies. The others say themselves what goes where.
func (m *making) clothStays() bool {
	return !slices.Contains([]string{"mirror", "split", "join", "separate", "unfold"}, m.recipe.Kind)
}

// onCloth is how far in mm from the start of an edge, as it runs now, the place of the
// cloth lies that lay at a length along it before; see stayedAt.
func (m *making) onCloth(before *pattern.Pattern, st pattern.Stretch, at float64) (along float64, ok, gone bool) {
	q, i, there := edgeOf(m.pattern, st)
	was, k, had := edgeOf(before, st)
	if !there || !had || !m.clothStays() || !m.changedSince(before, st) {
		return at, false, false
	}
	then, now := was.EdgePath(k), q.EdgePath(i)
	place, opened := then.PointAt(at), false
	for _, s := range m.slashes {
		if s.piece != stands(was) {
			continue
		}
		if opened = true; s.moves(place) {
			place = s.Motion.Apply(place)
		}
	}
	if opened { // its sides were drawn anew at the cut
		along, ok = runsThrough(now, place, truedWithin)
		return along, ok, false
	}
	return stayedAt(then, now, at, q.GrainDirection())
}

// truedWithin is how far in mm a side that was trued at a cut may lie off the place
// where it ran before.
const truedWithin = 15

// stayedAt is how far in mm from the start of a line, as it runs now, the place of the
// cloth lies that lay at a length along it before. ok is false where the line does not
// run through that place any more, and was not moved there as a whole; gone says that
// the cloth there was cut off.
func stayedAt(then, now geom.Path, at float64, grain geom.Point) (along float64, ok, gone bool) {
	if along, ok = runsThrough(now, then.PointAt(at), evenWithin); ok {
		if math.Abs(along-at) < 2*wholeWithin {
			along = at
		}
		return along, true, false
	}
	if cutOff(then, now, at) {
		return at, false, true
	}
	along, ok = besideNow(then, now, at, grain)
	return roundTo(along), ok, false
}

// runsThrough is how far along a line a place lies that it runs through within so many
// mm, its ends left out, to which lies nearest what was cut off.
func runsThrough(line geom.Path, place geom.Point, within float64) (along float64, ok bool) {
	nearest, off := line.Nearest(place)
	along = line.LengthTo(nearest)
	return roundTo(along), off <= within && along >= 2*wholeWithin && along <= line.Length()-2*wholeWithin
}

// cutOff reports whether a length along a line lies beyond where it ends now.
func cutOff(then, now geom.Path, at float64) bool {
	start, offStart := then.Nearest(now.Start())
	end, offEnd := then.Nearest(now.End())
	return offStart <= evenWithin && at < then.LengthTo(start)-wholeWithin || offEnd <= evenWithin && at > then.LengthTo(end)+wholeWithin
}

// beside is how far in mm to both sides of a place an edge has to have been moved as
// the place was.
const beside = 20

// besideNow is how far along an edge that was moved as a whole, in parallel or along the
// grain, lies what lay at a length along it before; where one of its ends stayed, as far from
// there as it was. ok is false where it was moved otherwise.
func besideNow(then, now geom.Path, at float64, grain geom.Point) (along float64, ok bool) {
	square := func(p geom.Point) (float64, float64) {
		nearest, off := now.Nearest(p)
		return now.LengthTo(nearest), off
	}
	down := func(p geom.Point) (float64, float64) {
		const far = 2000.0
		for _, c := range geom.MeetPaths(geom.Path{geom.Line(p.Sub(grain.Mul(far)), p.Add(grain.Mul(far)))}, now) {
			return now.LengthTo(c.Q), c.At.Sub(p).Dot(grain)
		}
		return 0, 0
	}
	for _, moved := range []func(geom.Point) (float64, float64){square, down} {
		along, by := moved(then.PointAt(at))
		ok := true
		near := min(beside, (at-wholeWithin)/2, (then.Length()-wholeWithin-at)/2)
		for _, l := range []float64{at - near, at + near} {
			on, off := moved(then.PointAt(l))
			ok = ok && math.Abs(off-by) < evenWithin && on > wholeWithin && on < now.Length()-wholeWithin
		}
		if ok {
			return along, true
		}
	}
	if then.Start().Dist(now.Start()) < wholeWithin {
		return at, true
	}
	return now.Length() - then.Length() + at, then.End().Dist(now.End()) < wholeWithin
}

// holdMouths has the mouths of darts and the intakes of pleats on an edge of a piece that
// is drawn anew stay where they lie on the cloth; one that is cut off is refused.
func holdMouths(q *pattern.Piece, i int, then, now geom.Path) error {
	for k := range q.Marks {
		mark := &q.Marks[k]
		if mark.Kind != pattern.MarkDart && mark.Kind != pattern.MarkPleat || mark.Edge != q.Edges[i].Name {
			continue
		}
		if mark.From < leastPart || mark.To > then.Length()-leastPart { // it goes with the corner at which it begins
			goWithCorner(mark, then, now)
			continue
		}
		from, ok, gone := stayedAt(then, now, mark.From, q.GrainDirection())
		to, all, goneToo := stayedAt(then, now, mark.To, q.GrainDirection())
		if gone || goneToo {
			return fmt.Errorf("that alteration does not work: %s, %q: the %s %q, from %s to %s along it, would be cut off; move it first with `toile alter move %q %q`, or take it away with `toile alter remove %q %q`; the pattern is as it was",
				q.Name, mark.Edge, mark.Kind, mark.Name, units.Millimetre.Format(mark.From), units.Millimetre.Format(mark.To), q.Name, mark.Name, q.Name, mark.Name)
		}
		if ok && all && math.Abs(to-from-(mark.To-mark.From)) < evenWithin {
			mark.From, mark.To = from, roundTo(from+mark.To-mark.From)
		}
	}
	return nil
}

// goWithCorner has a mouth or an intake that begins at an end of its edge stay there.
func goWithCorner(mark *pattern.Mark, then, now geom.Path) {
	if mark.From < leastPart {
		return
	}
	by := roundTo(now.Length() - then.Length())
	mark.From, mark.To = roundTo(mark.From+by), roundTo(mark.To+by)
}

// sayMouths says which mouths and intakes are counted anew because they stayed on the
// cloth, and has notches at their ends stay with them.
func (m *making) sayMouths(before *pattern.Pattern) {
	if !m.clothStays() || m.recipe.Kind == "move" {
		return
	}
	for _, q := range m.pattern.Pieces {
		old, err := before.Piece(q.Name)
		if err != nil || slices.ContainsFunc(m.slashes, func(s Slash) bool { return s.piece == stands(old) }) {
			continue
		}
		for _, mark := range q.Marks {
			k := slices.IndexFunc(old.Marks, func(o pattern.Mark) bool { return o.Name == mark.Name && o.Kind == mark.Kind && o.Edge == mark.Edge })
			if k < 0 || mark.Edge == "" || old.Marks[k].From == mark.From {
				continue
			}
			was := old.Marks[k]
			for _, n := range old.Notches {
				if at := counted(n, lengthOf(old, n.Edge)); n.Edge == mark.Edge && (math.Abs(at-was.From) < stopWithin || math.Abs(at-was.To) < stopWithin) {
					m.keepNotch(before, old, n, fmt.Sprintf("an end of the %s %q", mark.Kind, mark.Name))
				}
			}
			m.say("%s, %s %q: it stays where it lies on the cloth, %s to %s from the start of %q now", q.Name, mark.Kind, mark.Name, m.format(mark.From), m.format(mark.To), mark.Edge)
		}
	}
}

// keepOpenings has an opening that reaches to no end of its seam, as a pocket mouth,
// stay where it lies on the cloth when the seam is cut or run on at either end, or
// opened, and the notches at its ends with it.
func (m *making) keepOpenings(before *pattern.Pattern) error {
	return m.eachOpened(before, func(old, seam *pattern.Seam, then, now pattern.Walked) error {
		if len(old.Openings) != len(seam.Openings) || !slices.Equal(old.First, seam.First) {
			return nil
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
		return nil
	})
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

// keepStops has the notches at the ends of an opening stay where they lie on the cloth.
func (m *making) keepStops(before *pattern.Pattern, seam *pattern.Seam, o pattern.Opening) {
	for _, s := range stopsAt(before, seam, o) {
		m.keepNotch(before, s.Piece, s.Piece.Notches[s.Notch], fmt.Sprintf("an end of the opening %q", o.Name))
	}
}

// keepNotch has a notch of a piece, as both were, stay where it lies on the cloth,
// counted from the other end of its edge where it was cut or run on at the one.
func (m *making) keepNotch(before *pattern.Pattern, old *pattern.Piece, was pattern.Notch, marks string) {
	st := pattern.Stretch{Piece: old.Name, Edge: was.Edge}
	q, i, ok := edgeOf(m.pattern, st)
	k := -1
	if ok {
		k = q.NotchByName(was.Name)
	}
	if k < 0 || q.Notches[k] != was {
		return
	}
	on, ok, _ := m.onCloth(before, st, counted(was, lengthOf(old, was.Edge)))
	length := q.EdgePath(i).Length()
	n := &q.Notches[k]
	if !ok || math.Abs(on-counted(was, length)) < evenWithin {
		return
	}
	n.FromEnd = !was.FromEnd
	n.At = roundTo(counted(pattern.Notch{At: on, FromEnd: n.FromEnd}, length))
	m.say("%s, notch %q marks %s and stays with it on the cloth: it is %s from the %s of %q now", q.Name, was.Name, marks, m.format(n.At), endOfNotch(*n), was.Edge)
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
