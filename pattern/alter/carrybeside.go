package alter

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// lieBeside reports whether two pieces lie beside each other on one outer, as a
// facing and the lining trimmed to it do.
func lieBeside(p *pattern.Pattern, a, b string) bool {
	return a != b && slices.ContainsFunc(p.Layers, func(l pattern.Layer) bool {
		return !l.Band && slices.Contains(l.Inner, a) && slices.Contains(l.Inner, b)
	})
}

// makeBeside makes a change of the source on edge j of a piece that lies beside it:
// what the one gets the other gives, so that together they are as large as before.
func (m *making) makeBeside(w *work, j int, ch change.Change, opposite bool) error {
	ch = shiftedAside(ch)
	switch {
	case ch.Kind == change.EdgeRun:
		return m.runAlike(w, j, ch, opposite)
	case ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		ch.By = change.Amount(-*ch.By)
	case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered:
		ch.Ends = &[2]float64{-ch.Ends[0], -ch.Ends[1]}
	case ch.Kind == change.EdgeMoved && len(ch.OldPath) > 0 && len(ch.NewPath) > 0: // along the grain
		turn := geom.Motion{Turn: geom.AngleBetween(m.piece.GrainDirection(), w.piece.GrainDirection())}
		by := turn.ApplyVector(ch.NewPath.Start().Sub(ch.OldPath.Start()))
		return w.moveTo(j, w.paths[j].Moved(geom.Motion{Shift: by}))
	default:
		return fmt.Errorf("%s lies beside %s, and gives what that gets; this change cannot be turned over so: draw %q of %s along it with `toile alter redraw`",
			w.piece.Name, m.piece.Name, w.name(j), w.piece.Name)
	}
	line, err := lineAlike(w.paths[j], ch, opposite)
	if err != nil {
		return err
	}
	return w.moveTo(j, line)
}
