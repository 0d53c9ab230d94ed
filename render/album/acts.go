package album

import (
	"regexp"
	"slices"
	"strings"

	"toile/pattern/change"
	"toile/pattern/units"
)

// act is what one alteration did, to one piece or to several alike.
type act struct {
	Says   string
	Pieces []string
}

// In is the pieces in words.
func (a act) In() string { return listed(a.Pieces) }

// actsOf puts together what a version did alike to several edges or several
// pieces. What only followed from it is left out.
func actsOf(moves []move, unit units.Unit) []act {
	var out []act
	add := func(says, piece string) {
		i := slices.IndexFunc(out, func(a act) bool { return a.Says == says })
		if i < 0 {
			out, i = append(out, act{Says: says}), len(out)
		}
		if !slices.Contains(out[i].Pieces, piece) {
			out[i].Pieces = append(out[i].Pieces, piece)
		}
	}
	for _, m := range moves {
		piece := plain(m.step.Diff.Piece)
		for _, s := range m.step.Says {
			add(lengths{unit}.said(plain(s)), piece)
		}
		for _, says := range alike(m.step.Diff.Changes) {
			add(lengths{unit}.said(plain(says)), piece)
		}
	}
	return out
}

// subject stands for the edge, corner, notch or mark that a sentence tells of.
const subject = "\x00"

// alike tells of the changes of a piece, those in one sentence that were done
// alike to several edges, corners or marks.
func alike(changes []change.Change) []string {
	var templates []string
	subjects := map[string][]string{}
	for i, c := range changes {
		if causeOf(changes, i) >= 0 {
			continue
		}
		template, of := parted(c)
		if _, known := subjects[template]; !known {
			templates = append(templates, template)
		}
		subjects[template] = append(subjects[template], of)
	}
	for i, t := range templates {
		all := subjects[t]
		if len(all) > 1 && strings.Contains(t, subject) {
			t = plural(t)
		}
		templates[i] = strings.Replace(t, subject, listed(all), 1)
	}
	return templates
}

// parted takes what a change is told of out of its sentence.
func parted(c change.Change) (template, of string) {
	names := []string{c.Mark, c.Notch}
	if len(c.Edges) == 2 {
		names = append(names, c.Edges[0]+"/"+c.Edges[1])
	}
	if len(c.Edges) > 0 {
		names = append(names, c.Edges[0])
	}
	for _, name := range names {
		for _, text := range []string{`"` + name + `"`, name} {
			if name != "" && strings.Contains(c.Says, text) {
				return strings.Replace(c.Says, text, subject, 1), text
			}
		}
	}
	return c.Says, ""
}

var (
	ofThings = regexp.MustCompile(`^the ([a-z ]+) \x00 (is|has) `)
	ofEdges  = regexp.MustCompile(`^\x00 (is|runs) `)
	plurals  = map[string]string{"is": "are", "has": "have", "runs": "run", "notch": "notches"}
)

// plural tells of several what was told of one.
func plural(template string) string {
	if m := ofThings.FindStringSubmatch(template); m != nil && !strings.HasSuffix(m[1], " of") {
		things, ok := plurals[m[1]]
		if !ok {
			things = m[1] + "s"
		}
		return "the " + things + " " + subject + " " + plurals[m[2]] + " " + template[len(m[0]):]
	}
	if m := ofEdges.FindStringSubmatch(template); m != nil {
		return subject + " " + plurals[m[1]] + " " + template[len(m[0]):]
	}
	return template
}

// causeOf is the place of the change that another followed from, −1 for none.
func causeOf(changes []change.Change, i int) int {
	if changes[i].CausedBy == "" {
		return -1
	}
	return slices.IndexFunc(changes, func(c change.Change) bool {
		return c.CausedBy == "" && slices.Contains(c.Edges, changes[i].CausedBy)
	})
}

// listed joins words: "a, b and c".
func listed(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// tellsMore says whether acts put anything together.
func tellsMore(acts []act, moves []move) bool {
	told := 0
	for _, m := range moves {
		told += len(m.step.Says)
		for i := range m.step.Diff.Changes {
			if causeOf(m.step.Diff.Changes, i) < 0 {
				told++
			}
		}
	}
	return len(acts) < told
}
