package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// across looks from piece to piece: what has to follow a change and has not,
// and what a change comes to where the piece sewn to it changed alike.
type across struct {
	from, to *pattern.Pattern
	d        *change.Diff
	half     map[string]*change.PieceDiff // of a new piece that is one half of what was a pair
}

// tell adds all of it.
func (f *across) tell() {
	f.seams()
	f.layers()
	f.underSeams()
	f.allRound()
	f.sort()
}

// outlineKinds are the changes to an edge's line or ends.
var outlineKinds = []change.Kind{change.EdgeMoved, change.EdgeSwung, change.EdgeRun, change.EdgeRedrawn, change.Spread}

// changesOf lists the outline changes of an edge, by its name in TO.
func (f *across) changesOf(piece, edge string) []*change.Change {
	p := f.sinceItWas(piece)
	if p == nil {
		return nil
	}
	then := EdgeThen(*p, edge)
	if then == "" && p.State == change.Split {
		then = edge // new at the line of the split, and told by its own name
	}
	var found []*change.Change
	for i := range p.Changes {
		ch := &p.Changes[i]
		if slices.Contains(outlineKinds, ch.Kind) && slices.Contains(ch.Edges, then) { // one that moved as one is itself as it was
			found = append(found, ch)
		}
	}
	return found
}

func (f *across) piece(name string) *change.PieceDiff {
	for i := range f.d.Pieces {
		if f.d.Pieces[i].Piece == name {
			return &f.d.Pieces[i]
		}
	}
	return nil
}

// sinceItWas is what became of a piece: since it was, a part that was split off
// since it was of the whole, one half of what was a pair since it was that; nil
// where it is new.
func (f *across) sinceItWas(name string) *change.PieceDiff {
	p := f.piece(name)
	if p == nil || p.New == nil {
		return nil
	}
	if Then(*p) != nil {
		return p
	}
	if p, known := f.half[name]; known {
		return p
	}
	f.half[name] = nil
	if old, _ := pairOf(p.New, f.from, f.to); old != nil {
		if d, err := Pieces(old, asEdgesWere(old, p.New), f.to); err == nil {
			f.half[name] = &d
		}
	}
	return f.half[name]
}

// asEdgesWere is a piece made out of another with its edges known by the ids of those
// that they were made of, where each of them is one of the old piece's: of a piece
// that is nearly its own mirror image the shape alone does not tell which is which.
func asEdgesWere(old, now *pattern.Piece) *pattern.Piece {
	q := now.Clone()
	for i := range q.Edges {
		if e := &q.Edges[i]; e.Was != "" && old.EdgeByID(e.Was) >= 0 && q.EdgeByID(e.Was) < 0 {
			e.ID = e.Was
		}
	}
	return q
}

// seams tells for each seam which sewn-to edge did not follow: a mismatch when
// a section no longer fits, else a reminder. Where it is gathered all along a change
// in length alone asks for nothing.
func (f *across) seams() {
	for i := range f.to.Seams {
		s := &f.to.Seams[i]
		gathered := f.to.Gathered(s)
		worst, out := f.misfit(s)
		for k, side := range [2][2]pattern.Chain{{s.First, s.Second}, {s.Second, s.First}} {
			changed, lags := f.changedIn(side[0]), f.changedIn(side[1])
			if gathered { // how long each side is is free
				changed = slices.DeleteFunc(changed, func(st pattern.Stretch) bool { return f.onlyInLength(st) })
			}
			if len(changed) == 0 {
				continue
			}
			if len(lags) > 0 {
				if rest := f.restOf(side[0], side[1]); len(rest) > 0 {
					f.d.NotFollowed = append(f.d.NotFollowed, f.behind(rest, changed[0], worst))
				}
				continue
			}
			changed = f.movedFirst(changed)
			sewn := f.sewnTo(s, 1-k, changed)
			of, stays := changed[0], sewn[0]
			if worst != 0 {
				of, stays = firstOf(f.movedFirst(f.changedIn(out[k])), of), firstOf(out[1-k], stays)
			}
			if p := f.sinceItWas(stays.Piece); worst == 0 && (p == nil || EdgeThen(*p, stays.Edge) == "") {
				continue // drafted or split off just now, and it fits
			}
			if worst == 0 && !slices.ContainsFunc(changed, f.changedVisibly) {
				continue
			}
			lagging := append(pattern.Chain{stays}, slices.DeleteFunc(out[1-k], func(st pattern.Stretch) bool { return st == stays })...)
			if worst == 0 {
				lagging = sewn
			}
			f.d.NotFollowed = append(f.d.NotFollowed, f.behind(lagging, of, worst))
		}
	}
}

// movedFirst are those of some stretches that changed their line, where any has: what
// meets them was cut or run on for it.
func (f *across) movedFirst(changed pattern.Chain) pattern.Chain {
	moved := slices.DeleteFunc(slices.Clone(changed), func(st pattern.Stretch) bool { return !f.movedItself(st) })
	if len(moved) == 0 {
		return changed
	}
	return moved
}

// sewnTo are the stretches of a side of a seam to which some of the other are sewn.
func (f *across) sewnTo(s *pattern.Seam, side int, some pattern.Chain) (all pattern.Chain) {
	for _, of := range some {
		for _, st := range f.to.SewnTo(s, side, of.Piece, of.Edge) {
			if !slices.Contains(all, st) {
				all = append(all, st)
			}
		}
	}
	return all
}

// onlyInLength reports whether an edge was spread, cut or run on, and not moved.
func (f *across) onlyInLength(st pattern.Stretch) bool {
	return !slices.ContainsFunc(f.changesOf(st.Piece, st.Edge), func(ch *change.Change) bool { return ch.Kind != change.Spread && ch.Kind != change.EdgeRun })
}

// behind tells that stretches on a side of a seam have not followed an edge, the
// worst section of which is so many mm out.
func (f *across) behind(lagging pattern.Chain, of pattern.Stretch, worst float64) change.NotFollowed {
	stays := lagging[0]
	n := change.NotFollowed{Piece: stays.Piece, Edge: stays.Edge, Of: of.Piece + "/" + of.Edge, Why: "sewn to",
		By: change.Figure(worst), Mismatch: worst != 0, Says: notFollowedWords(lagging, stays, of)}
	if n.Mismatch {
		n.Says += fmt.Sprintf(", and they are %s apart in length", f.to.Unit.Format(math.Abs(worst)))
	} else {
		n.Says += "; they still fit in length"
	}
	return n
}

// restOf are the stretches on one side of a seam that stayed where others there
// followed the other side, which all moved at an equal distance: of a taper or a
// swing one piece makes all that is to be made.
func (f *across) restOf(moved, side pattern.Chain) (rest pattern.Chain) {
	way := 0.0
	for _, st := range moved {
		by, ok := f.movedEvenly(st)
		if !ok || by*way < 0 {
			return nil
		}
		way = by
	}
	followed := false
	for _, st := range side {
		by, ok := f.movedEvenly(st)
		switch {
		case ok && by*way > 0:
			followed = true
		case f.movedItself(st) || f.sinceItWas(st.Piece) == nil:
			return nil
		default:
			rest = append(rest, st)
		}
	}
	if !followed {
		return nil
	}
	return rest
}

// movedEvenly is by how many mm an edge moved outward at an equal distance, or as
// it is along the grain, where it did nothing else itself.
func (f *across) movedEvenly(st pattern.Stretch) (by float64, ok bool) {
	for _, ch := range f.changesOf(st.Piece, st.Edge) {
		if ch.Kind == change.EdgeRun {
			continue
		}
		if ch.Kind != change.EdgeMoved || ch.How == change.HowTapered || ch.By == nil || ok {
			return 0, false
		}
		by, ok = *ch.By, true
	}
	return by, ok
}

// notFollowedWords says that a side of a seam, or what of it lies in the section that
// is out, has not followed an edge.
func notFollowedWords(lagging pattern.Chain, stays, of pattern.Stretch) string {
	var names []string
	for _, st := range lagging {
		if name := fmt.Sprintf("%s, %q", st.Piece, st.Edge); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) < 2 {
		return fmt.Sprintf("%s, %q, is sewn to %s, %q, which changed; it has not", stays.Piece, stays.Edge, of.Piece, of.Edge)
	}
	return fmt.Sprintf("%s and %s, are sewn to %s, %q, which changed; they have not", strings.Join(names[:len(names)-1], "; "), names[len(names)-1], of.Piece, of.Edge)
}

// changedIn lists the stretches of a chain whose edges changed.
func (f *across) changedIn(c pattern.Chain) []pattern.Stretch {
	return slices.DeleteFunc(slices.Clone(c), func(st pattern.Stretch) bool { return len(f.changesOf(st.Piece, st.Edge)) == 0 })
}

// firstOf is the first stretch of a chain, another where it has none.
func firstOf(c pattern.Chain, other pattern.Stretch) pattern.Stretch {
	if len(c) == 0 {
		return other
	}
	return c[0]
}

// misfit is by how much the worst section of a seam is beyond its ease and the
// tolerance, and the stretches of both sides that lie in it; 0 when all fit.
func (f *across) misfit(s *pattern.Seam) (worst float64, out [2]pattern.Chain) {
	sections, err := f.to.WalkSeam(s)
	if err != nil {
		return 0, out
	}
	first, second, err := f.to.WalkChains(s)
	if err != nil {
		return 0, out
	}
	var at [2]float64
	for _, c := range sections {
		from := at
		at = [2]float64{at[0] + c.First, at[1] + c.Second}
		if by := c.Left(); !c.Gathered && math.Abs(by) > f.to.Tolerances.Section && math.Abs(by) > math.Abs(worst) {
			worst = by
			out = [2]pattern.Chain{stretchesIn(s.First, first, from[0], at[0]), stretchesIn(s.Second, second, from[1], at[1])}
		}
	}
	return worst, out
}

// stretchesIn are the stretches of a chain that lie between two distances along it,
// in mm, with more than 1 mm.
func stretchesIn(c pattern.Chain, w pattern.Walked, from, to float64) pattern.Chain {
	var found pattern.Chain
	for k, part := range w.Parts {
		if math.Min(to, part.Offset+part.Length())-math.Max(from, part.Offset) > 1 {
			found = append(found, c[k])
		}
	}
	return found
}

// sort puts mismatches first, and tells once what two seams between the same edges would
// tell in the same words.
func (f *across) sort() {
	told := map[string]bool{}
	f.d.NotFollowed = slices.DeleteFunc(f.d.NotFollowed, func(n change.NotFollowed) bool {
		again := told[n.Says]
		told[n.Says] = true
		return again
	})
	slices.SortStableFunc(f.d.NotFollowed, func(a, b change.NotFollowed) int {
		if a.Mismatch != b.Mismatch {
			if a.Mismatch {
				return -1
			}
			return 1
		}
		return strings.Compare(a.Piece+"/"+a.Edge, b.Piece+"/"+b.Edge)
	})
}
