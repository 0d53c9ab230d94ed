package trace

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
	"toile/pattern/units"
)

// Request says how an outline becomes a piece.
type Request struct {
	// Drawn says which line was drawn: DrawnSewing or DrawnCutting. Empty is
	// the sewing line too, but refused when it lies on the stored cutting line
	// of a piece already there.
	Drawn string

	// DrawnWithin is how far in mm the drawing may be off, as one made by hand;
	// 0 for an exact one. What lies within three times as much of the stored
	// outline is that.
	DrawnWithin float64

	// Allowance is the allowance in mm of every edge that Edges does not name;
	// nil leaves them as they are.
	Allowance *float64

	// Edges holds allowances in mm by an edge's name, its number, or the side
	// it lies on: top, right, bottom, left.
	Edges map[string]float64

	// Fold is the edge that lies on the fold, named as in Edges; empty for
	// none, or the stored one.
	Fold string

	// Place says where a piece already there is laid: PlaceFit (also when
	// empty) finds its pose, PlaceAsIs takes the sheet as it is.
	Place string

	// Set is the allowance set that allowances belong to; empty means cloth.
	Set string

	// Corner is the turn in radians from which on a node is a corner; 0 means
	// the pattern's own.
	Corner float64

	// Cloth and Cut are set on the piece when not empty. A fold makes it one
	// on fold.
	Cloth string
	Cut   pattern.Cut

	// Cost says how much it takes to make one state of a piece of another, laid
	// as they are, in changes. Of poses in which much of the drawing lies on the
	// stored piece the one that costs clearly less is taken; nil for the one in
	// which most of it does.
	Cost func(old, now *pattern.Piece) float64
}

// What Request.Drawn and Request.Place can be.
const (
	DrawnSewing  = "sewing"
	DrawnCutting = "cutting"
	PlaceFit     = "fit"
	PlaceAsIs    = "as-is"
)

// Result is the piece that an outline became.
type Result struct {
	Piece   *pattern.Piece
	New     bool // there was no piece of that name
	Changed bool // false: the piece is the stored one to the byte

	// Taken counts what the drawing showed on and in the outline.
	Taken Taken

	// Pose is how the drawing was laid over the stored piece, Alternatives
	// how else it would fit nearly as well and make another piece of it, three
	// at most; none where it was not moved.
	Pose         match.Pose
	Alternatives []match.Pose

	// Departure is how far in mm the cutting line computed from the piece lies
	// from the drawn one, and DepartureAt where on the drawn one or beside it;
	// 0 when the sewing line was drawn.
	Departure   float64
	DepartureAt geom.Point

	// Says tells in plain sentences what was done that was not plainly drawn.
	Says []string
}

// Taken counts the notches and marks of a drawing.
type Taken struct {
	Notches, Lines, Dots, Texts int
	Grain                       bool
}

// mostMarks bounds what is marked on one piece: ten times the eyelets of a corset,
// and no more than its file can hold.
const mostMarks = 3000

// largestDrawnWithin in mm: what is drawn worse than that is another piece.
const largestDrawnWithin = 5.0

// sameWithin: stored outlines within so many mm are the same.
const sameWithin = 0.01

// ToPiece makes a piece of an outline: a new one, or the next state of the
// piece that bears its name. The pattern is not changed; the caller puts the
// piece in.
//
// A new piece has its corners where the direction turns by more than
// Request.Corner, or where a points file declares them. Of a piece already
// there everything stays that the drawing does not change: the drawing is laid
// over it, edges keep their ids, names, allowances, fold and hem, and what
// coincides within 0.01 mm keeps its stored coordinates. Where the points
// were noisy, or Request.DrawnWithin says so, three times Piece.DrawnWithin
// counts instead.
//
// A drawing is left where it lies unless another pose explains clearly more
// (match.LayOver); one that lies on less than 40 % of the stored outline in
// any pose, or 25 % where it lies, is refused. One taken as it lies that was only moved on its sheet
// takes the stored grain line and marks along.
//
// Notches and marks: a drawing that shows none says nothing of them. One that
// shows notches shows all of them: a notch drawn within 0.5 mm of a stored one
// is that one, a drawn one of the same name or else the nearest on the same
// edge has moved, and what is then left over is gone; each of these is said.
// Marks of the kinds drawn go the same way by name.
//
// From a cutting line (Request.Drawn), fold and allowances are settled first
// and asked for when missing, then the outline goes inward, and
// Result.Departure tells how well its own cutting line agrees with the drawn
// one.
//
// Errors name the place in the drawing, the edge and the next step. A broken
// rule of the model comes as *pattern.Problem.
func ToPiece(p *pattern.Pattern, o Outline, r Request) (Result, error) {
	t, err := toPiece(p, o, r, nil)
	if err == nil {
		return t.simplest(func(pose match.Pose) (*tracing, error) { return toPiece(p, o, r, &pose) }).res, nil
	}
	// Where another pose fits nearly as well, the one that makes a piece counts.
	var problem *pattern.Problem
	if t != nil && errors.As(err, &problem) {
		for _, other := range t.res.Alternatives {
			if u, wrong := toPiece(p, o, r, &other); wrong == nil {
				return u.res, nil
			}
		}
	}
	return Result{}, err
}

// toPiece is ToPiece for one pose: the best one, or the one that is given.
func toPiece(p *pattern.Pattern, o Outline, r Request, pose *match.Pose) (*tracing, error) {
	t, err := newTracing(p, o, r)
	if err != nil {
		return nil, err
	}
	t.given = pose
	t.smoothNoise()
	t.noise = math.Max(t.noise, r.DrawnWithin)
	if t.old == nil {
		err = t.first()
	} else {
		err = t.again()
	}
	if err == nil {
		err = t.alternatives()
	}
	if err != nil {
		return t, t.fail(err)
	}
	return t, nil
}

// tracing is one outline on its way to a piece.
type tracing struct {
	p    *pattern.Pattern
	o    Outline
	r    Request
	name string
	// before is the stored piece, nil for a new one; old is it where it counts
	// as lying.
	before, old *pattern.Piece

	piece  *pattern.Piece // being made
	given  *match.Pose    // how it is to be laid; nil for the best way
	unlaid geom.Ring      // the outline before it was laid over the stored one
	laidOn geom.Ring      // the stored outline it was laid over
	tol    float64        // mm within which the old outline and the new one coincide
	noise  float64        // mm, of the points drawn; 0 when exact
	fixed  []int          // curves at which corners were found in noise
	points []geom.Point   // the noisy points that the outline was laid through
	sewn   []geom.Point   // from a cutting line: those points, laid and taken inward to the sewing line
	res    Result
}

func newTracing(p *pattern.Pattern, o Outline, r Request) (*tracing, error) {
	t := &tracing{p: p, o: o, r: r}
	name, err := pattern.CleanName(o.Name)
	if err != nil {
		return nil, t.fail(fmt.Errorf("%w; change the label in the drawing", err))
	}
	t.name = name
	if err := t.checkRequest(); err != nil {
		return nil, t.fail(err)
	}
	if len(o.Ring) == 0 {
		return nil, t.fail(ErrNoOutline)
	}
	if n := len(o.Notches) + len(o.Lines) + len(o.Dots) + len(o.Texts); n > mostMarks {
		return nil, t.fail(tooLarge("%d notches, lines, dots and texts lie in it, and %d are the most; leave out what is no mark to sew by", n, mostMarks))
	}
	if old, err := p.Piece(name); err == nil {
		t.old = old.Clone()
		p.GiveIDs(t.old)
		t.before = t.old
	}
	if t.old == nil {
		t.tellNew()
	}
	t.res.Taken = Taken{Notches: len(o.Notches), Lines: len(o.Lines), Dots: len(o.Dots), Texts: len(o.Texts)}
	for _, l := range o.Lines {
		if isGrainLine(l) {
			t.res.Taken.Grain = t.res.Taken.Grain || !l.Label.Says(pattern.GrainUsual)
			t.res.Taken.Lines--
		}
	}
	return t, nil
}

func (t *tracing) checkRequest() error {
	switch t.r.Drawn {
	case "", DrawnSewing, DrawnCutting:
	default:
		return fmt.Errorf("the drawn line is %q; it is %q or %q", t.r.Drawn, DrawnSewing, DrawnCutting)
	}
	switch t.r.Place {
	case "", PlaceFit, PlaceAsIs:
	default:
		return fmt.Errorf("the place is %q; it is %q or %q", t.r.Place, PlaceFit, PlaceAsIs)
	}
	if t.r.Set == "" {
		t.r.Set = pattern.ClothSet
	}
	if !t.p.HasSet(t.r.Set) {
		return fmt.Errorf("the pattern has no allowance set %q; its sets are %q", t.r.Set, t.p.Sets)
	}
	if w := t.r.DrawnWithin; !(w >= 0 && w <= largestDrawnWithin) {
		return fmt.Errorf("drawn within %v mm; it takes 0 to %v mm", w, largestDrawnWithin)
	}
	if t.r.Corner == 0 {
		t.r.Corner = t.p.Tolerances.Corner
	}
	if !(t.r.Corner > 0) || t.r.Corner > math.Pi {
		return fmt.Errorf("a corner from a turn of %s on; it takes more than 0° and at most 180°", units.FormatAngle(t.r.Corner))
	}
	return nil
}

// fail puts the place in the drawing before an error.
func (t *tracing) fail(err error) error {
	if t.o.Where == "" {
		return err
	}
	return fmt.Errorf("%s: %w", t.o.Where, err)
}

func (t *tracing) says(format string, args ...any) {
	sentence := t.name + ": " + fmt.Sprintf(format, args...)
	if !slices.Contains(t.res.Says, sentence) {
		t.res.Says = append(t.res.Says, sentence)
	}
}

func (t *tracing) cutting() bool { return t.r.Drawn == DrawnCutting }

// first makes a new piece.
func (t *tracing) first() error {
	t.res.New, t.res.Changed = true, true
	t.res.Pose = match.Pose{Matched: 1}
	ring, starts := t.divide(t.o.Ring)
	runs := t.runs(ring, starts)
	if err := t.nameRuns(runs); err != nil {
		return err
	}
	t.onFold(runs)
	t.measured(runs)
	if err := t.settle(runs); err != nil {
		return err
	}
	drawn := ring
	if t.cutting() {
		var err error
		if runs, err = t.inward(runs); err != nil {
			return err
		}
		for i := range runs { // numbers count anew where an edge vanished
			runs[i].name = ""
		}
		if err := t.nameRuns(runs); err != nil {
			return err
		}
	}
	t.piece = &pattern.Piece{Name: t.name, Slug: t.p.NewSlug(t.name), Cut: pattern.CutOne, DrawnWithin: units.Round(t.noise, 3)}
	for _, u := range runs {
		t.piece.Corners = append(t.piece.Corners, pattern.Corner{At: rounded3(u.path.Start())})
		e := pattern.Edge{Name: u.name, Hem: u.hem}
		setAllowance(&e, u, t.r.Set)
		t.piece.Edges = append(t.piece.Edges, e)
	}
	for i, u := range runs {
		setRounded(&t.piece.Edges[i], u.path)
	}
	return t.complete(drawn)
}

// complete gives the piece its settings, notches and marks, and checks it.
func (t *tracing) complete(drawn geom.Ring) error {
	if t.r.Cloth != "" {
		t.piece.Cloth = t.r.Cloth
	}
	if t.r.Cut != "" {
		t.piece.Cut = t.r.Cut
	}
	if t.old == nil && (t.o.Side == "left" || t.o.Side == "right") {
		t.piece.Side = t.o.Side
	}
	if t.r.Fold != "" || (t.old == nil && slices.ContainsFunc(t.piece.Edges, func(e pattern.Edge) bool { return e.Fold })) {
		t.piece.Cut = pattern.CutOnFold
	}
	if err := t.notches(); err != nil {
		return err
	}
	if err := t.marks(); err != nil {
		return err
	}
	t.p.GiveIDs(t.piece)
	if err := t.piece.Validate(); err != nil {
		return err
	}
	if err := t.checkSeams(); err != nil {
		return err
	}
	if t.cutting() {
		if err := t.depart(drawn); err != nil {
			return err
		}
	} else if t.old != nil {
		if err := t.tellCutting(); err != nil {
			return err
		}
	}
	t.res.Piece = t.piece
	return t.compareBytes()
}

// compareBytes finds out whether anything changed, and if not gives the
// stored piece back.
func (t *tracing) compareBytes() error {
	if t.before == nil {
		return nil
	}
	before, err := t.before.Encode()
	if err != nil {
		return err
	}
	after, err := t.piece.Encode()
	if err != nil {
		return err
	}
	if t.res.Changed = !bytes.Equal(before, after); !t.res.Changed {
		t.res.Piece = t.before.Clone()
		return nil
	}
	t.hintAtHand()
	return nil
}

// hintAtHand tells of a drawing that is off everywhere by no more than a hand
// errs how to say so.
func (t *tracing) hintAtHand() {
	const byHand = 1.0 // mm
	a, errA := t.before.Outline()
	b, errB := t.piece.Outline()
	if t.noise > 0 || errA != nil || errB != nil || len(a.Ring) == 0 || len(b.Ring) == 0 {
		return
	}
	there, _ := farthestFrom(geom.Path(b.Ring), geom.Path(a.Ring))
	back, _ := farthestFrom(geom.Path(a.Ring), geom.Path(b.Ring))
	if far := math.Max(there, back); far > byEye/10 && far <= byHand {
		within := math.Ceil(far/3*10) / 10
		t.says("the drawing lies nowhere more than %s mm from the stored outline; if it was drawn by hand, say how well, as in --drawn-within %smm, and nothing changes",
			units.Number(far, 2), units.Number(within, 1))
	}
}

// checkSeams refuses a piece that has lost an edge or a notch its seams need.
func (t *tracing) checkSeams() error {
	q := t.p.Clone()
	q.Put(t.piece.Clone())
	for i := range q.Seams {
		if len(t.p.SeamsOf(t.name, "")) == 0 {
			return nil
		}
		if err := q.ValidateSeam(&q.Seams[i]); err != nil {
			return fmt.Errorf("the drawing does not go with what is sewn to it: %w; "+
				"draw the edge so that it can be found, or say the seam anew first with `toile seam`", err)
		}
	}
	return nil
}

// rounded3 is a point as it is stored.
func rounded3(q geom.Point) geom.Point { return geom.Pt(units.Round(q.X, 3), units.Round(q.Y, 3)) }
