package main

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/check"
	"toile/pattern/units"
	"toile/render"
)

type checkOptions struct {
	seam, piece string
	openings    []string
	folder      string
	json        bool
}

func newCheck(a *app) *cobra.Command {
	var opt checkOptions
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Say whether the pieces still sew together",
		Long: `Walks every seam of the working pattern section by section, lays inner pieces on
their outers and pieces beside each other at their seams, and looks after notches,
marks, openings, allowances, hems and cut counts. Each finding says where it is,
how much it is, and what to do. docs/checking.md lists them all.

A mismatch is a seam section, a layer or a band that is out by more than the
tolerance, ` + "`section_mm`" + ` in pattern.yaml, 1.5 mm unless set. Sections are judged one
by one: what one is too long does not make up for another that is too short. All
else is a reminder; so is a sewn-to edge or a layer that did not follow a change
made since the last version, and so is an open note of the last fitting.

--seam and --piece tell of one seam or one piece alone. --opening asks whether
something goes through: edges that run round it and openings of seams, joined by
plus signs, and the least measure; pieces on the fold and pairs count twice, and
an opening on both its sides.

-o also draws the two sides of each seam that has findings, or of --seam, laid
along each other, into a folder. --json gives {findings: [{kind, where, mm, says,
do, mismatch, pieces, …}]}.

` + exitCodes,
		Example: `  toile check
  toile check --seam armhole -o drawings
  toile check --opening "front/neckline+yoke/neckline+neck slit=58cm"`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return a.read(func(o *opened) error {
				found, err := o.check(opt)
				a.mismatch = err == nil && found.Mismatch()
				return err
			})
		},
		ValidArgsFunction: nothing,
	}
	f := cmd.Flags()
	f.Var(keyText{&opt.seam, alter.Name}, "seam", "only this `SEAM`")
	f.Var(keyText{&opt.piece, alter.Piece}, "piece", "only this `PIECE`")
	f.StringArrayVar(&opt.openings, "opening", nil, "what has to go through an opening, `OF=L`")
	f.StringVarP(&opt.folder, "output", "o", "", "draw the seams into the folder `DIR`")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "seam", a.seamNames())
	completeFlagWith(cmd, "piece", a.pieceNames())
	completeFlagWith(cmd, "opening", nothing)
	cobra.CheckErr(cmd.MarkFlagDirname("output"))
	return cmd
}

func (o *opened) check(opt checkOptions) (change.Findings, error) {
	if err := o.chosenForCheck(&opt); err != nil {
		return change.Findings{}, err
	}
	options, notFollowed, err := o.checkedAgainst()
	if err != nil {
		return change.Findings{}, err
	}
	for _, text := range opt.openings {
		opening, err := o.openingAsked(text)
		if err != nil {
			return change.Findings{}, err
		}
		options.Openings = append(options.Openings, opening)
	}
	carries := o.carries()
	options.Carries, options.ToFit, options.Smooths = carries, o.toFit(o.Pattern, notFollowed), o.smooths()
	options.Slid, options.Turned = o.slidToFit(options.Before), o.turnedToFit(options.Before)
	found, err := check.Run(o.Pattern, options)
	if err != nil {
		return found, err
	}
	o.adviseNotches(&found, options.Before)
	o.follow(&found, notFollowed, carries)
	if err := o.remindOfNotes(&found); err != nil {
		return found, err
	}
	found.Findings = slices.DeleteFunc(found.Findings, func(f change.Finding) bool {
		return (opt.seam != "" && f.Seam != opt.seam) || (opt.piece != "" && !slices.Contains(f.Pieces, opt.piece))
	})
	if opt.json {
		err = o.sayJSON(found)
	} else {
		o.sayFound(found, opt)
	}
	if err != nil || opt.folder == "" {
		return found, err
	}
	return found, o.drawSeams(found, opt)
}

// chosenForCheck refuses a seam or a piece that is not there, and brings their
// names to the spelling in which they are kept.
func (o *opened) chosenForCheck(opt *checkOptions) error {
	if opt.piece != "" {
		q, err := o.Piece(opt.piece)
		if err != nil {
			return err
		}
		opt.piece = q.Name
	}
	if opt.seam == "" {
		return nil
	}
	if name, err := pattern.CleanName(opt.seam); err == nil {
		opt.seam = name
	}
	var names []string
	for _, s := range o.Seams {
		if s.Name == opt.seam {
			return nil
		}
		names = append(names, s.Name)
	}
	if len(names) == 0 {
		return fmt.Errorf("there is no seam %q: the pattern has none yet; say what is sewn to what with `toile seam`", opt.seam)
	}
	return fmt.Errorf("there is no seam %q; the seams are %s", opt.seam, list(names))
}

// openingAsked reads OF=L.
func (o *opened) openingAsked(text string) (check.Opening, error) {
	of, amount, ok := cutLast(text)
	if !ok || of == "" {
		return check.Opening{}, usagef("--opening is %q; write what it is made of and the least measure, as in \"front/neckline+back/neckline=58cm\"", text)
	}
	least, err := units.ParsePositive(amount, o.Unit)
	if err != nil {
		return check.Opening{}, usagef("--opening: %w", err)
	}
	opening, err := check.Measure(o.Pattern, of)
	opening.Least = least
	return opening, err
}

// checkedAgainst reads the last version, where there is one, and what has to
// follow a change made since and has not.
func (o *opened) checkedAgainst() (check.Options, []change.NotFollowed, error) {
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return check.Options{}, nil, err
	}
	c, err := o.compare(nil, true)
	if err != nil {
		return check.Options{}, nil, err
	}
	return check.Options{Before: c.from.Pattern}, c.NotFollowed, nil
}

// follow adds reminders of what did not follow. Where a section or a layer no
// longer fits for it, its own finding says so.
func (o *opened) follow(found *change.Findings, notFollowed []change.NotFollowed, carries func(piece, edge, to string) bool) {
	for _, n := range notFollowed {
		of, _, _ := strings.Cut(n.Of, "/")
		told := false
		for i := range found.Findings {
			f := &found.Findings[i]
			if !f.Mismatch || !slices.Contains(f.Pieces, n.Piece) || !slices.Contains(f.Pieces, of) ||
				(f.Kind == change.LayerOff) != (n.Edge == "") || f.Seam != "" && n.Why != change.LiesAcross && !o.sewnIn(o.Pattern, f.Seam, n) {
				continue
			}
			told = true
			if !strings.Contains(f.Says, n.Of) {
				f.Says += fmt.Sprintf("; %s changed since the last version, and %s has not followed", changedThere(n, f.Says), n.Piece)
				if strings.Contains(f.Do, "toile alter carry") {
					continue
				}
				if from, by, _ := strings.Cut(o.ofOuter(o.Pattern, notFollowed, n).Of, "/"); carries(from, by, n.Piece) {
					f.Do += fmt.Sprintf("; or bring the change over with `toile alter carry %q %q --to %q`", from, by, n.Piece)
				}
			}
		}
		if told {
			continue
		}
		where := n.Piece
		if n.Edge != "" {
			where += fmt.Sprintf(", %q", n.Edge)
		}
		found.Findings = append(found.Findings, change.Finding{Kind: change.DidNotFollow, Where: where, MM: n.By, Says: n.Says,
			Do: fmt.Sprintf("look whether %s has to change as %s did", where, n.Of), Pieces: []string{n.Piece, of}})
	}
}

// changedThere is the PIECE/EDGE that changed: of several edges of an outer the one that
// a layer's finding is measured against.
func changedThere(n change.NotFollowed, says string) string {
	outer, _, _ := strings.Cut(n.Of, "/")
	for _, edge := range n.Changed {
		if strings.Contains(says, fmt.Sprintf("side of %q", edge)) {
			return outer + "/" + edge
		}
	}
	return n.Of
}

// ofOuter is what a piece lacks of its outer, where it lacks that too and it fits what it
// is sewn to with that: what its neighbour gave it might lead it off the outer. Else it is
// what was asked for.
func (o *opened) ofOuter(p *pattern.Pattern, all []change.NotFollowed, n change.NotFollowed) change.NotFollowed {
	k := slices.IndexFunc(all, func(m change.NotFollowed) bool { return m.Piece == n.Piece && m.Edge == "" })
	if k < 0 || n.Edge == "" {
		return n
	}
	of, edge, _ := strings.Cut(all[k].Of, "/")
	result, err := o.make(p, alter.Recipe{Kind: "carry", Piece: of, Values: map[string]string{"edge": edge, "to": n.Piece}})
	if err != nil {
		return n
	}
	for _, s := range p.SeamsOf(n.Piece, n.Edge) {
		if o.sewnIn(p, s.Name, n) && math.Abs(worstOf(result.Pattern, s.Name)) > p.Tolerances.Section {
			return n
		}
	}
	return all[k]
}

// sewnIn reports whether a seam sews the edge that changed to the one that did
// not follow.
func (o *opened) sewnIn(p *pattern.Pattern, seam string, n change.NotFollowed) bool {
	of, edge, _ := strings.Cut(n.Of, "/")
	k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == seam })
	if k < 0 {
		return false
	}
	s := &p.Seams[k]
	return inChain(s.First, of, edge) && inChain(s.Second, n.Piece, n.Edge) || inChain(s.Second, of, edge) && inChain(s.First, n.Piece, n.Edge)
}

func (o *opened) sayFound(found change.Findings, opt checkOptions) {
	if len(found.Findings) == 0 {
		of := count(len(o.Seams), "seam", "seams") + " and " + count(len(o.Layers), "layer", "layers")
		switch {
		case opt.seam != "":
			of = fmt.Sprintf("seam %q", opt.seam)
		case opt.piece != "":
			of = opt.piece
		}
		o.say("nothing found: %s", of)
		return
	}
	mismatches := 0
	for i, f := range found.Findings {
		if f.Mismatch {
			mismatches++
		}
		switch {
		case i == 0 && f.Mismatch:
			o.say("mismatches")
		case !f.Mismatch && (i == 0 || found.Findings[i-1].Mismatch):
			if i > 0 {
				o.say("")
			}
			o.say("reminders")
		}
		o.say("  %s: %s", f.Where, f.Says)
		o.say("    to do: %s", f.Do)
	}
	o.say("\n%s, %s", count(mismatches, "mismatch", "mismatches"), count(len(found.Findings)-mismatches, "reminder", "reminders"))
}

// drawSeams draws the seams that have findings, or the one asked for.
func (o *opened) drawSeams(found change.Findings, opt checkOptions) error {
	version, err := o.workingWords()
	if err != nil {
		return err
	}
	sheet := render.Sheet{Pattern: o.Name, Unit: o.Unit, Version: version, Date: o.now().Format(time.DateOnly)}
	var drawings []drawing
	taken := map[string]bool{}
	for i := range o.Seams {
		s := &o.Seams[i]
		of := slices.DeleteFunc(slices.Clone(found.Findings), func(f change.Finding) bool { return f.Seam != s.Name })
		if len(of) == 0 && opt.seam != s.Name {
			continue
		}
		var b bytes.Buffer
		if err := render.Seam(&b, sheet, o.Pattern, s, of); err != nil {
			return fmt.Errorf("seam %q: %w", s.Name, err)
		}
		slug := pattern.Slug("seam "+s.Name, func(slug string) bool { return taken[slug] })
		taken[slug] = true
		drawings = append(drawings, drawing{slug + drawingEnding, b.Bytes()})
	}
	if len(drawings) == 0 {
		o.advise("No seam has a finding, so there is nothing to draw; --seam draws one all the same.")
		return nil
	}
	return o.writeSeams(drawings, opt)
}

// writeSeams writes the drawings and names them.
func (o *opened) writeSeams(drawings []drawing, opt checkOptions) error {
	written, err := writeDrawings(opt.folder, drawings)
	if err != nil {
		return err
	}
	say := o.say
	if opt.json {
		say = o.advise
	} else {
		say("")
	}
	for _, file := range written {
		say("drawn: %s", filepath.Clean(file))
	}
	return nil
}
