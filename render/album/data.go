package album

import (
	"fmt"
	"math"
	"strings"
	"time"

	"toile/geom"
	"toile/pattern/units"
)

// data is what the script reads. Numbers that stand for versions, outlines,
// tracks and fittings are places in these lists; −1 is none.
type data struct {
	Unit     string        `json:"unit"`
	Here     int           `json:"here"`
	Tracks   []string      `json:"tracks"`
	Outlines []outlineData `json:"outlines"`
	Versions []versionData `json:"versions"`
	Fittings []fittingData `json:"fittings"`
	Notes    []noteData    `json:"notes"`
}

// outlineData tells of the path with the id o and its number; d and the number
// is that of its details.
type outlineData struct {
	Name    string     `json:"n"`
	About   string     `json:"c"`
	Box     [4]float64 `json:"b"`
	Details bool       `json:"d,omitempty"`
	Edges   []string   `json:"e"`
	Curves  []int      `json:"k"`            // commands of each edge
	Lengths []float64  `json:"l"`            // mm
	Folds   []xyData   `json:"fo,omitempty"` // where a fold is named, on its own sheet
}

type xyData = [2]float64

type versionData struct {
	Number  int        `json:"n"`
	Branch  string     `json:"br"`
	Parent  int        `json:"p"`
	Merged  []int      `json:"m,omitempty"`
	Day     string     `json:"t"`
	Who     string     `json:"w,omitempty"`
	Text    string     `json:"x"`
	Lines   []string   `json:"l,omitempty"` // the text's further ones
	Called  []string   `json:"nm,omitempty"`
	Fitting int        `json:"f"`
	Set     []any      `json:"s"` // [track, outline, transform], outline −1 where the piece went
	Steps   []stepData `json:"ch"`
	Acts    []actData  `json:"a,omitempty"`
	Says    []string   `json:"r,omitempty"`
}

type actData struct {
	Says   string `json:"s"`
	Pieces string `json:"p"`
}

type stepData struct {
	Track   int          `json:"t"`
	Name    string       `json:"n"`
	Says    []string     `json:"s,omitempty"`
	Changes []changeData `json:"c,omitempty"`
}

type changeData struct {
	Says  string      `json:"s"`
	Short string      `json:"a,omitempty"`
	Other string      `json:"i,omitempty"` // Short in the other unit
	Long  string      `json:"f,omitempty"`
	At    *[2]float64 `json:"at,omitempty"` // on the track's sheet
	Moved *[4]float64 `json:"mv,omitempty"`
	Pivot *[2]float64 `json:"pv,omitempty"`
	Under int         `json:"u,omitempty"` // the change it followed from, counted from 1 in its step
	Lines []lineData  `json:"x,omitempty"`
	// Shortens says that edges it left as they were have other lengths by it.
	Shortens bool `json:"rs,omitempty"`
}

type fittingData struct {
	Number int    `json:"n"`
	Title  string `json:"x"`
	Since  int    `json:"v"`
	Sewn   int    `json:"s"`
}

type noteData struct {
	Key     string      `json:"k"`
	Fitting int         `json:"f"`
	Track   int         `json:"t"`
	At      *[2]float64 `json:"at,omitempty"`
	Where   string      `json:"w,omitempty"`
	Seen    string      `json:"s"`
	Pinned  string      `json:"g,omitempty"`
	ToDo    string      `json:"d,omitempty"`
	By      []int       `json:"by"`
	Since   int         `json:"v"`
	Again   []againData `json:"ag,omitempty"`
	Open    string      `json:"o,omitempty"` // in words
	ID      string      `json:"id"`
	Lies    []liesData  `json:"pt,omitempty"`
}

// liesData says on which piece a note lies from a version on.
type liesData struct {
	Version int         `json:"v"`
	Track   int         `json:"t"`
	At      *[2]float64 `json:"at,omitempty"`
}

type againData struct {
	Title   string `json:"x"`
	Fitting int    `json:"k"`
	Since   int    `json:"v"`
	Seen    string `json:"s,omitempty"`
}

func dataOf(b *Book, t *tracks, shapes []shape) data {
	d := data{Unit: string(b.Unit), Here: b.Here, Tracks: t.names, Fittings: []fittingData{}, Notes: []noteData{}}
	for i, name := range d.Tracks {
		d.Tracks[i] = plain(name)
	}
	for _, s := range shapes {
		o := outlineData{Name: s.name, About: s.about, Box: boxData(s.box), Details: s.details != "", Edges: s.edges, Curves: s.curves}
		for _, f := range s.folds {
			o.Folds = append(o.Folds, *xy(f))
		}
		for _, l := range s.lengths {
			o.Lengths = append(o.Lengths, units.Round(l, decimals))
		}
		d.Outlines = append(d.Outlines, o)
	}
	for i := range b.Versions {
		d.Versions = append(d.Versions, versionOf(b, t, i))
	}
	for i, f := range b.Fittings {
		d.Fittings = append(d.Fittings, fittingData{Number: f.Number, Title: b.title(i), Since: f.Since, Sewn: f.Sewn})
		for k := range f.Notes {
			d.Notes = append(d.Notes, noteOf(t, i, k))
		}
	}
	return d
}

func versionOf(b *Book, t *tracks, i int) versionData {
	v := &b.Versions[i]
	out := versionData{Number: v.Number, Branch: plain(v.Branch), Parent: v.Parent, Merged: v.Merged, Day: v.Time.Format(dayForm), Who: plain(v.Who),
		Text: plain(firstLine(v.Text)), Lines: furtherLines(v.Text), Fitting: v.Fitting, Set: []any{}, Steps: []stepData{}, Says: sentences(b.Unit, v.Says), Called: plainly(v.Called)}
	for _, m := range t.moves[i] {
		track := m.after.track
		if track < 0 {
			track = m.before.track
		}
		switch laid := matrix(m.after.laid); {
		case m.after.track < 0:
			out.Set = append(out.Set, []any{track, -1})
		case laid != "":
			out.Set = append(out.Set, []any{track, m.after.outline, laid})
		default:
			out.Set = append(out.Set, []any{track, m.after.outline})
		}
		step := stepData{Track: track, Name: plain(m.step.Diff.Piece), Says: sentences(b.Unit, m.step.Says)}
		for i := range m.step.Diff.Changes {
			step.Changes = append(step.Changes, changeOf(m, i, b.Unit))
		}
		out.Steps = append(out.Steps, step)
	}
	for _, a := range actsOf(t.moves[i], b.Unit) {
		out.Acts = append(out.Acts, actData{a.Says, a.In()})
	}
	return out
}

func noteOf(t *tracks, fitting, k int) noteData {
	f := t.book.Fittings[fitting]
	n := f.Notes[k]
	out := noteData{Key: plain(n.Key), Fitting: fitting, Where: t.where(fitting, k), Seen: plain(n.Seen), Pinned: lengths{t.book.Unit}.said(plain(n.Pinned)),
		ToDo: plain(n.ToDo), By: n.By, Since: n.Since, Open: n.openWords(), ID: noteID(fitting, k)}
	if out.By == nil {
		out.By = []int{}
	}
	for _, a := range n.Again {
		out.Again = append(out.Again, againData{t.book.againAt(a), a.Fitting, a.Since, plain(a.Seen)})
	}
	place := t.notes[fitting][k]
	if out.Track = place.first.track; place.first.at != nil {
		out.At = xy(*place.first.at)
	}
	for i := range t.states {
		if there := place.in[i]; place.moved(t.book, i) {
			lies := liesData{Version: i, Track: there.track}
			if there.at != nil {
				lies.At = xy(*there.at)
			}
			out.Lies = append(out.Lies, lies)
		}
	}
	return out
}

// againAt names the fitting at which a note was seen again.
func (b *Book) againAt(a Again) string {
	if a.Fitting >= 0 && a.Fitting < len(b.Fittings) {
		return b.fittingName(a.Fitting)
	}
	return fmt.Sprintf("fitting %d", a.Number)
}

// fittingName names a fitting, with the branch where another has that number
// too.
func (b *Book) fittingName(i int) string {
	f := &b.Fittings[i]
	name := fmt.Sprintf("fitting %d", f.Number)
	for k := range b.Fittings {
		if k != i && b.Fittings[k].Number == f.Number && f.Since >= 0 && f.Since < len(b.Versions) {
			return name + " on " + plain(b.Versions[f.Since].Branch)
		}
	}
	return name
}

// title is a fitting's name with its day and cloth.
func (b *Book) title(i int) string {
	f, words := &b.Fittings[i], []string{}
	for _, w := range []string{dayWords(f.Date), f.Cloth} {
		if w != "" {
			words = append(words, plain(w))
		}
	}
	return strings.TrimSuffix("F"+b.fittingName(i)[1:]+" · "+strings.Join(words, ", "), " · ")
}

// dayForm is how days are written.
const dayForm = "2 January 2006"

// dayWords writes a day as dayForm has it; what is no day stays as it is.
func dayWords(day string) string {
	if t, err := time.Parse(time.DateOnly, day); err == nil {
		return t.Format(dayForm)
	}
	return day
}

// sentences are toile's own, as the album shows them.
func sentences(unit units.Unit, texts []string) []string {
	var out []string
	for _, s := range texts {
		out = append(out, lengths{unit}.said(plain(s)))
	}
	return out
}

func xy(p geom.Point) *[2]float64 {
	return &[2]float64{units.Round(p.X, decimals), units.Round(p.Y, decimals)}
}

func boxData(b geom.Box) [4]float64 {
	return [4]float64{math.Floor(b.Min.X*10) / 10, math.Floor(b.Min.Y*10) / 10, math.Ceil(b.Max.X*10) / 10, math.Ceil(b.Max.Y*10) / 10}
}

func plainly(texts []string) []string {
	var out []string
	for _, s := range texts {
		out = append(out, plain(s))
	}
	return out
}
