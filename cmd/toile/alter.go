package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/trace"
)

type alterOptions struct {
	try, both bool
	answers   []string // notes that the next version answers with it
}

func newAlter(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "alter KIND PIECE …",
		Short: "Make an alteration",
		Long: `Makes an alteration on the working pattern, on exact curves. It touches only
the edges it must and keeps every notch where it is counted from. What it did is
told as diff tells it, with what it comes to round the garment and what has to
follow and has not. One that does not work is refused, and the pattern stays as
it was.

Each kind has its own help: toile alter flare --help.

` + exitCodes,
		Example: `  toile alter flare back "side seam" 5cm --from 18cm --both
  toile alter shorten back hemline 6cm --try`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usagef("there is no alteration %q; `toile alter` lists them", args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	for _, k := range alter.Kinds() {
		cmd.AddCommand(newAlterKind(a, k))
	}
	return cmd
}

func newAlterKind(a *app, k *alter.Kind) *cobra.Command {
	v := kindValues{kind: k, texts: map[string]*string{}, flags: map[string]*bool{}}
	var opt alterOptions
	typed, needed := v.typed()
	cmd := &cobra.Command{
		Use:   k.Name + " " + strings.Join(typed, " "),
		Short: capital(k.Does),
		Long: capital(k.Does) + ".\n\n" + keysHelp(k) + "\n--try tells what it would do and leaves the pattern as it is." + bothHelp(k) +
			"\n--answers names a note of a fitting that it answers.\n\n" + exitCodes,
		Example: "  toile alter " + k.Name + " " + k.Typed,
		Args:    cobra.RangeArgs(needed, len(typed)),
		RunE: func(_ *cobra.Command, args []string) error {
			r := v.recipe(args)
			if !opt.try {
				return a.change(func(o *opened) error { return o.alter(r, opt) })
			}
			return a.open(false, func(o *opened) error {
				if err := o.decodeWorking(); err != nil {
					return err
				}
				return o.alter(r, opt)
			})
		},
		ValidArgsFunction: inOrder(a.pieceNames(), a.edgeNames(), nothing),
	}
	f := cmd.Flags()
	v.addTo(f)
	f.BoolVar(&opt.try, "try", false, "only tell what it would do")
	f.BoolVar(&opt.both, "both", false, bothMeans(k))
	if !k.Both() { // typed all the same, it is refused in words
		_ = f.MarkHidden("both")
	}
	f.StringArrayVar(&opt.answers, "answers", nil, "a `NOTE` that it answers, such as 2.1; the next version says so")
	completeFlagWith(cmd, "answers", a.openNotes())
	return cmd
}

// kindValues are the values of a kind's keys that are typed as flags.
type kindValues struct {
	kind  *alter.Kind
	texts map[string]*string
	flags map[string]*bool
}

// typed are the words that are typed in order after the kind, and how many of
// them are needed.
func (v kindValues) typed() (words []string, needed int) {
	words, needed = []string{"PIECE"}, 1
	for _, key := range v.kind.Keys {
		switch word := strings.ToUpper(key.Name); {
		case !key.Typed:
		case key.Needed:
			words = append(words, word)
			needed++
		default:
			words = append(words, "["+word+"]")
		}
	}
	return words, needed
}

// addTo adds a flag for each key that is not typed in order.
func (v kindValues) addTo(f *pflag.FlagSet) {
	for _, key := range v.kind.Keys {
		switch {
		case key.Typed:
		case key.What == alter.Flag:
			v.flags[key.Name] = f.Bool(key.Name, false, key.Means)
		default:
			v.texts[key.Name] = new(string)
			f.Var(keyText{v.texts[key.Name], key.What}, key.Name, key.Means)
		}
	}
}

// recipe is the alteration that was typed.
func (v kindValues) recipe(args []string) alter.Recipe {
	r := alter.Recipe{Kind: v.kind.Name, Piece: args[0], Values: map[string]string{}}
	next := 1
	for _, key := range v.kind.Keys {
		text, flag := v.texts[key.Name], v.flags[key.Name]
		switch {
		case key.Typed && next < len(args):
			r.Values[key.Name] = args[next]
			next++
		case text != nil && *text != "":
			r.Values[key.Name] = *text
		case flag != nil && *flag:
			r.Values[key.Name] = "true"
		}
	}
	return r
}

// bothMeans says what --both does for a kind.
func bothMeans(k *alter.Kind) string {
	if k.Name == "shorten" || k.Name == "lengthen" {
		return "the same length along the side of --along on the piece sewn there too"
	}
	return "make it on the edge sewn to it too"
}

func bothHelp(k *alter.Kind) string {
	if !k.Both() {
		return ""
	}
	if k.Name == "shorten" || k.Name == "lengthen" {
		return " --both, with\n--along, has the piece sewn to that side lose or gain the same length along it."
	}
	return " --both makes it on\nthe edge sewn to it too."
}

// keyText is a flag's text; help calls it by what it means.
type keyText struct {
	text *string
	what alter.What
}

func (k keyText) String() string {
	if k.text == nil {
		return ""
	}
	return *k.text
}

// Set takes what was typed; nothing at all would be taken as if the flag were left out.
func (k keyText) Set(s string) error {
	if strings.TrimSpace(s) == "" {
		return errors.New("it is empty; leave it out, or give it a value")
	}
	*k.text = s
	return nil
}

func (k keyText) Type() string {
	switch k.what {
	case alter.Edge:
		return "EDGE"
	case alter.Corner:
		return "CORNER"
	case alter.Length:
		return "L"
	case alter.Angle:
		return "ANGLE"
	case alter.Along, alter.Place:
		return "PLACE"
	case alter.End:
		return "END"
	case alter.Line:
		return "LINE"
	case alter.Drawn:
		return "PATH"
	case alter.Piece:
		return "PIECE"
	case alter.Name:
		return "NAME"
	case alter.Names:
		return "NAMES"
	case alter.Pieces:
		return "PIECES"
	}
	return "TEXT"
}

// keysHelp lists what a kind asks for in the order in which it is typed.
func keysHelp(k *alter.Kind) string {
	var b strings.Builder
	for _, key := range k.Keys {
		if key.Typed {
			fmt.Fprintf(&b, "%s: %s.\n", strings.ToUpper(key.Name), key.Means)
		}
	}
	return b.String()
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// alter makes the alteration, and on the sewn-to edges where that is asked,
// all or nothing.
func (o *opened) alter(r alter.Recipe, opt alterOptions) error {
	for _, key := range opt.answers {
		if _, _, err := o.openNote(key); err != nil {
			return err
		}
	}
	r, err := o.readDrawn(r)
	if err != nil {
		return err
	}
	r, shared, err := alter.ShareOut(o.Pattern, r, opt.both)
	if err != nil {
		return err
	}
	if shared != "" {
		o.advise("%s", shared)
	}
	recipes := []alter.Recipe{r}
	if opt.both {
		partners, err := alter.Partners(o.Pattern, r)
		if err != nil {
			return err
		}
		recipes = append(recipes, partners...)
	}
	before := o.Pattern
	after, err := o.makeAll(before, recipes)
	if err != nil {
		return err
	}
	for i := range o.made {
		o.made[i].Answers = opt.answers
	}
	if opt.both {
		if err := o.refuseApart(before, after, r); err != nil {
			return err
		}
	}
	return o.finish(before, after, opt.try, r.Kind == "carry")
}

// makeAll makes alterations one after the other.
func (o *opened) makeAll(p *pattern.Pattern, recipes []alter.Recipe) (*pattern.Pattern, error) {
	for _, r := range recipes {
		var err error
		if p, err = o.makeNext(p, r); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// makeNext makes one alteration, notes it, and tells what it says of itself.
func (o *opened) makeNext(p *pattern.Pattern, r alter.Recipe) (*pattern.Pattern, error) {
	result, err := o.make(p, r)
	if err != nil {
		return nil, err
	}
	for _, s := range once(result.Says) {
		o.advise("%s", s)
	}
	o.slid = append(o.slid, result.Slid...)
	return result.Pattern, o.remember(result.Recipe, p, result.Pattern)
}

// finish tells what became of the pattern, and puts it in place unless it was
// only tried.
func (o *opened) finish(before, after *pattern.Pattern, try, carried bool) error {
	if err := o.nameNotes(before, after); err != nil {
		return err
	}
	if same, err := o.samePattern(before, after); err != nil {
		return err
	} else if same {
		return fmt.Errorf("nothing is changed%s", o.saidSoFar())
	}
	if err := o.sayAltered(before, after, carried); err != nil {
		return err
	}
	if !try {
		o.Pattern = after
	}
	return nil
}

// samePattern reports whether two patterns are printed alike.
func (o *opened) samePattern(before, after *pattern.Pattern) (bool, error) {
	a, err := before.Clone().Encode()
	if err != nil {
		return false, err
	}
	b, err := after.Clone().Encode()
	return maps.EqualFunc(a, b, func(x, y []byte) bool { return bytes.Equal(x, y) }), err
}

// saidSoFar is what an alteration said of itself, for a sentence.
func (o *opened) saidSoFar() string {
	if said := strings.TrimSpace(o.advice.String()); said != "" {
		return ": " + strings.ReplaceAll(said, "\n", "; ")
	}
	return ": it is like that already"
}

// readDrawn puts path data in the place of the files that a recipe names.
func (o *opened) readDrawn(r alter.Recipe) (alter.Recipe, error) {
	for _, k := range alter.Kinds() {
		for _, key := range k.Keys {
			text := r.Values[key.Name]
			if k.Name != r.Kind || key.What != alter.Drawn || text == "" {
				continue
			}
			path, closed, err := trace.ReadDrawn(text, trace.Options{}, trace.PointsOptions{Unit: o.Unit.MM()}, o.edgeMeant(r), r.Values["name"], r.Piece)
			if err != nil {
				return r, fmt.Errorf("--%s: %w", key.Name, err)
			}
			r.Values[key.Name] = alter.DrawnText(path, closed)
		}
	}
	return r, nil
}

// edgeMeant is the name of the edge that a recipe names, perhaps by its number.
func (o *opened) edgeMeant(r alter.Recipe) string {
	if q, err := o.Piece(r.Piece); err == nil {
		if i, err := q.EdgeIndex(r.Values["edge"]); err == nil {
			return q.Edges[i].Name
		}
	}
	return r.Values["edge"]
}

// sayAltered tells what an alteration did as diff tells it, and what has to
// follow. carried says that it only followed itself.
func (o *opened) sayAltered(before, after *pattern.Pattern, carried bool) error {
	d, err := diff.Patterns(before, after, change.Version{Working: true}, change.Version{Working: true})
	if err != nil {
		return err
	}
	var altered []string
	for _, p := range d.Pieces {
		if p.State == change.Same {
			continue
		}
		altered = append(altered, p.Piece)
		o.say("%s: %s", p.Piece, p.State)
		for _, ch := range drawable(p.Changes) {
			o.say("  %s", ch.Says)
		}
	}
	if len(altered) == 0 && len(d.Settings) == 0 {
		o.advise("What changed is finer than is told.")
	}
	o.sayUncuttable(before, after, altered)
	o.sayFacingWidths(before, after)
	own := d.NotFollowed
	if carried {
		own = nil // what it followed changed before; that is seen from the last version
	}
	if err := o.sayNotFollowed(own, after); err != nil {
		return err
	}
	if err := o.sayRounded(before, after); err != nil {
		return err
	}
	return o.sayDrifted(before, after)
}

// leastDrawn is the length in mm below which nobody draws that an edge was cut or run
// on: a tenth of a millimetre.
const leastDrawn = 0.1

// drawable leaves out of what changed the ends that were cut or run on by less than can
// be drawn, unless nothing else changed.
func drawable(all []change.Change) []change.Change {
	some := slices.DeleteFunc(slices.Clone(all), func(ch change.Change) bool {
		return ch.Kind == change.EdgeRun && ch.By != nil && math.Abs(*ch.By) < leastDrawn
	})
	if len(some) == 0 {
		return all
	}
	return some
}

// toldOfLayer reports whether a list tells of the same inner piece and its outer as n
// does, with all edges of the outer that changed.
func toldOfLayer(all []change.NotFollowed, n change.NotFollowed) bool {
	outer, _, _ := strings.Cut(n.Of, "/")
	return n.Why == string(alter.Layered) && n.Edge == "" && n.Corner == "" && slices.ContainsFunc(all, func(m change.NotFollowed) bool {
		return m.Why == n.Why && m.Piece == n.Piece && m.Edge == "" && m.Corner == "" && m.Of != n.Of && strings.HasPrefix(m.Of, outer+"/")
	})
}

// sayNotFollowed lists what has to follow and has not: what this alteration
// left behind, and before it what others did since the last version.
func (o *opened) sayNotFollowed(own []change.NotFollowed, after *pattern.Pattern) error {
	all := own
	last, err := o.repo.Last()
	if err != nil {
		return err
	}
	if last != nil {
		then, err := o.patternOf(*last)
		if err != nil {
			return err
		}
		d, err := diff.Patterns(then, after, change.Version{}, change.Version{Working: true})
		if err != nil {
			return err
		}
		all = slices.DeleteFunc(all, func(n change.NotFollowed) bool {
			return !n.Mismatch && asInVersion(d, n) || toldOfLayer(d.NotFollowed, n)
		})
		for _, n := range d.NotFollowed {
			if !slices.ContainsFunc(all, func(m change.NotFollowed) bool {
				return m.Piece == n.Piece && m.Edge == n.Edge && m.Of == n.Of && m.Corner == n.Corner
			}) {
				all = append(all, n)
			}
		}
	}
	if all, err = o.notCaughtUp(all, after, last, true); err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(n change.NotFollowed) bool { return onlySlid(nil, after, n) })
	for i, n := range all {
		if i == 0 {
			o.say("\nwhat has to follow and has not")
		}
		o.say("  %s", n.Says)
	}
	if len(all) > 0 {
		o.adviseCarry(all, after)
	}
	return nil
}

// asInVersion reports whether the piece of which an edge changed has, since a
// version, no outline that changed by what can be seen: it was altered and altered
// back, and nothing has to follow that.
func asInVersion(d change.Diff, n change.NotFollowed) bool {
	of, _, _ := strings.Cut(n.Of, "/")
	k := slices.IndexFunc(d.Pieces, func(p change.PieceDiff) bool { return p.Piece == of })
	return k >= 0 && d.Pieces[k].Old != nil && !slices.ContainsFunc(d.Pieces[k].Changes, func(ch change.Change) bool {
		return diff.ChangesOutline(ch.Kind) && !diff.Slight(&ch)
	})
}
