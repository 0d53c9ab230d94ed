package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/units"
	"toile/repo"
)

// pendingRecipes are the alterations made since a version, kept on this
// machine until the next one is made.
type pendingRecipes struct {
	Since string       `json:"since"` // the version's id, empty before the first
	Made  []madeRecipe `json:"made"`
	// Answers are notes that the next version answers, whatever is altered.
	Answers []string `json:"answers,omitempty"`
}

// madeRecipe is an alteration with digests of the pieces before and after it:
// where one does not follow on the other, somebody changed them by other
// means.
type madeRecipe struct {
	Kind   string            `json:"kind"`
	Piece  string            `json:"piece"`
	Values map[string]string `json:"values"`
	Unit   string            `json:"unit"`
	Before string            `json:"before"`
	After  string            `json:"after"`
	// Answers are notes that the next version answers if this is part of it.
	Answers []string `json:"answers,omitempty"`
	// Start holds the files that differed from the version's when it was made, with
	// nothing for one that was gone, where they were not as the alteration before
	// left them.
	Start map[string]*string `json:"start,omitempty"`
}

// recipe is the alteration as it was asked for.
func (m madeRecipe) recipe() alter.Recipe {
	return alter.Recipe{Kind: m.Kind, Piece: m.Piece, Values: m.Values, Unit: units.Unit(m.Unit)}
}

// digest stands for the pieces of a pattern as they are printed.
func (o *opened) digest(p *pattern.Pattern) (string, error) {
	files, err := o.reader.Encode(p.Clone())
	if err != nil {
		return "", err
	}
	ids := repo.Files(files).FileIDs()
	maps.Copy(ids, o.unread)
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(ids)) {
		if strings.HasPrefix(name, pattern.PieceFolder) {
			h.Write([]byte(name + "\x00" + ids[name] + "\n"))
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// remember notes an alteration that is being made.
func (o *opened) remember(r alter.Recipe, before, after *pattern.Pattern) error {
	m := madeRecipe{Kind: r.Kind, Piece: r.Piece, Values: r.Values, Unit: string(r.Unit)}
	var err error
	if m.Before, err = o.digest(before); err != nil {
		return err
	}
	if m.After, err = o.digest(after); err != nil {
		return err
	}
	o.made = append(o.made, m)
	return nil
}

// pendingNow is pending for the pieces as they are, and says what their digest is
// where there are alterations.
func (o *opened) pendingNow() (p pendingRecipes, now string, err error) {
	if text, err := o.repo.Pending(); err == nil && len(text) == 0 {
		p, err = o.pending("")
		return p, "", err
	}
	if now, err = o.digest(o.Pattern); err != nil {
		return p, "", err
	}
	p, err = o.pending(now)
	return p, now, err
}

// pending reads the alterations made since the last version that led to the
// pieces as they are, when those have this digest. What was taken back since
// is left out.
func (o *opened) pending(now string) (pendingRecipes, error) {
	p := pendingRecipes{}
	last, err := o.repo.Last()
	if err != nil {
		return p, err
	}
	since := ""
	if last != nil {
		since = last.ID
	}
	text, err := o.repo.Pending()
	if err != nil {
		return p, err
	}
	if len(text) > 0 {
		if err := json.Unmarshal(text, &p); err != nil {
			o.advise("The recipes of the alterations since the last version cannot be read and are left out (%v).", err)
			p = pendingRecipes{}
		}
	}
	if p.Since != since {
		p = pendingRecipes{Since: since}
	}
	p.settle(now)
	return p, nil
}

// settle leaves out the alterations that were taken back: the pieces are as
// they were after, or before, an earlier one.
func (p *pendingRecipes) settle(now string) {
	for k, m := range slices.Backward(p.Made) {
		if m.After == now {
			p.Made = p.Made[:k+1]
			return
		}
	}
	for k, m := range slices.Backward(p.Made) {
		if m.Before == now {
			p.Made = p.Made[:k]
			return
		}
	}
}

// keepMade adds the alterations of this command to those since the last
// version. It comes before the pieces are written: should the program stop in
// between, they are left out again, for the pieces are not as after them.
func (o *opened) keepMade() error {
	if len(o.made) == 0 {
		return nil
	}
	p, err := o.pending(o.made[0].Before)
	if err != nil {
		return err
	}
	if o.made[0].Start, err = o.startNow(p); err != nil {
		return err
	}
	p.Made = append(p.Made, o.made...)
	text, err := json.Marshal(p)
	if err != nil {
		return err
	}
	return o.repo.SetPending(text)
}

// mostStart is how many bytes of files are kept of a pattern that was changed by
// other means between two alterations.
const mostStart = 1 << 20

// startNow is from which pieces the first alteration of this command is made, where
// they were changed by other means since the one before it; nil where they were not,
// or where it is too much to keep.
func (o *opened) startNow(p pendingRecipes) (map[string]*string, error) {
	left, err := o.leftBefore(p)
	if err != nil || left == "" || left == o.made[0].Before {
		return nil, err
	}
	dirty, err := o.repo.DirtyBeside(o.files, slices.Collect(maps.Keys(o.unread)))
	if err != nil {
		return nil, err
	}
	start, size := map[string]*string{}, p.startSize()
	for _, name := range dirty {
		if name != pattern.PatternFile && !strings.HasPrefix(name, pattern.PieceFolder) {
			continue
		}
		start[name] = nil
		if text, ok := o.files[name]; ok {
			content := string(text)
			start[name] = &content
			size += len(content)
		}
	}
	if size > mostStart {
		return nil, nil
	}
	return start, nil
}

// startSize is how many bytes of files are kept already.
func (p *pendingRecipes) startSize() (size int) {
	for _, m := range p.Made {
		for _, text := range m.Start {
			if text != nil {
				size += len(*text)
			}
		}
	}
	return size
}

// leftBefore is the digest of the pieces as the alteration before those of this
// command left them, else as the version has them; empty before the first version.
func (o *opened) leftBefore(p pendingRecipes) (string, error) {
	if len(p.Made) > 0 {
		return p.Made[len(p.Made)-1].After, nil
	}
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return "", err
	}
	then, err := o.patternOf(*last)
	if err != nil {
		return "", nil // what cannot be read is no state to start from
	}
	return o.digest(then)
}

// recipesSince are the alterations made since the last version. Those beside
// which pieces were changed by other means are marked.
func (o *opened) recipesSince(base *pattern.Pattern) (pattern.Recipes, error) {
	all := pattern.Recipes{Unit: o.Unit}
	p, now, err := o.pendingNow()
	if err != nil || len(p.Made) == 0 {
		return all, err
	}
	before := p.Made[0].Before
	if p.Since != "" {
		if before, err = o.digest(base); err != nil {
			return all, err
		}
	}
	for k, m := range p.Made {
		next := now
		if k+1 < len(p.Made) {
			next = p.Made[k+1].Before
		}
		r := m.recipe()
		r.Edited = m.Before != before || m.After != next
		all.List = append(all.List, r)
		before = m.After
	}
	return all, nil
}

// withRecipes puts the recipes since the last version into the files of the
// next, in place of those of the last. Where nothing else has changed those of
// the last stay, so that there is nothing to keep.
func (o *opened) withRecipes(files repo.Files, base *pattern.Pattern) error {
	recipes, err := o.recipesSince(base)
	if err != nil {
		return err
	}
	last, err := o.repo.Last()
	if err != nil {
		return err
	}
	delete(files, repo.RecipesFile)
	if last != nil {
		dirty, err := o.repo.DirtyBeside(files, slices.Collect(maps.Keys(o.unread)))
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(dirty, func(name string) bool { return name != repo.RecipesFile }) {
			was, had, err := o.repo.ReadFile(*last, repo.RecipesFile)
			if had {
				files[repo.RecipesFile] = was
			}
			return err
		}
	}
	if len(recipes.List) > 0 {
		files[repo.RecipesFile], err = recipes.Encode()
	}
	return err
}
