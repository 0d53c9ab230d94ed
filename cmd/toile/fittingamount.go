package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/units"
)

// amountOptions are how much was pinned, as it is typed: L, left=L, right=L.
type amountOptions struct {
	pinch, takesOut, letsOut, pinned []string
}

func (opt *amountOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringArrayVar(&opt.pinch, "pinch", nil, "how deep the pinch is, `[SIDE=]L`; it takes out twice that")
	f.StringArrayVar(&opt.takesOut, "takes-out", nil, "what was pinned takes out in all, `[SIDE=]L`")
	f.StringArrayVar(&opt.letsOut, "lets-out", nil, "what was let out in all, `[SIDE=]L`")
	f.StringArrayVar(&opt.pinned, "pinned", nil, "how much was pinned, `[SIDE=]L`; you are asked which of the three it is")
	for _, flag := range []string{"pinch", "takes-out", "lets-out", "pinned"} {
		completeFlagWith(cmd, flag, nothing)
	}
}

// any reports whether an amount was typed.
func (opt amountOptions) any() bool {
	return len(opt.pinch)+len(opt.takesOut)+len(opt.letsOut)+len(opt.pinned) > 0
}

// amounts are what was read: one for both sides alike, or of the sides.
type amounts struct {
	alike, left, right *float64 // mm taken out
	pinch              bool
}

// readAmounts puts what was typed into a note. Readings of two sides are kept
// beside each other.
func (o *opened) readAmounts(n *pattern.Note, opt amountOptions, side string) error {
	if !opt.any() {
		return nil
	}
	a, err := o.amounts(opt)
	if err != nil {
		return err
	}
	if a.alike != nil {
		n.Pinned, n.Left, n.Right, n.Pinch, n.PinchSide = *a.alike, nil, nil, a.pinch, ""
		return nil
	}
	if a.left == nil || a.right == nil {
		return o.oneReading(n, a, side)
	}
	if side != "" && side != string(pattern.WearerBoth) {
		return usagef("--side %s and a reading of each side do not go together; leave --side out", side)
	}
	o.sayUndecided(*n)
	n.Pinned, n.Left, n.Right, n.Pinch, n.PinchSide, n.Side = 0, a.left, a.right, a.pinch, "", pattern.WearerBoth
	return nil
}

// sayUndecided says that what was decided on between two readings goes with them.
func (o *opened) sayUndecided(n pattern.Note) {
	if n.Left != nil && n.Pinned != 0 {
		o.say("%s was decided on between the readings before; with another reading that no longer stands", o.length(n.Pinned))
	}
}

// oneReading puts the reading of one side into a note, beside that of the
// other side where the note has it.
func (o *opened) oneReading(n *pattern.Note, a amounts, side string) error {
	which, mm, other := pattern.WearerLeft, a.left, pattern.WearerRight
	if a.right != nil {
		which, mm, other = pattern.WearerRight, a.right, pattern.WearerLeft
	}
	left, right := n.Left, n.Right
	switch {
	case n.Left != nil:
	case n.Side == other && n.Pinned != 0 && side == "":
		there := n.Pinned
		left, right = &there, &there
	case n.Side == "" || n.Side == which:
		n.Pinned, n.Side, n.Pinch = *mm, which, a.pinch
		return nil
	case n.Side == other:
		return usagef("--side %s and a reading of the %s do not go together; leave one out", other, which)
	default:
		return fmt.Errorf("the note speaks of both sides, and %s was read of the %s alone; give the %s too, as in %s=0", o.length(*mm), which, other, other)
	}
	if which == pattern.WearerLeft {
		left = mm
	} else {
		right = mm
	}
	o.sayUndecided(*n)
	was := n.ReadAsPinch(other)
	n.Pinned, n.Left, n.Right, n.Pinch, n.PinchSide, n.Side = 0, left, right, was || a.pinch, "", pattern.WearerBoth
	switch {
	case was && !a.pinch:
		n.PinchSide = other
	case a.pinch && !was:
		n.PinchSide = which
	}
	return nil
}

// amounts reads the flags. --pinned alone asks which way it is meant.
func (o *opened) amounts(opt amountOptions) (a amounts, err error) {
	kinds := 0
	for _, k := range []struct {
		flag  string
		texts []string
		by    float64
	}{{"pinch", opt.pinch, 2}, {"takes-out", opt.takesOut, 1}, {"lets-out", opt.letsOut, -1}, {"pinned", opt.pinned, 1}} {
		if len(k.texts) == 0 {
			continue
		}
		if kinds++; kinds > 1 {
			return a, usagef("how much was pinned is said in one way; give --pinch, --takes-out or --lets-out alone")
		}
		a.pinch = k.flag == "pinch"
		for _, text := range k.texts {
			mm, to, err := o.amount(&a, k.flag, text)
			if err != nil {
				return a, err
			}
			if k.flag == "pinned" {
				return a, o.askPinch(text, mm)
			}
			out := k.by * mm
			*to = &out
		}
	}
	if a.alike != nil && (a.left != nil || a.right != nil) {
		return a, usagef("one amount and readings of the sides do not go together; write left=L and right=L")
	}
	return a, nil
}

// mostPinned is the most that may be pinned at one place, in mm.
const mostPinned = 5000

// amount reads [SIDE=]L.
func (o *opened) amount(a *amounts, flag, text string) (mm float64, to **float64, err error) {
	side, length, ok := strings.Cut(text, "=")
	to = &a.alike
	if ok {
		switch strings.TrimSpace(side) {
		case "left":
			to = &a.left
		case "right":
			to = &a.right
		default:
			return 0, nil, usagef("--%s is %q; write L, left=L or right=L, the wearer's sides", flag, text)
		}
	} else {
		length = text
	}
	if *to != nil {
		return 0, nil, usagef("--%s: the amount %q is a second one; give one for each side", flag, text)
	}
	mm, err = flagLength(flag, strings.TrimSpace(length), o.Unit)
	if err == nil && mm > mostPinned {
		err = fmt.Errorf("--%s %s is %s; nobody pins more than %s: see the figure and its unit", flag, text, o.length(mm), o.length(mostPinned))
	}
	return units.Round(mm, 3), to, err
}

// askPinch asks what an amount means: a pinch takes out twice its depth.
func (o *opened) askPinch(text string, mm float64) error {
	return fmt.Errorf("pinned: %s. If the pinch is so deep, it takes out %s: give --pinch %s. If that is what it takes out in all: --takes-out %s. If it was let out: --lets-out %s",
		o.length(mm), o.length(2*mm), text, text, text)
}

// halfway decides on one amount between the readings of both sides, and says
// how far these are apart. The readings stay.
func (o *opened) halfway(f *pattern.Fitting, n *pattern.Note) error {
	if n.Left == nil {
		return fmt.Errorf("note %s has no readings of both sides to go halfway between; give them with --pinch left=L --pinch right=L", f.Key(*n))
	}
	n.Pinned = units.Round((*n.Left+*n.Right)/2, 3)
	o.say("left %s and right %s are %s apart; halfway is %s, and both readings stay", o.length(*n.Left), o.length(*n.Right), o.length(abs(n.Apart())), o.length(n.Pinned))
	return nil
}

// pinnedWords say how much was pinned; empty where nothing was.
func pinnedWords(n pattern.Note, unit units.Unit) string {
	how := func(mm float64, side pattern.WearerSide) string {
		switch {
		case mm < 0:
			return unit.Format(-mm) + " let out"
		case n.ReadAsPinch(side) && mm > 0:
			return fmt.Sprintf("a pinch %s deep, %s taken out", unit.Format(mm/2), unit.Format(mm))
		}
		return unit.Format(mm) + " taken out"
	}
	if n.Left != nil && n.Right != nil {
		words := fmt.Sprintf("left %s; right %s; %s apart", how(*n.Left, pattern.WearerLeft), how(*n.Right, pattern.WearerRight), unit.Format(abs(n.Apart())))
		if n.Pinned != 0 {
			words += "; decided on " + unit.Format(n.Pinned)
		}
		return words
	}
	where := map[pattern.WearerSide]string{pattern.WearerLeft: ", on the wearer's left", pattern.WearerRight: ", on the wearer's right",
		pattern.WearerBoth: ", on each side"}[n.Side]
	if n.Pinned == 0 {
		return ""
	}
	return how(n.Pinned, n.Side) + where
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
