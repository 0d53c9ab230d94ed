package pattern

import (
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"toile/pattern/units"
)

// Recipe is an alteration as it was asked for: the kind, the piece, and what
// was typed for each of the kind's keys. It holds no outline, so that it can
// be made again on another piece, or on somebody else's tracing.
type Recipe struct {
	Kind   string
	Piece  string
	Values map[string]string
	Unit   units.Unit // what a bare number among the values counts in; empty: as usual
	Edited bool       // the piece was changed by other means just before or after it
}

// Recipes are alterations in the order in which they were made. A bare number
// among their values counts in Unit, where a recipe has none of its own.
type Recipes struct {
	Unit units.Unit
	List []Recipe
}

// mostValue is the greatest length in bytes of one value: a list of places is
// no longer.
const mostValue = 4096

// DecodeRecipes reads a file of recipes. Errors are *FileError with file, line
// and reason. Whether there are such alterations is not asked here.
func DecodeRecipes(file string, text []byte) (Recipes, error) {
	r, root := parseNode(file, text)
	if r.err != nil {
		return Recipes{}, r.err
	}
	f := r.mapping(root, "recipes")
	r.format(f.need("format"))
	all := Recipes{Unit: units.Centimetre}
	if u := r.unit(f); u != "" {
		all.Unit = u
	}
	for _, item := range f.list("recipes") {
		all.List = append(all.List, r.recipe(item))
	}
	f.done()
	if r.err != nil {
		return Recipes{}, r.err
	}
	return all, nil
}

// unit reads an optional unit of length; empty where there is none.
func (r *reader) unit(f *fields) units.Unit {
	u := f.get("unit")
	if u == nil {
		return ""
	}
	unit, err := units.ParseUnit(r.scalar(u, "unit"))
	if err != nil {
		r.fail(u, "%v", err)
	}
	return unit
}

func (r *reader) recipe(n *yaml.Node) Recipe {
	f := r.mapping(n, "recipe")
	v := Recipe{Kind: f.name("alter"), Piece: f.name("piece"), Values: map[string]string{}, Unit: r.unit(f), Edited: f.flag("edited")}
	if with := f.get("with"); with != nil {
		g := r.mapping(with, "recipe: with")
		for _, key := range slices.Sorted(maps.Keys(g.value)) {
			if strings.Trim(key, "abcdefghijklmnopqrstuvwxyz-") != "" || key == "" {
				r.fail(g.key[key], "recipe: with: %q is no key; keys are small letters and hyphens", key)
			}
			text := r.text(g.value[key], "recipe: with: "+key)
			if len(text) > mostValue {
				r.fail(g.value[key], "recipe: with: %s has %d bytes; %d is the most", key, len(text), mostValue)
			}
			if strings.TrimSpace(text) == "" && r.err == nil {
				r.fail(g.value[key], "recipe: with: %s is empty; leave it out", key)
			}
			v.Values[key] = text
		}
	}
	f.done()
	return v
}

// Encode prints the recipes in canonical form.
func (r Recipes) Encode() ([]byte, error) {
	var items []*yaml.Node
	for _, v := range r.List {
		with := newKeys(true)
		for _, key := range slices.Sorted(maps.Keys(v.Values)) {
			with.text(key, v.Values[key])
		}
		k := newKeys(false).text("alter", v.Kind).text("piece", v.Piece)
		if len(with.node.Content) > 0 {
			k.put("with", with.node)
		}
		if v.Unit != r.Unit {
			k.text("unit", string(v.Unit))
		}
		items = append(items, k.flag("edited", v.Edited).node)
	}
	return printed(newKeys(false).put("format", intNode(Format)).text("unit", string(r.Unit)).list("recipes", items).node)
}
