package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/repo"
)

type diffOptions struct {
	piece, against string
	folder         string
	json           bool
}

func newDiff(a *app) *cobra.Command {
	var opt diffOptions
	cmd := &cobra.Command{
		Use:   "diff [FROM [TO]]",
		Short: "Say and draw what changed",
		Long: `Says what changed from one version to another; with one version, from that to the
working pattern; with none, from the last version to the working pattern. A
version is typed as its number, first, last, BRANCH:N, a branch for its last
version, fitting-N or its name.

For each changed piece: what was done to it, in the fewest changes that explain
the difference, then the areas added and removed within the sewing line as
drawn. After the pieces come seams whose fit changed, what has to follow a
change and has not, seams and layers said otherwise, and texts: the words that
differ stand between « and ». Then the notes of fittings that were answered and
those still open. Last the pieces that are the same.

--piece tells of one piece alone. --against with it compares that piece with
another one, as a lining with its outer or the left front with the right: the
second is laid on the first, turned over if need be, and what would make the one
of the other is told. Both are taken from the working pattern, or the first from
FROM and the second from TO.

-o also writes drawings into a folder, one overlay for each changed piece and
all.svg with all of them, at true size; with --against the overlay of the two. A
file that is no drawing of toile's is never written over.

--json gives {from, to, pieces, seams, not_followed, settings, texts, notes}; all
pieces are listed, lengths are in mm, and figures are in FROM's frame.

` + exitCodes,
		Example: `  toile diff
  toile diff fitting-1 -o drawings
  toile diff 2 3 --piece front --json
  toile diff --piece front --against "front lining"`,
		Args: cobra.MaximumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := checkAgainst(opt); err != nil {
				return err
			}
			return a.open(false, func(o *opened) error { return o.diff(args, opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), a.versions(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.piece, "piece", "", "only this `PIECE`")
	f.StringVar(&opt.against, "against", "", "compare the piece with this other `PIECE`")
	f.StringVarP(&opt.folder, "output", "o", "", "write drawings into the folder `DIR`")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "piece", a.pieceNames())
	completeFlagWith(cmd, "against", a.pieceNames())
	cobra.CheckErr(cmd.MarkFlagDirname("output"))
	return cmd
}

// comparison is a diff with the two patterns it is of.
type comparison struct {
	change.Diff
	from, to diffSide
	now      string // TO as drawings name it
	fitting  string // that TO was made for, as drawings name it; empty for none
	trail    *noteTrail
	all      []change.PieceDiff // with those that were not asked for
}

func (o *opened) diff(args []string, opt diffOptions) error {
	if opt.against != "" {
		return o.diffAgainst(args, opt)
	}
	whole := opt.json || opt.folder != "" // what is the same is in these as well
	c, err := o.compare(args, whole)
	if err != nil {
		return err
	}
	c.all = c.Pieces
	if opt.piece != "" {
		if err := c.keepPiece(opt.piece); err != nil {
			return err
		}
	}
	if opt.json {
		diff.CutAreas(c.Pieces)
		err = o.sayJSON(c.Diff)
	} else {
		o.sayDiff(c)
	}
	if err != nil || opt.folder == "" {
		return err
	}
	return o.drawDiff(c, opt)
}

// drawDiff draws what a diff says into a folder.
func (o *opened) drawDiff(c *comparison, opt diffOptions) (err error) {
	if c.now, err = o.drawnWords(c.to); err != nil {
		return err
	}
	if v := c.to.kept; v != nil {
		if c.fitting, err = o.fittingWordsNow(c.to.Pattern, v.Fitting); err != nil {
			return err
		}
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

// compare reads both sides and compares them: as a whole, or by what changed.
func (o *opened) compare(args []string, whole bool) (c *comparison, err error) {
	c = &comparison{}
	if c.from, err = o.fromSide(args); err != nil {
		return nil, err
	}
	if c.to, err = o.toSide(args); err != nil {
		return nil, err
	}
	if err := o.readAndCompare(c, whole); err != nil {
		return nil, err
	}
	if err := o.tellTypedLines(c); err != nil {
		return nil, err
	}
	c.NotFollowed, err = o.notCaughtUp(c.NotFollowed, c.to.Pattern, c.from.kept, c.to.kept == nil)
	if c.NotFollowed == nil {
		c.NotFollowed = []change.NotFollowed{} // a list in JSON too
	}
	return c, err
}

func (o *opened) readAndCompare(c *comparison, whole bool) error {
	if !whole {
		if ok, err := o.changedOnly(c); ok || err != nil {
			return err
		}
	}
	for _, s := range []*diffSide{&c.from, &c.to} {
		if err := o.readSide(s); err != nil {
			return err
		}
	}
	var err error
	c.Diff, err = o.compareWith(c.from.Pattern, c.to.Pattern, [2]change.Version{c.from.name, c.to.name}, c.from.kept, c.to.kept)
	return err
}

// keepPiece leaves only one piece of the diff, by its name on either side,
// and the seams it is sewn in.
func (c *comparison) keepPiece(name string) error {
	if clean, err := pattern.CleanName(name); err == nil {
		name = clean
	}
	kept := slices.DeleteFunc(slices.Clone(c.Pieces), func(p change.PieceDiff) bool { return p.Piece != name && p.Before != name })
	if len(kept) == 0 {
		var names []string
		for _, p := range c.Pieces {
			names = append(names, p.Piece)
		}
		return fmt.Errorf("there is no piece %q on either side; the pieces are %s", name, list(names))
	}
	c.Pieces = kept
	sewn := map[string]bool{}
	for _, p := range []*pattern.Pattern{c.from.Pattern, c.to.Pattern} {
		for _, s := range p.SeamsOf(kept[0].Piece, "") {
			sewn[s.Name] = true
		}
	}
	c.Seams = slices.DeleteFunc(c.Seams, func(s change.SeamDiff) bool { return !sewn[s.Seam] })
	c.NotFollowed = slices.DeleteFunc(c.NotFollowed, func(n change.NotFollowed) bool {
		return n.Piece != kept[0].Piece && !strings.HasPrefix(n.Of, kept[0].Piece+"/")
	})
	c.Settings = slices.DeleteFunc(c.Settings, func(says string) bool {
		for name := range sewn {
			if strings.HasPrefix(says, fmt.Sprintf("seam %q", name)) {
				return false
			}
		}
		return true
	})
	c.Texts = []change.TextDiff{}
	c.Notes = slices.DeleteFunc(c.Notes, func(n change.Note) bool { return n.Piece != kept[0].Piece && n.Piece != kept[0].Before })
	return nil
}

func (o *opened) sayDiff(c *comparison) {
	unit := c.to.Unit
	o.say("from %s to %s", c.from.words(), c.to.words())
	var same []string
	for _, p := range c.Pieces {
		if p.State == change.Same {
			same = append(same, p.Piece)
			continue
		}
		o.say("")
		o.sayPieceDiff(p, unit)
	}
	o.saySeams(c, unit)
	for i, n := range c.NotFollowed {
		if i == 0 {
			o.say("\nwhat has to follow and has not")
		}
		o.say("  %s", n.Says)
	}
	for i, t := range c.Texts {
		if i == 0 {
			o.say("\ntexts")
		}
		before, after := changedWords(t)
		o.say("  %s\n    was: %s\n    now: %s", t.What, before, after)
	}
	o.sayNotes(c.Notes)
	if len(same) > 0 {
		o.say("\nunchanged: %s", list(same))
	}
}

// saySeams lists the seams that fit otherwise and those that are said
// otherwise.
func (o *opened) saySeams(c *comparison, unit units.Unit) {
	said := false
	for _, s := range c.Seams {
		if fitWords(s.Difference[0], unit) == fitWords(s.Difference[1], unit) || fitsAlike(s, c.to.Tolerances.Section) {
			continue // by less than the unit's digits say, or than anybody sews by
		}
		if !said {
			o.say("\nseams that fit otherwise")
			said = true
		}
		ease := ""
		if s.Ease != 0 {
			ease = ", ease-in " + unit.Format(s.Ease)
		}
		o.say("  %s, %s: %s, was: %s%s", s.Seam, s.Section, fitWords(s.Difference[1], unit), fitWords(s.Difference[0], unit), ease)
	}
	for i, says := range c.Settings {
		if i == 0 {
			o.say("\nsaid otherwise")
		}
		o.say("  %s", says)
	}
}

// fitsAlike reports whether a section fitted within the tolerance and does, and
// changed by less than a third of it: such amounts are told where they add up, by
// check.
func fitsAlike(s change.SeamDiff, tolerance float64) bool {
	was, is := s.Difference[0]-s.Ease, s.Difference[1]-s.Ease
	return max(math.Abs(was), math.Abs(is)) <= tolerance && math.Abs(is-was) < tolerance/3
}

// fitWords says by how much a seam's second side is longer.
func fitWords(mm float64, unit units.Unit) string {
	switch text := unit.FormatSigned(mm); {
	case strings.HasPrefix(text, "0 "):
		return "both sides equal"
	case mm > 0:
		return "second side longer by " + unit.Format(mm)
	default:
		return "second side shorter by " + unit.Format(-mm)
	}
}

// changedWords prints the two texts with the words that differ between « and
// », the text before with those that went, the text after with those that
// came.
func changedWords(t change.TextDiff) (before, after string) {
	mark := func(text string) string {
		words := strings.TrimSpace(text)
		if words == "" {
			return text
		}
		lead, _, _ := strings.Cut(text, words)
		return lead + "«" + words + "»" + text[len(lead)+len(words):]
	}
	for _, part := range t.Parts {
		text := repo.Printable(part.Text)
		switch part.State {
		case change.Removed:
			before += mark(text)
		case change.Added:
			after += mark(text)
		default:
			before += text
			after += text
		}
	}
	if t.Before == "" {
		before = "nothing"
	}
	if t.After == "" {
		after = "nothing"
	}
	return before, after
}

// sayDrawn names the drawings; with --json they are no part of the result.
func (o *opened) sayDrawn(drawn []string, opt diffOptions) {
	say := o.say
	if opt.json {
		say = o.advise
	} else if len(drawn) > 0 {
		say("")
	}
	for _, file := range drawn {
		say("drawn: %s", file)
	}
	if len(drawn) == 0 {
		o.advise("No piece changed, so there is nothing to draw.")
	}
}
