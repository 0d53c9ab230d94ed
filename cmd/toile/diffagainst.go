package main

import (
	"bytes"
	"fmt"
	"time"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render"
)

// against is the comparison of two pieces, a of one side and b of the other,
// which may be the same.
type against struct {
	change.Diff
	from, to diffSide
	a, b     *pattern.Piece
	trail    *noteTrail
}

// checkAgainst refuses what cannot be meant, whatever the pattern holds.
func checkAgainst(opt diffOptions) error {
	if opt.against == "" {
		return nil
	}
	if opt.piece == "" {
		return usagef("--against says what a piece is compared with; give that piece with --piece")
	}
	a, errA := pattern.CleanName(opt.piece)
	b, errB := pattern.CleanName(opt.against)
	if errA == nil && errB == nil && a == b {
		return usagef("%s would be compared with itself; leave --against out to see what changed in it", a)
	}
	return nil
}

// diffAgainst says, and draws where that is wanted, what is different between
// two pieces.
func (o *opened) diffAgainst(args []string, opt diffOptions) error {
	c, err := o.compareAgainst(args, opt)
	if err != nil {
		return err
	}
	if opt.json {
		diff.CutAreas(c.Pieces)
		err = o.sayJSON(c.Diff)
	} else {
		o.sayAgainst(c)
	}
	if err != nil {
		return err
	}
	if p := c.Pieces[0]; p.Kept == 0 && p.Placement == (change.Placement{}) {
		o.advise("%s and %s have nothing in common; they are compared as they lie on the sheet.", c.a.Name, c.b.Name)
	}
	if opt.folder == "" {
		return nil
	}
	if c.trail, err = o.noteTrail(c.from, c.to); err != nil {
		return err
	}
	drawn, err := c.draw(opt.folder, o.now)
	if err != nil {
		return err
	}
	o.sayDrawn(drawn, opt)
	return nil
}

// compareAgainst reads both sides, the working pattern for both where nothing
// else was typed, and compares the pieces.
func (o *opened) compareAgainst(args []string, opt diffOptions) (c *against, err error) {
	c = &against{}
	if c.to, err = o.toSide(args); err == nil {
		err = o.readSide(&c.to)
	}
	c.from = c.to
	if len(args) > 0 && err == nil {
		if c.from, err = o.fromSide(args); err == nil {
			err = o.readSide(&c.from)
		}
	}
	if err != nil {
		return nil, err
	}
	if c.a, err = c.from.piece(opt.piece); err != nil {
		return nil, err
	}
	if c.b, err = c.to.piece(opt.against); err != nil {
		return nil, err
	}
	c.Diff, err = diff.Against(c.a, c.b, c.to.Pattern, c.from.name, c.to.name)
	return c, err
}

// sayAgainst tells what would make b of a, and how b lies on a for that.
func (o *opened) sayAgainst(c *against) {
	p, unit := c.Pieces[0], c.to.Unit
	a, b := c.a.Name, c.b.Name
	if from, to := c.from.words(), c.to.words(); from == to {
		o.say("%s against %s, both of %s", b, a, to)
	} else {
		o.say("%s of %s against %s of %s", b, to, a, from)
	}
	o.say("")
	if p.Placement != (change.Placement{}) {
		o.say("laid on %s: %s", a, motionWords(placed(p.Placement), unit))
	}
	if p.State == change.Same {
		o.say("nothing is different")
		return
	}
	o.say("what makes %s of %s:", b, a)
	for _, ch := range p.Changes {
		o.say("  %s", ch.Says)
	}
	o.say("only in %s %s, only in %s %s; net area %s and %s",
		b, area(unit, p.Added), a, area(unit, p.Removed), area(unit, p.NetArea[1]), area(unit, p.NetArea[0]))
}

// placed is a placement as a motion of the sheet.
func placed(p change.Placement) geom.Motion {
	return geom.Motion{Mirror: p.Mirrored, Turn: geom.Degrees(p.Turn), Shift: geom.Pt(p.DX, p.DY)}
}

// draw writes the overlay of the two pieces into a folder.
func (c *against) draw(folder string, now func() time.Time) ([]string, error) {
	p := c.Pieces[0]
	if p.State == change.Same {
		return nil, nil
	}
	s := render.Sheet{Pattern: c.to.Name, Unit: c.to.Unit, Date: now().Format(time.DateOnly)}
	s.Notes = append(pinnedNotes(c.from.Pattern, c.to.Pattern, c.trail.onPiece(c.from, c.a, geom.Motion{})),
		pinnedNotes(c.to.Pattern, c.to.Pattern, c.trail.onPiece(c.to, c.b, placed(p.Placement)))...)
	var text bytes.Buffer
	if err := render.Overlay(&text, s, c.Diff, p); err != nil {
		return nil, fmt.Errorf("%s against %s: %w", c.b.Name, c.a.Name, err)
	}
	name := pattern.Slug(c.b.Name, nil) + "-against-" + pattern.Slug(c.a.Name, nil) + drawingEnding
	return writeDrawings(folder, []drawing{{name, text.Bytes()}})
}
