package album

import (
	"fmt"
	"strings"

	"toile/pattern/change"
	"toile/pattern/units"
)

// changeOf is a change for the script, its places on the track's sheet.
func changeOf(m move, c change.Change, unit units.Unit) changeData {
	figures := figuresOf(m.step.Diff, c, unit)
	out := changeData{Says: plain(c.Says), Long: figureLine(figures)}
	if len(figures) > 0 {
		out.Short, out.Other = figures[0].short, figures[0].other
		if c.Kind == change.EdgeSwung && len(figures) > 1 {
			out.Short += ", " + figures[1].short
			out.Other += ", " + figures[1].other
		}
	}
	laid := m.before.laid
	if m.before.track < 0 {
		laid = m.after.laid
	}
	at, ok := placeOf(m.step.Diff, c)
	if !ok {
		return out
	}
	out.At = xy(laid.Apply(at.at))
	if at.moved {
		from, to := xy(laid.Apply(at.from)), xy(laid.Apply(at.to))
		out.Moved = &[4]float64{from[0], from[1], to[0], to[1]}
		if c.Kind == change.EdgeSwung && c.Pivot != nil {
			out.Pivot = xy(laid.Apply(c.Pivot.Point()))
		}
	}
	return out
}

// summary says how much there is.
func summary(b *Book, t *tracks) string {
	pieces := 0
	if b.Here >= 0 && b.Here < len(t.states) {
		pieces = len(t.states[b.Here])
	}
	return strings.Join([]string{count(pieces, "piece", "pieces"), count(len(b.Versions), "version", "versions"), count(len(b.Fittings), "fitting", "fittings")}, ", ")
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// versionWords is a version as it is read without the script, and printed.
type versionWords struct {
	Place, Number int
	Text, Meta    string
	Lines         []string // the text where it has several
	Knot          []link   // fittings that it has first
	Answers       []noteLink
	Steps         []stepWords
	Says          []string
	Aside         bool // on another branch than that of the folder
}

type link struct {
	ID, Text string
}

type noteLink struct {
	ID, Key, Piece, Seen, ToDo string
}

type stepWords struct {
	Name    string
	Says    []string
	Changes []changeWords
	Drawing *drawing
}

type changeWords struct {
	Number     int // as the drawing has it
	Says, Long string
}

func versionsInWords(b *Book, t *tracks, shapes []shape) []versionWords {
	answers, knots := map[int][]noteLink{}, map[int][]link{}
	for i, f := range b.Fittings {
		knots[f.Since] = append(knots[f.Since], link{fittingID(i), f.title()})
		for _, n := range f.Notes {
			if n.By >= 0 {
				answers[n.By] = append(answers[n.By], noteLink{noteID(i, n), n.Key, plain(n.Piece), plain(n.seen()), plain(n.ToDo)})
			}
		}
	}
	var out []versionWords
	for i := range b.Versions {
		v := &b.Versions[i]
		w := versionWords{Place: i, Number: v.Number, Text: plain(firstLine(v.Text)), Meta: meta(b, v), Knot: knots[i], Answers: answers[i], Says: plainly(v.Says), Aside: aside(b, v)}
		if lines := strings.Split(strings.TrimSpace(v.Text), "\n"); len(lines) > 1 {
			w.Lines = plainly(lines[1:])
		}
		for k, m := range t.moves[i] {
			w.Steps = append(w.Steps, stepInWords(b, i, k, m, shapes))
		}
		out = append(out, w)
	}
	return out
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(strings.TrimSpace(s), "\n")
	return line
}

// aside says whether a version is on another branch than the folder.
func aside(b *Book, v *Version) bool {
	return v.Branch != "" && (b.Here < 0 || v.Branch != b.Versions[b.Here].Branch)
}

func meta(b *Book, v *Version) string {
	words := []string{v.Time.Format("2 January 2006")}
	if v.Who != "" {
		words = append(words, plain(v.Who))
	}
	if aside(b, v) {
		words = append(words, "on the branch "+plain(v.Branch))
	}
	if len(v.Called) > 0 {
		words = append(words, "called "+strings.Join(plainly(v.Called), ", "))
	}
	return strings.Join(words, " · ")
}

func stepInWords(b *Book, version, k int, m move, shapes []shape) stepWords {
	w := stepWords{Name: plain(m.step.Diff.Piece), Says: plainly(m.step.Says)}
	var at []*[2]float64
	for i, c := range m.step.Diff.Changes {
		told := changeOf(m, c, b.Unit)
		w.Changes = append(w.Changes, changeWords{i + 1, told.Says, told.Long})
		at = append(at, told.At)
	}
	w.Drawing = drawn(fmt.Sprintf("%d-%d", version, k), w.Name, m, shapes, b.Unit)
	if w.Drawing != nil {
		w.Drawing.pin(at)
	}
	return w
}

// fittingWords is a fitting as it is read.
type fittingWords struct {
	ID, Title string
	Rows      [][2]string
	Since     versionLink
	Notes     []noteWords
}

type versionLink struct {
	Place  int
	Number string // with the branch where another has that number too
	Text   string
}

// numberOf is how a version is named: by its number, with the branch where
// another branch has that number too.
func numberOf(b *Book, i int) string {
	v := &b.Versions[i]
	for k := range b.Versions {
		if k != i && b.Versions[k].Number == v.Number && v.Branch != "" {
			return fmt.Sprintf("%d on %s", v.Number, plain(v.Branch))
		}
	}
	return fmt.Sprint(v.Number)
}

type noteWords struct {
	ID, Key, Piece, Place, Seen, Pinned, ToDo string
	By                                        *versionLink
}

func fittingID(i int) string { return fmt.Sprintf("fitting-%d", i) }
func noteID(i int, n Note) string {
	return fmt.Sprintf("note-%d-%s", i, strings.ReplaceAll(plain(n.Key), ".", "-"))
}

func fittingsInWords(b *Book, t *tracks) []fittingWords {
	to := func(i int) *versionLink {
		if i < 0 || i >= len(b.Versions) {
			return nil
		}
		return &versionLink{i, numberOf(b, i), plain(firstLine(b.Versions[i].Text))}
	}
	var out []fittingWords
	for i, f := range b.Fittings {
		w := fittingWords{ID: fittingID(i), Title: fmt.Sprintf("Fitting %d", f.Number)}
		for _, row := range [][2]string{{"on", f.Date}, {"cloth", f.Cloth}, {"worn under it", f.Worn}, {"closures", f.Closures}, {"worn by", f.Wearer}} {
			if row[1] != "" {
				w.Rows = append(w.Rows, [2]string{row[0], plain(row[1])})
			}
		}
		if sewn := to(f.Sewn); sewn != nil {
			w.Rows = append(w.Rows, [2]string{"sewn from", fmt.Sprintf("version %s, %s", sewn.Number, sewn.Text)})
		}
		for _, n := range f.Notes {
			w.Notes = append(w.Notes, noteWords{noteID(i, n), plain(n.Key), plain(n.Piece), plain(placeWords(t.piece(f.Sewn, n.Piece), n.Place)), plain(n.seen()), plain(n.Pinned), plain(n.ToDo), to(n.By)})
		}
		out = append(out, w)
	}
	return out
}

// findingWords is a finding of the check.
type findingWords struct{ Where, Says, Do string }

func findingsInWords(b *Book) (mismatches, reminders []findingWords) {
	for _, f := range b.Findings {
		w := findingWords{plain(f.Where), plain(f.Says), plain(f.Do)}
		if f.Mismatch {
			mismatches = append(mismatches, w)
		} else {
			reminders = append(reminders, w)
		}
	}
	return mismatches, reminders
}
