package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

func newRecipe(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "recipe write|make …",
		Short: "Write alterations down without any outline, or make them again",
		Long: `A recipe holds alterations as they were typed, without any outline: for another
piece, or for somebody else's own tracing of the same bought pattern.

recipe write V [--to W] -o FILE writes the alterations that were made for
version V, or from V to W, to a file. Only those made with ` + "`toile alter`" + ` are
written, and of those no drawn lines, for a recipe carries no outline; that pieces were changed otherwise too, by
tracing or by hand, is said.

recipe make V|FILE [--on PIECE] makes the alterations of a version or of a file
on the working pattern, all of them or none. --on makes them on another piece; of
recipes for several pieces, --on OLD=NEW for each. One that does not fit says
why. --try only tells what it would do.

` + exitCodes,
		Example: `  toile recipe write 3 --to 5 -o shorter.recipe
  toile recipe make shorter.recipe
  toile recipe make 3 --on "side back"`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newRecipeWrite(a), newRecipeMake(a))
	for _, c := range cmd.Commands() {
		c.Args = plainly(c.Args)
	}
	return cmd
}

func newRecipeWrite(a *app) *cobra.Command {
	var to, out string
	cmd := &cobra.Command{
		Use:     "write V",
		Short:   "Write the alterations of a version to a file",
		Long:    "Writes the alterations that were made for version V, or from V to W with --to,\nto a file, without any outline.\n\n" + exitCodes,
		Example: "  toile recipe write 3 --to 5 -o shorter.recipe",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if out == "" {
				return usagef("-o is missing; name the file to write, as in -o shorter.recipe")
			}
			return a.open(false, func(o *opened) error { return o.writeRecipes(args[0], to, out) })
		},
		ValidArgsFunction: nothing,
	}
	cmd.Flags().StringVar(&to, "to", "", "the last version `W` of which alterations are written")
	cmd.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write, - to print it; one that is there is refused")
	return cmd
}

func newRecipeMake(a *app) *cobra.Command {
	var on []string
	var try bool
	cmd := &cobra.Command{
		Use:     "make V|FILE",
		Short:   "Make the alterations of a version or a file again",
		Long:    "Makes the alterations of a version or of a file on the working pattern, all of\nthem or none.\n\n" + exitCodes,
		Example: "  toile recipe make shorter.recipe --on \"side back\"",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if try {
				return a.read(func(o *opened) error { return o.makeRecipes(args[0], on, true) })
			}
			return a.change(func(o *opened) error { return o.makeRecipes(args[0], on, false) })
		},
	}
	cmd.Flags().StringArrayVar(&on, "on", nil, "the `PIECE` to make them on; OLD=NEW where they are for several")
	cmd.Flags().BoolVar(&try, "try", false, "only tell what it would do")
	completeFlagWith(cmd, "on", a.pieceNames())
	return cmd
}

// recipesOf reads the recipes of a version; none where it was made without.
func (o *opened) recipesOf(v repo.Version) (pattern.Recipes, error) {
	text, found, err := o.repo.ReadFile(v, repo.RecipesFile)
	if err != nil || !found {
		return pattern.Recipes{Unit: "cm"}, err
	}
	r, err := pattern.DecodeRecipes(repo.RecipesFile, text)
	if err != nil {
		return r, fmt.Errorf("version %d: %w", v.Number, err)
	}
	for i := range r.List {
		if r.List[i].Unit == "" {
			r.List[i].Unit = r.Unit
		}
	}
	return r, nil
}

// writeRecipes writes the recipes of the versions from one to another.
func (o *opened) writeRecipes(from, to, out string) error {
	line, err := o.versionsBetween(from, to)
	if err != nil {
		return err
	}
	all, drawn, err := o.recipesBetween(line)
	if err != nil {
		return err
	}
	if len(all.List) == 0 && len(drawn) > 0 {
		return fmt.Errorf("%s holds drawn lines alone, %s, and a recipe carries no outline, so there is no recipe to write; draw it anew where it is wanted", versionsWords(line), list(drawn))
	}
	if len(all.List) == 0 {
		return fmt.Errorf("%s holds no alterations made with `toile alter`, so there is no recipe to write; `toile history` tells what each version changed", versionsWords(line))
	}
	text, err := all.Encode()
	if err != nil {
		return err
	}
	if out == toStdout {
		_, err := o.result.Write(text)
		return err
	}
	if err := writeNew(out, text); err != nil {
		return err
	}
	o.say("%s, from %s, in %s", count(len(all.List), "alteration", "alterations"), versionsWords(line), out)
	for _, r := range all.List {
		o.say("  %s", alter.Typed(r))
	}
	return nil
}

// recipesBetween collects what can be made elsewhere of the recipes of
// versions, and tells of what cannot; left says what of it are drawn lines.
func (o *opened) recipesBetween(line []repo.Version) (all pattern.Recipes, left []string, err error) {
	for _, v := range line {
		r, err := o.settledRecipes(v)
		if err != nil {
			return all, left, err
		}
		if all.Unit == "" || len(all.List) == 0 {
			all.Unit = r.Unit
		}
		if err := o.adviseOtherChanges(v, r); err != nil {
			return all, left, err
		}
		for _, one := range r.List {
			drawn, places := alter.OfTheSheet(one)
			if drawn {
				left = append(left, fmt.Sprintf("%s of %s", one.Kind, one.Piece))
				o.advise("Left out: %s of %s in version %d, which is a drawn line: a recipe carries no outline, so draw it anew where the rest is made.", one.Kind, one.Piece, v.Number)
				continue
			}
			if len(places) > 0 {
				o.advise("%s: %s lies on this pattern's sheet; elsewhere it fits only where the piece lies alike.", alter.Typed(one), list(places))
			}
			one.Edited = false // said here; no matter where it is made again
			all.List = append(all.List, one)
		}
	}
	return all, left, nil
}

func versionsWords(line []repo.Version) string {
	first, last := line[0].Number, line[len(line)-1].Number
	if first == last {
		return fmt.Sprintf("version %d", first)
	}
	return fmt.Sprintf("versions %d to %d", first, last)
}

// versionsBetween lists the versions from one to another, the oldest first.
func (o *opened) versionsBetween(from, to string) ([]repo.Version, error) {
	first, err := o.repo.Resolve(from)
	if err != nil {
		return nil, err
	}
	if to == "" {
		return []repo.Version{first}, nil
	}
	last, err := o.repo.Resolve(to)
	if err != nil {
		return nil, err
	}
	line, err := o.repo.Line(last)
	if err != nil {
		return nil, err
	}
	k := slices.IndexFunc(line, func(v repo.Version) bool { return v.ID == first.ID })
	if k < 0 {
		return nil, fmt.Errorf("version %d does not build on version %d; give the earlier one first, both of one branch", last.Number, first.Number)
	}
	between := slices.Clone(line[:k+1])
	slices.Reverse(between)
	return between, nil
}

// adviseOtherChanges says that a version changed pieces besides its recipes.
func (o *opened) adviseOtherChanges(v repo.Version, r pattern.Recipes) error {
	for _, one := range r.List {
		if one.Edited {
			o.advise("Version %d changed pieces by other means too, just before or after %q; that is not in the recipe.", v.Number, alter.Typed(one))
			return nil
		}
	}
	if len(r.List) > 0 || len(v.Parents) == 0 {
		return nil
	}
	changed, added, removed, err := o.repo.Changed(v)
	if err != nil {
		return err
	}
	if len(pieceFiles(changed, added, removed)) > 0 {
		o.advise("Version %d changed pieces by other means than `toile alter`; that is not in the recipe.", v.Number)
	}
	return nil
}

// writeNew writes a file that must not be there, whole or not at all.
func writeNew(path string, text []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; name a new file", path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".toile-*")
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(text)
	if err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	return os.Rename(f.Name(), path)
}

// mostRecipes is the greatest size in bytes of a file of recipes.
const mostRecipes = 1 << 20

// typedRecipes reads the recipes of a file, or of a version.
func (o *opened) typedRecipes(text string) ([]alter.Recipe, error) {
	info, err := os.Stat(text)
	if err != nil || info.IsDir() {
		v, problem := o.repo.Resolve(text)
		if problem != nil && (strings.ContainsAny(text, `/\.`) || err == nil) {
			return nil, fmt.Errorf("there is no file of recipes %s", text)
		}
		if problem != nil {
			return nil, problem
		}
		r, err := o.settledRecipes(v)
		if err == nil && len(r.List) == 0 {
			err = fmt.Errorf("version %d holds no alterations made with `toile alter`, so there is nothing to make again", v.Number)
		}
		return r.List, err
	}
	f, err := os.Open(text)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	content, err := io.ReadAll(io.LimitReader(f, mostRecipes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", text, err)
	}
	r, err := pattern.DecodeRecipes(text, content)
	if err != nil {
		return nil, err
	}
	if len(r.List) == 0 {
		return nil, fmt.Errorf("%s holds no alterations", text)
	}
	for i := range r.List {
		if r.List[i].Unit == "" {
			r.List[i].Unit = r.Unit
		}
	}
	return r.List, nil
}

// makeRecipes makes recipes again, all of them or none.
func (o *opened) makeRecipes(text string, on []string, try bool) error {
	recipes, err := o.typedRecipes(text)
	if err != nil {
		return err
	}
	if recipes, err = redirected(o.Pattern, recipes, on); err != nil {
		return err
	}
	before, after := o.Pattern, o.Pattern
	for k, r := range recipes {
		o.tellEnds(after, r)
		next, err := o.makeNext(after, r)
		if errors.Is(err, alter.ErrNothingToCarry) {
			o.advise("%s: what follows has followed already; passed over.", alter.Typed(r))
			continue
		}
		if err != nil {
			return fmt.Errorf("alteration %d of %d, %s, does not fit: %w; nothing was changed", k+1, len(recipes), alter.Typed(r), err)
		}
		after = next
	}
	return o.finish(before, after, try, false)
}

// redirected makes recipes be for other pieces: those of --on. The ends of edges
// are named as they lie on the pieces that they were for, where the pattern has
// them.
func redirected(p *pattern.Pattern, recipes []alter.Recipe, on []string) ([]alter.Recipe, error) {
	var pieces []string
	for _, r := range recipes {
		if !slices.Contains(pieces, r.Piece) {
			pieces = append(pieces, r.Piece)
		}
	}
	now := map[string]string{}
	for _, text := range on {
		old, to, several := strings.Cut(text, "=")
		switch {
		case !several && len(pieces) == 1 && len(on) == 1:
			old, to = pieces[0], text
		case !several:
			return nil, usagef("--on %s: the alterations are for %s; say for each which piece stands for it, as in --on %q", text, list(pieces), pieces[0]+"="+text)
		case !slices.Contains(pieces, strings.TrimSpace(old)):
			return nil, usagef("--on %s: none of the alterations is for %s; they are for %s", text, old, list(pieces))
		}
		now[strings.TrimSpace(old)] = strings.TrimSpace(to)
	}
	var out []alter.Recipe
	for _, r := range recipes {
		if now[r.Piece] != "" {
			r = alter.Settled(p, r)
		}
		out = append(out, alter.Redirected(r, now))
	}
	return out, nil
}
