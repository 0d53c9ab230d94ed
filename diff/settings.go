package diff

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/units"
)

// Settings says in sentences what differs between two patterns besides
// pieces and fittings: seams, layers, allowance sets, unit and tolerances. What
// only goes by another name now is the same.
func Settings(a, b *pattern.Pattern) []string {
	var says []string
	c := compareSettings(a, b)
	for _, s := range b.Seams {
		switch {
		case slices.Contains(c.newSeams, s.Name):
			says = append(says, fmt.Sprintf("seam %q is new: %s to %s", s.Name, s.First, s.Second))
		case len(c.seams[s.Name]) > 0:
			for _, what := range c.seams[s.Name] {
				says = append(says, fmt.Sprintf("seam %q: %s", s.Name, what))
			}
		}
	}
	for _, name := range c.goneSeams {
		says = append(says, fmt.Sprintf("seam %q is removed", name))
	}
	for _, l := range c.layers {
		says = append(says, l.says)
	}
	return append(says, c.rest...)
}

// SettingsNamed is Settings in short, with the fittings: what is new, what
// changed and what is gone, by name.
func SettingsNamed(a, b *pattern.Pattern) []string {
	c := compareSettings(a, b)
	var changed, outers []string
	for _, s := range b.Seams {
		if len(c.seams[s.Name]) > 0 {
			changed = append(changed, s.Name)
		}
	}
	for _, l := range c.layers {
		if !slices.Contains(outers, l.outer) {
			outers = append(outers, l.outer)
		}
	}
	var says []string
	for _, part := range []struct {
		what  string
		names []string
	}{
		{"new seams", c.newSeams}, {"changed seams", changed}, {"removed seams", c.goneSeams}, {"changed layers of", outers},
	} {
		if len(part.names) > 0 {
			says = append(says, part.what+": "+listed(part.names))
		}
	}
	return append(append(says, fittingsNamed(a, b)...), c.rest...)
}

// fittingsNamed lists the fittings that are new, changed or gone.
func fittingsNamed(a, b *pattern.Pattern) []string {
	states := map[string][]string{}
	for _, f := range b.Fittings {
		old := a.FittingByID(f.ID)
		switch {
		case old == nil:
			states["new"] = append(states["new"], fmt.Sprint(f.Number))
		case !reflect.DeepEqual(old, f):
			states["changed"] = append(states["changed"], fmt.Sprint(f.Number))
		}
	}
	for _, f := range a.Fittings {
		if b.FittingByID(f.ID) == nil {
			states["removed"] = append(states["removed"], fmt.Sprint(f.Number))
		}
	}
	var says []string
	for _, state := range []string{"new", "changed", "removed"} {
		if numbers := states[state]; len(numbers) > 0 {
			says = append(says, state+" fittings: "+listed(numbers))
		}
	}
	return says
}

// settings is what differs between two patterns besides pieces and fittings.
type settings struct {
	newSeams, goneSeams []string
	seams               map[string][]string // what changed in a seam, by its name
	layers              []layerChange
	rest                []string
}

type layerChange struct{ outer, says string }

func compareSettings(a, b *pattern.Pattern) settings {
	c := settings{seams: map[string][]string{}}
	then := map[string]pattern.Seam{}
	for _, s := range a.Seams {
		then[s.Name] = s
	}
	for _, s := range b.Seams {
		old, known := then[s.Name]
		delete(then, s.Name)
		if !known {
			c.newSeams = append(c.newSeams, s.Name)
			continue
		}
		c.seams[s.Name] = seamSaid(seamNow(old, a, b), s, b.Unit)
	}
	for _, s := range a.Seams {
		if _, gone := then[s.Name]; gone {
			c.goneSeams = append(c.goneSeams, s.Name)
		}
	}
	c.layers = append(layersSaid(a, b), bandsSaid(a, b)...)
	if !reflect.DeepEqual(a.Sets, b.Sets) {
		c.rest = append(c.rest, fmt.Sprintf("the allowance sets are %s (were %s)", listed(b.Sets), listed(a.Sets)))
	}
	if a.Unit != b.Unit {
		c.rest = append(c.rest, fmt.Sprintf("the unit is %s (was %s)", b.Unit, a.Unit))
	}
	if s, t := a.Tolerances.Section, b.Tolerances.Section; s != t {
		c.rest = append(c.rest, fmt.Sprintf("a seam section may be out by %s (was %s)", b.Unit.Format(t), b.Unit.Format(s)))
	}
	if s, t := a.Tolerances.Corner, b.Tolerances.Corner; s != t {
		c.rest = append(c.rest, fmt.Sprintf("a corner is what turns by more than %s (was %s)", units.FormatAngle(t), units.FormatAngle(s)))
	}
	return c
}

// layerKey is an inner piece of an outer one.
type layerKey struct{ outer, inner string }

// layersSaid compares the layers, each inner piece with its declared
// differences.
func layersSaid(a, b *pattern.Pattern) []layerChange {
	before, order := layersOf(a, func(name string) string { return pieceNow(name, a, b) }, nil)
	after, order := layersOf(b, func(name string) string { return name }, order)
	var says []layerChange
	add := func(k layerKey, format string, args ...any) {
		says = append(says, layerChange{k.outer, fmt.Sprintf("layers of %s: ", k.outer) + fmt.Sprintf(format, args...)})
	}
	for _, k := range order {
		was, had := before[k]
		is, has := after[k]
		switch {
		case !had:
			add(k, "%s is new", k.inner)
			continue
		case !has:
			add(k, "%s is none any more", k.inner)
			continue
		}
		for _, d := range is {
			if old := differenceOf(was, d.What); old != d.By {
				add(k, "%s of %s is %s (was %s)", d.What, k.inner, b.Unit.FormatSigned(d.By), b.Unit.FormatSigned(old))
			}
		}
		for _, d := range was {
			if d.By != 0 && !slices.ContainsFunc(is, func(n pattern.Difference) bool { return n.What == d.What }) {
				add(k, "%s of %s is %s (was %s)", d.What, k.inner, b.Unit.FormatSigned(0), b.Unit.FormatSigned(d.By))
			}
		}
	}
	return says
}

// bandsSaid tells which inner pieces follow in length alone now, or in shape
// again.
func bandsSaid(a, b *pattern.Pattern) []layerChange {
	was := map[layerKey]bool{}
	for _, l := range a.Layers {
		for _, inner := range l.Inner {
			was[layerKey{pieceNow(l.Outer, a, b), pieceNow(inner, a, b)}] = l.Band
		}
	}
	var says []layerChange
	for _, l := range b.Layers {
		for _, inner := range l.Inner {
			if band, known := was[layerKey{l.Outer, inner}]; known && band != l.Band {
				words := map[bool]string{true: "follows in length alone", false: "follows in shape"}
				says = append(says, layerChange{l.Outer, fmt.Sprintf("layers of %s: %s %s (was: %s)", l.Outer, inner, words[l.Band], words[band])})
			}
		}
	}
	return says
}

func differenceOf(all []pattern.Difference, what string) float64 {
	for _, d := range all {
		if d.What == what {
			return d.By
		}
	}
	return 0
}

// layersOf lists the layers of a pattern by outer and inner piece, and adds
// those that are new to the order.
func layersOf(p *pattern.Pattern, name func(string) string, order []layerKey) (map[layerKey][]pattern.Difference, []layerKey) {
	all := map[layerKey][]pattern.Difference{}
	for _, l := range p.Layers {
		for _, inner := range l.Inner {
			k := layerKey{name(l.Outer), name(inner)}
			all[k] = slices.DeleteFunc(slices.Clone(l.Differences), func(d pattern.Difference) bool { return d.Piece != "" && d.Piece != inner })
			if !slices.Contains(order, k) {
				order = append(order, k)
			}
		}
	}
	return all, order
}

// listed joins words as a sentence does.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
