package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render/paper"
)

// Sizes in mm of what is printed to be pasted on.
const (
	// glueMargin is how far a strip reaches over the paper that is there.
	glueMargin = 15.0
	// aroundPlace is how much is printed around a new notch, mark or line.
	aroundPlace = 25.0
	// cutWithin is how near two cutting lines lie that are the same: each was
	// computed within pattern.CutTolerance, and an unchanged edge comes out the
	// same to the bit.
	cutWithin = 0.015
	// leastStrip is the width of a strip that scissors can cut at all.
	leastStrip = 0.1
)

// mostPasted is the part of a piece's area above which strips are more work
// than a new print of the whole.
const mostPasted = 0.6

// Changed is what is printed of a piece that changed, and what is to be done
// with it, in sentences.
type Changed struct {
	Plots []paper.Plot
	Says  []string // what was printed, a line each
	How   []string // what to do with the strips, each way once
}

// Changed prints of a piece only what changed: strips to paste onto the
// paper that is there, with a margin for the glue, or to lay on it and cut
// along, and the places of new notches and marks. Coordinates are those of
// FROM's sheet. Where little stays as it was the whole piece is printed, which
// is said.
func (pr *Print) Changed(p change.PieceDiff) (Changed, error) {
	switch {
	case p.New == nil:
		return Changed{Says: []string{p.Piece + ": it is there no longer; put its paper aside"}}, nil
	case p.Old == nil:
		return pr.whole(p, "it is new, and printed whole")
	case slices.ContainsFunc(p.Changes, anew):
		return pr.whole(p, "it is another sheet now, and printed whole")
	}
	old, err := p.Old.CuttingLine(pr.set)
	if err != nil {
		return Changed{}, fmt.Errorf("as it was: %w", err)
	}
	now, err := p.New.CuttingLine(pr.set)
	if err != nil {
		return Changed{}, err
	}
	within := math.Max(cutWithin, 3*math.Max(p.Old.DrawnWithin, p.New.DrawnWithin))
	lie, err := geom.Compare(old.Ring, now.Ring, within)
	if err != nil {
		return pr.whole(p, "it cannot be laid over what it was, and is printed whole")
	}
	w := patchwork{print: pr, diff: p, old: old, now: now, lie: lie, within: within}
	patches, err := w.patches()
	if err != nil {
		return pr.whole(p, "its sewing line cannot be laid over what it was, and it is printed whole")
	}
	area := 0.0
	for _, patch := range patches {
		area += math.Abs(patch.area)
	}
	if area > mostPasted*now.Ring.Area() {
		return pr.whole(p, "so much of it changed that it is printed whole")
	}
	return w.draw(patches)
}

// anew reports a change after which a piece is another sheet of paper.
func anew(c change.Change) bool {
	switch c.Kind {
	case change.PieceSplit, change.PieceJoined, change.PieceMirrored, change.PieceUnfolded, change.Spread:
		return true
	}
	return false
}

// whole prints a whole piece and says why.
func (pr *Print) whole(p change.PieceDiff, why string) (Changed, error) {
	plot, missed, err := pr.Piece(p.New)
	if err != nil {
		return Changed{}, err
	}
	c := Changed{Plots: []paper.Plot{plot}, Says: []string{p.Piece + ": " + why}}
	if len(missed) > 0 {
		c.Says = append(c.Says, p.Piece+": no room in the drawing for "+strings.Join(FirstOf(missed), "; "))
	}
	return c, nil
}

// mostTold is how many of the words without room are told one by one.
const mostTold = 20

// FirstOf are the first of a long list, and how many more there are.
func FirstOf(words []string) []string {
	if len(words) <= mostTold {
		return words
	}
	return append(slices.Clone(words[:mostTold]), fmt.Sprintf("%d more", len(words)-mostTold))
}

// patchwork is a piece that changed in places.
type patchwork struct {
	print    *Print
	diff     change.PieceDiff
	old, now pattern.CuttingLine
	lie      geom.Overlap
	within   float64 // mm: nearer cutting lines are the same
}

// patch is one place where the paper changes: a rectangle around it, turned so
// that it is small, what of the piece lies in it now, and what is added and
// removed.
type patch struct {
	frame          geom.Ring
	now            []geom.Region // the new piece within the frame: the paper to cut out
	added, removed []geom.Region
	all            bool     // added and removed are all there is in the frame
	places         []string // new notches and marks
	area           float64
}

// patches lists them: where the cutting line changed, the largest first, where
// only the sewing line did, and what is marked anew beyond those. It is an error
// where the sewing lines cannot be compared.
func (w patchwork) patches() ([]patch, error) {
	patches, err := w.withSewing(w.cutPatches())
	if err != nil {
		return nil, err
	}
	return w.withPlaces(patches), nil
}

// cutPatches are those where the cutting line changed, the largest first. A
// region that goes round corners is divided where that saves paper.
func (w patchwork) cutPatches() []patch {
	var out []patch
	add := func(regions []geom.Region, put func(*patch, geom.Region)) {
		for _, r := range regions {
			if r.Width < leastStrip || len(r.Rings) == 0 {
				continue
			}
			points := geom.Path(r.Rings[0]).Flatten(0.5)
			i := slices.IndexFunc(out, func(p patch) bool { return holdsAll(p.frame, points) })
			if i < 0 {
				if parts := w.dividedPatches(r); parts != nil {
					out = append(out, parts...)
					continue
				}
				out = append(out, w.framed(leastRectangle(points, glueMargin)))
				i = len(out) - 1
			}
			if !out[i].all {
				put(&out[i], r)
			}
		}
	}
	add(byArea(w.lie.Added), func(p *patch, r geom.Region) { p.added = append(p.added, r) })
	add(byArea(w.lie.Removed), func(p *patch, r geom.Region) { p.removed = append(p.removed, r) })
	return out
}

func byArea(regions []geom.Region) []geom.Region {
	sorted := slices.Clone(regions)
	slices.SortStableFunc(sorted, func(a, b geom.Region) int { return int(math.Copysign(1, b.Area-a.Area)) })
	return sorted
}

// framed is a patch of what lies in a frame.
func (w patchwork) framed(frame geom.Ring) patch {
	p := patch{frame: frame, area: frame.Area()}
	if lie, err := geom.Compare(frame, w.now.Ring, 0); err == nil {
		p.now = lie.Kept
	}
	return p
}

// holdsAll reports whether a ring holds every point.
func holdsAll(ring geom.Ring, points []geom.Point) bool {
	return !slices.ContainsFunc(points, func(q geom.Point) bool { return !ring.Holds(q) })
}

// leastRectangle is the rectangle with the smallest area around points, all
// sides moved out by a margin. Method: one side of the smallest rectangle lies
// along a side of the convex hull (Freeman and Shapira, 1975; from memory);
// here every stretch between neighbours is tried instead, and level, which may
// miss the smallest by a little and is never wrong.
func leastRectangle(points []geom.Point, margin float64) geom.Ring {
	ways := []geom.Point{{X: 1}}
	for i, p := range points {
		if d := points[(i+1)%len(points)].Sub(p); d.Len() > 1 {
			ways = append(ways, d)
		}
	}
	return rectangleAlong(points, ways, margin)
}

// rectangleAlong is the smallest rectangle around points with a side along one of
// the ways, all sides moved out by a margin.
func rectangleAlong(points, ways []geom.Point, margin float64) geom.Ring {
	best, bestArea := geom.Box{}, math.Inf(1)
	turn := 0.0
	for _, way := range ways {
		angle := way.Angle()
		b := geom.EmptyBox()
		for _, p := range points {
			b = b.Extend(p.Turn(-angle))
		}
		b = b.Grow(margin)
		if size := b.Size(); size.X*size.Y < bestArea-1e-6 {
			best, bestArea, turn = b, size.X*size.Y, angle
		}
	}
	return turnedBox(best, turn)
}

// draw draws every patch by itself.
func (w patchwork) draw(patches []patch) (Changed, error) {
	var c Changed
	sh, err := newShape(w.diff.New)
	if err != nil {
		return c, err
	}
	for i, p := range patches {
		name := fmt.Sprintf("%s, strip %d of %d: %s", w.diff.Piece, i+1, len(patches), p.todo())
		plot, err := w.drawPatch(sh, p, name)
		if err != nil {
			return c, err
		}
		c.Plots = append(c.Plots, plot)
		c.Says = append(c.Says, name+w.atEdge(p)+p.pricked())
		for _, how := range p.how() {
			if !slices.Contains(c.How, how) {
				c.How = append(c.How, how)
			}
		}
	}
	writes := w.toWrite(patches)
	for _, words := range writes {
		c.Says = append(c.Says, w.diff.Piece+": "+words)
	}
	switch {
	case len(patches) > 0:
	case w.tooLittle():
		c.Says = append(c.Says, w.diff.Piece+": its paper stays as it is; less changed than scissors can cut")
	case len(writes) == 0:
		c.Says = append(c.Says, w.diff.Piece+": its paper stays as it is; what changed are words")
	}
	for _, ch := range w.diff.Changes {
		if says := ch.Says; ch.Kind == change.NotchRemoved || ch.Kind == change.MarkRemoved {
			c.Says = append(c.Says, w.diff.Piece+": "+says+"; strike it out on the paper")
		}
	}
	return c, nil
}

// pricked says which notches and marks a strip that is pasted on or cut along
// brings besides.
func (p patch) pricked() string {
	if len(p.places) == 0 || len(p.added)+len(p.removed) == 0 {
		return ""
	}
	return "; then prick through " + strings.Join(p.places, ", ")
}

// leastSaid is the width in mm from which on a part that is added or goes is worth
// a word beside a wider one: the thick line covers less.
const leastSaid = 0.5

// worthSaying are the parts of a strip to be told of: the slivers not, where there
// is more than those.
func (p patch) worthSaying() (added, removed []geom.Region) {
	wide := func(all []geom.Region) []geom.Region {
		return slices.DeleteFunc(slices.Clone(all), func(r geom.Region) bool { return r.Width < leastSaid })
	}
	if added, removed = wide(p.added), wide(p.removed); len(added)+len(removed) == 0 {
		return p.added, p.removed
	}
	return added, removed
}

// todo says in a word what is to be done with a strip.
func (p patch) todo() string {
	added, removed := p.worthSaying()
	switch {
	case len(added) > 0 && len(removed) > 0:
		return "paste on and cut off"
	case len(added) > 0:
		return "paste on"
	case len(removed) > 0:
		return "cut off"
	}
	return "new " + strings.Join(p.places, ", ")
}

// how says it in full, whatever the piece.
func (p patch) how() []string {
	var out []string
	added, removed := p.worthSaying()
	if len(added) > 0 {
		out = append(out, "Paste on: cut the strip out along the thick line and the line of dashes and two dots. Lay its chain line on the cutting line of the paper that is there, and paste; the margin behind the chain line takes the glue. The sewing line of the strip counts; where the paper still shows the old one, strike that out and draw the new one through.")
	}
	if len(removed) > 0 {
		out = append(out, "Cut off: lay the chain line of the strip on the cutting line of the paper that is there, prick the thick line through, and cut the paper along it. What is hatched goes. Where the strip has the sewing line elsewhere than the paper, prick that through too, and strike the old one out.")
	}
	if len(p.places) > 0 {
		out = append(out, "New notches, marks and lines: lay the cutting line of the strip on that of the paper that is there, as it is after pasting and cutting off, and prick the place through, a line point by point. The old one no longer counts; strike it out.")
	}
	return out
}

// drawPatch draws the piece as it is now, over what it was, as far as the
// strip reaches.
func (w patchwork) drawPatch(sh *shape, p patch, name string) (paper.Plot, error) {
	d, r := w.print.recording(paperLetters)
	plot := paper.Plot{Name: name}
	for _, parts := range [][]geom.Region{p.now, p.removed, p.added} {
		for _, region := range parts {
			plot.Shape.Rings = append(plot.Shape.Rings, region.Rings...)
		}
	}
	plot.Box = geom.EmptyBox()
	for _, ring := range plot.Shape.Rings {
		plot.Box = plot.Box.Union(ring.Box())
	}
	d.patchRegions(p)
	for _, run := range runs(w.old.Ring, w.old.Edge, func(i int) bool { return w.diff.Old.Edges[i].Fold }) {
		d.outlinePath("old", run.ring, run.closed, d.chainLine())
	}
	d.pieceLines(sh, w.now, w.print.set)
	d.keepInside(w.now.Ring)
	d.labels = slices.DeleteFunc(d.labels, func(l label) bool { return !plot.Box.Holds(l.anchor) })
	d.patchWords(w, p, name)
	d.keepWithin(p.frame)
	for _, joint := range w.print.job.Joints(plot) {
		d.keepOff(joint)
	}
	missed := d.setLabels(plot.Box)
	strip := len(r.picture)
	if slices.Contains(missed, name) {
		d.beside(&plot, name)
	}
	all, err := d.recorded(r)
	if err != nil {
		return plot, err
	}
	turn := p.turn()
	plot.Picture, plot.Beside = all[:strip], all[strip:]
	plot.Within = turnedBox(p.box(turn).Grow(rimShown), turn)
	return plot, nil
}

// keepWithin keeps all words inside of the rim of a strip.
func (d *drawing) keepWithin(frame geom.Ring) {
	d.keepClear(frame)
	for i := range d.labels {
		d.labels[i].within = frame
	}
}

// rimShown is how far in mm beyond the rim of a strip its lines are drawn: half
// their width. What runs on would look like more to cut.
const rimShown = 0.5

// patchRegions draws the ground of a strip: what is added and what goes, and
// the rim of the paper to cut out.
func (d *drawing) patchRegions(p patch) {
	for _, r := range p.removed {
		d.regionPath("removed", r, attr("fill", vermillion), attr("fill-opacity", "0.12"))
	}
	for _, r := range p.added {
		d.regionPath("added", r, attr("fill", blue), attr("fill-opacity", "0.12"))
	}
	if len(p.removed) > 0 {
		d.hatched("hatch-removed", p.removed, vermillion, fallingHatch)
		d.legend.use(legendRemoved)
	}
	if len(p.added) > 0 {
		d.hatched("hatch-added", p.added, blue, risingHatch)
		d.legend.use(legendAdded)
	}
	d.legend.use(legendOldCut)
	for _, r := range p.now {
		d.legend.use(legendRim)
		d.regionPath("rim", r, d.twoDotLine()...)
	}
}

// patchWords asks for the labels of a strip: what it is called and what is to be
// done with it, once, along its longer side where that has more room, and where
// it has several parts what each is.
func (d *drawing) patchWords(w patchwork, p patch, name string) {
	t := d.pen.text
	d.labels = append(d.labels, p.nameLabel(name, w.now.Ring, w.old.Ring, t))
	part := func(regions []geom.Region, says string, inside geom.Ring) {
		for _, r := range regions {
			d.labels = append(d.labels, label{text: says, anchor: r.Rings[0].Box().Centre(),
				size: t, widest: 40 * t, order: 1, bare: true, spare: true, inside: inside})
		}
	}
	if added, removed := p.worthSaying(); len(added)+len(removed) > 1 {
		part(added, "paste on", w.now.Ring)
		part(removed, "cut off", w.old.Ring)
	}
	old := longestOld(append(slices.Clone(p.added), p.removed...))
	if old == nil {
		return
	}
	half := old.Length() / 2
	along := old.Tangent(0.5)
	d.sayAlong("was: cutting line, lay it on that of the paper", geom.Path{*old}.PointAt(half), along, along.Left(), 0.3*t, 1)
	last := &d.labels[len(d.labels)-1]
	last.widest, last.spare = 50*t, true
}
