package album

import (
	"fmt"
	"strings"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// changeOf is a change for the script, its places on the track's sheet.
func changeOf(m move, i int, unit units.Unit) changeData {
	c := m.step.Diff.Changes[i]
	figures := figuresOf(m.step.Diff, c, unit)
	out := changeData{Says: lengths{unit}.said(plain(c.Says)), Under: causeOf(m.step.Diff.Changes, i) + 1, Lines: linesOf(m, c),
		Shortens: c.Kind == change.CornerRounded || c.Kind == change.CornerRestored}
	out.Long = unsaid(out.Says, figures)
	if len(figures) > 0 {
		out.Short, out.Other = figures[0].short, figures[0].other
		if c.Kind == change.EdgeSwung && len(figures) > 1 {
			out.Short += ", " + figures[1].short
			out.Other += ", " + figures[1].other
		}
	}
	if out.Short == "" && len([]rune(c.After)) <= 20 {
		out.Short = plain(c.After)
		out.Other = out.Short
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
	Acts          []act // where they put together what several pieces or edges have
	Steps         []stepWords
	Says          []string
	Few           bool // so few pieces that all of it goes on one printed page
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
	places  []spot // of the changes, as numbered
}

type changeWords struct {
	Number     int // as the drawing has it
	Says, Long string
	Follows    []changeWords
}

func versionsInWords(b *Book, t *tracks, shapes []shape) []versionWords {
	answers, knots := map[int][]noteLink{}, map[int][]link{}
	for i, f := range b.Fittings {
		knots[f.Since] = append(knots[f.Since], link{fittingID(i), b.title(i)})
		for k, n := range f.Notes {
			for _, by := range n.By {
				answers[by] = append(answers[by], noteLink{noteID(i, k), plain(n.Key), plain(n.Piece), plain(n.Seen), plain(n.ToDo)})
			}
		}
	}
	var out []versionWords
	for i := range b.Versions {
		v := &b.Versions[i]
		pinned, scale := t.notesAt(i), sizeOf(t.moves[i], shapes)
		w := versionWords{Place: i, Number: v.Number, Text: plain(firstLine(v.Text)), Meta: meta(b, v), Knot: knots[i], Answers: answers[i], Says: sentences(b.Unit, v.Says), Aside: aside(b, v)}
		w.Lines = furtherLines(v.Text)
		for k, m := range t.moves[i] {
			s := stepInWords(b, m)
			if s.Drawing = drawn(fmt.Sprintf("%d-%d", i, k), s.Name, m, shapes, b.Unit, scale); s.Drawing != nil {
				s.Drawing.pin(append(s.places, pinned[m.track()]...))
			}
			w.Steps = append(w.Steps, s)
		}
		w.Few = len(w.Steps) <= fewSteps
		if acts := actsOf(t.moves[i], b.Unit); tellsMore(acts, t.moves[i]) {
			w.Acts = acts
		}
		out = append(out, w)
	}
	return out
}

// fewSteps is how many drawings of pieces go on a page with a version's words.
const fewSteps = 3

func firstLine(s string) string {
	line, _, _ := strings.Cut(strings.TrimSpace(s), "\n")
	return line
}

// furtherLines are the lines of a text after its first.
func furtherLines(s string) []string {
	_, rest, _ := strings.Cut(strings.TrimSpace(s), "\n")
	var lines []string
	for _, line := range strings.Split(rest, "\n") {
		if strings.TrimSpace(line) != "" {
			lines = append(lines, plain(line))
		}
	}
	return lines
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

func stepInWords(b *Book, m move) stepWords {
	w := stepWords{Name: plain(m.step.Diff.Piece), Says: sentences(b.Unit, m.step.Says)}
	rows := map[int]int{} // of changes that others followed from
	for i := range m.step.Diff.Changes {
		if causeOf(m.step.Diff.Changes, i) < 0 {
			told := changeOf(m, i, b.Unit)
			w.Changes = append(w.Changes, changeWords{Number: len(w.Changes) + 1, Says: told.Says, Long: told.Long})
			rows[i] = len(w.Changes) - 1
			if told.At != nil {
				w.places = append(w.places, spot{text: fmt.Sprint(len(w.Changes)), at: geom.Pt(told.At[0], told.At[1])})
			}
		}
	}
	for i := range m.step.Diff.Changes {
		if cause := causeOf(m.step.Diff.Changes, i); cause >= 0 {
			told, row := changeOf(m, i, b.Unit), &w.Changes[rows[cause]]
			row.Follows = append(row.Follows, changeWords{Says: told.Says, Long: told.Long})
		}
	}
	return w
}

// fittingWords is a fitting as it is read.
type fittingWords struct {
	ID, Title string
	Rows      [][2]string
	Since     versionLink
	Notes     []noteWords
	Again     []noteLink // notes of earlier fittings that were seen again
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
	ID, Key, Piece, Where, Seen, Pinned, ToDo string
	Became                                    []becameWords
	Open                                      string // "open", "open on" branches, or empty
}

// becameWords is one thing that became of a note: a version answered it, or it
// was seen again.
type becameWords struct {
	Since int
	By    *versionLink
	Again string
}

func fittingID(i int) string { return fmt.Sprintf("fitting-%d", i) }

// noteID is that of the note k of fitting i.
func noteID(i, k int) string { return fmt.Sprintf("note-%d-%d", i, k) }

func fittingsInWords(b *Book, t *tracks) []fittingWords {
	to := func(i int) *versionLink {
		if i < 0 || i >= len(b.Versions) {
			return nil
		}
		return &versionLink{i, numberOf(b, i), plain(firstLine(b.Versions[i].Text))}
	}
	var out []fittingWords
	for i, f := range b.Fittings {
		w := fittingWords{ID: fittingID(i), Title: "F" + b.fittingName(i)[1:], Again: b.seenAgainAt(i)}
		for _, row := range [][2]string{{"on", dayWords(f.Date)}, {"cloth", f.Cloth}, {"worn under it", f.Worn}, {"closures", f.Closures}, {"worn by", f.Wearer}} {
			if row[1] != "" {
				w.Rows = append(w.Rows, [2]string{row[0], plain(row[1])})
			}
		}
		if sewn := to(f.Sewn); sewn != nil {
			w.Rows = append(w.Rows, [2]string{"sewn from", fmt.Sprintf("version %s, %s", sewn.Number, sewn.Text)})
		}
		for k := range f.Notes {
			w.Notes = append(w.Notes, t.noteInWords(i, k, to))
		}
		out = append(out, w)
	}
	return out
}

// findingWords is a finding of the check.
type findingWords struct{ Where, Says, Do string }

func findingsInWords(b *Book) (mismatches, reminders []findingWords) {
	for _, f := range b.Findings {
		say := lengths{b.Unit}
		w := findingWords{plain(f.Where), say.said(plain(f.Says)), say.said(plain(f.Do))}
		if f.Mismatch {
			mismatches = append(mismatches, w)
		} else {
			reminders = append(reminders, w)
		}
	}
	return mismatches, reminders
}
